//! Every state that working the switches and donors one at a time, from rest, can lead to.
//!
//! What has a say in one load or relay is mostly a few inputs ([`crate::solve::influence`]), so the inputs are taken
//! in sets that decide something alone, and two to the power of all becomes a sum over the sets. What the sets still
//! share is the supply: how far one can shift the voltages of another is bounded, and everything a set decides must
//! stand farther than that from where it would change. Where it does not, the sets are made one.
//! The states of a set form a graph, searched breadth first, so that each comes with the shortest sequence of actions
//! that leads to it. A search that is too large ends unfinished and says so.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::rc::Rc;

use crate::circuit::State;
use crate::kind::Role;
use crate::solve::{Action, Solver, Verdict};

mod explore;
mod interlock;
mod lit;
mod supply;
mod usual;
pub mod words;

pub use explore::{Explored, Node, Trouble};
pub use interlock::{Judge, Outcome, Proof, prove, reach, tests};
pub use lit::{as_used, glows, works};
pub(crate) use usual::lamps;
pub use usual::{Question, Usual, usual};

use explore::{Task, explore};
use supply::Supply;

/// What a sweep is told of its progress, and whether it goes on: combinations of positions done, and how many there
/// are as far as is known.
pub type Progress<'p> = &'p mut dyn FnMut(u64, u64) -> ControlFlow<()>;

/// Most changes tried in one set of inputs unless something else is said: two to the power of fourteen states of
/// fourteen switches.
pub const MOST_CHANGES: usize = 14 << 14;

/// A circuit prepared for going through its states.
pub struct Sweeper<'c> {
    solver: Rc<Solver<'c>>,
    base: State,
    supply: Supply<'c>,
    most_changes: usize,
    most_merged: usize,
    /// What has been gone through to its end, by the inputs asked for.
    known: RefCell<BTreeMap<BTreeSet<usize>, Rc<Explored>>>,
}

/// All states, set by set.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// The sets of inputs, each with the states it leads to.
    pub components: Vec<Component>,
}

/// Some inputs that decide something alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// The loads it decides, by branch; each is listed in one component.
    pub loads: Vec<usize>,
    /// The relays and electronic loads it decides, by device; each is listed in one component.
    pub devices: Vec<usize>,
    /// Its states.
    pub explored: Rc<Explored>,
}

/// What one combination of positions comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Reachable<'e> {
    /// Positions by part.
    pub positions: &'e [u8],
    /// How it comes to rest, whatever was done before.
    pub verdict: Verdict,
    /// The states it may be in, by index, the nearest first.
    pub nodes: Vec<usize>,
    /// The change that does not come to rest in one state, where there is one.
    pub trouble: Option<&'e Trouble>,
}

impl<'c> Sweeper<'c> {
    /// Prepares a circuit; sockets are taken as in use.
    pub fn new(solver: Rc<Solver<'c>>) -> Sweeper<'c> {
        let circuit = solver.circuit();
        let base = State { positions: as_used(circuit), devices: vec![false; circuit.devices.len()] };
        let (supply, known) = (Supply::new(&solver, &base), RefCell::default());
        Sweeper { solver, supply, base, most_changes: MOST_CHANGES, most_merged: MOST_CHANGES, known }
    }

    /// The circuit, prepared for solving.
    pub fn solver(&self) -> &Solver<'c> {
        &self.solver
    }

