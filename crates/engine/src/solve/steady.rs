//! Voltages and currents for one fixed set of switch, relay and load states: what comes out, and the circuit prepared
//! for it.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use crate::circuit::reach::walk;
use crate::circuit::{Branch, CHASSIS, Circuit, Device, Gate, NetIndex, State};
use crate::kind::Law;
use crate::quantity::{Ohms, Volts};
use crate::solve::influence::Influence;
use crate::solve::known::{Here, Known};
use crate::solve::law::{self, Companion};
use crate::solve::linear::Pattern;
use crate::solve::newton::{self, Scratch, Unloaded};

/// Voltages and currents of one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Steady {
    /// Volts of each net against the zero of its island.
    pub(super) local: Vec<f64>,
    /// The island of each net: nets with one number are connected.
    pub(super) island: Vec<u32>,
    /// Amperes of each branch, from its first net to its second.
    pub(super) amps: Vec<f64>,
    /// Whether each branch joins its ends.
    pub(super) conducting: Vec<bool>,
    /// What the self-check found.
    pub balance: Balance,
}

/// What remains when a solution is put back into the laws.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Balance {
    /// Largest sum of currents into any net, in amperes.
    pub current_a: f64,
    /// Power of all branches together, in watts: what sources give less what loads take.
    pub power_w: f64,
    /// Whether both are small enough to show the solution.
    pub holds: bool,
}

impl Steady {
    /// Volts of a net against the chassis; `None` where no such voltage is defined.
    pub fn volts(&self, net: NetIndex) -> Option<f64> {
        (self.island[net] == self.island[CHASSIS]).then_some(self.local[net])
    }

    /// Volts from one net to another; `None` when they are not connected.
    pub fn between(&self, from: NetIndex, to: NetIndex) -> Option<f64> {
        (self.island[from] == self.island[to]).then(|| self.local[from] - self.local[to])
    }

    /// Amperes through a branch, from its first net to its second.
    pub fn amps(&self, branch: usize) -> f64 {
        self.amps[branch]
    }

    /// Whether a branch joins its two nets: closed, and not a diode that blocks.
    pub fn conducting(&self, branch: usize) -> bool {
        self.conducting[branch]
    }

    /// Watts a branch takes; negative for one that gives.
    pub fn watts(&self, circuit: &Circuit, branch: usize) -> f64 {
        let Branch { from, to, .. } = circuit.branches[branch];
        self.between(from, to).unwrap_or(0.0) * self.amps[branch]
    }
}

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoSolution {
    /// The supply cannot deliver what these electronic loads (by device) ask for.
    Collapse(Vec<usize>),
    /// The iteration did not come to rest, or its result failed the self-check.
    NotFound,
}

/// A circuit prepared for solving many states.
pub struct Bench<'c> {
    /// The circuit.
    pub circuit: &'c Circuit,
    /// Law of each branch: the circuit's own, or what stands in for it.
    pub(super) laws: Vec<Option<Law>>,
    pub(super) pattern: Rc<Pattern>,
    /// Edge of the pattern by branch; `None` for a branch to the chassis or within one net.
    pub(super) edge: Vec<Option<usize>>,
    pub(super) n_edges: usize,
    /// Companion of each branch before any voltage is known.
    pub(super) first: Vec<Companion>,
    /// Branches whose law is not a straight line.
    pub(super) bent: Vec<usize>,
    /// Whether each branch has a law and always conducts.
    always: Vec<bool>,
    /// The other branches that have a law.
    gated: Vec<usize>,
    /// Whether every source always hangs on the chassis with its negative pole, so that no part of the circuit
    /// needs a zero of its own.
    pub(super) is_tied: bool,
    influence: Rc<Influence>,
    known: RefCell<Known>,
    /// States solved so far, those found again not counted.
    n_solved: Cell<u64>,
    /// Room to work in, handed from one solution to the next.
    pub(super) scratch: RefCell<Scratch>,
}

