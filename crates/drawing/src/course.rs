//! The course of a wire, and what becomes of it when something is put into the wire: what stands on
//! it keeps to it.

use engine::kind::glyph::Side;

use crate::geometry::{Cell, direction};
use crate::symbol::Port;

/// How far along a course a cell lies, in steps from its start; `None` when it lies beside it.
pub(crate) fn along(course: &[Cell], cell: Cell) -> Option<i32> {
    let mut before = 0;
    for leg in course.windows(2) {
        let (from, to) = (leg[0], leg[1]);
        if from.distance(cell) + cell.distance(to) == from.distance(to) {
            return Some(before + from.distance(cell));
        }
        before += from.distance(to);
    }
    None
}

/// Whether a wire that leaves this port goes along a course.
pub(crate) fn is_left_along(course: &[Cell], port: Port) -> bool {
    let next = port.at.towards(port.side, 1);
    along(course, port.at).is_some_and(|at| along(course, next).is_some_and(|next| (next - at).abs() == 1))
}

/// The piece of a course between two ports that lie on it, as its corners, and which stretch of the
/// course that is.
pub(crate) fn piece(course: &[Cell], from: Port, to: Port) -> Option<(Vec<Cell>, [i32; 2])> {
    let (start, end) = (along(course, from.at)?, along(course, to.at)?);
    let (low, high) = (start.min(end), start.max(end));
    let mut corners = vec![if start < end { from.at } else { to.at }];
    let mut at = 0;
    for leg in course.windows(2) {
        at += leg[0].distance(leg[1]);
        if low < at && at < high {
            corners.push(leg[1]);
        }
    }
    corners.push(if start < end { to.at } else { from.at });
    if start > end {
        corners.reverse();
    }
    let leaves = |first: Cell, second: Cell, side: Side| {
        let (x, y) = direction(side);
        ((second.x - first.x).signum(), (second.y - first.y).signum()) == (x, y)
    };
    let n = corners.len();
    let fits = leaves(corners[0], corners[1], from.side) && leaves(corners[n - 1], corners[n - 2], to.side);
    fits.then_some((corners, [low, high]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten steps to the right, then ten down.
    const COURSE: [Cell; 3] = [Cell::new(0, 0), Cell::new(10, 0), Cell::new(10, 10)];

    fn port(x: i32, y: i32, side: Side) -> Port {
        Port { at: Cell::new(x, y), side }
    }

    #[test]
    fn a_place_on_a_course_is_told_in_steps_from_its_start() {
        assert_eq!(along(&COURSE, Cell::new(4, 0)), Some(4));
        assert_eq!(along(&COURSE, Cell::new(10, 7)), Some(17));
        assert_eq!(along(&COURSE, Cell::new(4, 1)), None);
    }

    #[test]
    fn a_piece_keeps_the_corners_between_its_ports_whichever_way_it_goes() {
        let (from, to) = (port(4, 0, Side::Right), port(10, 8, Side::Up));
        let piece_of = |from, to| piece(&COURSE, from, to);
        let corners = vec![Cell::new(4, 0), Cell::new(10, 0), Cell::new(10, 8)];
        assert_eq!(piece_of(from, to), Some((corners.clone(), [4, 18])));
        let back: Vec<Cell> = corners.into_iter().rev().collect();
        assert_eq!(piece_of(to, from), Some((back, [4, 18])));
    }

    #[test]
    fn a_port_that_looks_elsewhere_takes_no_piece() {
        assert_eq!(piece(&COURSE, port(4, 0, Side::Down), port(10, 8, Side::Up)), None);
        assert_eq!(piece(&COURSE, port(4, 3, Side::Right), port(10, 8, Side::Up)), None);
        assert!(is_left_along(&COURSE, port(4, 0, Side::Left)));
        assert!(!is_left_along(&COURSE, port(4, 0, Side::Up)));
    }
}
