//! What the way ahead costs at the least.

use super::search::{BEND, SIDES, STEP, number};
use super::terminal::Gate;
use crate::geometry::{Cell, direction, opposite};

/// A bound of the cost from any point to the nearest of some goals.
///
/// How many bends there must be hangs on nothing but the quarter in which a goal lies and on two
/// directions, so that these are looked up.
pub(super) struct Ahead {
    goals: Vec<Goal>,
}

/// A point at which paths may end.
struct Goal {
    cell: Cell,
    /// The least cost of the bends to it, by where it lies as [`quarter`] has it, and by the number
    /// of the direction in which a path leaves.
    bends: [[u32; 4]; 9],
}

impl Ahead {
    pub(super) fn new(gates: &[Gate]) -> Ahead {
        let mut goals: Vec<Goal> = Vec::new();
        for gate in gates {
            let at = goals.iter().position(|goal| goal.cell == gate.cell).unwrap_or_else(|| {
                goals.push(Goal { cell: gate.cell, bends: [[u32::MAX; 4]; 9] });
                goals.len() - 1
            });
            for (dx, dy) in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (dx, dy))) {
                for way in 0..4 {
                    let least = &mut goals[at].bends[quarter(dx, dy)][way];
                    *least = (*least).min(BEND * n_bends((dx, dy), way, gate));
                }
            }
        }
        Ahead { goals }
    }

    /// A cost that no path from `cell`, entered in the direction of this number, to any goal falls
    /// short of: the steps and the bends that directions alone demand.
    pub(super) fn of(&self, cell: Cell, way: usize) -> u32 {
        let to = |goal: &Goal| {
            let (dx, dy) = (goal.cell.x - cell.x, goal.cell.y - cell.y);
            STEP * (dx.unsigned_abs() + dy.unsigned_abs()) + goal.bends[quarter(dx, dy)][way]
        };
        self.goals.iter().map(to).min().unwrap_or(0)
    }
}

/// The number of the quarter in which something lies that is so far away, or of the line between
/// two quarters.
fn quarter(dx: i32, dy: i32) -> usize {
    let third = |value: i32| usize::from(value >= 0) + usize::from(value > 0);
    3 * third(dy) + third(dx)
}

/// How many bends a path has at least that leaves in the direction of this number for a goal so
/// far away.
fn n_bends((dx, dy): (i32, i32), way: usize, goal: &Gate) -> u32 {
    let along = |way: usize| {
        let (x, y) = direction(SIDES[way]);
        dx * x + dy * y
    };
    let last = number(opposite(goal.side));
    let aside = if way.is_multiple_of(2) { dx } else { dy };
    if way == last {
        match (along(way) >= 0, aside == 0) {
            (true, true) => 0,
            (true, false) => 2,
            _ => 4,
        }
    } else if way == last ^ 2 {
        if aside == 0 { 4 } else { 2 }
    } else if along(way) >= 0 && along(last) >= 0 {
        1
    } else {
        3
    }
}
