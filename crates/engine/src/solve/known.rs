//! Solutions that were found, kept for the next who asks.
//!
//! One check of a job comes by the same state again and again: a sweep meets it from every neighbor, relays pass through
//! it on their way, and what checks look at afterwards was met before. Two states are the same to a solution when the
//! same branches are closed and the same electronic loads draw: one that is on without voltage is as good as off.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::rc::Rc;

use crate::circuit::{Circuit, State};
use crate::solve::newton::Unloaded;
use crate::solve::steady::{NoSolution, Steady};

/// Most numbers kept, counting one for each net and branch of each solution: some 40 megabytes.
const MOST_NUMBERS: usize = 1 << 22;

/// What is known of all states in which the same branches are closed.
#[derive(Debug)]
pub(super) struct Here {
    /// The electronic loads, by device, that have the voltage to stay on before any of them draws.
    pub may_draw: Vec<usize>,
    /// The voltages before any of them draws; kept only where one may.
    pub unloaded: Option<Unloaded>,
    /// Solutions by the electronic loads, by device, that draw.
    pub solutions: BTreeMap<Vec<usize>, Result<Rc<Steady>, NoSolution>>,
}

impl Here {
    /// The electronic loads, by device, that draw in a state.
    pub fn drawing(&self, state: &State) -> Vec<usize> {
        self.may_draw.iter().copied().filter(|device| state.devices[*device]).collect()
    }
}

/// A solution, with the electronic loads, by device, that draw.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    pub drawing: Vec<usize>,
    pub steady: Rc<Steady>,
}

/// Solutions by which branches are closed of those that can be open, one bit each.
#[derive(Debug)]
pub(super) struct Known {
    here: BTreeMap<Vec<u64>, Result<Here, NoSolution>>,
    /// Solutions found from those of the circuit beside this one, and where there was none to be found: also by which
    /// devices are on.
    beside: BTreeMap<(Vec<u64>, Vec<bool>), Option<Drawn>>,
    /// Voltages and solutions kept, and the most of them.
    pub n_kept: usize,
    most: usize,
}

impl Known {
    /// Room for solutions of a circuit.
    pub fn new(circuit: &Circuit) -> Known {
        let numbers = (circuit.nets.len() + circuit.branches.len()).max(1);
        Known { here: BTreeMap::new(), beside: BTreeMap::new(), n_kept: 0, most: MOST_NUMBERS / numbers }
    }

    /// What a state is known to come to in which these branches are closed.
    pub fn drawn(&self, closed: Vec<u64>, state: &State) -> Option<Drawn> {
        if let Some(here) = self.here.get(&closed) {
            let drawing = here.as_ref().ok()?.drawing(state);
            let steady = Rc::clone(here.as_ref().ok()?.solutions.get(&drawing)?.as_ref().ok()?);
            return Some(Drawn { drawing, steady });
        }
        self.beside.get(&(closed, state.devices.clone()))?.clone()
    }

    /// What follows from the circuit beside this one with these branches closed and these devices on, found out when that
    /// was not tried.
    pub fn beside(
        &mut self,
        closed: &[u64],
        devices: &[bool],
        find_out: impl FnOnce() -> Option<Drawn>,
    ) -> Option<Rc<Steady>> {
        let place = self.beside.entry((closed.to_vec(), devices.to_vec()));
        let found = place.or_insert_with(|| {
            self.n_kept += 1;
            find_out()
        });
        found.as_ref().map(|found| Rc::clone(&found.steady))
    }

    /// What is known with these branches closed, found out when nothing is.
    ///
    /// Once there is no more room everything is forgotten: whoever goes through so many states goes on from the latest,
    /// and telling which of the others will be asked for would cost more than it saves.
    pub fn with_closed(
        &mut self,
        closed: Vec<u64>,
        find_out: impl FnOnce() -> Result<Here, NoSolution>,
    ) -> &mut Result<Here, NoSolution> {
        if self.n_kept >= self.most {
            self.here.clear();
            self.beside.clear();
            self.n_kept = 0;
        }
        match self.here.entry(closed) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(place) => {
                self.n_kept += 1;
                place.insert(find_out())
            }
        }
    }
}
