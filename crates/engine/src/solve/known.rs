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
    /// The voltages before any electronic load draws.
    pub unloaded: Result<Unloaded, NoSolution>,
    /// Solutions by the electronic loads, by device, that draw.
    pub solutions: BTreeMap<Vec<usize>, Result<Rc<Steady>, NoSolution>>,
}

/// Solutions by the branches that are closed, one bit a branch.
#[derive(Debug)]
pub(super) struct Known {
    here: BTreeMap<Vec<u64>, Here>,
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

    /// What is known with these branches closed; the voltages before any load draws are computed when they are not.
    ///
    /// Once there is no more room everything is forgotten: whoever goes through so many states goes on from the latest,
    /// and telling which of the others will be asked for would cost more than it saves.
    pub fn with_closed(
        &mut self,
        closed: &[bool],
        unloaded: impl FnOnce() -> Result<Unloaded, NoSolution>,
    ) -> &mut Here {
        let bits = |some: &[bool]| some.iter().rev().fold(0, |bits, closed| bits << 1 | u64::from(*closed));
        let key: Vec<u64> = closed.chunks(64).map(bits).collect();
        if self.n_kept >= self.most {
            self.here.clear();
            self.n_kept = 0;
        }
        match self.here.entry(key) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(place) => {
                self.n_kept += 1;
                place.insert(Here { unloaded: unloaded(), solutions: BTreeMap::new() })
            }
        }
    }
}
