//! A* over grid points and directions: length, bends, crossings and closeness all cost.

use engine::kind::glyph::Side;

use super::ahead::Ahead;
use super::grid::{Grid, Ground};
use super::memory::{AT_START, Known, Memory};
use super::terminal::Gate;
use crate::geometry::{Cell, Rect, opposite};

/// Cost of one step.
pub(super) const STEP: u32 = 4;

/// Cost of a bend.
pub(super) const BEND: u32 = 30;

/// Cost of crossing another wire: more than going around by a few steps and a bend.
const CROSSING: u32 = 70;

/// Cost of running next to another wire, a step.
const COMPANY: u32 = 1;

/// Cost of running close to a symbol, a step.
pub(super) const CLOSE: u16 = 1;

/// Cost of running over a text, a step.
pub(super) const OVER_TEXT: u16 = 30;

/// Cost of running over the name of a terminal, a step: that cannot move away as other texts can.
pub(super) const OVER_A_NAME: u16 = 300;

/// Cost of passing right before a terminal.
pub(super) const BEFORE_A_TERMINAL: u16 = 30;

/// Cost of lying on or touching another wire when it may be pushed aside.
const PUSH: u32 = 180;

/// The ways to go, each two beside the opposite one; level ones have odd numbers.
pub(super) const SIDES: [Side; 4] = [Side::Up, Side::Right, Side::Down, Side::Left];

/// Points that searches may visit before they are in haste: more than circuits of sixty parts need.
pub(super) const PATIENCE: u64 = 2_000_000;

/// The same after an edit, which should not be felt.
pub(super) const PATIENCE_AFTER_AN_EDIT: u64 = 40_000;

/// Searches on one grid.
pub(super) struct Search {
    memory: Memory,
    /// Whether a search goes on until it has seen everything, however much has been visited.
    pub is_thorough: bool,
    /// Points that searches may visit before they are in haste.
    patience: u64,
    /// Points visited by all searches together.
    n_visited: u64,
    /// Beyond so many points no search goes on that is not thorough.
    pub until: u64,
}

impl Search {
    pub(super) fn new(grid: &Grid, mut memory: Memory, patience: u64) -> Search {
        memory.make_room(grid.len());
        Search { memory, is_thorough: false, patience, n_visited: 0, until: u64::MAX }
    }

    /// The memory, for the searches on another grid.
    pub(super) fn into_memory(self) -> Memory {
        self.memory
    }

    /// How much the way ahead counts, and how many points one search may visit.
    ///
    /// Once much has been visited, searches head straight for their goals and give up early, so
    /// that they find a good path rather than the cheapest. Counted in points, not in time, so that
    /// every machine draws the same.
    fn haste(&self, push: bool) -> (u32, u64) {
        match (self.is_tired() && !self.is_thorough, push) {
            (false, _) => (1, u64::MAX),
            (true, false) => (2, PATIENCE / 64),
            // Pushing others aside is only worth its price when the price counts in full.
            (true, true) => (1, PATIENCE / 4),
        }
    }

    /// Points visited so far.
    pub(super) fn n_visited(&self) -> u64 {
        self.n_visited
    }

    /// Whether so much has been visited that nothing should be looked for twice.
    pub(super) fn is_tired(&self) -> bool {
        self.n_visited >= self.patience
    }

    /// The cheapest path from one of `starts` to one of `goals`, point by point, and the gates it
    /// uses; `None` when there is none within `terms`.
    ///
    /// Of paths that look equally good the one found last goes on, which heads straight for the goal.
    pub(super) fn run(
        &mut self,
        grid: &Grid,
        starts: &[Gate],
        goals: &[Gate],
        terms: &Terms,
    ) -> Option<(Vec<Cell>, [Gate; 2])> {
        let state = self.reach(grid, starts, goals, terms);
        let found = state.and_then(|(index, way)| {
            let (path, first) = path(grid, &self.memory, index, way);
            let is_last =
                |goal: &&Gate| grid.index(goal.cell) == Some(index) && opposite(goal.side) == SIDES[way];
            let start = *starts.iter().find(|start| **start == first)?;
            Some((path, [start, *goals.iter().find(is_last)?]))
        });
        self.memory.forget();
        found
    }

