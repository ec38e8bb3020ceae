//! A bad joint may have any resistance; which of them are tried in a situation.
//!
//! Between two resistances that leave every device in the same state voltages and currents lie between those at both
//! ends: nothing works or fails in between that does not at one of them. Only the joint itself may get hotter there, and
//! how hot at most follows from its current at the lower one and its voltage at the higher one. Where nothing lasts
//! at one end, or devices differ, what lies between is tried.

use super::{Bench, Changed, Effect, HOT_JOINT_W};
use crate::document::Seen;
use crate::fault::{Fault, Outcome, Trial};
use crate::quantity::Ohms;

/// Resistances of a bad joint, in ohms: from one that is hardly felt to one that lets a lamp go out.
pub const JOINTS_OHM: [f64; 5] = [0.05, 0.25, 1.0, 5.0, 50.0];

/// How much more power may be in a joint than with loads that take less current at less voltage: an electronic load
/// takes up to half as much again before it turns off (common practice, no source).
const DRAWS_MORE: f64 = 2.25;

/// What a bad joint does in each situation in which it does anything, with the resistance at which that is worst.
pub(super) fn worst(
    bench: &Bench<'_>,
    trial: &Trial<'_>,
    fault: &Fault,
    branch: usize,
    positions: &[Vec<u8>],
) -> Vec<Effect> {
    let begin = |sound: &Outcome| Search::new(bench, sound, branch);
    let mut searches: Vec<Search> = bench.sound.iter().map(begin).collect();
    loop {
        let wanted: Vec<Option<usize>> = searches.iter().map(Search::next).collect();
        // All situations that want one resistance share its circuit.
        let Some(step) = wanted.iter().copied().flatten().next() else { break };
        let Some(ohm) = Ohms::new(JOINTS_OHM[step]) else { break };
        let here: Vec<usize> = (0..wanted.len()).filter(|index| wanted[*index] == Some(step)).collect();
        let only: Vec<Vec<u8>> = here.iter().map(|index| positions[*index].clone()).collect();
        let outcomes = trial.changed(&fault.changes(bench.circuit, ohm), &only);
        for (index, outcome) in here.into_iter().zip(outcomes) {
            let effect = bench.effect(index, &outcome, Some((branch, ohm)));
            searches[index].found(step, End::new(&outcome, branch, ohm.get()), effect);
        }
    }
    searches.into_iter().filter_map(|search| search.worst).collect()
}

/// What is known of a joint at one resistance.
#[derive(Clone, Debug)]
struct End {
    /// Its current, in amperes, and the voltage across it.
    amps: f64,
    volts: f64,
    /// The state of every device; `None` where nothing lasts or a fuse has opened.
    devices: Option<Vec<bool>>,
}

impl End {
    fn new(outcome: &Outcome, branch: usize, ohm: f64) -> End {
        let rest = outcome.rest().filter(|_| outcome.blown.is_empty());
        let amps = rest.map_or(0.0, |rest| rest.steady.amps(branch).abs());
        End { amps, volts: amps * ohm, devices: rest.map(|rest| rest.state.devices.clone()) }
    }
}

/// The search for the resistance that does most harm in one situation.
struct Search {
    sound: End,
    tried: [Option<End>; JOINTS_OHM.len()],
    worst: Option<Effect>,
    /// How much more power a joint may take than follows from its ends.
    more: f64,
    /// Whether all are tried, whether they can matter or not.
    tries_all: bool,
}

impl Search {
    fn new(bench: &Bench<'_>, sound: &Outcome, branch: usize) -> Search {
        let is_electronic = bench.circuit.devices.iter().any(|device| !device.relay);
        let sound = End::new(sound, branch, 0.0);
        Search {
            more: if is_electronic { DRAWS_MORE } else { 1.0 },
            tries_all: bench.tries_every_joint,
            tried: Default::default(),
            worst: None,
            sound,
        }
    }

    /// The resistance to try next, by its index: the highest, then the middle of each span that may hold something worse.
    fn next(&self) -> Option<usize> {
        let last = JOINTS_OHM.len() - 1;
        let Some(mut high) = self.tried[last].as_ref() else { return Some(last) };
        let mut above = last;
        for index in (0..last).rev() {
            if let Some(low) = &self.tried[index] {
                if let Some(middle) = self.within(low, high, index + 1, above) {
                    return Some(middle);
                }
                (high, above) = (low, index);
            }
        }
        self.within(&self.sound, high, 0, above)
    }

    /// The middle of the resistances from `first` to before `end`, which lie between `low` and `high`, if one of them may
    /// do more harm than is known.
    fn within(&self, low: &End, high: &End, first: usize, end: usize) -> Option<usize> {
        let known = self.worst.as_ref().map_or(0.0, watts).max(HOT_JOINT_W);
        let is_hot = |ohm: &f64| {
            let most = (low.amps * low.amps * ohm).min(high.volts * high.volts / ohm);
            self.more * most >= known
        };
        let are_alike = low.devices.is_some() && low.devices == high.devices;
        let tells_more = self.tries_all || !are_alike || JOINTS_OHM[first..end].iter().any(is_hot);
        (first < end && tells_more).then_some((first + end) / 2)
    }

    fn found(&mut self, step: usize, end: End, effect: Option<Effect>) {
        self.tried[step] = Some(end);
        if let Some(effect) = effect
            && self.worst.as_ref().is_none_or(|known| is_worse(&effect, known))
        {
            self.worst = Some(effect);
        }
    }
}

fn watts(effect: &Effect) -> f64 {
    effect.joint.map_or(0.0, |(watts, _)| watts)
}

/// Whether an effect is worse than another of the same mistake in the same situation.
fn is_worse(one: &Effect, other: &Effect) -> bool {
    let weight = |effect: &Effect| (effect.harm, -watts(effect), -(missed(&effect.loads) as f64));
    weight(one) < weight(other)
}

/// How much is missed of loads that are otherwise: a lamp that is dark is missed more than one that is dim.
fn missed(loads: &[Changed]) -> usize {
    loads.iter().map(|load| if load.is == Seen::Dim { 1 } else { 2 }).sum()
}