impl<'c> Bench<'c> {
    /// Prepares `circuit`: orders its elimination once for all states.
    pub fn new(circuit: &'c Circuit) -> Bench<'c> {
        let mut pairs = Vec::new();
        let edge = circuit
            .branches
            .iter()
            .map(|branch| {
                let joins_two = branch.from != branch.to && branch.from != CHASSIS && branch.to != CHASSIS;
                joins_two.then(|| {
                    pairs.push((branch.from - 1, branch.to - 1));
                    pairs.len() - 1
                })
            })
            .collect();
        let pattern = Pattern::new(circuit.nets.len() - 1, &pairs);
        let influence = Rc::new(Influence::new(circuit));
        let laws: Vec<Option<Law>> = circuit.branches.iter().map(|branch| branch.law).collect();
        let (always, gated) = always_and_gated(circuit, &laws);
        Bench {
            circuit,
            first: firsts(&laws),
            bent: bent(&laws),
            always,
            gated,
            laws,
            n_edges: pairs.len(),
            pattern: Rc::new(pattern),
            edge,
            is_tied: is_tied(circuit),
            influence,
            known: RefCell::new(Known::new(circuit)),
            n_solved: Cell::new(0),
            scratch: RefCell::default(),
        }
    }

    /// The same circuit with other resistances in place of its own, by branch.
    pub fn with_resistances(&self, resistance: impl Fn(usize) -> Option<Ohms>) -> Bench<'c> {
        let stand_in = |(index, law): (usize, &Option<Law>)| resistance(index).map(Law::Resistance).or(*law);
        self.with_laws(self.laws.iter().enumerate().map(stand_in).collect())
    }

