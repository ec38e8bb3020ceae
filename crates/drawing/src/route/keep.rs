//! Paths after an edit: those whose ends stand where they stood and whose way is still free stay,
//! the halves of a wire into which something was put keep to its course, and the others are looked
//! for anew.

use engine::kind::glyph::Side;

use super::router::Router;
use super::terminal::{Gate, Terminal, Terminals};
use super::{Memory, Path, Routes, UNTANGLING_AFTER_AN_EDIT, corners, finish, search};
use crate::course::piece;
use crate::geometry::{Cell, Rect, direction};
use crate::layout::{End, Layout, Origin};

/// The paths of a drawing before an edit, and what became of its symbols and wires.
pub(crate) struct Former<'a> {
    /// Where everything stood.
    pub layout: &'a Layout,
    /// How the wires went.
    pub routes: &'a Routes,
    /// The course of each wire from pin to pin, as [`courses`] gives them.
    pub courses: &'a [Vec<Cell>],
    /// Which symbols and wires of the drawing after the edit were there.
    pub origin: &'a Origin,
    /// By symbol of the drawing after the edit, whether it takes the same space in the same place
    /// as before.
    pub stays: &'a [bool],
}

/// A path that may be kept: its corners from gate to gate, and its gates.
struct Kept {
    corners: Vec<Cell>,
    gates: [Gate; 2],
}

/// The course of each wire from pin to pin, only the corners; empty for one without a clear path.
pub(crate) fn courses(layout: &Layout, routes: &Routes) -> Vec<Vec<Cell>> {
    let course = |(ends, path): (&Option<[End; 2]>, &Option<Path>)| {
        let (Some(ends), Some(path)) = (ends, path.as_ref().filter(|path| !path.forced)) else {
            return Vec::new();
        };
        let [from, to] = ends.map(|end| layout.symbols[end.symbol].port(end.pin).at);
        let mut cells = vec![from];
        cells.extend(&path.cells);
        cells.push(to);
        corners(&cells)
    };
    layout.ends.iter().zip(&routes.paths).map(course).collect()
}

/// Finds a path for every wire of `layout` that cannot keep the one it had; `grounds` gives the
/// texts to keep off and the names of terminals, as [`route`](super::route) takes them.
///
/// Takes time for the wires that look for a path, and little for those that do not.
pub(crate) fn reroute(
    memory: &mut Memory,
    layout: &Layout,
    former: &Former,
    names: &[(usize, Rect)],
    texts: impl FnOnce() -> Vec<Rect>,
) -> Routes {
    let mut terminals = Terminals::new(layout);
    let closed = closed(layout, former, names, &terminals);
    let mut kept: Vec<Option<Kept>> = Vec::new();
    // Paths that moved with both of their ends.
    let mut along: Vec<(usize, [End; 2], Kept)> = Vec::new();
    let mut pieces = Pieces { gone: former.origin.gone(former.courses), used: Vec::new() };
    for (wire, ends) in layout.ends.iter().enumerate() {
        kept.push(None);
        let Some(ends) = *ends else { continue };
        let found = match former.origin.wires[wire] {
            Some(was) => former_path(layout, former, was, ends),
            None => pieces.take(layout, ends).map(|piece| (piece, false)),
        };
        let Some((path, has_moved)) = found else { continue };
        let Some(path) = fitted(&terminals, ends, path) else { continue };
        if has_moved {
            along.push((wire, ends, path));
            continue;
        }
        let is_free = |i: usize| terminals.get(ends[i]).free_gates().contains(&path.gates[i]);
        if is_free(0) && is_free(1) && is_clear(&path.corners, &closed) {
            for (end, gate) in ends.iter().zip(path.gates) {
                terminals.get_mut(*end).take(gate);
            }
            kept[wire] = Some(path);
        }
    }
    let missing: Vec<usize> =
        (0..kept.len()).filter(|&wire| layout.ends[wire].is_some() && kept[wire].is_none()).collect();
    if missing.is_empty() {
        let paths: Vec<_> = kept.into_iter().map(|path| path.map(|path| path.corners)).collect();
        return finish(layout, &terminals, &paths);
    }
    let all_corners: Vec<Cell> = kept
        .iter()
        .flatten()
        .chain(along.iter().map(|(.., path)| path))
        .flat_map(|path| path.corners.iter().copied())
        .collect();
    let names: Vec<Rect> = names.iter().map(|(_, name)| *name).collect();
    let Some(mut router) = Router::new(
        memory,
        layout,
        &texts(),
        &names,
        &mut terminals,
        &all_corners,
        search::PATIENCE_AFTER_AN_EDIT,
    ) else {
        return finish(layout, &terminals, &vec![None; layout.ends.len()]);
    };
    for (wire, path) in kept.into_iter().enumerate() {
        if let Some(path) = path {
            let cells = router.grid.along(&path.corners);
            router.lay_at_taken_gates(wire, cells, path.gates);
        }
    }
    let mut open = missing;
    for (wire, ends, path) in along {
        let cells = router.grid.along(&path.corners);
        let fits = (0..2).all(|i| router.terminals.get(ends[i]).free_gates().contains(&path.gates[i]));
        if fits && is_open(&router, &cells) {
            router.lay(wire, cells, path.gates);
            open.retain(|other| *other != wire);
        }
    }
    router.run(open, UNTANGLING_AFTER_AN_EDIT);
    let paths;
    (paths, *memory) = router.into_paths();
    finish(layout, &terminals, &paths)
}

