//! Something put into a wire: where it stands on it, and what becomes of the wire.

use drawing::geometry::{Cell, Point, Rect, STEP, Turn};
use drawing::scene::{ElementId, Shape};
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
}

/// The places on a wire, the nearest to `near` first.
fn spots(session: &Session, wire: &WireId, near: Point) -> Vec<Spot> {
    let element = session.scene().element(&ElementId::Wire(wire.clone()));
    let line = element.and_then(|element| {
        element.shapes.iter().find_map(|shape| match shape {
            Shape::Line(_, points) => Some(points),
            _ => None,
        })
    });
    let cells: Vec<Cell> =
        line.map(|line| line.iter().map(|point| nearest_cell(*point)).collect()).unwrap_or_default();
    let mut all: Vec<(i64, Spot)> = Vec::new();
    for leg in cells.windows(2) {
        let along = match ((leg[1].x - leg[0].x).signum(), (leg[1].y - leg[0].y).signum()) {
            (1, 0) => Side::Right,
            (-1, 0) => Side::Left,
            (0, -1) => Side::Up,
            _ => Side::Down,
        };
        for step in 0..=leg[0].distance(leg[1]) {
            let at = leg[0].towards(along, step);
            let (dx, dy) = (i64::from(at.x * STEP - near.x), i64::from(at.y * STEP - near.y));
            all.push((dx * dx + dy * dy, Spot { at, along }));
        }
    }
    engine::arrange::sort_by_key(&mut all, |(far, _)| *far);
    all.into_iter().map(|(_, spot)| spot).collect()
}

/// The place on a wire nearest to `near` where a symbol with this body overlaps no other; `turn`
/// says how it is turned where the wire goes this way.
pub(super) fn free_spot(
    session: &Session,
    wire: &WireId,
    near: Point,
    body: (i32, i32, i32, i32),
    turn: impl Fn(Side) -> Turn,
) -> Option<Spot> {
    let all = spots(session, wire, near);
    let others: Vec<Rect> = taken(session.scene(), &[]);
    let fits = |spot: &&Spot| {
        let own = turned(body, turn(spot.along)).moved(spot.at.x, spot.at.y);
        !others.iter().any(|other| own.overlaps(other))
    };
    all.iter().find(fits).or(all.first()).copied()
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
