//! Voltages and currents of one situation.
//!
//! [`linear`] solves networks of conductances. [`steady`] adds filaments, diodes, sources with
//! limits and electronic loads, for one fixed state of all contacts. [`settle`] lets relays and
//! electronic loads find their state. [`history`] tells when that depends on what was done before.
//! [`solve`] puts them together.

mod law;

pub mod history;
pub mod influence;
pub mod linear;
pub mod settle;
pub mod steady;

pub use history::Reached;
pub use law::FILAMENT_EXPONENT;
pub use settle::{Rest, Verdict};
pub use steady::{Balance, Bench, Steady};

use crate::circuit::{Circuit, State};
use crate::document::Situation;

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

/// Solves one situation, entered from rest.
///
/// Never fails: what cannot be solved has a [`Verdict`] that says so, and no readings.
pub fn solve(circuit: &Circuit, situation: &Situation) -> Solution {
    solve_positions(&Bench::new(circuit), circuit.positions(situation))
}

/// Solves the situation given by a position for each part, entered from rest.
pub fn solve_positions(bench: &Bench<'_>, positions: Vec<u8>) -> Solution {
    let circuit = bench.circuit;
    let all_at_once = circuit
        .inputs
        .iter()
        .filter(|input| positions[input.part] != 0)
        .map(|input| (input.part, positions[input.part]))
        .collect::<Vec<_>>();
    let start = State { positions: positions.clone(), devices: bench.devices_at_rest().to_vec() };
    let settled = settle::settle(bench, start);
    let restless = settled.restless;
    let mut reached: Vec<Reached> =
        settled.rests.into_iter().map(|rest| Reached { rest, actions: all_at_once.clone() }).collect();
    let mut verdict = settled.verdict;
    let in_between = || reached.iter().any(|reached| holds_either_way(circuit, &reached.rest));
    if verdict == Verdict::Settled && (bench.influence().remembers() || in_between()) {
        for other in history::reached(bench, &positions) {
            match reached.iter_mut().find(|known| known.rest.state == other.rest.state) {
                Some(known) => known.actions = other.actions,
                None => reached.push(other),
            }
        }
        if reached.len() > 1 {
            verdict = Verdict::History;
        }
    }
    let restless = if verdict == Verdict::History {
        let first = &reached[0].rest.state.devices;
        (0..first.len()).filter(|d| reached.iter().any(|r| r.rest.state.devices[*d] != first[*d])).collect()
    } else {
        restless
    };
    Solution { verdict, reached, restless }
}

/// Whether some device has a voltage between the two at which it moves: it stays as it is, and would
/// also stay the other way, had it been brought there by something done before.
fn holds_either_way(circuit: &Circuit, rest: &Rest) -> bool {
    circuit.devices.iter().zip(&rest.state.devices).any(|(device, on)| {
        let branch = &circuit.branches[device.branch];
        let volts = rest.steady.between(branch.from, branch.to).unwrap_or(0.0);
        let volts = if device.relay { volts.abs() } else { volts };
        if *on { volts < device.on_at } else { volts > device.off_at }
    })
}

#[cfg(test)]
mod tests;
