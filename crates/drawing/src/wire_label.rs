//! Places for the text of a wire along its path.
//!
//! A long wire has hundreds of them and needs one, so each is only measured until it is chosen.

use engine::arrange;

use crate::geometry::{Point, Rect, STEP};
use crate::label::{GAP, block, held, sized};
use crate::scene::{Anchor, Lettering, Role};
use crate::text::{HEIGHT, descent, line_pitch, width};

/// A place for the text of a wire.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct WirePlace {
    /// Its lettering.
    pub lines: Vec<Lettering>,
    /// The space it takes.
    pub bounds: Rect,
    /// The point of the wire it belongs to.
    pub foot: Point,
}

impl WirePlace {
    /// The same text moved by `(dx, dy)`, together with the point it belongs to.
    pub(crate) fn moved(mut self, dx: i32, dy: i32) -> WirePlace {
        for line in &mut self.lines {
            line.at = line.at.moved(dx, dy);
        }
        self.bounds = self.bounds.moved(dx, dy);
        self.foot = self.foot.moved(dx, dy);
        self
    }
}

/// How a text stands by its wire.
#[derive(Clone, Copy)]
enum Stand {
    /// In one line or in two, within this rectangle.
    Within(Rect, bool),
    /// In one line that reads upwards, its middle at this point.
    Upwards(Point),
}

/// A place that was measured but not lettered.
#[derive(Clone, Copy)]
struct Spot {
    cost: i32,
    stand: Stand,
    bounds: Rect,
    foot: Point,
}

/// Places for the text of a wire, best first: one line along the longest stretch, then two lines
/// beside it, then turned.
pub(crate) struct WirePlaces {
    one: Vec<String>,
    two: Vec<String>,
    spots: Vec<Spot>,
}

impl WirePlaces {
    /// The places along `path` for a text of these two parts.
    pub(crate) fn new(path: &[Point], name: &str, rest: &str) -> WirePlaces {
        let two: Vec<String> =
            [name, rest].iter().filter(|s| !s.is_empty()).map(|s| (*s).to_owned()).collect();
        let mut places = WirePlaces { one: vec![two.join(" ")], two, spots: Vec::new() };
        if !places.two.is_empty() {
            places.measure(path);
        }
        places
    }

    fn measure(&mut self, path: &[Point]) {
        let mut stretches: Vec<(Point, Point)> = path.windows(2).map(|w| (w[0], w[1])).collect();
        let length = |(a, b): &(Point, Point)| (a.x - b.x).abs() + (a.y - b.y).abs();
        arrange::sort_by_key(&mut stretches, |stretch| std::cmp::Reverse(length(stretch)));
        let widths =
            |lines: &[String]| -> Vec<i32> { lines.iter().map(|line| width(line, HEIGHT)).collect() };
        let (one, two) = (widths(&self.one), widths(&self.two));
        let size = |widths: &[i32]| sized(widths.iter().copied().max().unwrap_or(0), widths.len());
        let sizes = [size(&one), size(&two)];
        for (rank, &(a, b)) in (0..).zip(&stretches) {
            let n_spots = (length(&(a, b)) / STEP).clamp(1, 40);
            for spot in 0..=n_spots {
                let foot = Point::new(a.x + (b.x - a.x) * spot / n_spots, a.y + (b.y - a.y) * spot / n_spots);
                // The middle of a stretch is nicer than its ends.
                let aside = (2 * spot - n_spots).abs() * 6 / n_spots.max(1);
                let mut within = |cost: i32, left: i32, top: i32, is_two: bool| {
                    let (w, h) = sizes[usize::from(is_two)];
                    let place = Rect::new(left, top, left + w, top + h);
                    let bounds = room_of_block(if is_two { &two } else { &one }, &place, foot);
                    let cost = cost + aside + 8 * rank;
                    self.spots.push(Spot { cost, stand: Stand::Within(place, is_two), bounds, foot });
                };
                let fits = sizes[0].0 <= length(&(a, b));
                if a.y == b.y {
                    let penalty = if fits { 0 } else { 10 };
                    for (cost, is_two, above) in
                        [(0, false, true), (3, false, false), (6, true, true), (9, true, false)]
                    {
                        let (w, h) = sizes[usize::from(is_two)];
                        // Digits and capitals have no descender, so they may stand closer above a line.
                        let y = if above { foot.y - GAP - h + descent(HEIGHT) / 2 } else { foot.y + GAP };
                        within(penalty + cost, foot.x - w / 2, y, is_two);
                    }
                    continue;
                }
                for (cost, is_two, right) in
                    [(2, true, true), (4, false, true), (6, true, false), (7, false, false)]
                {
                    let (w, h) = sizes[usize::from(is_two)];
                    let x = if right { foot.x + GAP } else { foot.x - GAP - w };
                    within(cost, x, foot.y - h / 2, is_two);
                }
                for (cost, left) in [(8, true), (10, false)] {
                    let x = if left { foot.x - GAP - 40 } else { foot.x + GAP + HEIGHT };
                    let at = Point::new(x, foot.y);
                    let cost = if fits { cost } else { cost + 12 } + aside + 8 * rank;
                    let half = one[0] / 2;
                    let bounds =
                        Rect::new(x - HEIGHT, foot.y + half, x + descent(HEIGHT), foot.y + half - one[0]);
                    self.spots.push(Spot { cost, stand: Stand::Upwards(at), bounds, foot });
                }
            }
        }
        arrange::sort_by_key(&mut self.spots, |spot| spot.cost);
    }

