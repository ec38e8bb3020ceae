//! Orthogonal paths of wires on the grid, one path a wire, terminal to terminal.
//!
//! Paths keep out of symbols, never lie on one another, and cross at right angles only.
//! Where several wires meet one terminal, a stud is drawn on from it: each of its points takes one
//! wire sideways, the last one two, so that three lines meet at a dot and never four.

mod grid;
mod search;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use engine::kind::glyph::Side;

use crate::geometry::{Cell, Rect};
use crate::layout::{End, Layout, stud_length};
use grid::Grid;
use search::{Gate, Search};

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

/// Finds a path for every wire of `layout`, around its symbols and rather not over `texts`
/// (rectangles in grid steps).
///
/// Short wires go first; a wire that finds no way pushes others aside, which then look again.
/// Each search is an A* over grid points and directions, n log n in the points it visits.
pub fn route(layout: &Layout, texts: &[Rect]) -> Routes {
    let mut router = Router::new(layout, texts);
    router.run();
    router.finish()
}

struct Router<'a> {
    layout: &'a Layout,
    grid: Grid,
    search: Search,
    studs: BTreeMap<End, Vec<Cell>>,
    n_wires: BTreeMap<End, usize>,
    /// Every point of each path, from start to end.
    paths: Vec<Option<Vec<Cell>>>,
    /// At which gate of its terminals each path begins and ends.
    gates: Vec<Option<[Gate; 2]>>,
    forced: BTreeSet<usize>,
}

