//! Voltages and currents for one fixed set of switch, relay and load states: what comes out, and the circuit prepared
//! for it.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use crate::circuit::reach::walk;
use crate::circuit::{Branch, CHASSIS, Circuit, Device, Gate, NetIndex, State};
use crate::kind::Law;
use crate::quantity::{Ohms, Volts};
use crate::solve::influence::Influence;
use crate::solve::known::{Drawn, Here, Known};
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

/// Current, in amperes, by which a branch may differ from what it carried and still go unnoticed.
const UNNOTICED: f64 = 1e-13;

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoSolution {
    /// The supply cannot deliver what these electronic loads (by device) ask for.
    Collapse(Vec<usize>),
    /// The iteration did not come to rest, or its result failed the self-check.
    NotFound,
}

/// What of a circuit hangs together: the order of its elimination, and which branch adds to what.
pub(super) struct Structure {
    pub pattern: Pattern,
    /// Edge of the pattern by branch; `None` for a branch to the chassis or within one net.
    pub edge: Vec<Option<usize>>,
    pub n_edges: usize,
    /// Whether every source always hangs on the chassis with its negative pole, so that no part of the circuit needs a
    /// zero of its own.
    pub is_tied: bool,
}

impl Structure {
    fn new(circuit: &Circuit) -> Structure {
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
        Structure { pattern, edge, n_edges: pairs.len(), is_tied: is_tied(circuit) }
    }
}

/// A circuit prepared for solving many states.
pub struct Bench<'c> {
    /// The circuit.
    pub circuit: &'c Circuit,
    /// Law of each branch: the circuit's own, or what stands in for it.
    pub(super) laws: Vec<Option<Law>>,
    /// What hangs together, found out when first asked for: what nothing notices is never solved.
    structure: OnceCell<Rc<Structure>>,
    /// Companion of each branch before any voltage is known.
    pub(super) first: Vec<Companion>,
    /// Branches whose law is not a straight line.
    pub(super) bent: Vec<usize>,
    /// Whether each branch has a law and always conducts.
    always: Vec<bool>,
    /// The other branches that have a law.
    gated: Vec<usize>,
    influence: OnceCell<Rc<Influence>>,
    /// The circuit that this one differs from in `changed`.
    beside: Option<&'c Bench<'c>>,
    /// The branches that are otherwise than there.
    changed: Vec<usize>,
    known: RefCell<Known>,
    /// States solved so far, those found again not counted.
    n_solved: Cell<u64>,
    /// Room to work in, handed from one solution to the next.
    pub(super) scratch: RefCell<Scratch>,
}

