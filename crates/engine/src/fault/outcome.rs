//! What a fault leads to in one situation: states, voltages and currents, and the fuses that open.

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
    /// The lasting state; none where nothing lasts or it depends on timing.
    pub fn rest(&self) -> Option<&Rest> {
        self.settled.shown()
    }
}

/// A circuit on which faults are tried.
pub struct Trial<'c> {
    healthy: Solver<'c>,
    links: Vec<Option<Link>>,
}

impl<'c> Trial<'c> {
    /// Prepares a circuit.
    pub fn new(circuit: &'c Circuit) -> Trial<'c> {
        Trial { healthy: Solver::new(circuit), links: Link::all(circuit) }
    }

    /// The circuit without a fault.
    pub fn circuit(&self) -> &'c Circuit {
        self.healthy.circuit()
    }

    /// What each of these situations, given by a position for each part, comes to without a fault.
    pub fn healthy(&self, situations: &[Vec<u8>]) -> Vec<Outcome> {
        situations.iter().map(|positions| self.outcome(&self.healthy, &[], positions)).collect()
    }

    /// What each of these situations comes to with these changes.
    pub fn changed(&self, changes: &[Change], situations: &[Vec<u8>]) -> Vec<Outcome> {
        if changes.is_empty() {
            return self.healthy(situations);
        }
        let circuit = self.circuit().changed(changes);
        let solver = Solver::new(&circuit);
        situations.iter().map(|positions| self.outcome(&solver, changes, positions)).collect()
    }

    /// A fuse opens when it carries what it is sure to open at, the one that is first taking its current away from the
    /// others. Opening only takes conductors away, so there are at most as many steps as fuses.
    fn outcome(&self, solver: &Solver<'_>, changes: &[Change], positions: &[u8]) -> Outcome {
        let mut settled = solver.enter(positions.to_vec());
        let mut blown: Vec<Blown> = Vec::new();
        while let Some(next) = self.first_to_open(solver.circuit(), &settled, &blown) {
            blown.push(next);
            let opened = blown.iter().map(|one| Change::Law(one.branch, None));
            let all: Vec<Change> = changes.iter().copied().chain(opened).collect();
            let circuit = self.circuit().changed(&all);
            settled = Solver::new(&circuit).enter(positions.to_vec());
        }
        Outcome { settled, blown }
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