impl<'a> Router<'a> {
    fn new(layout: &'a Layout, texts: &[Rect]) -> Router<'a> {
        let mut n_wires: BTreeMap<End, usize> = BTreeMap::new();
        for end in layout.ends.iter().flatten().flatten() {
            *n_wires.entry(*end).or_default() += 1;
        }
        let bodies: Vec<Rect> = layout.symbols.iter().map(|symbol| symbol.body()).collect();
        let margin = 8 + i32::try_from(layout.ends.len() / 6).unwrap_or(0).min(30);
        let frame =
            bodies.iter().copied().reduce(Rect::joined).unwrap_or(Rect::new(0, 0, 0, 0)).grown(margin);
        let mut grid = Grid::new(frame);
        for text in texts {
            grid.avoid(*text, search::OVER_TEXT);
        }
        for body in &bodies {
            grid.avoid(body.grown(1), search::CLOSE);
            grid.block(*body);
        }
        let mut studs = BTreeMap::new();
        for (&end, &n) in &n_wires {
            let port = layout.symbols[end.symbol].port(end.pin);
            let cells: Vec<Cell> =
                (0..=stud_length(n)).map(|steps| port.at.towards(port.side, steps)).collect();
            for cell in &cells {
                grid.block(Rect::new(cell.x, cell.y, cell.x, cell.y));
            }
            let exit = port.at.towards(port.side, stud_length(n) + 1);
            grid.avoid(Rect::new(exit.x, exit.y, exit.x, exit.y), search::BEFORE_A_TERMINAL);
            studs.insert(end, cells);
        }
        let n = layout.ends.len();
        let search = Search::new(&grid);
        Router {
            layout,
            grid,
            search,
            studs,
            n_wires,
            paths: vec![None; n],
            gates: vec![None; n],
            forced: BTreeSet::new(),
        }
    }

    fn run(&mut self) {
        let mut order: Vec<usize> =
            (0..self.layout.ends.len()).filter(|&i| self.layout.ends[i].is_some()).collect();
        order.sort_by_key(|&wire| (self.estimate(wire), wire));
        let mut queue: VecDeque<usize> = order.iter().copied().collect();
        // Each push can free at most the wires it met, so this bound only stops endless quarrels.
        let mut pushes_left = 6 * order.len() + 20;
        while let Some(wire) = queue.pop_front() {
            if self.find(wire, false) {
                continue;
            }
            if pushes_left == 0 {
                self.forced.insert(wire);
                continue;
            }
            pushes_left -= 1;
            match self.push_through(wire) {
                Some(pushed) => queue.extend(pushed),
                None => {
                    self.forced.insert(wire);
                }
            }
        }
        // With all others in place a wire may find a better way than it did at first.
        let n_rounds = if order.len() > 150 { 1 } else { 3 };
        for _ in 0..n_rounds {
            for &wire in order.iter().rev() {
                if self.forced.contains(&wire) {
                    if self.find(wire, false) {
                        self.forced.remove(&wire);
                    }
                    continue;
                }
                let (Some(path), Some(gates)) = (self.paths[wire].clone(), self.gates[wire]) else {
                    continue;
                };
                self.take_up(wire);
                if !self.find(wire, false) {
                    self.lay(wire, path, gates);
                }
            }
        }
    }

    /// A guess at how far a wire goes; straight ones count as short.
    fn estimate(&self, wire: usize) -> i32 {
        let Some([a, b]) = self.layout.ends[wire] else { return 0 };
        let port = |end: End| self.layout.symbols[end.symbol].port(end.pin);
        let (a, b) = (port(a), port(b));
        let straight = a.at.x == b.at.x || a.at.y == b.at.y;
        a.at.distance(b.at) + if straight { 0 } else { 30 }
    }

    /// The gates of a terminal that no wire uses yet.
    fn free_gates(&self, end: End) -> Vec<Gate> {
        let side = self.layout.symbols[end.symbol].port(end.pin).side;
        let cells = &self.studs[&end];
        let n = self.n_wires[&end];
        if n == 1 {
            return vec![Gate { cell: cells[0], side }];
        }
        let used: Vec<Gate> = self
            .layout
            .ends
            .iter()
            .zip(&self.gates)
            .filter_map(|(ends, gates)| Some(((*ends)?, (*gates)?)))
            .flat_map(|(ends, gates)| [(ends[0], gates[0]), (ends[1], gates[1])])
            .filter(|(other, _)| *other == end)
            .map(|(_, gate)| gate)
            .collect();
        let sideways = match side {
            Side::Up | Side::Down => [Side::Left, Side::Right],
            Side::Left | Side::Right => [Side::Up, Side::Down],
        };
        let last = cells.len() - 1;
        let mut gates = Vec::new();
        for (i, &cell) in cells.iter().enumerate().skip(1) {
            let room = if i == last { 2 } else { 1 };
            if used.iter().filter(|gate| gate.cell == cell).count() >= room {
                continue;
            }
            let ways = sideways.iter().copied().chain((i == last).then_some(side));
            gates.extend(ways.map(|side| Gate { cell, side }).filter(|gate| !used.contains(gate)));
        }
        gates
    }

    /// Looks for a clear path and lays it.
    fn find(&mut self, wire: usize, push: bool) -> bool {
        let Some([from, to]) = self.layout.ends[wire] else { return false };
        let (starts, goals) = (self.free_gates(from), self.free_gates(to));
        match self.search.run(&self.grid, &starts, &goals, push) {
            Some((path, gates)) => {
                self.lay(wire, path, gates);
                true
            }
            None => false,
        }
    }

    /// Lays a path across other wires, which are taken up and returned; `None` when even so there
    /// is no way.
    fn push_through(&mut self, wire: usize) -> Option<Vec<usize>> {
        let [from, to] = self.layout.ends[wire]?;
        let (starts, goals) = (self.free_gates(from), self.free_gates(to));
        let (path, gates) = self.search.run(&self.grid, &starts, &goals, true)?;
        let mut pushed = self.grid.in_the_way(&path);
        pushed.remove(&wire);
        for &other in &pushed {
            self.take_up(other);
        }
        self.lay(wire, path, gates);
        Some(pushed.into_iter().collect())
    }

    fn lay(&mut self, wire: usize, path: Vec<Cell>, gates: [Gate; 2]) {
        self.grid.lay(wire, &path);
        self.paths[wire] = Some(path);
        self.gates[wire] = Some(gates);
    }

    fn take_up(&mut self, wire: usize) {
        if let Some(path) = self.paths[wire].take() {
            self.grid.take_up(wire, &path);
        }
        self.gates[wire] = None;
    }

    fn finish(self) -> Routes {
        let paths = self
            .layout
            .ends
            .iter()
            .zip(self.paths)
            .map(|(ends, path)| {
                let ends = (*ends)?;
                Some(match path {
                    Some(path) => Path { cells: corners(&path), forced: false },
                    None => Path {
                        cells: forced_path(
                            ends.map(|end| *self.studs[&end].last().expect("a stud holds its pin")),
                        ),
                        forced: true,
                    },
                })
            })
            .collect();
        let studs = self
            .studs
            .into_iter()
            .filter(|(_, cells)| cells.len() > 1)
            .map(|(end, cells)| (end, Stud { cells }));
        Routes { paths, studs: studs.collect() }
    }
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
