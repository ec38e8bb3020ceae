//! What stands where a wire is cut: a lozenge, and beside it in words where the wire goes on.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Element, ElementId, Layer, Lettering, Role, Shape};
use drawing::text::{HEIGHT, clean, cut, width};
use engine::document::{Network, Status};
use engine::ids::TerminalRef;

use crate::on_paper::with_minus;

/// How far words stand from the cut, and from the end of the line that leads to them.
const AWAY: i32 = 350;
const GAP: i32 = 60;

/// From one line of words at a cut to the next.
const PITCH: i32 = 360;

/// Half the height of a lozenge.
const LOZENGE: i32 = 90;

/// A sheet and its zone as wide as they may be in words at a cut.
pub const ZONE: &str = "00/A0";

/// A wire at a cut, seen from one of the two pieces.
pub struct End {
    /// Where it is cut.
    pub at: Point,
    /// From which side of the piece it leaves.
    pub side: Side,
    /// What stands there, in lines.
    pub says: Vec<String>,
}

impl End {
    /// The point that its words reach to.
    pub fn far(&self) -> Point {
        let (dx, dy) = self.side.outwards();
        let reach = reach(&self.says);
        self.at.moved(dx * reach, dy * reach)
    }
}

/// A side of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Left,
    Right,
    Top,
    Bottom,
}

impl Side {
    /// The side over which a wire leaves that runs from `inside` to `at`.
    pub fn of(inside: Point, at: Point) -> Side {
        match ((at.x - inside.x).signum(), (at.y - inside.y).signum()) {
            (1, _) => Side::Right,
            (-1, _) => Side::Left,
            (_, 1) => Side::Bottom,
            _ => Side::Top,
        }
    }

    /// One step out of the piece.
    fn outwards(self) -> (i32, i32) {
        match self {
            Side::Left => (-1, 0),
            Side::Right => (1, 0),
            Side::Top => (0, -1),
            Side::Bottom => (0, 1),
        }
    }
}

/// How far words at a cut reach from it.
pub fn reach(says: &[String]) -> i32 {
    says.iter().map(|line| width(line, HEIGHT)).max().unwrap_or(0) + AWAY + 2 * GAP
}

/// What stands at a cut: the wire, with its size and color on a line of their own where they stand nowhere else on the
/// sheet, where it leads, sheet and zone.
pub fn says(network: &Network, name: &str, what: &str, terminal: &TerminalRef, zone: &str) -> Vec<String> {
    /// Widest name of a wire, and of a terminal with its part.
    const WIDEST: i32 = 1500;
    let full = with_minus(&clean(&network.terminal_title(terminal)));
    // Of a long name the terminal stays: it is what one looks for.
    let to = match full.rsplit_once(':') {
        Some((part, name)) if width(&full, HEIGHT) > WIDEST => {
            let left = WIDEST - width(&format!(":{name}"), HEIGHT);
            format!("{}:{name}", cut(part, HEIGHT, left.max(WIDEST / 3)))
        }
        _ => full,
    };
    let name = cut(name, HEIGHT, WIDEST);
    match what.is_empty() {
        true => vec![format!("{name} to {to} {zone}")],
        false => vec![format!("{name} {what}"), format!("to {to} {zone}")],
    }
}

/// Lozenges and words at the cuts of a piece, the words apart from each other.
pub fn lettered(ends: &[End], piece: &Rect, index: usize) -> Element {
    let id = ElementId::Reading(format!("cuts.{index}"));
    let mut element = Element::new(id, Layer::Text, Status::New);
    for side in [Side::Left, Side::Right, Side::Top, Side::Bottom] {
        let upright = matches!(side, Side::Top | Side::Bottom);
        let along = |at: Point| if upright { at.x } else { at.y };
        let mut here: Vec<&End> = ends.iter().filter(|end| end.side == side).collect();
        here.sort_by_key(|end| along(end.at));
        here.dedup_by(|a, b| a.at == b.at && a.says == b.says);
        let span = if upright { (piece.left, piece.right) } else { (piece.top, piece.bottom) };
        let wanted: Vec<(i32, i32)> =
            here.iter().map(|end| (along(end.at), end.says.len() as i32 * PITCH)).collect();
        let places = spread(&wanted, span);
        for (end, place) in here.into_iter().zip(places) {
            element.shapes.extend(mark(end, place));
        }
    }
    element
}

