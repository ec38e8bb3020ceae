//! A* over grid points and directions: length, bends, crossings and closeness all cost.

use engine::kind::glyph::Side;

use super::grid::Grid;
use crate::geometry::{Cell, Rect, direction, opposite};

/// Cost of one step.
const STEP: u32 = 4;

/// Cost of a bend.
const BEND: u32 = 30;

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

const SIDES: [Side; 4] = [Side::Up, Side::Right, Side::Down, Side::Left];

/// A point at which a path may begin or end, and the side on which it leaves the terminal there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Gate {
    pub cell: Cell,
    pub side: Side,
}

/// What a search knows of a point entered in one direction.
#[derive(Clone, Copy, Debug, Default)]
struct Known {
    /// Least cost so far.
    cost: u32,
    /// The search that wrote this, and in the three lowest bits the direction before the last
    /// step, or [`AT_START`].
    run: u32,
}

impl Known {
    fn came(self) -> usize {
        (self.run & 7) as usize
    }
}

/// Points that searches may visit before they are in haste: more than circuits of sixty parts need.
pub(super) const PATIENCE: u64 = 2_000_000;

/// The same after an edit, which should not be felt.
pub(super) const PATIENCE_AFTER_AN_EDIT: u64 = 40_000;

/// In place of a direction: the path begins here.
const AT_START: usize = 4;

/// The memory of searches, kept from one to the next so that it need not be cleared.
#[derive(Clone, Debug, Default)]
pub(crate) struct Memory {
    /// By point and direction.
    known: Vec<Known>,
    run: u32,
    /// Points visited by all searches of one drawing together.
    n_visited: u64,
    /// Cost so far and point with direction, by the least cost that the whole path can have.
    queue: Vec<Vec<(u32, u32)>>,
}

/// Searches on one grid.
pub(super) struct Search {
    memory: Memory,
    /// Whether a search goes on until it has seen everything, however much has been visited.
    pub is_thorough: bool,
    /// Points that searches may visit before they are in haste.
    patience: u64,
    /// Beyond so many points no search goes on that is not thorough.
    pub until: u64,
}

impl Search {
    pub(super) fn new(grid: &Grid, mut memory: Memory, patience: u64) -> Search {
        let n = grid.len() * 4;
        if memory.known.len() < n || memory.run > u32::MAX / 16 {
            memory.known.clear();
            memory.known.resize(n, Known::default());
            memory.run = 0;
        }
        memory.n_visited = 0;
        Search { memory, is_thorough: false, patience, until: u64::MAX }
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
        self.memory.n_visited
    }

    /// Whether so much has been visited that nothing should be looked for twice.
    pub(super) fn is_tired(&self) -> bool {
        self.memory.n_visited >= self.patience
    }

