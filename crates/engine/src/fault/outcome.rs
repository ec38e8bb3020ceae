//! What a fault leads to in one situation: states, voltages and currents, and the fuses that open.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use crate::arrange;
use crate::circuit::{Change, Circuit};
use crate::kind::{OPENS_ABOVE, Role};
use crate::protection::guard::Link;
use crate::solve::{Rest, Settled, Solver};

/// What comes of a circuit in one situation.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How it ends once every fuse has opened that does.
    pub settled: Settled,
    /// The fuses and breakers that open, in the order they do.
    pub blown: Vec<Blown>,
    /// The state before each of them opens.
    pub before: Vec<Rest>,
}

/// A fuse that opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blown {
    /// Its branch.
    pub branch: usize,
    /// What it carries before, in amperes.
    pub amps: f64,
    /// The longest it may take at that, in seconds; `None` where that is not known.
    pub seconds: Option<f64>,
}

impl Outcome {
    fn before_any_opens(solver: &Solver<'_>, positions: &[u8]) -> Outcome {
        Outcome { settled: solver.enter(positions.to_vec()), blown: Vec::new(), before: Vec::new() }
    }

    /// The lasting state; none where nothing lasts or it depends on timing.
    pub fn rest(&self) -> Option<&Rest> {
        self.settled.shown()
    }
}

/// A circuit on which faults are tried.
pub struct Trial<'c> {
    healthy: Solver<'c>,
    links: Vec<Option<Link>>,
    /// What situations come to without a fault, by their positions.
    known: RefCell<BTreeMap<Vec<u8>, Rc<Healthy>>>,
    /// Whether every changed circuit is solved from nothing.
    is_plain: bool,
}

/// What a situation comes to without a fault.
struct Healthy {
    outcome: Outcome,
    /// The states on the way there, the last one among them.
    visited: Vec<Rest>,
}

