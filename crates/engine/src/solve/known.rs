//! Solutions that were found, kept for the next who asks.
//!
//! One check of a job comes by the same state again and again: a sweep meets it from every neighbor, relays pass through
//! it on their way, and what checks look at afterwards was met before. Of all solutions asked for, most are of that kind.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::circuit::{Circuit, State};
use crate::solve::steady::{NoSolution, Steady};

/// Most numbers kept, counting one for each net and branch of each solution: some 20 megabytes.
const MOST_NUMBERS: usize = 1 << 21;

/// Solutions by state.
#[derive(Debug)]
pub(super) struct Known {
    solutions: BTreeMap<State, Result<Rc<Steady>, NoSolution>>,
    most: usize,
}

impl Known {
    /// Room for solutions of a circuit.
    pub fn new(circuit: &Circuit) -> Known {
        let numbers = (circuit.nets.len() + circuit.branches.len()).max(1);
        Known { solutions: BTreeMap::new(), most: MOST_NUMBERS / numbers }
    }

    /// What was found for a state.
    pub fn of(&self, state: &State) -> Option<Result<Rc<Steady>, NoSolution>> {
        self.solutions.get(state).cloned()
    }

    /// Keeps what was found. Once there is no more room everything is forgotten: whoever goes through so many states
    /// goes on from the latest, and telling which of the others will be asked for would cost more than it saves.
    pub fn keep(&mut self, state: &State, found: &Result<Rc<Steady>, NoSolution>) {
        if self.solutions.len() >= self.most {
            self.solutions.clear();
        }
        self.solutions.insert(state.clone(), found.clone());
    }
}
