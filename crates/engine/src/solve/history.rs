//! Whether a situation depends on what was done before it.
//!
//! A circuit remembers only when a relay's contact has a say in its own coil circuit, perhaps by
//! way of other relays ([`crate::solve::influence`]), or when a device stands at a voltage between
//! the two at which it moves. Only then are sequences of actions explored, breadth first, so that
//! each lasting state comes with the shortest sequence that leads to it from rest.

use std::collections::{BTreeSet, VecDeque};

use crate::circuit::State;
use crate::solve::settle::{Rest, Verdict, settle};
use crate::solve::steady::Bench;

/// One action: a part (by index) is put into a position.
pub type Action = (usize, u8);

/// A lasting state and the shortest sequence of actions that leads to it from rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// The lasting state.
    pub rest: Rest,
    /// Actions from rest, in order.
    pub actions: Vec<Action>,
}

/// Most lasting states explored.
const MOST_EXPLORED: usize = 4096;

/// All lasting states with `positions` that some sequence of actions leads to, shortest first.
pub fn reached(bench: &Bench<'_>, positions: &[u8]) -> Vec<Reached> {
    let circuit = bench.circuit;
    let mut seen: BTreeSet<State> = BTreeSet::new();
    let mut queue = VecDeque::new();
    let mut found = Vec::new();
    // What is no input (a fuse taken out, a stalled motor) is as asked from the beginning.
    let mut rest = State { positions: positions.to_vec(), devices: circuit.rest().devices };
    for input in &circuit.inputs {
        rest.positions[input.part] = 0;
    }
    let start = settle(bench, rest);
    let mut enter = |rest: Rest, actions: Vec<Action>, queue: &mut VecDeque<Reached>| {
        if seen.insert(rest.state.clone()) {
            queue.push_back(Reached { rest, actions });
        }
    };
    for rest in start.rests {
        enter(rest, Vec::new(), &mut queue);
    }
    let mut explored = 0;
    while let Some(here) = queue.pop_front() {
        explored += 1;
        if explored > MOST_EXPLORED {
            break;
        }
        for input in &circuit.inputs {
            for position in 0..input.positions {
                if here.rest.state.positions[input.part] == position {
                    continue;
                }
                let mut state = here.rest.state.clone();
                state.positions[input.part] = position;
                let next = settle(bench, state);
                if next.verdict == Verdict::Collapse {
                    continue;
                }
                for rest in next.rests {
                    let mut actions = here.actions.clone();
                    actions.push((input.part, position));
                    enter(rest, actions, &mut queue);
                }
            }
        }
        if here.rest.state.positions == positions {
            found.push(here);
        }
    }
    found
}