impl<'c> Trial<'c> {
    /// Prepares a circuit.
    pub fn new(circuit: &'c Circuit) -> Trial<'c> {
        Trial {
            healthy: Solver::new(circuit),
            links: Link::all(circuit),
            known: RefCell::default(),
            is_plain: false,
        }
    }

    /// The same, solving every changed circuit from nothing: what [`Trial::new`] is measured against.
    pub fn from_nothing(circuit: &'c Circuit) -> Trial<'c> {
        Trial { is_plain: true, ..Trial::new(circuit) }
    }

    /// The circuit without a fault.
    pub fn circuit(&self) -> &'c Circuit {
        self.healthy.circuit()
    }

    /// What each of these situations, given by a position for each part, comes to without a fault.
    pub fn healthy(&self, situations: &[Vec<u8>]) -> Vec<Outcome> {
        situations.iter().map(|positions| self.sound(positions).outcome.clone()).collect()
    }

    /// Prepares `changed`, which is the circuit with these changes, to be solved.
    pub fn beside<'d>(&'d self, changed: &'d Circuit, changes: &[Change]) -> Solver<'d> {
        match self.is_plain {
            true => Solver::new(changed),
            false => self.healthy.beside(changed, branches(changes, changed, self.circuit())),
        }
    }

    /// What each of these situations comes to with these changes.
    pub fn changed(&self, changes: &[Change], situations: &[Vec<u8>]) -> Vec<Outcome> {
        if changes.is_empty() {
            return self.healthy(situations);
        }
        let circuit = self.circuit().changed(changes);
        let solver = self.beside(&circuit, changes);
        let mut outcomes: Vec<Outcome> =
            situations.iter().map(|positions| self.entered(&solver, positions)).collect();
        self.open_fuses(&solver, changes, situations, &mut outcomes, (0..situations.len()).collect());
        outcomes
    }

    fn sound(&self, positions: &[u8]) -> Rc<Healthy> {
        let known = self.known.borrow().get(positions).cloned();
        known.unwrap_or_else(|| {
            let mut visited = Vec::new();
            let start = self.healthy.entered(positions.to_vec());
            self.healthy.settle_watched(start, &mut |state, steady| {
                visited.push(Rest { state: state.clone(), steady: Rc::new(steady.clone()) });
            });
            let mut outcomes = [Outcome::before_any_opens(&self.healthy, positions)];
            self.open_fuses(&self.healthy, &[], &[positions.to_vec()], &mut outcomes, vec![0]);
            let [outcome] = outcomes;
            let made = Rc::new(Healthy { outcome, visited });
            self.known.borrow_mut().insert(positions.to_vec(), Rc::clone(&made));
            made
        })
    }

    /// What a situation comes to before any fuse opens. Where what is otherwise carries what it carried, in the state at
    /// rest and in every one on the way from there, each device does what it did.
    fn entered(&self, solver: &Solver<'_>, positions: &[u8]) -> Outcome {
        let (sound, at_rest) = (self.sound(positions), self.sound(&vec![0; positions.len()]));
        let mut visited = sound.visited.iter().chain(&at_rest.visited);
        let is_untouched = |rest: &Rest| solver.is_untouched(&rest.state, &rest.steady);
        if sound.outcome.blown.is_empty() && visited.all(is_untouched) && sound.outcome.rest().is_some() {
            let mut outcome = sound.outcome.clone();
            for rest in &mut outcome.settled.rests {
                rest.steady = solver.rejoined(&rest.state, &rest.steady);
            }
            return outcome;
        }
        Outcome::before_any_opens(solver, positions)
    }

    /// Opens in the outcomes `among` all, by their index, the fuses that carry what they are sure to open at, the one that
    /// is first taking its current away from the others. Opening only takes conductors away, so there are at most as many
    /// steps as fuses. Situations in which the same fuse is next share the circuit without it.
    fn open_fuses(
        &self,
        solver: &Solver<'_>,
        changes: &[Change],
        situations: &[Vec<u8>],
        outcomes: &mut [Outcome],
        among: Vec<usize>,
    ) {
        let mut next: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for index in among {
            let outcome = &mut outcomes[index];
            if let Some(blown) = self.first_to_open(solver.circuit(), &outcome.settled, &outcome.blown) {
                outcome.blown.push(blown);
                outcome.before.extend(outcome.settled.shown().cloned());
                next.entry(blown.branch).or_default().push(index);
            }
        }
        for (fuse, among) in next {
            let changes = [changes, &[Change::Law(fuse, None)]].concat();
            let circuit = self.circuit().changed(&changes);
            let without = match self.is_plain {
                true => Solver::new(&circuit),
                false => solver.beside(&circuit, vec![fuse]),
            };
            for index in &among {
                outcomes[*index].settled = without.enter(situations[*index].clone());
            }
            self.open_fuses(&without, &changes, situations, outcomes, among);
        }
    }

    /// The fuse that opens first, if any does.
    fn first_to_open(&self, circuit: &Circuit, settled: &Settled, blown: &[Blown]) -> Option<Blown> {
        let steady = &settled.shown()?.steady;
        let opens = |branch: usize| -> Option<Blown> {
            let Role::Protection(Some(rated)) = circuit.branches[branch].role else { return None };
            let amps = steady.amps(branch).abs();
            if amps < OPENS_ABOVE * rated.get() || blown.iter().any(|one| one.branch == branch) {
                return None;
            }
            let band = self.links.get(branch)?.as_ref().and_then(|link| link.band.as_ref());
            let seconds = band.map(|band| band.slowest_s(amps / rated.get()));
            Some(Blown { branch, amps, seconds: seconds.filter(|seconds| seconds.is_finite()) })
        };
        let time = |one: &Blown| one.seconds.unwrap_or(f64::INFINITY);
        (0..circuit.branches.len()).filter_map(opens).min_by(|a, b| time(a).total_cmp(&time(b)))
    }
}

/// The branches that changes are about, with those that they add.
fn branches(changes: &[Change], changed: &Circuit, whole: &Circuit) -> Vec<usize> {
    let about = arrange::set_of(changes.iter().map(|change| change.branch()));
    about.into_iter().chain(whole.branches.len()..changed.branches.len()).collect()
}
