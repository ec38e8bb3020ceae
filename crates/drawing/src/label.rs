//! Where lettering stands: candidates for each text, and the ground that is already taken.

use std::collections::BTreeMap;

use engine::arrange;
use engine::kind::glyph::Side;

use crate::draw;
use crate::geometry::{Point, Rect, STEP};
use crate::scene::{Anchor, Lettering, Role};
use crate::symbol::Symbol;
use crate::text::{HEIGHT, bold, clean, descent, line_pitch, width};

/// Free space between a symbol and its text, and between a wire and its text.
pub(crate) const GAP: i32 = 100;

/// The size of a block of lines.
pub(crate) fn block_size(lines: &[String]) -> (i32, i32) {
    let widest = lines.iter().map(|line| width(line, HEIGHT)).max().unwrap_or(0);
    sized(widest, lines.len())
}

/// The size of a block of lines of which the first are bold.
pub(crate) fn part_block_size(n_bold: usize, lines: &[String]) -> (i32, i32) {
    let width = |(i, line): (usize, &String)| {
        let plain = width(line, HEIGHT);
        if i < n_bold { bold(plain) } else { plain }
    };
    sized(lines.iter().enumerate().map(width).max().unwrap_or(0), lines.len())
}

fn sized(widest: i32, n_lines: usize) -> (i32, i32) {
    let n = i32::try_from(n_lines).unwrap_or(i32::MAX);
    if n == 0 { (0, 0) } else { (widest, HEIGHT + (n - 1) * line_pitch(HEIGHT) + descent(HEIGHT)) }
}

/// The lettering of `lines` within `place`, which has the size that [`block_size`] gives.
///
/// Lines keep to the side of the place that is nearer to `towards`.
pub(crate) fn block(lines: &[String], place: Rect, towards: Point) -> Vec<Lettering> {
    let anchor = if place.right <= towards.x {
        Anchor::End
    } else if place.left >= towards.x {
        Anchor::Start
    } else {
        Anchor::Middle
    };
    let x = match anchor {
        Anchor::Start => place.left,
        Anchor::Middle => place.center().x,
        Anchor::End => place.right,
    };
    let line = |(i, text): (i32, &String)| Lettering {
        text: text.clone(),
        at: Point::new(x, place.top + HEIGHT + i * line_pitch(HEIGHT)),
        anchor,
        height: HEIGHT,
        upright: false,
        role: Role::Lettering,
    };
    (0..).zip(lines).map(line).collect()
}

/// Places for the text beside a symbol, best first, relative to its anchor.
pub(crate) fn part_text_places(symbol: &Symbol, width: i32, height: i32) -> Vec<Rect> {
    let ink = symbol.local_ink();
    let ports: Vec<_> = (0..symbol.view.pins.len()).map(|pin| symbol.offset(pin)).collect();
    let leaves = |side: Side| ports.iter().any(|port| port.side == side);
    let at = |x: i32, y: i32| Rect::new(x, y, x + width, y + height);
    let (right, left) = (ink.right + GAP + 25, ink.left - GAP - 25 - width);
    let middle = ink.center().y - height / 2;
    let centered = ink.center().x - width / 2;
    let below = at(centered, ink.bottom + GAP);
    let above = at(centered, ink.top - GAP - height);
    let mut places = Vec::new();
    // An end of the road, such as an earth point, carries its name beyond the end.
    let end_of_road = ports.len() == 1;
    if end_of_road && leaves(Side::Up) {
        places.push(below);
    }
    if end_of_road && leaves(Side::Down) {
        places.push(above);
    }
    if !leaves(Side::Right) {
        places.push(at(right, middle));
    }
    if !leaves(Side::Left) {
        places.push(at(left, middle));
    }
    for y in [ink.top, ink.bottom - height, ink.top - height, ink.bottom] {
        places.extend([at(right, y), at(left, y)]);
    }
    if !leaves(Side::Up) {
        places.push(above);
    }
    if !leaves(Side::Down) {
        places.push(below);
    }
    for dy in [-STEP, STEP, -2 * STEP, 2 * STEP] {
        places.extend([at(right, middle + dy), at(left, middle + dy)]);
    }
    for far in [2 * STEP, 4 * STEP] {
        places.extend([
            at(right + far, middle),
            at(left - far, middle),
            above.moved(0, -far),
            below.moved(0, far),
        ]);
        places.extend([
            at(right + far, ink.top - height - far),
            at(left - far, ink.top - height - far),
            at(right + far, ink.bottom + far),
            at(left - far, ink.bottom + far),
        ]);
    }
    places
}

