//! Solutions that were found, kept for the next who asks.
//!
//! One check of a job comes by the same state again and again: a sweep meets it from every neighbor, relays pass through
//! it on their way, and what checks look at afterwards was met before. Two states are the same to a solution when the
//! same branches are closed and the same electronic loads draw: one that is on without voltage is as good as off.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::rc::Rc;

use crate::circuit::Circuit;
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

/// Solutions by which branches are closed of those that can be open, one bit each.
#[derive(Debug)]
pub(super) struct Known {
    here: BTreeMap<Vec<u64>, Result<Here, NoSolution>>,
    /// Voltages and solutions kept, and the most of them.
    pub n_kept: usize,
    most: usize,
}

impl Known {
    /// Room for solutions of a circuit.
    pub fn new(circuit: &Circuit) -> Known {
        let numbers = (circuit.nets.len() + circuit.branches.len()).max(1);
        Known { here: BTreeMap::new(), n_kept: 0, most: MOST_NUMBERS / numbers }
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
