//! The frame of a sheet with its zones and centring marks (ISO 5457, from memory).

use super::{outline, text};
use crate::geometry::{Point, Rect};
use crate::scene::{Anchor, Role, Shape};
use crate::text::HEIGHT;

/// How far the frame stands from the edges of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Margins {
    /// At the left, where sheets are filed.
    pub filing: i32,
    /// At the other sides.
    pub others: i32,
}

/// Those of ISO 5457.
pub const MARGINS: Margins = Margins { filing: 2000, others: 1000 };

/// Those of papers that are printed on printers that leave 8 mm free: the zones stand outside the frame and are 4 mm wide.
pub const WIDE_MARGINS: Margins = Margins { filing: 2000, others: 1250 };

/// Length of a zone, counted from the centring marks.
const ZONE: i32 = 5000;

/// Width of the strip outside the frame in which zones are named.
const STRIP: i32 = 400;

/// Letters of zones: I and O could be taken for figures.
const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";

/// A frame on its paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    /// The whole paper.
    pub paper: Rect,
    /// The inside of the frame.
    pub inside: Rect,
}

impl Frame {
    /// The frame of a paper.
    pub fn new(paper: Rect, margins: Margins) -> Frame {
        let inside = Rect {
            left: paper.left + margins.filing,
            top: paper.top + margins.others,
            right: paper.right - margins.others,
            bottom: paper.bottom - margins.others,
        };
        Frame { paper, inside }
    }

    /// How many zones there are across and down: an even number each, because they are counted from the middle.
    fn zones(&self) -> (i32, i32) {
        let along = |length: i32| 2 * ((length + ZONE) / (2 * ZONE)).max(1);
        (along(self.paper.width()), along(self.paper.height()))
    }

    /// The zone that a point lies in: `B4`.
    pub fn zone(&self, point: Point) -> String {
        let (across, down) = self.zones();
        let Point { x, y } = self.paper.center();
        let index = |v: i32, n: i32| (v.div_euclid(ZONE) + n / 2).clamp(0, n - 1);
        format!("{}{}", letter(index(point.y - y, down)), index(point.x - x, across) + 1)
    }

    /// Frame, centring marks and zones. On A4 zones are named above and at the right alone.
    pub fn shapes(&self, everywhere: bool) -> Vec<Shape> {
        let mut shapes = vec![outline(Role::Frame, self.inside)];
        shapes.extend(self.centring_marks());
        let (across, down) = self.zones();
        let Rect { left, top, right, bottom } = self.inside;
        let Point { x, y } = self.paper.center();
        // Where zone `index` begins and ends along an axis; the outer ones take what is left.
        let span = |index: i32, n: i32, middle: i32, (low, high): (i32, i32)| {
            let from = if index == 0 { low } else { middle + (index - n / 2) * ZONE };
            let to = if index == n - 1 { high } else { middle + (index + 1 - n / 2) * ZONE };
            (from, to)
        };
        let tick = |a: Point, b: Point| Shape::Line(Role::Outline, vec![a, b]);
        let name = |says: String, center: Point| {
            text(says, center.moved(0, HEIGHT / 2), Anchor::Middle, HEIGHT, Role::Lettering)
        };
        for index in 0..across {
            let (from, to) = span(index, across, x, (left, right));
            let sides = [Some((top, top - STRIP)), everywhere.then_some((bottom, bottom + STRIP))];
            for (at, out) in sides.into_iter().flatten() {
                if index > 0 && from != x {
                    shapes.push(tick(Point::new(from, at), Point::new(from, out)));
                }
                shapes.push(name((index + 1).to_string(), Point::new((from + to) / 2, (at + out) / 2)));
            }
        }
        for index in 0..down {
            let (from, to) = span(index, down, y, (top, bottom));
            let sides = [Some((right, right + STRIP)), everywhere.then_some((left, left - STRIP))];
            for (at, out) in sides.into_iter().flatten() {
                if index > 0 && from != y {
                    shapes.push(tick(Point::new(at, from), Point::new(out, from)));
                }
                shapes.push(name(letter(index), Point::new((at + out) / 2, (from + to) / 2)));
            }
        }
        shapes
    }

    /// Short strokes at the middle of each side, for filming and folding; they reach 5 mm into the field where nothing
    /// stands.
    fn centring_marks(&self) -> Vec<Shape> {
        const INWARDS: i32 = 500;
        let Rect { left, top, right, bottom } = self.inside;
        let Point { x, y } = self.paper.center();
        let line = |a: Point, b: Point| Shape::Line(Role::Outline, vec![a, b]);
        vec![
            line(Point::new(x, top - STRIP), Point::new(x, top + INWARDS)),
            line(Point::new(x, bottom + STRIP), Point::new(x, bottom)),
            line(Point::new(left - STRIP, y), Point::new(left + INWARDS, y)),
            line(Point::new(right + STRIP, y), Point::new(right - INWARDS, y)),
        ]
    }
}

/// The letter of a row of zones; beyond the alphabet twice the letter.
fn letter(index: i32) -> String {
    let index = usize::try_from(index).unwrap_or(0);
    let one = char::from(LETTERS[index % LETTERS.len()]);
    std::iter::repeat_n(one, index / LETTERS.len() + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(width: i32, height: i32) -> Frame {
        Frame::new(Rect::new(0, 0, width, height), MARGINS)
    }

    #[test]
    fn a4_has_six_by_four_zones_and_a3_eight_by_six() {
        assert_eq!(frame(29_700, 21_000).zones(), (6, 4));
        assert_eq!(frame(42_000, 29_700).zones(), (8, 6));
    }

    #[test]
    fn zones_are_counted_from_the_middle_and_skip_i_and_o() {
        let a4 = frame(29_700, 21_000);
        assert_eq!(a4.zone(Point::new(2_100, 1_100)), "A1");
        assert_eq!(a4.zone(Point::new(14_849, 10_499)), "B3");
        assert_eq!(a4.zone(Point::new(14_850, 10_500)), "C4");
        assert_eq!(a4.zone(Point::new(28_000, 19_000)), "D6");
        assert_eq!([7, 8, 13, 24].map(letter), ["H", "J", "P", "AA"]);
    }

    #[test]
    fn on_wide_margins_all_ink_is_eight_millimetres_inside() {
        let paper = Rect::new(0, 0, 27_940, 21_590);
        for shape in Frame::new(paper, WIDE_MARGINS).shapes(true) {
            let thickness = 35;
            assert!(paper.grown(-800).holds(&shape.bounds().grown(thickness / 2)), "{shape:?}");
        }
    }
}