/// The name of a terminal beside its lead; `None` when it is not printed.
pub(crate) fn terminal_text(symbol: &Symbol, pin: usize) -> Option<Lettering> {
    let shown = &symbol.view.pins[pin];
    if !shown.named {
        return None;
    }
    let port = symbol.port(pin);
    let Point { x, y } = port.at.point();
    let near = 35;
    let above = y - near - descent(HEIGHT);
    let (at, anchor) = match port.side {
        Side::Up => (Point::new(x - 60, y + near + HEIGHT), Anchor::End),
        Side::Down => (Point::new(x - 60, y - near), Anchor::End),
        Side::Left => (Point::new(x + 20, above), Anchor::Start),
        Side::Right => (Point::new(x - 20, above), Anchor::End),
    };
    // A hyphen is too short to be seen beside a lead.
    let text = clean(&shown.terminal).replace('-', "−");
    let name = Lettering { text, at, anchor, height: HEIGHT, upright: false, role: Role::Lettering };
    // Symbols are drawn so that their names have room on this side; once one lies on its side or
    // is mirrored, its own strokes may stand there.
    let is_upright = !symbol.turn.mirrored && symbol.turn.quarters.is_multiple_of(2);
    if is_upright || !is_on_strokes(symbol, &name) {
        return Some(name);
    }
    let below = y + near + HEIGHT;
    let others = match port.side {
        Side::Up | Side::Down => vec![(Point::new(x + 60, at.y), Anchor::Start)],
        // Beyond the pin it stands along the wire.
        Side::Left => {
            vec![(Point::new(at.x, below), anchor), (Point::new(x - 20, above - near), Anchor::End)]
        }
        Side::Right => {
            vec![(Point::new(at.x, below), anchor), (Point::new(x + 20, above - near), Anchor::Start)]
        }
    };
    let mut others = others.into_iter().map(|(at, anchor)| Lettering { at, anchor, ..name.clone() });
    Some(others.find(|other| !is_on_strokes(symbol, other)).unwrap_or(name))
}

fn is_on_strokes(symbol: &Symbol, name: &Lettering) -> bool {
    let bounds = name.bounds();
    draw::mark_rooms(symbol).iter().any(|room| room.overlaps(&bounds))
}

/// What stands on a piece of ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// A stroke of a symbol or a text: nothing else may stand there.
    Fixed,
    /// A wire, by its index: its own text keeps off too, by standing beside it.
    Wire(usize),
}

/// Ground that is taken, in buckets so that looking up is quick.
#[derive(Clone, Debug, Default)]
pub(crate) struct Ground {
    buckets: BTreeMap<(i32, i32), Vec<(Rect, Owner)>>,
}

/// Side of a bucket.
const BUCKET: i32 = 8 * STEP;

fn buckets(rect: &Rect) -> impl Iterator<Item = (i32, i32)> + use<> {
    let columns = rect.left.div_euclid(BUCKET)..=rect.right.div_euclid(BUCKET);
    let rows = rect.top.div_euclid(BUCKET)..=rect.bottom.div_euclid(BUCKET);
    columns.flat_map(move |column| rows.clone().map(move |row| (column, row)))
}

impl Ground {
    /// Takes the ground under `rect`.
    pub(crate) fn take(&mut self, rect: Rect, owner: Owner) {
        for bucket in buckets(&rect) {
            self.buckets.entry(bucket).or_default().push((rect, owner));
        }
    }

    /// Whether `rect` is free.
    pub(crate) fn is_free(&self, rect: &Rect) -> bool {
        self.n_on(rect) == 0
    }

    /// How many things stand on `rect`; one that reaches over several buckets may count twice.
    pub(crate) fn n_on(&self, rect: &Rect) -> usize {
        buckets(rect)
            .filter_map(|bucket| self.buckets.get(&bucket))
            .flatten()
            .filter(|(taken, _)| taken.overlaps(rect))
            .count()
    }