    /// The point of a goal that is reached first, by index, and the direction in which it is.
    fn reach(
        &mut self,
        grid: &Grid,
        starts: &[Gate],
        goals: &[Gate],
        terms: &Terms,
    ) -> Option<(usize, usize)> {
        let (haste, most) = self.haste(terms.push);
        let last = if self.is_thorough { u64::MAX } else { self.until };
        let until = self.n_visited.saturating_add(most).min(last);
        let ahead = Ahead::new(goals);
        let is_goal = |cell: Cell, way: usize| {
            goals.iter().any(|goal| goal.cell == cell && number(opposite(goal.side)) == way)
        };
        let [(left, right), (top, bottom)] = grid.within(&terms.within);
        let memory = &mut self.memory;
        memory.begin(starts.iter().map(|start| ahead.of(start.cell, number(start.side))).min().unwrap_or(0));
        for start in starts {
            let Some(index) = grid.index(start.cell) else { continue };
            let way = number(start.side);
            let whole = haste * ahead.of(start.cell, way);
            if whole < terms.below {
                memory.note(index, way, Known::new(0, AT_START), whole);
            }
        }
        while let Some((cost, index, way)) = memory.next() {
            self.n_visited += 1;
            if self.n_visited > until {
                return None;
            }
            let at_start = memory.known(index, way).came() == AT_START;
            let here = grid.point(index);
            if here.is_blocked() && !at_start {
                // No closed point is entered but at a goal.
                return Some((index, way));
            }
            let bend = bend_cost(here, terms.push);
            let (column, row) = grid.place(index);
            let cell = grid.cell_at(column, row);
            let is_within = [row > top, column + 1 < right, row + 1 < bottom, column > left];
            for next_way in 0..4 {
                if next_way == way ^ 2 || (at_start && next_way != way) || !is_within[next_way] {
                    continue;
                }
                let Some(bend) = (if next_way == way { Some(0) } else { bend }) else { continue };
                let side = SIDES[next_way];
                let next_index = grid.neighbor(index, side);
                let next = grid.next(cell, (column, row), side);
                let there = grid.point(next_index);
                let entering = if there.is_blocked() {
                    is_goal(next, next_way).then_some(0)
                } else {
                    enter_cost(there, next_way % 2 == 1, terms.push)
                };
                let Some(entering) = entering else { continue };
                let next_cost = cost + STEP * next.distance(cell) as u32 + bend + entering;
                if memory.known(next_index, next_way).cost() > next_cost {
                    let whole = next_cost + haste * ahead.of(next, next_way);
                    // Otherwise the whole path could not cost less than is asked for.
                    if whole < terms.below {
                        memory.note(next_index, next_way, Known::new(next_cost, way), whole);
                    }
                }
            }
        }
        None
    }
}

/// The path that led to a point in some direction, and the gate it began at.
fn path(grid: &Grid, memory: &Memory, mut index: usize, mut way: usize) -> (Vec<Cell>, Gate) {
    let mut cells = Vec::new();
    loop {
        let (cell, side) = (grid.cell(index), SIDES[way]);
        cells.push(cell);
        let came = memory.known(index, way).came();
        if came == AT_START {
            cells.reverse();
            return (cells, Gate { cell, side });
        }
        index = grid.neighbor(index, opposite(side));
        way = came;
    }
}

/// What a search may do.
pub(super) struct Terms {
    /// It stays within this rectangle, in steps.
    pub within: Rect,
    /// It finds only paths that cost less than this.
    pub below: u32,
    /// It may lie on other wires, at a price.
    pub push: bool,
}

/// What turning at a point costs; `None` when another wire runs there.
fn bend_cost(point: Ground, push: bool) -> Option<u32> {
    match (point.is_empty(), push) {
        (true, _) => Some(BEND),
        (false, true) => Some(BEND + PUSH),
        (false, false) => None,
    }
}

/// What going on to a point costs beside the step; `None` when another wire lies along there.
fn enter_cost(point: Ground, level: bool, push: bool) -> Option<u32> {
    let meeting = match (point.is_used(level), point.is_used(!level)) {
        (true, _) => push.then_some(PUSH)?,
        (false, true) => CROSSING,
        (false, false) => 0,
    };
    let company = if point.has_company(level) { COMPANY } else { 0 };
    Some(meeting + company + point.cost())
}

/// What `path`, given point by point and taken up, would cost if it were laid again.
pub(super) fn price(grid: &Grid, path: &[Cell]) -> u32 {
    let mut cost = 0;
    for (i, step) in path.windows(2).enumerate() {
        let [at, next] = step else { continue };
        let level = at.y == next.y;
        cost += STEP * at.distance(*next) as u32;
        if i > 0 && (path[i - 1].y == at.y) != level {
            cost += BEND;
        }
        if i + 2 < path.len() {
            cost +=
                grid.index(*next).and_then(|index| enter_cost(grid.point(index), level, true)).unwrap_or(0);
        }
    }
    cost
}

/// Where a side stands in [`SIDES`].
pub(super) fn number(side: Side) -> usize {
    match side {
        Side::Up => 0,
        Side::Right => 1,
        Side::Down => 2,
        Side::Left => 3,
    }
}