impl<'c> Bench<'c> {
    /// Prepares `circuit`: orders its elimination once for all states.
    pub fn new(circuit: &'c Circuit) -> Bench<'c> {
        let laws: Vec<Option<Law>> = circuit.branches.iter().map(|branch| branch.law).collect();
        let (always, gated) = always_and_gated(circuit, &laws);
        Bench {
            circuit,
            first: firsts(&laws),
            bent: bent(&laws),
            always,
            gated,
            laws,
            structure: OnceCell::new(),
            influence: OnceCell::new(),
            beside: None,
            changed: Vec::new(),
            known: RefCell::new(Known::new(circuit)),
            n_solved: Cell::new(0),
            scratch: RefCell::default(),
        }
    }

    /// Prepares `circuit`, which differs from the circuit of `base` in the branches `changed`, and perhaps has more.
    pub fn beside(base: &'c Bench<'c>, circuit: &'c Circuit, changed: Vec<usize>) -> Bench<'c> {
        let joins_the_same = |index: &usize| {
            let (was, is) = (&base.circuit.branches[*index], &circuit.branches[*index]);
            (was.from, was.to) == (is.from, is.to)
        };
        let is_same =
            circuit.branches.len() == base.circuit.branches.len() && changed.iter().all(joins_the_same);
        let structure = if is_same { base.structure.clone() } else { OnceCell::new() };
        Bench { beside: Some(base), changed, structure, ..Bench::new(circuit) }
    }

    /// What hangs together.
    pub(super) fn structure(&self) -> &Structure {
        self.structure.get_or_init(|| Rc::new(Structure::new(self.circuit)))
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
            structure: self.structure.clone(),
            influence: self.influence.clone(),
            beside: None,
            changed: Vec::new(),
            known: RefCell::new(Known::new(self.circuit)),
            n_solved: Cell::new(0),
            scratch: RefCell::default(),
        }
    }

    /// The solution of one state; what was solved before is not solved again.
    pub(super) fn steady(&self, state: &State) -> Result<Rc<Steady>, NoSolution> {
        let key = self.key(state);
        let mut known = self.known.borrow_mut();
        if let Some(base) = self.beside
            && let Some(steady) = known.beside(&key, &state.devices, || self.found_beside(base, state))
        {
            return Ok(steady);
        }
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
        let drawing = here.drawing(state);
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

    /// The solution of a state that the circuit beside this one is known to have a solution in: the same where nothing
    /// notices what is otherwise, else one that is searched from there.
    fn found_beside(&self, base: &Bench<'_>, state: &State) -> Option<Drawn> {
        let Drawn { drawing, steady } = base.known.borrow().drawn(base.key(state), state)?;
        if self.is_untouched(state, &steady) {
            return Some(Drawn { drawing, steady: self.rejoined(state, &steady) });
        }
        // One that is on and did not draw there may have the voltage for it here.
        let asks = |(index, device): &(usize, &Device)| {
            !device.relay && state.devices[*index] && self.circuit.closed(device.branch, state)
        };
        let asking = self.circuit.devices.iter().enumerate().filter(asks).map(|(index, _)| index);
        if !asking.eq(drawing.iter().copied()) {
            return None;
        }
        let steady = newton::near(self, &self.closed(state), &steady, drawing.clone())?;
        self.n_solved.set(self.n_solved.get() + 1);
        Some(Drawn { drawing, steady: Rc::new(steady) })
    }

    /// Which branches are closed of those that can be open, one bit each.
    fn key(&self, state: &State) -> Vec<u64> {
        let is_closed = |index: &usize| self.circuit.closed(*index, state);
        let bits =
            |some: &[usize]| some.iter().rev().fold(0, |bits, index| bits << 1 | u64::from(is_closed(index)));
        self.gated.chunks(64).map(bits).collect()
    }

    /// The solution of a state of the circuit beside this one, in which nothing notices what is otherwise here: the same
    /// voltages and currents, and what hangs together anew.
    pub(super) fn rejoined(&self, state: &State, steady: &Rc<Steady>) -> Rc<Steady> {
        newton::rejoined(self, &self.closed(state), steady).map_or_else(|| Rc::clone(steady), Rc::new)
    }

    /// Whether nothing would notice in a state of the circuit beside this one, of which `steady` is the solution, what is
    /// otherwise here: each branch that is carries just what it carried there.
    pub(super) fn is_untouched(&self, state: &State, steady: &Steady) -> bool {
        let Some(base) = self.beside else { return false };
        // A net more is the middle of a branch that touches the chassis.
        self.circuit.nets.len() == base.circuit.nets.len()
            && self.changed.iter().all(|index| {
                let (was, is) = (&base.circuit.branches[*index], &self.circuit.branches[*index]);
                let law = self.laws[*index].filter(|_| self.circuit.closed(*index, state));
                let amps = match law {
                    None => Some(0.0),
                    // Whether it finds the voltage to start is for the solution to tell.
                    Some(Law::Electronic { .. }) => None,
                    Some(law) => steady.between(is.from, is.to).map(|u| law::current(&law, u)),
                };
                let before = steady.amps(*index);
                let carried = if (was.from, was.to) == (is.from, is.to) { before } else { 0.0 };
                amps.is_some_and(|amps| (amps - carried).abs().max((before - carried).abs()) <= UNNOTICED)
            })
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
        self.influence.get_or_init(|| Rc::new(Influence::new(self.circuit)))
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
