//! Where lettering stands: candidates for each text, and the ground that is already taken.

use engine::kind::glyph::Side;

use crate::draw;
use crate::geometry::{Point, Rect, STEP};
use crate::scene::{Anchor, Lettering, Role};
use crate::symbol::Symbol;
use crate::text::{HEIGHT, bold, clean, descent, line_pitch, width};

/// Free space between a symbol and its text, and between a wire and its text.
pub(crate) const GAP: i32 = 100;

/// The size of a block of lines of which the first are bold.
pub(crate) fn part_block_size(n_bold: usize, lines: &[String]) -> (i32, i32) {
    let width = |(i, line): (usize, &String)| {
        let plain = width(line, HEIGHT);
        if i < n_bold { bold(plain) } else { plain }
    };
    sized(lines.iter().enumerate().map(width).max().unwrap_or(0), lines.len())
}

/// The size of a block of lines.
pub(crate) fn sized(widest: i32, n_lines: usize) -> (i32, i32) {
    let n = i32::try_from(n_lines).unwrap_or(i32::MAX);
    if n == 0 { (0, 0) } else { (widest, HEIGHT + (n - 1) * line_pitch(HEIGHT) + descent(HEIGHT)) }
}

/// Where lines within `place` are held: on the side of the place that is nearer to `towards`.
pub(crate) fn held(place: &Rect, towards: Point) -> (i32, Anchor) {
    if place.right <= towards.x {
        (place.right, Anchor::End)
    } else if place.left >= towards.x {
        (place.left, Anchor::Start)
    } else {
        (place.center().x, Anchor::Middle)
    }
}

/// The lettering of `lines` within `place`, which has the size that [`sized`] gives.
///
/// Lines keep to the side of the place that is nearer to `towards`.
pub(crate) fn block(lines: &[String], place: Rect, towards: Point) -> Vec<Lettering> {
    let (x, anchor) = held(&place, towards);
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

/// The name of a terminal beside its lead, from which a stud of so many steps is drawn on; `None` when it is not
/// printed.
pub(crate) fn terminal_text(symbol: &Symbol, pin: usize, stud: i32) -> Option<Lettering> {
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
        // Off the piece of rail that a fuse in a box, once turned, has here.
        Side::Down if symbol.turn.quarters != 0 => (Point::new(x - 60, above), Anchor::End),
        Side::Down => (Point::new(x - 60, y - near), Anchor::End),
        // Beside that piece of rail.
        Side::Left => (Point::new(x + 40, above), Anchor::Start),
        Side::Right => (Point::new(x - 40, above), Anchor::End),
    };
    // A hyphen is too short to be seen beside a lead.
    let text = clean(&shown.terminal).replace('-', "−");
    let name = Lettering { text, at, anchor, height: HEIGHT, upright: false, role: Role::Lettering };
    // Symbols are drawn so that their names have room on this side; once one is turned or mirrored,
    // its own strokes may stand there.
    let is_upright = !symbol.turn.mirrored && symbol.turn.quarters == 0;
    if is_upright || !is_on_strokes(symbol, &name) {
        return Some(name);
    }
    Some(other_terminal_texts(symbol, pin, stud, &name).into_iter().next().unwrap_or(name))
}

/// Where else the name of a terminal may stand, off the strokes of its symbol, the best place first; its stud
/// is so many steps long.
pub(crate) fn other_terminal_texts(
    symbol: &Symbol,
    pin: usize,
    stud: i32,
    name: &Lettering,
) -> Vec<Lettering> {
    let port = symbol.port(pin);
    let Point { x, y } = port.at.point();
    let near = 35;
    let (above, below) = (y - near - descent(HEIGHT), y + near + HEIGHT);
    let places = match port.side {
        Side::Up | Side::Down => {
            let beside = if port.side == Side::Up { below } else { y - near };
            let beyond = if port.side == Side::Up { above - near } else { below + near };
            let mut places = vec![(Point::new(x + 60, name.at.y), Anchor::Start)];
            if stud > 0 {
                // Beyond the last point of the stud, so that wires may leave it on both sides.
                let end = if port.side == Side::Up { above - stud * STEP } else { below + stud * STEP };
                places.extend([
                    (Point::new(x - 60, end), Anchor::End),
                    (Point::new(x + 60, end), Anchor::Start),
                ]);
            }
            places.extend([
                (Point::new(x - 60, beyond), Anchor::End),
                (Point::new(x + 60, beyond), Anchor::Start),
                (Point::new(x - 60, beside), Anchor::End),
            ]);
            places
        }
        // Beyond the pin it stands along the wire.
        Side::Left => vec![
            (Point::new(name.at.x, below), name.anchor),
            (Point::new(x - 40, above - near), Anchor::End),
            (Point::new(x + 40, above), Anchor::Start),
        ],
        Side::Right => vec![
            (Point::new(name.at.x, below), name.anchor),
            (Point::new(x + 40, above - near), Anchor::Start),
            (Point::new(x - 40, above), Anchor::End),
        ],
    };
    let others = places.into_iter().map(|(at, anchor)| Lettering { at, anchor, ..name.clone() });
    others.filter(|other| !is_on_strokes(symbol, other)).collect()
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
    /// Everything that stands, bucket by bucket, in one list: a list for each slot would be made anew
    /// for every drawing, which takes longer than going through one that lies scattered.
    taken: Vec<Taken>,
    /// Where in it the last thing of each slot is, by the lowest bits of column and row, plus one; no
    /// slots at first.
    slots: Vec<u32>,
}

