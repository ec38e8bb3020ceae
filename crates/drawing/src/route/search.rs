//! A* over grid points and directions: length, bends, crossings and closeness all cost.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use engine::kind::glyph::Side;

use super::grid::Grid;
use crate::geometry::{Cell, direction, opposite};

/// Cost of one step.
const STEP: u32 = 2;

/// Cost of a bend.
const BEND: u32 = 14;

/// Cost of crossing another wire: more than going around by a few steps and a bend.
const CROSSING: u32 = 24;

/// Cost of running next to another wire, a step.
const COMPANY: u32 = 1;

/// Cost of running close to a symbol, a step.
pub(super) const CLOSE: u16 = 1;

/// Cost of running over a text, a step.
pub(super) const OVER_TEXT: u16 = 9;

/// Cost of passing right before a terminal.
pub(super) const BEFORE_A_TERMINAL: u16 = 16;

/// Cost of lying on or touching another wire when it may be pushed aside.
const PUSH: u32 = 90;

const SIDES: [Side; 4] = [Side::Up, Side::Right, Side::Down, Side::Left];

/// A point at which a path may begin or end, and the side on which it leaves the terminal there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Gate {
    pub cell: Cell,
    pub side: Side,
}

/// The memory of searches, kept from one to the next so that it need not be cleared.
pub(super) struct Search {
    /// Least cost so far of every point and direction.
    cost: Vec<u32>,
    /// Direction before the last step, 4 at a start.
    came: Vec<u8>,
    /// The search in which the entries above were written.
    written: Vec<u32>,
    run: u32,
}

impl Search {
    pub(super) fn new(grid: &Grid) -> Search {
        let n = grid.len() * 4;
        Search { cost: vec![0; n], came: vec![0; n], written: vec![0; n], run: 0 }
    }

    /// The cheapest path from one of `starts` to one of `goals`, point by point, and the gates it
    /// uses. With `push` it may lie on other wires, at a price.
    pub(super) fn run(
        &mut self,
        grid: &Grid,
        starts: &[Gate],
        goals: &[Gate],
        push: bool,
    ) -> Option<(Vec<Cell>, [Gate; 2])> {
        self.run += 1;
        let ahead = |cell: Cell| goals.iter().map(|goal| estimate(cell, goal.cell)).min().unwrap_or(0);
        let mut queue = BinaryHeap::new();
        for start in starts {
            let Some(index) = grid.index(start.cell) else { continue };
            let state = index * 4 + number(start.side);
            self.write(state, 0, 4);
            queue.push(Reverse((ahead(start.cell), 0_u32, state)));
        }
        while let Some(Reverse((_, cost, state))) = queue.pop() {
            if self.cost[state] < cost {
                continue;
            }
            let (index, side) = (state / 4, SIDES[state % 4]);
            let cell = grid.cell(index);
            let at_start = self.came[state] == 4;
            if !at_start {
                if let Some(goal) = goals.iter().find(|goal| goal.cell == cell && opposite(goal.side) == side)
                {
                    let (path, first) = self.path(grid, state);
                    let start = *starts.iter().find(|start| **start == first)?;
                    return Some((path, [start, *goal]));
                }
                if grid.is_blocked(index) {
                    // A terminal that is entered from the wrong side.
                    continue;
                }
            }
            for next_side in SIDES {
                if next_side == opposite(side) || (at_start && next_side != side) {
                    continue;
                }
                let mut next_cost = cost + STEP;
                if next_side != side {
                    next_cost += BEND;
                    if !grid.is_empty(index) {
                        if !push {
                            continue;
                        }
                        next_cost += PUSH;
                    }
                }
                let (dx, dy) = direction(next_side);
                let next = Cell::new(cell.x + dx, cell.y + dy);
                let Some(next_index) = grid.index(next) else { continue };
                if grid.is_blocked(next_index) {
                    let is_goal =
                        goals.iter().any(|goal| goal.cell == next && opposite(goal.side) == next_side);
                    if !is_goal {
                        continue;
                    }
                } else {
                    let level = dy == 0;
                    if grid.is_used(next_index, level) {
                        if !push {
                            continue;
                        }
                        next_cost += PUSH;
                    } else if grid.is_used(next_index, !level) {
                        next_cost += CROSSING;
                    }
                    if grid.has_company(next_index, level) {
                        next_cost += COMPANY;
                    }
                    next_cost += grid.cost(next_index);
                }
                let next_state = next_index * 4 + number(next_side);
                if self.written[next_state] != self.run || self.cost[next_state] > next_cost {
                    self.write(next_state, next_cost, number(side) as u8);
                    queue.push(Reverse((next_cost + ahead(next), next_cost, next_state)));
                }
            }
        }
        None
    }

    fn write(&mut self, state: usize, cost: u32, came: u8) {
        self.cost[state] = cost;
        self.came[state] = came;
        self.written[state] = self.run;
    }

    /// The path that led to `state`, and the gate it began at.
    fn path(&self, grid: &Grid, mut state: usize) -> (Vec<Cell>, Gate) {
        let mut cells = Vec::new();
        loop {
            let (cell, side) = (grid.cell(state / 4), SIDES[state % 4]);
            cells.push(cell);
            let came = self.came[state];
            if came == 4 {
                cells.reverse();
                return (cells, Gate { cell, side });
            }
            let (dx, dy) = direction(side);
            let before = grid.index(Cell::new(cell.x - dx, cell.y - dy)).expect("a path stays on the grid");
            state = before * 4 + usize::from(came);
        }
    }
}

/// A cost that no path from `a` to `b` falls short of.
fn estimate(a: Cell, b: Cell) -> u32 {
    let bend = if a.x != b.x && a.y != b.y { BEND } else { 0 };
    a.distance(b) as u32 * STEP + bend
}

fn number(side: Side) -> usize {
    match side {
        Side::Up => 0,
        Side::Right => 1,
        Side::Down => 2,
        Side::Left => 3,
    }
}
