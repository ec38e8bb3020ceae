//! Orthogonal paths of wires on the grid, one path a wire, terminal to terminal.
//!
//! Paths keep out of symbols, never lie on one another, and cross at right angles only.
//! Where several wires meet one terminal, a stud is drawn on from it: each of its points takes one
//! wire sideways, the last one two, so that three lines meet at a dot and never four.

mod ahead;
mod grid;
mod keep;
mod memory;
mod search;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use engine::arrange;
use engine::kind::glyph::Side;

use crate::geometry::{Cell, Rect};
use crate::layout::{End, Layout, stud_length};
use grid::Grid;
use search::{Gate, Search, Terms};

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
    let studs = studs(layout);
    let Some(mut router) = Router::new(memory, layout, texts, names, &studs, &[], search::PATIENCE) else {
        return finish(layout, studs, &vec![None; layout.ends.len()]);
    };
    router.run((0..layout.ends.len()).filter(|&i| layout.ends[i].is_some()).collect(), UNTANGLING);
    let paths = router.paths;
    *memory = router.search.into_memory();
    finish(layout, studs, &paths)
}

/// Where the wires of each terminal meet it: the pin itself, then each point of the stud outwards.
fn studs(layout: &Layout) -> BTreeMap<End, Vec<Cell>> {
    let mut n_wires: BTreeMap<End, usize> = BTreeMap::new();
    for end in layout.ends.iter().flatten().flatten() {
        *n_wires.entry(*end).or_default() += 1;
    }
    let points = |end: End, n: usize| {
        let port = layout.symbols[end.symbol].port(end.pin);
        (0..=stud_length(n)).map(|steps| port.at.towards(port.side, steps)).collect()
    };
    arrange::map_of(n_wires.into_iter().map(|(end, n)| (end, points(end, n))))
}

fn finish(layout: &Layout, studs: BTreeMap<End, Vec<Cell>>, paths: &[Option<Vec<Cell>>]) -> Routes {
    let path = |ends: [End; 2], path: &Option<Vec<Cell>>| match path {
        Some(path) => Path { cells: corners(path), forced: false },
        None => {
            let ends = ends.map(|end| *studs[&end].last().expect("a stud holds its pin"));
            Path { cells: forced_path(ends), forced: true }
        }
    };
    let paths = layout.ends.iter().zip(paths).map(|(ends, found)| Some(path((*ends)?, found))).collect();
    let studs =
        studs.into_iter().filter(|(_, cells)| cells.len() > 1).map(|(end, cells)| (end, Stud { cells }));
    Routes { paths, studs: arrange::map_of(studs) }
}

struct Router<'a> {
    layout: &'a Layout,
    studs: &'a BTreeMap<End, Vec<Cell>>,
    grid: Grid,
    search: Search,
    /// Every point of each path, from start to end.
    paths: Vec<Option<Vec<Cell>>>,
    /// At which gate of its terminals each path begins and ends.
    gates: Vec<Option<[Gate; 2]>>,
    /// The gates in use, by terminal.
    used: BTreeMap<End, Vec<Gate>>,
    forced: BTreeSet<usize>,
}