    /// The cheapest path from one of `starts` to one of `goals`, point by point, and the gates it
    /// uses; `None` when there is none within `terms`.
    ///
    /// Costs are small whole numbers, so the queue is a list of lists; of paths that look equally
    /// good the one found last goes on, which heads straight for the goal.
    pub(super) fn run(
        &mut self,
        grid: &Grid,
        starts: &[Gate],
        goals: &[Gate],
        terms: &Terms,
    ) -> Option<(Vec<Cell>, [Gate; 2])> {
        let (haste, most) = self.haste(terms.push);
        let last = if self.is_thorough { u64::MAX } else { self.until };
        let Memory { known, run, n_visited, queue } = &mut self.memory;
        *run += 1;
        let run = *run << 3;
        queue.iter_mut().for_each(Vec::clear);
        let until = n_visited.saturating_add(most).min(last);
        let ahead = |cell: Cell, side: Side| {
            haste * goals.iter().map(|goal| estimate(cell, side, goal)).min().unwrap_or(0)
        };
        // Notes a way to a state, unless the whole path could not cost less than is asked for.
        let enter = |known: &mut [Known],
                     queue: &mut Vec<Vec<(u32, u32)>>,
                     state: usize,
                     cost: u32,
                     came: usize,
                     ahead: u32| {
            let whole = cost + ahead;
            if whole >= terms.below {
                return;
            }
            known[state] = Known { cost, run: run | came as u32 };
            let whole = whole as usize;
            if queue.len() <= whole {
                queue.resize(whole + 1, Vec::new());
            }
            queue[whole].push((cost, state as u32));
        };
        let goal_states: Vec<usize> = goals
            .iter()
            .map(|goal| {
                grid.index(goal.cell).map_or(usize::MAX, |index| index * 4 + number(opposite(goal.side)))
            })
            .collect();
        let [(left, right), (top, bottom)] = grid.within(&terms.within);
        for start in starts {
            let Some(index) = grid.index(start.cell) else { continue };
            let state = index * 4 + number(start.side);
            enter(known, queue, state, 0, AT_START, ahead(start.cell, start.side));
        }
        let mut least = 0;
        while least < queue.len() {
            let Some((cost, state)) = queue[least].pop() else {
                least += 1;
                continue;
            };
            let state = state as usize;
            if known[state].cost < cost {
                continue;
            }
            *n_visited += 1;
            if *n_visited > until {
                return None;
            }
            let (index, side) = (state / 4, SIDES[state % 4]);
            let at_start = known[state].came() == AT_START;
            if !at_start {
                if let Some(goal) = goal_states.iter().position(|goal| *goal == state) {
                    let (path, first) = path(grid, known, state);
                    let start = *starts.iter().find(|start| **start == first)?;
                    return Some((path, [start, goals[goal]]));
                }
                if grid.is_blocked(index) {
                    // A terminal that is entered from the wrong side.
                    continue;
                }
            }
            let bend = bend_cost(grid, index, terms.push);
            let (column, row) = grid.place(index);
            let cell = grid.cell(index);
            for next_side in SIDES {
                if next_side == opposite(side) || (at_start && next_side != side) {
                    continue;
                }
                let Some(bend) = (if next_side == side { Some(0) } else { bend }) else { continue };
                let is_within = match next_side {
                    Side::Up => row > top,
                    Side::Right => column + 1 < right,
                    Side::Down => row + 1 < bottom,
                    Side::Left => column > left,
                };
                if !is_within {
                    continue;
                }
                let next_index = grid.neighbor(index, next_side);
                let next_state = next_index * 4 + number(next_side);
                let entering = if grid.is_blocked(next_index) {
                    goal_states.contains(&next_state).then_some(0)
                } else {
                    let level = matches!(next_side, Side::Left | Side::Right);
                    enter_cost(grid, next_index, level, terms.push)
                };
                let Some(entering) = entering else { continue };
                let next = grid.next(cell, (column, row), next_side);
                let next_cost = cost + STEP * next.distance(cell) as u32 + bend + entering;
                let was = known[next_state];
                if was.run & !7 != run || was.cost > next_cost {
                    enter(known, queue, next_state, next_cost, number(side), ahead(next, next_side));
                }
            }
        }
        None
    }
}

/// The path that led to `state`, and the gate it began at.
fn path(grid: &Grid, known: &[Known], mut state: usize) -> (Vec<Cell>, Gate) {
    let mut cells = Vec::new();
    loop {
        let (cell, side) = (grid.cell(state / 4), SIDES[state % 4]);
        cells.push(cell);
        let came = known[state].came();
        if came == AT_START {
            cells.reverse();
            return (cells, Gate { cell, side });
        }
        state = grid.neighbor(state / 4, opposite(side)) * 4 + came;
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
fn bend_cost(grid: &Grid, index: usize, push: bool) -> Option<u32> {
    match (grid.is_empty(index), push) {
        (true, _) => Some(BEND),
        (false, true) => Some(BEND + PUSH),
        (false, false) => None,
    }
}

/// What going on to a point costs beside the step; `None` when another wire lies along there.
fn enter_cost(grid: &Grid, index: usize, level: bool, push: bool) -> Option<u32> {
    let meeting = match (grid.is_used(index, level), grid.is_used(index, !level)) {
        (true, _) => push.then_some(PUSH)?,
        (false, true) => CROSSING,
        (false, false) => 0,
    };
    let company = if grid.has_company(index, level) { COMPANY } else { 0 };
    Some(meeting + company + grid.cost(index))
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
            cost += grid.index(*next).and_then(|index| enter_cost(grid, index, level, true)).unwrap_or(0);
        }
    }
    cost
}

/// A cost that no path from `cell`, entered towards `side`, to `goal` falls short of: the steps
/// and the bends that directions alone demand.
pub(super) fn estimate(cell: Cell, side: Side, goal: &Gate) -> u32 {
    let (dx, dy) = (goal.cell.x - cell.x, goal.cell.y - cell.y);
    let along = |side: Side| {
        let (x, y) = direction(side);
        dx * x + dy * y
    };
    let last = opposite(goal.side);
    let aside = if direction(side).0 == 0 { dx } else { dy };
    let n_bends = if side == last {
        match (along(side) >= 0, aside == 0) {
            (true, true) => 0,
            (true, false) => 2,
            _ => 4,
        }
    } else if side == opposite(last) {
        if aside == 0 { 4 } else { 2 }
    } else if along(side) >= 0 && along(last) >= 0 {
        1
    } else {
        3
    };
    cell.distance(goal.cell) as u32 * STEP + n_bends * BEND
}

fn number(side: Side) -> usize {
    match side {
        Side::Up => 0,
        Side::Right => 1,
        Side::Down => 2,
        Side::Left => 3,
    }
}
