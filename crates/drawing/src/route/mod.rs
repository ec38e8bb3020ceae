//! Orthogonal paths of wires on the grid, one path a wire, terminal to terminal.
//!
//! Paths keep out of symbols, never lie on one another, and cross at right angles only.
//! Where several wires meet one terminal, a stud is drawn on from it: each of its points takes one
//! wire sideways, the last one two, so that three lines meet at a dot and never four.

mod ahead;
mod exchange;
mod grid;
mod improve;
mod keep;
mod lines;
mod memory;
mod names;
mod router;
mod search;
mod terminal;

use std::collections::BTreeMap;

use engine::arrange;

use crate::geometry::{Cell, Rect};
use crate::layout::{End, Layout};
use router::Router;
use terminal::Terminals;

pub(crate) use keep::{Former, courses, reroute};
pub(crate) use memory::Memory;

/// How often every wire is laid anew at most.
const ROUNDS: usize = 3;

/// Points that may be visited to untangle the wires of a drawing.
const UNTANGLING: u64 = 400_000;

/// The same after an edit, which should not be felt.
const UNTANGLING_AFTER_AN_EDIT: u64 = 8_000;

/// The path of one wire.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Path {
    /// From the wire's first terminal to its second; only the corners.
    pub cells: Vec<Cell>,
    /// Whether it was drawn across other things because no clear path was found.
    pub forced: bool,
}

/// The point where wires meet a terminal beyond its pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stud {
    /// The pin itself, then each point outwards.
    pub cells: Vec<Cell>,
}

/// Paths of all wires, and the studs they meet.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Routes {
    /// By wire; `None` for a wire that ends on nothing.
    pub paths: Vec<Option<Path>>,
    /// By pin, where more than one wire ends.
    pub studs: BTreeMap<End, Stud>,
}

/// Finds a path for every wire of `layout`, around its symbols, rather not over `texts`, and
/// over the `names` of terminals only if there is no other way (rectangles in grid steps).
///
/// Short wires go first; a wire that finds no way pushes others aside, which then look again.
/// Each search is an A* over grid points and directions, n log n in the points it visits.
pub fn route(layout: &Layout, texts: &[Rect], names: &[Rect]) -> Routes {
    route_with(&mut Memory::default(), layout, texts, names)
}

/// The same with the memory of former searches, which spares making it.
pub(crate) fn route_with(memory: &mut Memory, layout: &Layout, texts: &[Rect], names: &[Rect]) -> Routes {
    let mut terminals = Terminals::new(layout);
    let n_wires = layout.ends.len();
    let mut paths = vec![None; n_wires];
    if let Some(mut router) = Router::new(memory, layout, texts, names, &mut terminals, &[], search::PATIENCE)
    {
        router.run((0..n_wires).filter(|&wire| layout.ends[wire].is_some()).collect(), UNTANGLING);
        (paths, *memory) = router.into_paths();
    }
    finish(layout, &terminals, &paths)
}

fn finish(layout: &Layout, terminals: &Terminals, paths: &[Option<Vec<Cell>>]) -> Routes {
    let path = |ends: [End; 2], path: &Option<Vec<Cell>>| match path {
        Some(path) => Path { cells: corners(path), forced: false },
        None => Path { cells: forced_path(ends.map(|end| terminals.get(end).last())), forced: true },
    };
    let paths = layout.ends.iter().zip(paths).map(|(ends, found)| Some(path((*ends)?, found))).collect();
    let drawn_on = terminals.iter().filter(|(_, terminal)| terminal.reach() > 0);
    let studs = drawn_on.map(|(end, terminal)| (end, Stud { cells: terminal.cells().collect() }));
    Routes { paths, studs: arrange::map_of(studs) }
}

/// The way along two legs that is drawn when there is no clear one.
fn forced_path([a, b]: [Cell; 2]) -> Vec<Cell> {
    corners(&[a, Cell::new(b.x, a.y), b])
}

/// `path` without the points at which it goes straight on or not at all.
fn corners(path: &[Cell]) -> Vec<Cell> {
    let mut kept: Vec<Cell> = Vec::new();
    for &cell in path {
        if kept.last() == Some(&cell) {
            continue;
        }
        if let [.., a, b] = kept.as_slice()
            && ((a.x == b.x && b.x == cell.x) || (a.y == b.y && b.y == cell.y))
        {
            kept.pop();
        }
        kept.push(cell);
    }
    kept
}