    /// The same, trying at most so many changes in one set of inputs, and making sets one over the supply they share
    /// only where that comes to at most `most_merged` changes; beyond that they stay unfinished.
    pub fn at_most(self, most_changes: usize, most_merged: usize) -> Sweeper<'c> {
        Sweeper { most_changes, most_merged, ..self }
    }

    /// Goes through all states. Where `progress` stops it, what is left stays unfinished.
    pub fn sweep(&self, progress: Progress<'_>) -> Sweep {
        let sets = self.sets();
        let circuit = self.solver.circuit();
        let mut explored: Vec<Rc<Explored>> = Vec::new();
        let mut done = 0;
        for set in &sets {
            // One that was merged into an earlier one has been gone through with that.
            let known = |other: &Rc<Explored>| set.iter().all(|input| other.inputs.contains(input));
            if explored.iter().any(known) {
                continue;
            }
            let found = self.over(set, &mut |n, total| progress(done + n, done + total));
            done += found.n_seen;
            explored.retain(|other| !other.inputs.iter().all(|input| found.inputs.contains(input)));
            explored.push(found);
        }
        let mut components: Vec<Component> = explored
            .into_iter()
            .map(|explored| Component { loads: Vec::new(), devices: Vec::new(), explored })
            .collect();
        for drawer in &self.supply.drawers {
            let decides =
                |one: &&mut Component| drawer.inputs.iter().all(|input| one.explored.inputs.contains(input));
            if let Some(component) = components.iter_mut().find(decides) {
                component.devices.extend(circuit.device_of(drawer.branch));
                if matches!(circuit.branches[drawer.branch].role, Role::Load(_)) {
                    component.loads.push(drawer.branch);
                }
            }
        }
        Sweep { components }
    }

    /// The inputs that have a say in what a branch does, those that switch sources or join them among them.
    pub fn say(&self, branch: usize) -> BTreeSet<usize> {
        let known = self.supply.drawers.iter().find(|drawer| drawer.branch == branch);
        known.map_or_else(BTreeSet::new, |drawer| drawer.inputs.clone())
    }

    /// All states that some inputs lead to, the others staying at rest; with them go those that could tip what they
    /// decide over the supply they share.
    pub fn over(&self, inputs: &BTreeSet<usize>, progress: Progress<'_>) -> Rc<Explored> {
        if let Some(known) = self.known.borrow().get(inputs) {
            return Rc::clone(known);
        }
        let mut is_stopped = false;
        let explored = Rc::new(self.anew(inputs.clone(), &mut |done, total| {
            let next = progress(done, total);
            is_stopped |= next.is_break();
            next
        }));
        if !is_stopped {
            self.known.borrow_mut().insert(inputs.clone(), Rc::clone(&explored));
        }
        explored
    }

    fn anew(&self, mut inputs: BTreeSet<usize>, progress: Progress<'_>) -> Explored {
        loop {
            let shift = self.supply.shift(&inputs);
            let decided = self.supply.drawers.iter().filter(|drawer| drawer.inputs.is_subset(&inputs));
            let watched: BTreeSet<usize> = decided.map(|drawer| drawer.branch).collect();
            let heaviest = self.supply.heaviest_outside(&inputs);
            let merged: Option<BTreeSet<usize>> =
                heaviest.map(|drawer| inputs.union(&drawer.inputs).copied().collect());
            let merged = merged.filter(|merged| self.n_changes(merged) <= self.most_merged as u64);
            let task = Task {
                solver: &self.solver,
                base: &self.base,
                inputs: &inputs,
                most_changes: self.most_changes,
                shift,
                supply: &self.supply,
                watched: &watched,
                ends_in_doubt: merged.is_some(),
            };
            let total = self.n_combinations(&inputs);
            let mut is_stopped = false;
            let mut explored = explore(&task, &mut |n| {
                let next = progress(n, total);
                is_stopped |= next.is_break();
                next
            });
            explored.is_complete &= !explored.is_doubtful || heaviest.is_none();
            match merged {
                Some(merged) if explored.is_doubtful && !is_stopped => inputs = merged,
                _ => return explored,
            }
        }
    }

    /// Changes that can be made in all combinations of positions.
    fn n_changes(&self, inputs: &BTreeSet<usize>) -> u64 {
        let others = |input: &usize| u64::from(self.solver.circuit().inputs[*input].positions - 1);
        self.n_combinations(inputs).saturating_mul(inputs.iter().map(others).sum())
    }

    fn n_combinations(&self, inputs: &BTreeSet<usize>) -> u64 {
        let positions = |input: &usize| u64::from(self.solver.circuit().inputs[*input].positions);
        inputs.iter().map(positions).fold(1, u64::saturating_mul)
    }

    /// The sets of inputs that decide something alone and are not part of another such set.
    fn sets(&self) -> Vec<BTreeSet<usize>> {
        let mut sets: Vec<BTreeSet<usize>> = Vec::new();
        let alone = (0..self.solver.circuit().inputs.len()).map(|input| BTreeSet::from([input]));
        for set in self.supply.drawers.iter().map(|drawer| drawer.inputs.clone()).chain(alone) {
            if !sets.iter().any(|known| set.is_subset(known)) {
                sets.retain(|known| !known.is_subset(&set));
                sets.push(set);
            }
        }
        if sets.is_empty() { vec![BTreeSet::new()] } else { sets }
    }
}

impl Sweep {
    /// Whether every set was gone through to its end.
    pub fn is_complete(&self) -> bool {
        self.components.iter().all(|component| component.explored.is_complete)
    }

    /// The shortest sequence of actions to a state for which `wanted` holds, of all sets.
    ///
    /// What one set does not decide is at rest in its states.
    pub fn reach(&self, mut wanted: impl FnMut(&Component, &Node) -> bool) -> Option<Vec<Action>> {
        let first = |component: &Component| {
            let node = component.explored.first(|node| wanted(component, node))?;
            Some(component.explored.actions(node))
        };
        self.components.iter().filter_map(first).min_by_key(Vec::len)
    }
}

impl Explored {
    /// Each combination of positions met, and what it comes to, the nearest first.
    pub fn situations(&self) -> Vec<Reachable<'_>> {
        let mut all: Vec<Reachable<'_>> = Vec::new();
        let mut place = BTreeMap::new();
        let blank =
            |positions| Reachable { positions, verdict: Verdict::Settled, nodes: Vec::new(), trouble: None };
        for (index, node) in self.nodes.iter().enumerate() {
            let at = *place.entry(&node.state.positions).or_insert_with(|| {
                all.push(blank(&node.state.positions));
                all.len() - 1
            });
            all[at].nodes.push(index);
        }
        for trouble in &self.troubles {
            let at = *place.entry(&trouble.positions).or_insert_with(|| {
                all.push(blank(&trouble.positions));
                all.len() - 1
            });
            let known = &mut all[at].trouble;
            if known.is_none_or(|known| gravity(trouble.verdict) > gravity(known.verdict)) {
                *known = Some(trouble);
            }
        }
        for situation in &mut all {
            situation.verdict = match situation.trouble {
                Some(trouble) => trouble.verdict,
                None if situation.nodes.len() > 1 => Verdict::History,
                None => Verdict::Settled,
            };
        }
        all
    }
}

/// How much there is to be said against a verdict.
fn gravity(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Settled => 0,
        Verdict::History => 1,
        Verdict::Race => 2,
        Verdict::Flashing => 3,
        Verdict::Chatter => 4,
        Verdict::Collapse => 5,
        Verdict::Unsolved => 6,
    }
}

#[cfg(test)]
mod tests;