/// The rectangles that were not closed to wires before: symbols that are new or have moved, the
/// names of their terminals, and studs that have grown.
fn closed(layout: &Layout, former: &Former, names: &[(usize, Rect)], terminals: &Terminals) -> Vec<Rect> {
    let mut closed: Vec<Rect> = (layout.symbols.iter().zip(former.stays))
        .filter(|(_, stays)| !**stays)
        .map(|(symbol, _)| symbol.body())
        .collect();
    closed.extend(names.iter().filter(|(symbol, _)| !former.stays[*symbol]).map(|(_, name)| *name));
    for (end, terminal) in terminals.iter() {
        let was = former.origin.symbols[end.symbol]
            .filter(|_| former.stays[end.symbol])
            .and_then(|symbol| former.routes.studs.get(&End { symbol, pin: end.pin }))
            .map_or(1, |stud| stud.cells.len());
        // The pin itself is part of the body.
        closed.extend(terminal.cells().skip(was).map(Cell::room));
    }
    closed
}

/// The corners of the path that a wire had, from pin to pin, and whether it has moved along with
/// both of its ends.
fn former_path(layout: &Layout, former: &Former, was: usize, ends: [End; 2]) -> Option<(Vec<Cell>, bool)> {
    let course = &former.courses[was];
    let old_ends = former.layout.ends[was].filter(|_| !course.is_empty())?;
    let old = old_ends.map(|end| former.layout.symbols[end.symbol].port(end.pin));
    let new = ends.map(|end| layout.symbols[end.symbol].port(end.pin));
    let shift = |i: usize| (new[i].at.x - old[i].at.x, new[i].at.y - old[i].at.y);
    let same_symbols = (0..2).all(|i| former.origin.symbols[ends[i].symbol] == Some(old_ends[i].symbol));
    if !same_symbols || shift(0) != shift(1) || old[0].side != new[0].side || old[1].side != new[1].side {
        return None;
    }
    let (dx, dy) = shift(0);
    let moved = course.iter().map(|cell| Cell::new(cell.x + dx, cell.y + dy)).collect();
    let stays = ends.iter().all(|end| former.stays[end.symbol]);
    Some((moved, !stays))
}

/// The courses of wires that are no more, and which stretches of them were taken over.
struct Pieces<'a> {
    gone: Vec<&'a [Cell]>,
    used: Vec<(usize, [i32; 2])>,
}

impl Pieces<'_> {
    /// The piece of such a course between the ends of a new wire, as the halves of a wire find it into
    /// which something was put.
    fn take(&mut self, layout: &Layout, ends: [End; 2]) -> Option<Vec<Cell>> {
        let [from, to] = ends.map(|end| layout.symbols[end.symbol].port(end.pin));
        for (course, cells) in self.gone.iter().enumerate() {
            let Some((piece, [low, high])) = piece(cells, from, to) else { continue };
            let is_used =
                |(other, [from, to]): &(usize, [i32; 2])| *other == course && low < *to && *from < high;
            if !self.used.iter().any(is_used) {
                self.used.push((course, [low, high]));
                return Some(piece);
            }
        }
        None
    }
}

/// A path from pin to pin, cut so that it begins and ends at gates of the studs there are now.
fn fitted(terminals: &Terminals, ends: [End; 2], mut path: Vec<Cell>) -> Option<Kept> {
    let first = cut(&mut path, terminals.get(ends[0]))?;
    path.reverse();
    let last = cut(&mut path, terminals.get(ends[1]))?;
    path.reverse();
    Some(Kept { corners: path, gates: [first, last] })
}

/// Cuts the beginning of a path off where it leaves the stud; returns the gate it leaves by.
fn cut(path: &mut Vec<Cell>, terminal: &Terminal) -> Option<Gate> {
    let [first, second, ..] = path.as_slice() else { return None };
    if side_towards(*first, *second) != Some(terminal.side()) {
        return None;
    }
    if first.distance(*second) > terminal.reach() {
        let cell = terminal.last();
        path[0] = cell;
        return Some(Gate { cell, side: terminal.side() });
    }
    path.remove(0);
    let [cell, next, ..] = path.as_slice() else { return None };
    Some(Gate { cell: *cell, side: side_towards(*cell, *next)? })
}

/// The side towards which a level or upright leg leaves its first point.
fn side_towards(from: Cell, to: Cell) -> Option<Side> {
    let way = ((to.x - from.x).signum(), (to.y - from.y).signum());
    [Side::Up, Side::Down, Side::Left, Side::Right].into_iter().find(|side| direction(*side) == way)
}

/// Whether a path between its ends keeps out of every rectangle.
fn is_clear(corners: &[Cell], closed: &[Rect]) -> bool {
    let n = corners.len();
    (1..n).all(|i| {
        let (mut from, mut to) = (corners[i - 1], corners[i]);
        let Some(side) = side_towards(from, to) else { return false };
        if i == 1 {
            from = from.towards(side, 1);
        }
        if i == n - 1 {
            if from == to {
                return true;
            }
            to = to.towards(side, -1);
        }
        let leg = Rect::new(from.x, from.y, to.x, to.y);
        !closed.iter().any(|rect| leg.meets(rect))
    })
}

/// Whether a path between its ends meets nothing it may not meet, terminal names included.
pub(super) fn is_open(router: &Router, cells: &[Cell]) -> bool {
    let inner = cells.len().saturating_sub(1);
    let free = |cell: &Cell| {
        router.grid.index(*cell).is_some_and(|index| {
            let point = router.grid.point(index);
            !point.is_blocked() && point.cost() < search::OVER_A_NAME.into()
        })
    };
    cells.get(1..inner).is_some_and(|cells| cells.iter().all(free))
        && router.grid.in_the_way(cells).is_empty()
}
