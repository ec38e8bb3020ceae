//! Voltages and currents of one situation.
//!
//! [`linear`] solves networks of conductances. [`steady`] adds filaments, diodes, sources with
//! limits and electronic loads, for one fixed state of all contacts, by Newton's method. [`settle`] lets relays and
//! electronic loads find their state. [`influence`] tells what has a say in what, and [`history`] when a
//! state depends on what was done before.
//! [`Solver`] puts them together.

mod balance;
mod known;
mod law;
mod newton;

pub mod history;
pub mod influence;
pub mod linear;
mod order;
pub mod settle;
pub mod steady;
pub mod working;

pub use history::{Action, Reached};
pub use law::FILAMENT_EXPONENT;
pub use settle::{Rest, Settled, Verdict};
pub use steady::{Balance, Steady};

use std::rc::Rc;

use history::Memory;
use influence::Influence;
use steady::Bench;

use crate::circuit::{Circuit, State};
use crate::document::Situation;
use crate::kind::Law;
use crate::quantity::Ohms;

/// What one situation comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// How it comes to rest.
    pub verdict: Verdict,
    /// The lasting states it may be in, each with the shortest sequence of actions that leads there
    /// from rest. The first is the one met by making all settings at once from rest.
    /// Empty when it does not come to rest.
    pub reached: Vec<Reached>,
    /// Devices that do not come to rest, or that race, or whose power cannot be delivered.
    pub restless: Vec<usize>,
}

impl Solution {
    /// The lasting state whose readings are shown; none when there is none or when it depends on
    /// timing.
    pub fn shown(&self) -> Option<&Rest> {
        match self.verdict {
            Verdict::Settled | Verdict::History => self.reached.first().map(|reached| &reached.rest),
            _ => None,
        }
    }
}

/// A circuit prepared for solving many situations.
pub struct Solver<'c> {
    bench: Bench<'c>,
    memory: Memory,
}

impl<'c> Solver<'c> {
    /// Prepares a circuit.
    pub fn new(circuit: &'c Circuit) -> Solver<'c> {
        Solver { bench: Bench::new(circuit), memory: Memory::default() }
    }

    /// Prepares `circuit`, which differs from the circuit of this one in the branches `changed`, and perhaps has more. Where
    /// no branch joins other nets, what hangs together is not found out anew.
    pub fn beside<'d>(&'d self, circuit: &'d Circuit, changed: Vec<usize>) -> Solver<'d> {
        Solver { bench: Bench::beside(&self.bench, circuit, changed), memory: Memory::default() }
    }

    /// Whether nothing notices in a state of the circuit that this one was prepared beside what is otherwise in this one:
    /// voltages and currents are the same, and only what hangs together may differ.
    pub fn is_untouched(&self, state: &State, steady: &Steady) -> bool {
        self.bench.is_untouched(state, steady)
    }

    /// The solution of such a state in this circuit.
    pub fn rejoined(&self, state: &State, steady: &Rc<Steady>) -> Rc<Steady> {
        self.bench.rejoined(state, steady)
    }

    /// The same circuit with other resistances in place of the wires' own, by branch.
    pub fn with_resistances(&self, resistance: impl Fn(usize) -> Option<Ohms>) -> Solver<'c> {
        Solver { bench: self.bench.with_resistances(resistance), memory: Memory::default() }
    }

    /// The same circuit with every source giving so many volts more, or less where that is negative.
    pub fn with_supply(&self, more: f64) -> Solver<'c> {
        Solver { bench: self.bench.with_supply(more), memory: Memory::default() }
    }

    /// Lets the devices of `start` come to rest with its positions held.
    pub fn settle(&self, start: State) -> Settled {
        settle::settle(&self.bench, start)
    }

    /// The same; `watch` is shown every state whose voltages decide what moves next.
    pub fn settle_watched(&self, start: State, watch: &mut dyn FnMut(&State, &Steady)) -> Settled {
        settle::settle_watched(&self.bench, start, watch)
    }

    /// The same circuit with another law where `change` gives one, by branch.
    pub fn with_changed(&self, change: impl Fn(usize, Law) -> Option<Law>) -> Solver<'c> {
        Solver { bench: self.bench.with_changed(change), memory: Memory::default() }
    }

    /// Voltages and currents while every device is held in its state, whatever its voltage asks of it; `None` when
    /// there is no such solution.
    pub fn held(&self, state: &State) -> Option<Rc<Steady>> {
        self.bench.steady(state).ok()
    }

    /// The state in which these positions are entered from rest: no device has moved yet.
    pub fn entered(&self, positions: Vec<u8>) -> State {
        State { positions, devices: self.memory.devices_at_rest(&self.bench).to_vec() }
    }

    /// The same as [`Solver::solve`] for whoever asks only for the state that is shown: what else a situation may come
    /// to after other actions is not looked for, which takes most of the time where many relays may hold either way.
    pub fn enter(&self, positions: Vec<u8>) -> Settled {
        settle::settle(&self.bench, self.entered(positions))
    }

    /// How many states have been solved so far: what time has been spent in proportion to.
    pub fn n_solved(&self) -> u64 {
        self.bench.n_solved()
    }

    /// The circuit.
    pub fn circuit(&self) -> &'c Circuit {
        self.bench.circuit
    }

    /// What has a say in what.
    pub fn influence(&self) -> &Influence {
        self.bench.influence()
    }

    /// Solves the situation given by a position for each part, entered from rest.
    ///
    /// Never fails: what cannot be solved has a [`Verdict`] that says so, and no readings.
    pub fn solve(&self, positions: Vec<u8>) -> Solution {
        let circuit = self.bench.circuit;
        let mut settled = self.enter(positions);
        if settled.verdict == Verdict::Settled
            && let Some(first) = settled.rests.pop()
        {
            let reached = history::reached(&self.bench, &self.memory, first);
            let devices = |reached: &Reached, device: usize| reached.rest.state.devices[device];
            let restless: Vec<usize> = (0..circuit.devices.len())
                .filter(|device| reached.iter().any(|r| devices(r, *device) != devices(&reached[0], *device)))
                .collect();
            let verdict = if reached.len() > 1 { Verdict::History } else { Verdict::Settled };
            return Solution { verdict, reached, restless };
        }
        let reach = |rest: Rest| {
            let actions = history::all_at_once(circuit, &rest.state.positions);
            Reached { rest, actions }
        };
        Solution {
            verdict: settled.verdict,
            reached: settled.rests.into_iter().map(reach).collect(),
            restless: settled.restless,
        }
    }
}

/// How much more current a branch takes for each volt more across it, in siemens, as it stands in a lasting state; less
/// than nought for an electronic load, nought for what does not conduct.
pub fn slope(circuit: &Circuit, rest: &Rest, branch: usize) -> f64 {
    let own = &circuit.branches[branch];
    let (Some(law), true) = (own.law, rest.steady.conducting(branch)) else { return 0.0 };
    let volts = rest.steady.between(own.from, own.to).unwrap_or(0.0);
    let is_on = circuit.device_of(branch).is_some_and(|device| rest.state.devices[device]);
    law::companion(&law, volts, is_on).conductance
}

/// Solves one situation, entered from rest; to solve several, prepare a [`Solver`].
pub fn solve(circuit: &Circuit, situation: &Situation) -> Solution {
    Solver::new(circuit).solve(circuit.positions(situation))
}

#[cfg(test)]
mod tests;