/// A piece of ground that is taken, as far as it reaches into one bucket.
#[derive(Clone, Copy, Debug)]
struct Taken {
    bucket: (i32, i32),
    rect: Rect,
    owner: Owner,
    /// The one before it in the same slot, as in [`Ground::slots`].
    before: u32,
}

/// Side of a bucket.
const BUCKET: i32 = 8 * STEP;

/// Bits of a column or row that tell the slot of a bucket, which makes slots for well over a
/// metre each way before two buckets share one.
const SLOT_BITS: u32 = 6;

fn buckets(rect: &Rect) -> impl Iterator<Item = (i32, i32)> + use<> {
    let columns = rect.left.div_euclid(BUCKET)..=rect.right.div_euclid(BUCKET);
    let rows = rect.top.div_euclid(BUCKET)..=rect.bottom.div_euclid(BUCKET);
    columns.flat_map(move |column| rows.clone().map(move |row| (column, row)))
}

fn slot((column, row): (i32, i32)) -> usize {
    let low = |value: i32| value.rem_euclid(1 << SLOT_BITS) as usize;
    low(row) << SLOT_BITS | low(column)
}

impl Ground {
    /// Takes the ground under `rect`.
    pub(crate) fn take(&mut self, rect: Rect, owner: Owner) {
        if self.slots.is_empty() {
            self.slots = vec![0; 1 << (2 * SLOT_BITS)];
        }
        for bucket in buckets(&rect) {
            let last = &mut self.slots[slot(bucket)];
            self.taken.push(Taken { bucket, rect, owner, before: *last });
            *last = self.taken.len() as u32;
        }
    }

    /// Where everything in the slot of a bucket is, the last first.
    fn in_slot(&self, bucket: (i32, i32)) -> impl Iterator<Item = usize> + use<'_> {
        let of = |number: u32| (number as usize).checked_sub(1);
        let last = self.slots.get(slot(bucket)).copied().and_then(of);
        std::iter::successors(last, move |at| of(self.taken[*at].before))
    }

    /// What stands in a bucket and overlaps `rect`.
    fn on(&self, bucket: (i32, i32), rect: Rect) -> impl Iterator<Item = &Taken> + use<'_> {
        let all = self.in_slot(bucket).map(|at| &self.taken[at]);
        all.filter(move |taken| taken.rect.overlaps(&rect) && taken.bucket == bucket)
    }

    /// Whether `rect` is free.
    pub(crate) fn is_free(&self, rect: &Rect) -> bool {
        buckets(rect).all(|bucket| self.on(bucket, *rect).next().is_none())
    }

    /// Whether a wire runs over `rect`.
    pub(crate) fn has_wire(&self, rect: &Rect) -> bool {
        let is_wire = |taken: &Taken| matches!(taken.owner, Owner::Wire(_));
        buckets(rect).any(|bucket| self.on(bucket, *rect).any(is_wire))
    }

    /// How many things stand on `rect`; one that reaches over several buckets may count twice.
    pub(crate) fn n_on(&self, rect: &Rect) -> usize {
        buckets(rect).map(|bucket| self.on(bucket, *rect).count()).sum()
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

    /// Frees the ground of one thing that stands exactly on `rect` and belongs to `owner`.
    pub(crate) fn free(&mut self, rect: Rect, owner: Owner) {
        for bucket in buckets(&rect) {
            let is_it = |at: &usize| {
                let taken = &self.taken[*at];
                (taken.bucket, taken.rect, taken.owner) == (bucket, rect, owner)
            };
            let found = self.in_slot(bucket).find(is_it);
            if let Some(at) = found {
                // Nothing is looked for in a bucket that there is not.
                self.taken[at].bucket = (i32::MAX, i32::MAX);
            }
        }
    }
}
