//! Few networks in place of many states: what is switched in one place says nothing of faults in another.
//!
//! A fault leaves loads out, so contacts alone tell what a fault meets. Nets that hang on a source or the body whatever
//! is switched are the core. What hangs together beyond it, by contacts, is a part of its own, and as long as such a part
//! hangs on the core at one net only, nothing in it changes what a fault elsewhere draws. So one network serves several
//! states at once: it has each part as it is in another of them. A job with a hundred switches, each looked at alone,
//! comes to a handful of networks.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::unionfind::UnionFind;

use crate::circuit::{CHASSIS, Circuit, NetIndex};
use crate::kind::Role;
use crate::protection::fault::Place;

/// Which branches are closed in one network, by branch.
pub type Closed = Vec<bool>;

/// Networks that stand for some states.
pub struct Mix {
    /// The networks.
    pub networks: Vec<Closed>,
    /// The part of each net; the core has none.
    part: Vec<Option<usize>>,
    /// For each part the states worth a look, by index and rising, each with the network that has the part as it is there.
    views: BTreeMap<Option<usize>, Vec<(usize, usize)>>,
}

impl Mix {
    /// Networks for states of a circuit, given by what is closed in each.
    pub fn new(circuit: &Circuit, states: &[Closed]) -> Mix {
        let parts = Parts::new(circuit, states);
        let mut mix = Mix { networks: Vec::new(), part: parts.of_net, views: BTreeMap::new() };
        let says = |branches: &[usize], state: usize| -> Closed {
            branches.iter().map(|branch| states[state][*branch]).collect()
        };
        // States that differ in what has a say everywhere have no network in common.
        let mut alike: BTreeMap<Closed, Vec<usize>> = BTreeMap::new();
        for state in 0..states.len() {
            alike.entry(says(&parts.everywhere, state)).or_default().push(state);
        }
        for states_alike in alike.values() {
            let first = mix.networks.len();
            mix.networks.push(states[states_alike[0]].clone());
            mix.views.entry(None).or_default().push((states_alike[0], first));
            for (part, branches) in &parts.own {
                let mut met = BTreeSet::new();
                let differing = states_alike.iter().filter(|state| met.insert(says(branches, **state)));
                for (number, state) in differing.enumerate() {
                    let network = first + number;
                    if network == mix.networks.len() {
                        mix.networks.push(states[states_alike[0]].clone());
                    }
                    for branch in branches {
                        mix.networks[network][*branch] = states[*state][*branch];
                    }
                    mix.views.entry(Some(*part)).or_default().push((*state, network));
                }
            }
        }
        for views in mix.views.values_mut() {
            views.sort_unstable();
        }
        mix
    }

    /// The states worth a look at a place, by index and rising, each with a network in which the place is as it is there.
    pub fn views(&self, circuit: &Circuit, place: Place) -> &[(usize, usize)] {
        let part = match place {
            Place::Body(net) => self.part[net],
            // Both ends are in one part, or one of them in the core.
            Place::Across(branch) => {
                let branch = &circuit.branches[branch];
                self.part[branch.from].or(self.part[branch.to])
            }
        };
        let of_core = self.views.get(&None);
        self.views.get(&part).or(of_core).map_or(&[], Vec::as_slice)
    }
}

/// What a circuit falls into.
struct Parts {
    /// The part of each net; the core has none.
    of_net: Vec<Option<usize>>,
    /// The branches that are not the same in all states, by part.
    own: BTreeMap<usize, Vec<usize>>,
    /// Those that have a say everywhere.
    everywhere: Vec<usize>,
}

impl Parts {
    fn new(circuit: &Circuit, states: &[Closed]) -> Parts {
        let branches = || circuit.branches.iter().enumerate();
        let is_closed = |index: usize| states.iter().any(|closed| closed[index]);
        let is_open = |index: usize| states.iter().any(|closed| !closed[index]);
        let mut fixed = UnionFind::<usize>::new(circuit.nets.len());
        for (_, branch) in branches().filter(|(index, _)| !is_open(*index)) {
            fixed.union(branch.from, branch.to);
        }
        let sources = branches().filter(|(_, branch)| branch.role == Role::Source);
        let poles = sources.flat_map(|(_, branch)| [branch.from, branch.to]);
        let core: BTreeSet<usize> = poles.chain([CHASSIS]).map(|net| fixed.find(net)).collect();
        let in_core = |net: NetIndex| core.contains(&fixed.find(net));

        // What contacts may join beyond the core, and the nets of the core that it hangs on.
        let mut joined = fixed.clone();
        let beyond = |branch: &crate::circuit::Branch| !in_core(branch.from) && !in_core(branch.to);
        for (_, branch) in branches().filter(|(index, branch)| is_closed(*index) && beyond(branch)) {
            joined.union(branch.from, branch.to);
        }
        let mut hangs_on: BTreeMap<usize, BTreeSet<NetIndex>> = BTreeMap::new();
        for (_, branch) in branches().filter(|(index, _)| is_closed(*index)) {
            for (near, far) in [(branch.from, branch.to), (branch.to, branch.from)] {
                if !in_core(near) && in_core(far) {
                    hangs_on.entry(joined.find(near)).or_default().insert(far);
                }
            }
        }
        let bridges = |net: NetIndex| hangs_on.get(&joined.find(net)).is_some_and(|nets| nets.len() > 1);

        // A load is looked at with both of its ends as they are in one state.
        let mut whole = joined.clone();
        for (_, branch) in branches().filter(|(_, branch)| beyond(branch)) {
            whole.union(branch.from, branch.to);
        }
        let (mut own, mut everywhere) = (BTreeMap::<usize, Vec<usize>>::new(), Vec::new());
        for (index, branch) in branches().filter(|(index, _)| is_closed(*index) && is_open(*index)) {
            match [branch.from, branch.to].into_iter().find(|net| !in_core(*net)) {
                Some(net) if !bridges(net) => own.entry(whole.find(net)).or_default().push(index),
                _ => everywhere.push(index),
            }
        }
        let of_net = (0..circuit.nets.len()).map(|net| (!in_core(net)).then(|| whole.find(net))).collect();
        Parts { of_net, own, everywhere }
    }
}