    /// Which of `rooms` is free when moved a little, and by how much: the smallest move that helps
    /// any of them.
    pub(crate) fn shift_to_free(&self, rooms: &[Rect]) -> Option<(usize, i32, i32)> {
        const FARTHEST: i32 = 30;
        const WAYS: [(i32, i32); 8] = [(1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1)];
        (1..=FARTHEST).find_map(|ring| {
            rooms.iter().enumerate().find_map(|(index, room)| {
                WAYS.iter()
                    .map(|(dx, dy)| (dx * ring * STEP, dy * ring * STEP))
                    .find(|&(dx, dy)| self.is_free(&room.moved(dx, dy)))
                    .map(|(dx, dy)| (index, dx, dy))
            })
        })
    }

    /// Frees the ground of everything that stands exactly on `rect` and belongs to `owner`.
    pub(crate) fn free(&mut self, rect: Rect, owner: Owner) {
        for bucket in buckets(&rect) {
            if let Some(all) = self.buckets.get_mut(&bucket)
                && let Some(at) = all.iter().position(|one| *one == (rect, owner))
            {
                all.remove(at);
            }
        }
    }
}

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

/// Places for the text of a wire along its path, best first: one line along the longest stretch,
/// then two lines beside it, then turned.
pub(crate) fn wire_text_places(path: &[Point], name: &str, rest: &str) -> Vec<WirePlace> {
    let one = [name, rest].iter().filter(|s| !s.is_empty()).copied().collect::<Vec<_>>().join(" ");
    if one.is_empty() {
        return Vec::new();
    }
    let two: Vec<String> = [name, rest].iter().filter(|s| !s.is_empty()).map(|s| (*s).to_owned()).collect();
    let one = vec![one];
    let mut stretches: Vec<(Point, Point)> = path.windows(2).map(|w| (w[0], w[1])).collect();
    let length = |(a, b): &(Point, Point)| (a.x - b.x).abs() + (a.y - b.y).abs();
    arrange::sort_by_key(&mut stretches, |stretch| std::cmp::Reverse(length(stretch)));
    let mut places: Vec<(i32, WirePlace)> = Vec::new();
    for (rank, &(a, b)) in (0..).zip(&stretches) {
        let n_spots = (length(&(a, b)) / STEP).clamp(1, 40);
        for spot in 0..=n_spots {
            let foot = Point::new(a.x + (b.x - a.x) * spot / n_spots, a.y + (b.y - a.y) * spot / n_spots);
            // The middle of a stretch is nicer than its ends.
            let aside = (2 * spot - n_spots).abs() * 6 / n_spots.max(1);
            let mut add = |cost: i32, lines: Vec<Lettering>| {
                if let Some(bounds) = lines.iter().map(Lettering::bounds).reduce(Rect::joined) {
                    places.push((cost + aside + 8 * rank, WirePlace { lines, bounds, foot }));
                }
            };
            let beside = |lines: &[String], right: bool| {
                let (w, h) = block_size(lines);
                let x = if right { foot.x + GAP } else { foot.x - GAP - w };
                let y = foot.y - h / 2;
                block(lines, Rect::new(x, y, x + w, y + h), foot)
            };
            let along = |lines: &[String], above: bool| {
                let (w, h) = block_size(lines);
                // Digits and capitals have no descender, so they may stand closer above a line.
                let y = if above { foot.y - GAP - h + descent(HEIGHT) / 2 } else { foot.y + GAP };
                block(lines, Rect::new(foot.x - w / 2, y, foot.x - w / 2 + w, y + h), foot)
            };
            if a.y == b.y {
                let fits = block_size(&one).0 <= length(&(a, b));
                let penalty = if fits { 0 } else { 10 };
                add(penalty, along(&one, true));
                add(penalty + 3, along(&one, false));
                add(penalty + 6, along(&two, true));
                add(penalty + 9, along(&two, false));
            } else {
                add(2, beside(&two, true));
                add(4, beside(&one, true));
                add(6, beside(&two, false));
                add(7, beside(&one, false));
                for (cost, left) in [(8, true), (10, false)] {
                    let x = if left { foot.x - GAP - 40 } else { foot.x + GAP + HEIGHT };
                    let lettering = Lettering {
                        text: one[0].clone(),
                        at: Point::new(x, foot.y),
                        anchor: Anchor::Middle,
                        height: HEIGHT,
                        upright: true,
                        role: Role::Lettering,
                    };
                    let fits = block_size(&one).0 <= length(&(a, b));
                    add(if fits { cost } else { cost + 12 }, vec![lettering]);
                }
            }
        }
    }
    arrange::sort_by_key(&mut places, |(cost, _)| *cost);
    places.into_iter().map(|(_, place)| place).collect()
}
