//! Something put into a wire: where it stands on it, and what becomes of the wire.

use drawing::geometry::{Cell, Point, Rect, STEP, Turn};
use drawing::scene::{Element, ElementId, Shape};
use engine::document::Wire;
use engine::given::Given;
use engine::ids::{TerminalRef, WireId};
use engine::kind::glyph::Side;

use crate::ground::{nearest_cell, taken, turned};
use crate::session::Session;

/// A place on a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Spot {
    /// Where.
    pub at: Cell,
    /// The direction in which the wire goes on there, from its start to its end.
    pub along: Side,
    /// How far it has come straight on to here, and how far it goes straight on, in steps.
    straight: [i32; 2],
}

/// The legs of a wire, from its start to its end.
fn legs(element: &Element) -> Vec<[Cell; 2]> {
    let line = element.shapes.iter().find_map(|shape| match shape {
        Shape::Line(_, points) => Some(points),
        _ => None,
    });
    let points = line.map_or(&[][..], Vec::as_slice);
    points.windows(2).map(|leg| [nearest_cell(leg[0]), nearest_cell(leg[1])]).collect()
}

/// The places on a wire, the nearest to `near` first.
fn spots(session: &Session, wire: &WireId, near: Point) -> Vec<Spot> {
    let element = session.scene().element(&ElementId::Wire(wire.clone()));
    let mut all: Vec<(i64, Spot)> = Vec::new();
    for [from, to] in element.map(legs).unwrap_or_default() {
        let along = match ((to.x - from.x).signum(), (to.y - from.y).signum()) {
            (1, 0) => Side::Right,
            (-1, 0) => Side::Left,
            (0, -1) => Side::Up,
            _ => Side::Down,
        };
        let length = from.distance(to);
        for step in 0..=length {
            let at = from.towards(along, step);
            let (dx, dy) = (i64::from(at.x * STEP - near.x), i64::from(at.y * STEP - near.y));
            all.push((dx * dx + dy * dy, Spot { at, along, straight: [step, length - step] }));
        }
    }
    engine::arrange::sort_by_key(&mut all, |(far, _)| *far);
    all.into_iter().map(|(_, spot)| spot).collect()
}

/// The place on a wire for a symbol with this body; `turn` says how it is turned where the wire goes
/// this way.
///
/// It stands where the wire goes straight through it, overlaps no other symbol and lies on no other
/// wire, as near to `near` as that can be, so that both halves keep to the course of the wire. On a
/// wire that has no such place it at least overlaps nothing.
pub(super) fn free_spot(
    session: &Session,
    wire: &WireId,
    near: Point,
    body: (i32, i32, i32, i32),
    turn: &dyn Fn(Side) -> Turn,
) -> Option<Spot> {
    let all = spots(session, wire, near);
    let others: Vec<Rect> = taken(session.scene(), &[]);
    let is_other = |element: &&Element| matches!(&element.id, ElementId::Wire(other) if other != wire);
    let wires: Vec<Rect> = (session.scene().elements().iter().filter(is_other).flat_map(legs))
        .map(|[from, to]| Rect::new(from.x, from.y, to.x, to.y))
        .collect();
    let local = |spot: &Spot| turned(body, turn(spot.along));
    let is_free = |spot: &&Spot| {
        let own = local(spot).moved(spot.at.x, spot.at.y);
        !others.iter().any(|other| own.overlaps(other))
    };
    let goes_through = |spot: &&Spot| {
        let Rect { left, top, right, bottom } = local(spot);
        let [behind, ahead] = match spot.along {
            Side::Right => [-left, right],
            Side::Left => [right, -left],
            Side::Down => [-top, bottom],
            Side::Up => [bottom, -top],
        };
        // One step of wire is left on either side.
        spot.straight[0] > behind && spot.straight[1] > ahead
    };
    let is_crossed = |spot: &&Spot| {
        let own = local(spot).moved(spot.at.x, spot.at.y);
        wires.iter().any(|wire| own.meets(wire))
    };
    // The nearest of the best sort there is.
    let sort = |spot: &&Spot| match (is_free(spot), goes_through(spot)) {
        (true, true) => u8::from(is_crossed(spot)),
        (true, false) => 2,
        (false, _) => 3,
    };
    all.iter().min_by_key(sort).copied()
}

/// Both halves of a wire that is cut: the first ends on `first_to`, the second starts at
/// `second_from`. They keep what is true of every piece of it.
pub(super) fn halves(
    wire: &Wire,
    first_to: TerminalRef,
    second_from: TerminalRef,
    second: (WireId, String),
) -> [Wire; 2] {
    // How the length and a grommet fall to the halves is for the user to say.
    let half = Wire { length: Given::NotKnown, grommet: None, ..wire.clone() };
    let (id, label) = second;
    [
        Wire { to: first_to, joint_to: None, ..half.clone() },
        Wire { id, label, from: second_from, joint_from: None, ..half },
    ]
}

/// What to add to a notice about a wire that was cut.
pub(super) fn about_length(wire: &Wire) -> &'static str {
    if wire.length.is_said() { "; the lengths of both halves are to be given" } else { "" }
}