/// The middles of things of these heights that lie apart from each other, in order and as near to where they are wanted as
/// goes.
fn spread(wanted: &[(i32, i32)], (low, high): (i32, i32)) -> Vec<i32> {
    let apart = |index: usize| (wanted[index].1 + wanted[index + 1].1) / 2;
    let mut places: Vec<i32> = Vec::with_capacity(wanted.len());
    for (index, (at, _)) in wanted.iter().enumerate() {
        let least = places.last().map_or(low, |before| before + apart(index - 1));
        places.push((*at).max(least));
    }
    // What was pushed beyond the end moves back, and what is in its way with it.
    let in_all: i32 = (1..wanted.len()).map(|index| apart(index - 1)).sum();
    let mut last = high.max(low + in_all);
    for index in (0..places.len()).rev() {
        places[index] = places[index].min(last);
        last = places[index] - if index > 0 { apart(index - 1) } else { 0 };
    }
    places
}

/// One lozenge with its words; where they had to give way, a thin line leads to them.
fn mark(end: &End, place: i32) -> Vec<Shape> {
    let Point { x, y } = end.at;
    let (dx, dy) = end.side.outwards();
    let center = end.at.moved(dx * LOZENGE, dy * LOZENGE);
    let corners = [(LOZENGE, 0), (0, LOZENGE), (-LOZENGE, 0), (0, -LOZENGE)];
    let lozenge = corners.iter().map(|(x, y)| center.moved(*x, *y)).collect();
    let upright = dy != 0;
    let foot = if upright { Point::new(place, y + dy * AWAY) } else { Point::new(x + dx * AWAY, place) };
    let from = end.at.moved(dx * 2 * LOZENGE, dy * 2 * LOZENGE);
    let mut shapes = vec![Shape::Line(Role::Leader, vec![from, foot]), Shape::Area(Role::Card, lozenge)];
    let first = -(end.says.len() as i32 - 1) * PITCH / 2 + HEIGHT / 2;
    for (text, n) in end.says.iter().zip(0..) {
        let (beside, long) = (first + n * PITCH, width(text, HEIGHT).max(1));
        let (at, anchor) = match end.side {
            Side::Right => (foot.moved(GAP, beside), Anchor::Start),
            Side::Left => (foot.moved(-GAP, beside), Anchor::End),
            // Upright words begin below and end above.
            Side::Top => (foot.moved(beside, -GAP), Anchor::Start),
            Side::Bottom => (foot.moved(beside, GAP + long), Anchor::Start),
        };
        let (text, role) = (text.clone(), Role::Lettering);
        shapes.push(Shape::Text(Lettering { text, at, anchor, height: HEIGHT, upright, role }));
    }
    shapes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_at_a_cut_stand_apart_by_their_lines_and_in_order() {
        for wanted in [vec![0, 0, 0], vec![0, 250, 500, 750], vec![100, 9_900, 9_950, 10_000], vec![5_000]] {
            for high in [[PITCH, PITCH], [PITCH, 2 * PITCH], [2 * PITCH, 2 * PITCH]] {
                let wanted: Vec<(i32, i32)> = wanted.iter().copied().zip(high.into_iter().cycle()).collect();
                let places = spread(&wanted, (0, 10_000));
                let mut two =
                    (1..places.len()).map(|n| (places[n] - places[n - 1], wanted[n - 1].1 + wanted[n].1));
                assert!(two.all(|(apart, both)| 2 * apart >= both), "{places:?}");
                assert!(places.iter().all(|place| (0..=10_000).contains(place)), "{places:?}");
            }
        }
    }
}
