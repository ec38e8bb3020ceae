//! Whether a situation depends on what was done before it.
//!
//! A circuit remembers only where a relay's contact has a say in its own coil circuit, perhaps by way of other
//! relays, or where a device stands at a voltage between the two at which it moves. Only there are sequences of
//! actions explored, breadth first, so that each lasting state comes with the shortest sequence that leads to it
//! from rest; and only over the inputs that have a say there ([`crate::solve::influence`]). What remembers in one
//! place is the same whatever is switched in another, so each place is explored once for all situations.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

use crate::circuit::{Circuit, State};
use crate::solve::influence::{Cone, gather};
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

/// A lasting state found while exploring one place, everything else being at rest.
#[derive(Clone, Debug)]
struct Visit {
    state: State,
    actions: Vec<Action>,
}

/// What has been found out about the past, kept for the next situation.
#[derive(Debug, Default)]
pub(super) struct Memory {
    at_rest: OnceCell<Vec<bool>>,
    /// Lasting states by the inputs whose changes lead there.
    visits: RefCell<BTreeMap<Vec<usize>, Rc<Vec<Visit>>>>,
}

impl Memory {
    /// The devices that are on with every part at rest, where that is one lasting state; else none.
    pub fn devices_at_rest(&self, bench: &Bench<'_>) -> &[bool] {
        self.at_rest.get_or_init(|| match &settle(bench, bench.circuit.rest()).rests[..] {
            [rest] => rest.state.devices.clone(),
            _ => bench.circuit.rest().devices,
        })
    }

    /// The lasting states that changing the inputs of `place` leads to from rest; explored once.
    fn visits(&self, bench: &Bench<'_>, place: &Cone) -> Rc<Vec<Visit>> {
        let inputs: Vec<usize> = place.inputs.iter().copied().collect();
        if let Some(known) = self.visits.borrow().get(&inputs) {
            return Rc::clone(known);
        }
        let visits = Rc::new(explore(bench, place));
        self.visits.borrow_mut().insert(inputs, Rc::clone(&visits));
        visits
    }
}

/// Most changes tried in one place. Beyond it further lasting states may exist that are not listed; that takes a
/// dozen switches which all have a say in one self-holding relay.
const MOST_CHANGES: usize = 4096;

/// The lasting states with the positions of `first` that other sequences of actions lead to, `first` among them.
///
/// `first` is where all settings made at once from rest lead. Places that have nothing to do with each other are
/// not multiplied: each state differs from `first` in one of them.
pub(super) fn reached(bench: &Bench<'_>, memory: &Memory, first: Rest) -> Vec<Reached> {
    let circuit = bench.circuit;
    let positions = first.state.positions.clone();
    let mut places = bench.influence().remembering().to_vec();
    for device in holding_either_way(circuit, &first) {
        gather(&mut places, bench.influence().on_device(device));
    }
    let mut found = vec![Reached { rest: first, actions: all_at_once(circuit, &positions) }];
    for place in places {
        let before: Vec<Action> = others_at_once(circuit, &positions, &place);
        for visit in
            memory.visits(bench, &place).iter().filter(|visit| agrees(circuit, &place, visit, &positions))
        {
            let mut state = found[0].rest.state.clone();
            for device in &place.devices {
                state.devices[*device] = visit.state.devices[*device];
            }
            let actions = [&before[..], &visit.actions].concat();
            if state == found[0].rest.state {
                found[0].actions = actions;
                continue;
            }
            for rest in settle(bench, state).rests {
                if found.iter().all(|known| known.rest.state != rest.state) {
                    found.push(Reached { rest, actions: actions.clone() });
                }
            }
        }
    }
    found
}

/// The actions that bring all inputs from rest to `positions`, in the order of the parts.
pub(super) fn all_at_once(circuit: &Circuit, positions: &[u8]) -> Vec<Action> {
    others_at_once(circuit, positions, &Cone::default())
}

fn others_at_once(circuit: &Circuit, positions: &[u8], place: &Cone) -> Vec<Action> {
    let inputs = circuit.inputs.iter().enumerate();
    inputs
        .filter(|(index, input)| !place.inputs.contains(index) && positions[input.part] != 0)
        .map(|(_, input)| (input.part, positions[input.part]))
        .collect()
}

fn agrees(circuit: &Circuit, place: &Cone, visit: &Visit, positions: &[u8]) -> bool {
    let mut parts = place.inputs.iter().map(|input| circuit.inputs[*input].part);
    parts.all(|part| visit.state.positions[part] == positions[part])
}

/// Devices with a voltage between the two at which they move: they stay as they are, and would also stay the
/// other way, had they been brought there by something done before.
fn holding_either_way(circuit: &Circuit, rest: &Rest) -> Vec<usize> {
    let holds = |(index, on): (usize, &bool)| {
        let device = &circuit.devices[index];
        let branch = &circuit.branches[device.branch];
        let volts = rest.steady.between(branch.from, branch.to).unwrap_or(0.0);
        let volts = if device.relay { volts.abs() } else { volts };
        let either = if *on { volts < device.on_at } else { volts > device.off_at };
        either.then_some(index)
    };
    rest.state.devices.iter().enumerate().filter_map(holds).collect()
}

/// All lasting states that changing the inputs of one place leads to from rest, shortest first.
fn explore(bench: &Bench<'_>, place: &Cone) -> Vec<Visit> {
    let circuit = bench.circuit;
    let mut seen: BTreeSet<State> = BTreeSet::new();
    let mut queue = VecDeque::new();
    let mut found = Vec::new();
    let mut enter = |rests: Vec<Rest>, actions: &[Action], queue: &mut VecDeque<Visit>| {
        for rest in rests {
            if seen.insert(rest.state.clone()) {
                queue.push_back(Visit { state: rest.state, actions: actions.to_vec() });
            }
        }
    };
    enter(settle(bench, circuit.rest()).rests, &[], &mut queue);
    let mut n_changes = 0;
    while let Some(here) = queue.pop_front() {
        for input in place.inputs.iter().map(|input| &circuit.inputs[*input]) {
            for position in (0..input.positions).filter(|p| here.state.positions[input.part] != *p) {
                n_changes += 1;
                if n_changes > MOST_CHANGES {
                    break;
                }
                let mut state = here.state.clone();
                state.positions[input.part] = position;
                let next = settle(bench, state);
                if next.verdict != Verdict::Collapse {
                    enter(next.rests, &[&here.actions[..], &[(input.part, position)]].concat(), &mut queue);
                }
            }
        }
        found.push(here);
    }
    found
}