    /// The space each of them takes, best first.
    pub(crate) fn bounds(&self) -> impl Iterator<Item = Rect> + '_ {
        self.spots.iter().map(|spot| spot.bounds)
    }

    /// The lettering at one of them.
    pub(crate) fn place(&self, index: usize) -> Option<WirePlace> {
        let Spot { stand, bounds, foot, .. } = *self.spots.get(index)?;
        let lines = match stand {
            Stand::Within(place, is_two) => block(if is_two { &self.two } else { &self.one }, place, foot),
            Stand::Upwards(at) => vec![Lettering {
                text: self.one[0].clone(),
                at,
                anchor: Anchor::Middle,
                height: HEIGHT,
                upright: true,
                role: Role::Lettering,
            }],
        };
        Some(WirePlace { lines, bounds, foot })
    }
}

/// The room of the lines that [`block`] makes of texts with these widths.
fn room_of_block(widths: &[i32], place: &Rect, towards: Point) -> Rect {
    let (x, anchor) = held(place, towards);
    let line = |(i, width): (i32, &i32)| {
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2,
            Anchor::End => x - width,
        };
        let base = place.top + HEIGHT + i * line_pitch(HEIGHT);
        Rect::new(left, base - HEIGHT, left + width, base + descent(HEIGHT))
    };
    (0..).zip(widths).map(line).reduce(Rect::joined).unwrap_or(*place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_measured_is_what_is_lettered() {
        let path = [(0, 0), (0, 4000), (3000, 4000), (3000, -500)].map(|(x, y)| Point::new(x, y));
        for (name, rest) in [("W1", "2.5 RD-BK"), ("", "0.75"), ("supply of the pump", "")] {
            let places = WirePlaces::new(&path, name, rest);
            let all: Vec<Rect> = places.bounds().collect();
            assert!(all.len() > 100, "{}", all.len());
            for (index, bounds) in all.into_iter().enumerate() {
                let place = places.place(index).unwrap();
                let lettered = place.lines.iter().map(Lettering::bounds).reduce(Rect::joined);
                assert_eq!((lettered, place.bounds), (Some(bounds), bounds));
            }
        }
    }

    #[test]
    fn a_text_that_says_nothing_has_no_place() {
        let path = [Point::new(0, 0), Point::new(0, 4000)];
        assert_eq!(WirePlaces::new(&path, "", "").bounds().count(), 0);
    }
}
