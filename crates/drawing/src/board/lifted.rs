//! What a drag shows: symbols that move along, and quick lines for the wires that follow.

use std::collections::BTreeSet;

use engine::ids::WireId;
use engine::kind::glyph::Side;

use super::{Board, SymbolKey};
use crate::geometry::{Point, STEP, direction};
use crate::scene::ElementId;

/// What a drag of some symbols shows, until they are put down.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Lifted {
    /// Elements that move along as they are: symbols with all that belongs to them, and wires that
    /// have both ends on them, with their texts.
    pub moved: Vec<ElementId>,
    /// Quick orthogonal lines for the wires that have one end on a moved symbol, in the
    /// coordinates of the drawing.
    pub wires: Vec<(WireId, Vec<Point>)>,
    /// Wires and texts of wires that are not shown meanwhile.
    pub hidden: Vec<ElementId>,
}

impl Board {
    /// What to show while `symbols` are dragged `(dx, dy)` steps from where they stand.
    pub fn lifted(&self, symbols: &[SymbolKey], dx: i32, dy: i32) -> Lifted {
        let lifted: Vec<bool> = (self.layout.symbols.iter())
            .map(|symbol| symbols.contains(&SymbolKey::of(&self.network, symbol)))
            .collect();
        let mut shown = Lifted::default();
        let mut along: BTreeSet<&WireId> = BTreeSet::new();
        let mut hidden: BTreeSet<&WireId> = BTreeSet::new();
        let wires = self.network.wires.iter().zip(&self.layout.ends).zip(&self.routes.paths);
        for ((wire, ends), path) in wires {
            let (Some(ends), Some(path)) = (ends, path) else { continue };
            let moves = ends.map(|end| lifted[end.symbol]);
            match moves {
                [false, false] => continue,
                [true, true] => {
                    along.insert(&wire.id);
                    continue;
                }
                _ => {}
            }
            hidden.insert(&wire.id);
            let points: Vec<Point> = path.cells.iter().map(|cell| cell.point()).collect();
            let [first, .., last] = points.as_slice() else { continue };
            let leave = |from: Point, towards: Option<&Point>, end: usize| {
                let side = towards.and_then(|to| side_between(from, *to));
                let side =
                    side.unwrap_or_else(|| self.layout.symbols[ends[end].symbol].port(ends[end].pin).side);
                let at = if moves[end] { from.moved(dx * STEP, dy * STEP) } else { from };
                (at, side)
            };
            let from = leave(*first, points.get(1), 0);
            let to = leave(*last, points.len().checked_sub(2).and_then(|i| points.get(i)), 1);
            shown.wires.push((wire.id.clone(), quick_line(from, to)));
        }
        let moves = |part, view, instance| {
            symbols.iter().any(|key| (&key.part, key.view, key.instance) == (part, view, instance))
        };
        for element in self.scene.elements() {
            match &element.id {
                ElementId::Symbol(part, view, n)
                | ElementId::Stud(part, view, n, _)
                | ElementId::TerminalText(part, view, n, _)
                | ElementId::PartText(part, view, n) => {
                    if moves(part, *view, *n) {
                        shown.moved.push(element.id.clone());
                    }
                }
                ElementId::Wire(wire) | ElementId::WireText(wire) => {
                    if along.contains(wire) {
                        shown.moved.push(element.id.clone());
                    } else if hidden.contains(wire) {
                        shown.hidden.push(element.id.clone());
                    }
                }
                ElementId::Link(part) => {
                    if symbols.iter().any(|key| key.part == *part) {
                        shown.hidden.push(element.id.clone());
                    }
                }
                ElementId::Reading(_) | ElementId::Finding(_) => {}
            }
        }
        shown
    }
}

/// The side towards which a level or upright leg leaves its first point.
fn side_between(from: Point, to: Point) -> Option<Side> {
    match ((to.x - from.x).signum(), (to.y - from.y).signum()) {
        (1, 0) => Some(Side::Right),
        (-1, 0) => Some(Side::Left),
        (0, 1) => Some(Side::Down),
        (0, -1) => Some(Side::Up),
        _ => None,
    }
}

/// Level and upright legs from one point to another, leaving each towards its side, whatever is
/// in the way.
fn quick_line(from: (Point, Side), to: (Point, Side)) -> Vec<Point> {
    let out = |(at, side): (Point, Side)| {
        let (dx, dy) = direction(side);
        at.moved(dx * STEP, dy * STEP)
    };
    let (a, b) = (out(from), out(to));
    let (middle_x, middle_y) = (whole((a.x + b.x) / 2), whole((a.y + b.y) / 2));
    // By an elbow, or by a step in the middle: the first way that turns back nowhere.
    let ways: [Vec<Point>; 4] = [
        vec![Point::new(b.x, a.y)],
        vec![Point::new(a.x, b.y)],
        vec![Point::new(a.x, middle_y), Point::new(b.x, middle_y)],
        vec![Point::new(middle_x, a.y), Point::new(middle_x, b.y)],
    ];
    let line = |way: &[Point]| {
        let mut points = vec![from.0, a];
        points.extend(way);
        points.extend([b, to.0]);
        points
    };
    let best = ways.iter().map(|way| line(way)).min_by_key(|points| (n_reversals(points), n_bends(points)));
    straightened(&best.unwrap_or_else(|| line(&[])))
}

/// `value` on the grid.
fn whole(value: i32) -> i32 {
    value.div_euclid(STEP) * STEP
}

fn sides(points: &[Point]) -> Vec<Side> {
    points.windows(2).filter_map(|leg| side_between(leg[0], leg[1])).collect()
}

fn n_reversals(points: &[Point]) -> usize {
    sides(points).windows(2).filter(|two| crate::geometry::opposite(two[0]) == two[1]).count()
}

fn n_bends(points: &[Point]) -> usize {
    sides(points).windows(2).filter(|two| two[0] != two[1]).count()
}

/// The same line without points at which it goes straight on or not at all.
fn straightened(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for &point in points {
        if kept.last() == Some(&point) {
            continue;
        }
        if let [.., a, b] = kept.as_slice()
            && side_between(*a, *b) == side_between(*b, point)
        {
            kept.pop();
        }
        kept.push(point);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quick_lines_are_orthogonal_and_join_their_ends() {
        let at = |x: i32, y: i32| Point::new(x * STEP, y * STEP);
        let all = [Side::Up, Side::Down, Side::Left, Side::Right];
        for side_a in all {
            for side_b in all {
                for to in [at(0, 9), at(7, 0), at(-5, -6), at(1, 1), at(6, 4)] {
                    let line = quick_line((at(0, 0), side_a), (to, side_b));
                    assert_eq!((line[0], line[line.len() - 1]), (at(0, 0), to));
                    assert_eq!(sides(&line).len(), line.len() - 1, "{side_a:?} {side_b:?} {line:?}");
                }
            }
        }
    }

    #[test]
    fn what_faces_each_other_is_joined_straight() {
        let line = quick_line((Point::new(0, 0), Side::Down), (Point::new(0, 2000), Side::Up));
        assert_eq!(line, [Point::new(0, 0), Point::new(0, 2000)]);
    }
}