impl<'a> Router<'a> {
    fn new(
        memory: &mut Memory,
        layout: &'a Layout,
        texts: &[Rect],
        names: &[Rect],
        studs: &'a BTreeMap<End, Vec<Cell>>,
        corners: &[Cell],
        patience: u64,
    ) -> Option<Router<'a>> {
        let bodies: Vec<Rect> = layout.symbols.iter().map(|symbol| symbol.body()).collect();
        let point = |cell: &Cell| Rect::new(cell.x, cell.y, cell.x, cell.y);
        let mut things = bodies.clone();
        things.extend(studs.values().flatten().map(point));
        let margin = 8 + i32::try_from(layout.ends.len() / 6).unwrap_or(0).min(30);
        let mut grid = Grid::new(&things, margin, corners)?;
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
        for (end, cells) in studs {
            cells.iter().for_each(|cell| grid.block(point(cell)));
            let side = layout.symbols[end.symbol].port(end.pin).side;
            if let Some(last) = cells.last() {
                grid.avoid(point(&last.towards(side, 1)), search::BEFORE_A_TERMINAL);
            }
        }
        let n = layout.ends.len();
        let search = Search::new(&grid, std::mem::take(memory), patience);
        let used = BTreeMap::new();
        let forced = BTreeSet::new();
        Some(Router { layout, studs, grid, search, paths: vec![None; n], gates: vec![None; n], used, forced })
    }

    /// Lays the wires in `order`, and what they push aside, while all others stay; `patience` is how many
    /// points may be visited to untangle them.
    fn run(&mut self, mut order: Vec<usize>, patience: u64) {
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
        // With all others in place a wire may find a better way than it did at first, as long as
        // something changed near it.
        let everywhere = i32::MAX / 4;
        let mut changed = vec![Rect::new(-everywhere, -everywhere, everywhere, everywhere)];
        let mut seen = vec![0; self.paths.len()];
        for _ in 0..ROUNDS {
            for &wire in order.iter().rev() {
                if self.search.is_tired() {
                    return;
                }
                let near = |room: &Rect| self.room(wire).is_none_or(|own| own.grown(1).overlaps(room));
                if !changed[seen[wire]..].iter().any(near) {
                    continue;
                }
                let before = self.room(wire);
                if self.improve(wire) {
                    changed.extend(before.into_iter().chain(self.room(wire)));
                }
                seen[wire] = changed.len();
            }
        }
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

    /// Leads those of the wires in `order` that run over the name of a terminal around it, farther than they
    /// were looked for at first, or across others that find another way.
    fn clear_names(&mut self, order: &[usize]) {
        self.search.is_thorough = true;
        for &wire in order {
            let (Some(path), Some(gates)) = (self.paths[wire].clone(), self.gates[wire]) else { continue };
            if !self.runs_over_a_name(&path) {
                continue;
            }
            self.take_up(wire);
            let price = search::price(&self.grid, &path);
            let around = self.look(wire, price, false, false);
            if let Some((better, gates)) = around.filter(|(better, _)| !self.runs_over_a_name(better)) {
                self.lay(wire, better, gates);
                continue;
            }
            let across = self.look(wire, price, true, false);
            let across = across.filter(|(better, _)| !self.runs_over_a_name(better));
            let is_better = across.is_some_and(|found| self.lay_across(wire, found));
            if !is_better {
                self.lay(wire, path, gates);
            }
        }
        self.search.is_thorough = false;
    }

    fn runs_over_a_name(&self, path: &[Cell]) -> bool {
        let is_name = |cell: &Cell| {
            let index = self.grid.index(*cell);
            index.is_some_and(|index| self.grid.point(index).cost() >= search::OVER_A_NAME.into())
        };
        path.iter().any(is_name)
    }

    /// Lays a wire across others if all of them find a way that runs over no name; otherwise they
    /// lie as they did.
    fn lay_across(&mut self, wire: usize, (path, gates): (Vec<Cell>, [Gate; 2])) -> bool {
        let mut pushed = self.grid.in_the_way(&path);
        pushed.remove(&wire);
        let before: Vec<_> =
            pushed.iter().map(|&other| (other, self.paths[other].clone(), self.gates[other])).collect();
        pushed.iter().for_each(|&other| self.take_up(other));
        self.lay(wire, path, gates);
        let mut is_better = true;
        for &other in &pushed {
            is_better = is_better
                && self.find(other, u32::MAX)
                && self.paths[other].clone().is_some_and(|path| !self.runs_over_a_name(&path));
        }
        if !is_better {
            self.take_up(wire);
            pushed.iter().for_each(|&other| self.take_up(other));
            for (other, path, gates) in before {
                if let (Some(path), Some(gates)) = (path, gates) {
                    self.lay(other, path, gates);
                }
            }
        }
        is_better
    }

    /// Lays pairs of the wires in `order` that cross anew together, where neither finds a better way
    /// alone.
    fn untangle(&mut self, order: &[usize], patience: u64) {
        self.search.until = self.search.n_visited() + patience;
        // Where paths changed, and how many of these changes each pair has seen.
        let mut changed: Vec<Rect> = Vec::new();
        let mut seen: BTreeMap<[usize; 2], usize> = BTreeMap::new();
        for _ in 0..ROUNDS {
            let n_before = changed.len();
            for &wire in order {
                let Some(path) = &self.paths[wire] else { continue };
                for other in self.grid.across(path) {
                    if !order.contains(&other) {
                        continue;
                    }
                    if self.search.n_visited() > self.search.until || self.search.is_tired() {
                        return;
                    }
                    let pair = [wire.min(other), wire.max(other)];
                    let before = pair.map(|wire| self.room(wire));
                    let since = seen.get(&pair).map(|seen| &changed[*seen..]);
                    let is_near =
                        |room: &Rect| before.iter().flatten().any(|own| own.grown(1).overlaps(room));
                    if since.is_some_and(|since| !since.iter().any(is_near)) {
                        continue;
                    }
                    if self.improve_both(wire, other) {
                        let after = pair.map(|wire| self.room(wire));
                        changed.extend(before.into_iter().chain(after).flatten());
                    }
                    seen.insert(pair, changed.len());
                }
            }
            if changed.len() == n_before {
                return;
            }
        }
    }

    /// Lays two wires anew, one after the other, if that is cheaper whichever comes first.
    fn improve_both(&mut self, one: usize, other: usize) -> bool {
        let laid = |router: &Router, wire: usize| Some((router.paths[wire].clone()?, router.gates[wire]?));
        let (Some(first), Some(second)) = (laid(self, one), laid(self, other)) else { return false };
        self.take_up(one);
        let mut price = search::price(&self.grid, &first.0);
        self.take_up(other);
        price += search::price(&self.grid, &second.0);
        for [a, b] in [[other, one], [one, other]] {
            if !self.find(a, price) {
                continue;
            }
            let rest = price.saturating_sub(self.price_of(a));
            if self.find(b, rest) {
                return true;
            }
            self.take_up(a);
        }
        self.lay(one, first.0, first.1);
        self.lay(other, second.0, second.1);
        false
    }

    /// What a path costs that is laid.
    fn price_of(&mut self, wire: usize) -> u32 {
        let (Some(path), Some(gates)) = (self.paths[wire].clone(), self.gates[wire]) else { return 0 };
        self.take_up(wire);
        let price = search::price(&self.grid, &path);
        self.lay(wire, path, gates);
        price
    }

    /// The rectangle around a path.
    fn room(&self, wire: usize) -> Option<Rect> {
        let point = |cell: &Cell| Rect::new(cell.x, cell.y, cell.x, cell.y);
        self.paths[wire].as_ref()?.iter().map(point).reduce(Rect::joined)
    }

    /// Lays a wire on a cheaper path if there is one, and a forced one on a clear one.
    fn improve(&mut self, wire: usize) -> bool {
        if self.forced.contains(&wire) {
            let found = self.find(wire, u32::MAX);
            if found {
                self.forced.remove(&wire);
            }
            return found;
        }
        let (Some(path), Some(gates)) = (self.paths[wire].clone(), self.gates[wire]) else { return false };
        self.take_up(wire);
        let price = search::price(&self.grid, &path);
        if self.find(wire, price) {
            return true;
        }
        self.lay(wire, path, gates);
        false
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
        free_gates(self.layout, self.studs, self.used.get(&end).map_or(&[][..], Vec::as_slice), end)
    }

    /// Looks for a clear path that costs less than `below` and lays it: close by first, then
    /// everywhere.
    fn find(&mut self, wire: usize, below: u32) -> bool {
        let found = self.look(wire, below, false, true).or_else(|| {
            // A search with a price to beat has looked as far as that price reaches.
            (below == u32::MAX).then(|| self.look(wire, below, false, false)).flatten()
        });
        found.is_some_and(|(path, gates)| {
            self.lay(wire, path, gates);
            true
        })
    }

    fn look(&mut self, wire: usize, below: u32, push: bool, close: bool) -> Option<(Vec<Cell>, [Gate; 2])> {
        /// How far around its ends a wire is looked for at first, in steps.
        const CLOSE: i32 = 24;
        let [from, to] = self.layout.ends[wire]?;
        let (starts, goals) = (self.free_gates(from), self.free_gates(to));
        let point = |gate: &Gate| Rect::new(gate.cell.x, gate.cell.y, gate.cell.x, gate.cell.y);
        let around = starts.iter().chain(&goals).map(point).reduce(Rect::joined)?;
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

    fn lay(&mut self, wire: usize, path: Vec<Cell>, gates: [Gate; 2]) {
        self.grid.lay(wire, &path);
        self.paths[wire] = Some(path);
        self.gates[wire] = Some(gates);
        for (end, gate) in self.layout.ends[wire].iter().flatten().zip(gates) {
            self.used.entry(*end).or_default().push(gate);
        }
    }

    fn take_up(&mut self, wire: usize) {
        if let Some(path) = self.paths[wire].take() {
            self.grid.take_up(wire, &path);
        }
        for (end, gate) in
            self.layout.ends[wire].iter().flatten().zip(self.gates[wire].take().iter().flatten())
        {
            if let Some(used) = self.used.get_mut(end)
                && let Some(at) = used.iter().position(|other| other == gate)
            {
                used.swap_remove(at);
            }
        }
    }
}

/// The gates of a terminal beside those that are `used`.
fn free_gates(layout: &Layout, studs: &BTreeMap<End, Vec<Cell>>, used: &[Gate], end: End) -> Vec<Gate> {
    let side = layout.symbols[end.symbol].port(end.pin).side;
    let cells = &studs[&end];
    if cells.len() == 1 {
        return vec![Gate { cell: cells[0], side }];
    }
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