    /// The same circuit with every source giving so many volts more, or less where that is negative.
    pub fn with_supply(&self, more: f64) -> Bench<'c> {
        let changed = |law: &Option<Law>| match *law {
            Some(Law::Source { emf, internal, limit, one_way }) => {
                let emf = Volts::new((emf.get() + more).max(0.0)).unwrap_or(emf);
                Some(Law::Source { emf, internal, limit, one_way })
            }
            other => other,
        };
        self.with_laws(self.laws.iter().map(changed).collect())
    }

    /// The same circuit with another law where `change` gives one, by branch.
    pub fn with_changed(&self, change: impl Fn(usize, Law) -> Option<Law>) -> Bench<'c> {
        let changed = |(index, law): (usize, &Option<Law>)| law.and_then(|law| change(index, law)).or(*law);
        self.with_laws(self.laws.iter().enumerate().map(changed).collect())
    }

    fn with_laws(&self, laws: Vec<Option<Law>>) -> Bench<'c> {
        Bench {
            circuit: self.circuit,
            first: firsts(&laws),
            bent: bent(&laws),
            always: self.always.clone(),
            gated: self.gated.clone(),
            laws,
            pattern: Rc::clone(&self.pattern),
            edge: self.edge.clone(),
            n_edges: self.n_edges,
            is_tied: self.is_tied,
            influence: Rc::clone(&self.influence),
            known: RefCell::new(Known::new(self.circuit)),
            n_solved: Cell::new(0),
            scratch: RefCell::default(),
        }
    }

    /// The solution of one state; what was solved before is not solved again.
    pub(super) fn steady(&self, state: &State) -> Result<Rc<Steady>, NoSolution> {
        let is_closed = |index: &usize| self.circuit.closed(*index, state);
        let bits =
            |some: &[usize]| some.iter().rev().fold(0, |bits, index| bits << 1 | u64::from(is_closed(index)));
        let key: Vec<u64> = self.gated.chunks(64).map(bits).collect();
        let mut known = self.known.borrow_mut();
        let mut n_solved = 0;
        let here = known.with_closed(key, || {
            let closed = self.closed(state);
            let unloaded = newton::unloaded(self, &closed)?;
            let may_draw = self.may_draw(&closed, &unloaded);
            let mut here = Here { may_draw, unloaded: Some(unloaded), solutions: BTreeMap::new() };
            if here.may_draw.is_empty()
                && let Some(unloaded) = here.unloaded.take()
            {
                let found = newton::loaded(self, &closed, unloaded, Vec::new()).map(Rc::new);
                here.solutions.insert(Vec::new(), found);
                n_solved += 1;
            }
            Ok(here)
        });
        let here = here.as_mut().map_err(|none| none.clone())?;
        let drawing: Vec<usize> =
            here.may_draw.iter().copied().filter(|device| state.devices[*device]).collect();
        let found = match (here.solutions.get(&drawing), &here.unloaded) {
            (Some(found), _) => found.clone(),
            (None, None) => return Err(NoSolution::NotFound),
            (None, Some(unloaded)) => {
                let found =
                    newton::loaded(self, &self.closed(state), unloaded.clone(), drawing.clone()).map(Rc::new);
                here.solutions.insert(drawing, found.clone());
                n_solved += 1;
                found
            }
        };
        known.n_kept += n_solved;
        self.n_solved.set(self.n_solved.get() + n_solved as u64);
        found
    }

    /// Whether each branch has a law and conducts in a state.
    fn closed(&self, state: &State) -> Vec<bool> {
        let mut closed = self.always.clone();
        for index in &self.gated {
            closed[*index] = self.circuit.closed(*index, state);
        }
        closed
    }

    /// The electronic loads, by device, whose voltage lets them stay on before any of them draws.
    ///
    /// Those without enough voltage stay off: they are waiting to be switched, and asking for their power now would be
    /// asking for a collapse that never was.
    fn may_draw(&self, closed: &[bool], unloaded: &Unloaded) -> Vec<usize> {
        let may_draw = |(index, device): (usize, &Device)| {
            let branch = &self.circuit.branches[device.branch];
            let across = unloaded.volts[branch.from] - unloaded.volts[branch.to];
            (!device.relay && closed[device.branch] && across >= device.off_at).then_some(index)
        };
        self.circuit.devices.iter().enumerate().filter_map(may_draw).collect()
    }

    /// How many states have been solved so far; what is known already is not solved again.
    pub fn n_solved(&self) -> u64 {
        self.n_solved.get()
    }

    /// What has a say in what.
    pub fn influence(&self) -> &Influence {
        &self.influence
    }
}

/// Whether each branch has a law and always conducts, and the other branches that have one.
fn always_and_gated(circuit: &Circuit, laws: &[Option<Law>]) -> (Vec<bool>, Vec<usize>) {
    let has_law = |index: usize| laws[index].is_some();
    let is_always = |index: usize| has_law(index) && circuit.branches[index].gate == Gate::Always;
    let all = 0..laws.len();
    (
        all.clone().map(is_always).collect(),
        all.filter(|index| has_law(*index) && !is_always(*index)).collect(),
    )
}

/// The branches whose law is not a straight line.
fn bent(laws: &[Option<Law>]) -> Vec<usize> {
    let is_bent = |index: &usize| laws[*index].as_ref().is_some_and(|law| !law::is_linear(law));
    (0..laws.len()).filter(is_bent).collect()
}

fn firsts(laws: &[Option<Law>]) -> Vec<Companion> {
    laws.iter().map(|law| law.as_ref().map_or(law::NOTHING, law::first)).collect()
}

fn is_tied(circuit: &Circuit) -> bool {
    let always = |index: usize, _| {
        let branch = &circuit.branches[index];
        branch.gate == Gate::Always && matches!(branch.law, Some(Law::Resistance(_)))
    };
    let tied: BTreeSet<NetIndex> =
        walk(circuit, &[CHASSIS], always).into_iter().map(|(net, _)| net).collect();
    circuit.sources().all(|source| tied.contains(&circuit.branches[source].to))
}
