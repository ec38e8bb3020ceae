//! The paths that lie on the ground, and how they come there.

use std::collections::{BTreeSet, VecDeque};

use engine::arrange;

use super::grid::Grid;
use super::memory::Memory;
use super::search::{self, Search, Terms};
use super::terminal::{Gate, Terminals};
use crate::geometry::{Cell, Rect};
use crate::layout::{End, Layout};

/// Wires on their way to paths.
pub(super) struct Router<'a> {
    pub layout: &'a Layout,
    pub terminals: &'a mut Terminals,
    pub grid: Grid,
    pub search: Search,
    /// Every point of each path, from start to end.
    pub paths: Vec<Option<Vec<Cell>>>,
    /// At which gate of its terminals each path begins and ends.
    pub gates: Vec<Option<[Gate; 2]>>,
    pub forced: BTreeSet<usize>,
}

impl<'a> Router<'a> {
    /// Ground without wires; `None` when that is too much.
    pub(super) fn new(
        memory: &mut Memory,
        layout: &'a Layout,
        texts: &[Rect],
        names: &[Rect],
        terminals: &'a mut Terminals,
        corners: &[Cell],
        patience: u64,
    ) -> Option<Router<'a>> {
        let bodies: Vec<Rect> = layout.symbols.iter().map(|symbol| symbol.body()).collect();
        let mut things = bodies.clone();
        things.extend(terminals.iter().flat_map(|(_, terminal)| terminal.cells()).map(Cell::room));
        let margin = 8 + i32::try_from(layout.ends.len() / 6).unwrap_or(0).min(30);
        let mut grid = Grid::over(std::mem::take(&mut memory.grid), &things, margin, corners)?;
        for text in texts {
            grid.avoid(*text, search::OVER_TEXT);
        }
        for name in names {
            grid.avoid(*name, search::OVER_A_NAME);
        }
        for body in &bodies {
            grid.avoid(body.grown(1), search::CLOSE);
            grid.block(*body);
        }
        for (_, terminal) in terminals.iter() {
            terminal.cells().for_each(|cell| grid.block(cell.room()));
            grid.avoid(terminal.last().towards(terminal.side(), 1).room(), search::BEFORE_A_TERMINAL);
        }
        let n = layout.ends.len();
        let search = Search::new(&grid, std::mem::take(memory), patience);
        let forced = BTreeSet::new();
        Some(Router { layout, terminals, grid, search, paths: vec![None; n], gates: vec![None; n], forced })
    }

    /// The paths that were found, and the memory for the next ones.
    pub(super) fn into_paths(self) -> (Vec<Option<Vec<Cell>>>, Memory) {
        let mut memory = self.search.into_memory();
        memory.grid = self.grid;
        (self.paths, memory)
    }

    /// Lays the wires in `order`, and what they push aside, while all others stay; `patience` is how many
    /// points may be visited to untangle them.
    pub(super) fn run(&mut self, mut order: Vec<usize>, patience: u64) {
        arrange::sort_by_key(&mut order, |&wire| (self.estimate(wire), wire));
        let mut queue: VecDeque<usize> = order.iter().copied().collect();
        // Each push can free at most the wires it met, so this bound only stops endless quarrels.
        let mut pushes_left = 6 * self.layout.ends.iter().flatten().count() + 20;
        let mut is_ordered = vec![false; self.paths.len()];
        order.iter().for_each(|&wire| is_ordered[wire] = true);
        while let Some(wire) = queue.pop_front() {
            if self.find(wire, u32::MAX) {
                continue;
            }
            if pushes_left == 0 {
                self.forced.insert(wire);
                continue;
            }
            pushes_left -= 1;
            let Some(pushed) = self.push_through(wire) else {
                self.forced.insert(wire);
                continue;
            };
            for other in pushed {
                queue.push_back(other);
                if !std::mem::replace(&mut is_ordered[other], true) {
                    order.push(other);
                }
            }
        }
        self.rescue();
        self.clear_names(&order);
        self.improve_all(&order);
        self.exchange_gates(&order);
        self.untangle(&order, patience);
    }

    /// Looks thoroughly for what has no clear path so far, and for what has to make room for it.
    fn rescue(&mut self) {
        /// How many wires may be pushed aside; more only quarrel.
        const MOST: usize = 60;
        let mut queue: VecDeque<usize> = self.forced.iter().copied().collect();
        self.search.is_thorough = true;
        let mut n_left = MOST;
        while let Some(wire) = queue.pop_front() {
            self.forced.remove(&wire);
            if self.find(wire, u32::MAX) {
                continue;
            }
            match n_left.checked_sub(1).and_then(|left| {
                n_left = left;
                self.push_through(wire)
            }) {
                Some(pushed) => queue.extend(pushed),
                None => {
                    self.forced.insert(wire);
                }
            }
        }
        self.search.is_thorough = false;
    }

    /// A guess at how far a wire goes; straight ones count as short.
    fn estimate(&self, wire: usize) -> i32 {
        let Some([a, b]) = self.layout.ends[wire] else { return 0 };
        let port = |end: End| self.layout.symbols[end.symbol].port(end.pin);
        let (a, b) = (port(a), port(b));
        let straight = a.at.x == b.at.x || a.at.y == b.at.y;
        a.at.distance(b.at) + if straight { 0 } else { 30 }
    }

    /// Looks for a clear path that costs less than `below` and lays it: close by first, then
    /// everywhere.
    pub(super) fn find(&mut self, wire: usize, below: u32) -> bool {
        let found = self.look(wire, below, false, true).or_else(|| {
            // A search with a price to beat has looked as far as that price reaches.
            (below == u32::MAX).then(|| self.look(wire, below, false, false)).flatten()
        });
        found.is_some_and(|(path, gates)| {
            self.lay(wire, path, gates);
            true
        })
    }

    pub(super) fn look(
        &mut self,
        wire: usize,
        below: u32,
        push: bool,
        close: bool,
    ) -> Option<(Vec<Cell>, [Gate; 2])> {
        /// How far around its ends a wire is looked for at first, in steps.
        const CLOSE: i32 = 24;
        let [from, to] = self.layout.ends[wire]?;
        let (starts, goals) = (self.terminals.get(from).free_gates(), self.terminals.get(to).free_gates());
        let around = starts.iter().chain(&goals).map(|gate| gate.cell.room()).reduce(Rect::joined)?;
        let within = if close { around.grown(CLOSE) } else { around.grown(i32::MAX / 4) };
        self.search.run(&self.grid, &starts, &goals, &Terms { within, below, push })
    }

    /// Lays a path across other wires, which are taken up and returned; `None` when even so there
    /// is no way.
    fn push_through(&mut self, wire: usize) -> Option<Vec<usize>> {
        let (path, gates) = self.look(wire, u32::MAX, true, false)?;
        let mut pushed = self.grid.in_the_way(&path);
        pushed.remove(&wire);
        for &other in &pushed {
            self.take_up(other);
        }
        self.lay(wire, path, gates);
        Some(pushed.into_iter().collect())
    }

    /// The path of a wire that is laid, and its gates.
    pub(super) fn laid(&self, wire: usize) -> Option<(Vec<Cell>, [Gate; 2])> {
        self.paths[wire].clone().zip(self.gates[wire])
    }

    pub(super) fn lay(&mut self, wire: usize, path: Vec<Cell>, gates: [Gate; 2]) {
        for (end, gate) in self.layout.ends[wire].iter().flatten().zip(gates) {
            self.terminals.get_mut(*end).take(gate);
        }
        self.lay_at_taken_gates(wire, path, gates);
    }

    /// Lays a path whose gates are taken already.
    pub(super) fn lay_at_taken_gates(&mut self, wire: usize, path: Vec<Cell>, gates: [Gate; 2]) {
        self.grid.lay(wire, &path);
        self.paths[wire] = Some(path);
        self.gates[wire] = Some(gates);
    }

    pub(super) fn take_up(&mut self, wire: usize) {
        if let Some(path) = self.paths[wire].take() {
            self.grid.take_up(wire, &path);
        }
        let gates = self.gates[wire].take();
        for (end, gate) in self.layout.ends[wire].iter().flatten().zip(gates.iter().flatten()) {
            self.terminals.get_mut(*end).give_back(*gate);
        }
    }
}
