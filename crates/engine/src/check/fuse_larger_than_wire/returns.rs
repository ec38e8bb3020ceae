//! What a wire on the way back must carry when one of the loads it serves fails to a short circuit.

use std::collections::BTreeMap;

use petgraph::algo::ford_fulkerson;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::unionfind::UnionFind;

use crate::check::Context;
use crate::circuit::{CHASSIS, Circuit, NetIndex};
use crate::kind::{Law, Role};
use crate::protection::zones::Flow;

/// The returns of a circuit: what hangs together on the earth side when the body is taken away.
///
/// The body takes any current, so that what one return carries never depends on what another one stands.
pub(super) struct Returns<'a, 'c> {
    context: &'a Context<'c>,
    /// The return of each net.
    of: Vec<usize>,
    /// The branches of each return.
    branches: BTreeMap<usize, Vec<usize>>,
    /// The loads of each return: the net of their earth side and the largest fuse among them.
    asked: BTreeMap<usize, Vec<(NetIndex, Flow)>>,
    /// The negative poles of all sources.
    poles: Vec<NetIndex>,
}

impl<'a, 'c> Returns<'a, 'c> {
    /// The returns of a circuit; `asked` has the largest fuse among the loads whose earth side each net is.
    pub fn new(context: &'a Context<'c>, asked: BTreeMap<NetIndex, Flow>) -> Returns<'a, 'c> {
        let circuit = context.circuit;
        let is_return = |index: &usize| {
            let branch = &circuit.branches[*index];
            let is_earth = !context.supplied[branch.from] && !context.supplied[branch.to];
            branch.role == Role::Path && branch.law.is_some() && is_earth
        };
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        let all: Vec<usize> = (0..circuit.branches.len()).filter(is_return).collect();
        for branch in all.iter().map(|index| &circuit.branches[*index]) {
            if branch.from != CHASSIS && branch.to != CHASSIS {
                joined.union(branch.from, branch.to);
            }
        }
        let of = joined.into_labeling();
        let mut branches: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for index in all {
            branches.entry(of[beside_body(circuit, index)]).or_default().push(index);
        }
        let mut by_return: BTreeMap<usize, Vec<(NetIndex, Flow)>> = BTreeMap::new();
        for (net, flow) in asked {
            by_return.entry(of[net]).or_default().push((net, flow));
        }
        let poles = circuit.sources().map(|source| circuit.branches[source].to).collect();
        Returns { context, of, branches, asked: by_return, poles }
    }

    /// The loads whose return a wire is part of.
    pub fn asked_of(&self, wire: usize) -> &[(NetIndex, Flow)] {
        self.asked.get(&self.of[beside_body(self.context.circuit, wire)]).map_or(&[], Vec::as_slice)
    }

    /// The largest fuse above `limit` among the loads a return wire serves, as far as the other ways back do not stand
    /// it.
    ///
    /// A wire serves a load when its return stands less without it; the rest of a shorted load's current is then up to
    /// the wire.
    pub fn flow(&self, wire: usize, limit: f64) -> Option<Flow> {
        let left = |(net, (amps, fuses)): &(NetIndex, Flow)| {
            let without = self.way_back(*net, Some(wire), *amps);
            let served = without < *amps && without < self.way_back(*net, None, *amps);
            served.then(|| (amps - without, fuses.clone()))
        };
        let asked = self.asked_of(wire).iter().filter(|(_, (amps, _))| *amps > limit);
        asked.filter_map(left).max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The current, up to `most`, that the ways from a net back to a negative pole stand together, without one wire.
    fn way_back(&self, net: NetIndex, without: Option<usize>, most: f64) -> f64 {
        let circuit = self.context.circuit;
        let mut graph: DiGraph<(), f64> = DiGraph::new();
        let mut nodes: BTreeMap<NetIndex, NodeIndex> = BTreeMap::new();
        let home = graph.add_node(());
        let mut node = |graph: &mut DiGraph<(), f64>, net: NetIndex| {
            *nodes.entry(net).or_insert_with(|| graph.add_node(()))
        };
        let start = node(&mut graph, net);
        let body = node(&mut graph, CHASSIS);
        let own = self.branches.get(&self.of[net]).into_iter().flatten();
        for index in own.copied().filter(|index| Some(*index) != without) {
            let branch = &circuit.branches[index];
            let stands = self.context.wire_of(index).and_then(|(_, used)| used.ampacity());
            let capacity = stands.map_or(most, |stands| stands.low.get().min(most));
            let (from, to) = (node(&mut graph, branch.from), node(&mut graph, branch.to));
            graph.add_edge(from, to, capacity);
            // Nothing comes back through a diode.
            if !matches!(branch.law, Some(Law::Diode { .. })) {
                graph.add_edge(to, from, capacity);
            }
        }
        graph.add_edge(body, home, most);
        for pole in self.poles.iter().filter(|pole| self.of[**pole] == self.of[net]) {
            let pole = node(&mut graph, *pole);
            graph.add_edge(pole, home, most);
        }
        ford_fulkerson(&graph, start, home).0.min(most)
    }
}

/// The end of a branch that is not the body, where it has one.
fn beside_body(circuit: &Circuit, index: usize) -> NetIndex {
    let branch = &circuit.branches[index];
    if branch.from == CHASSIS { branch.to } else { branch.from }
}
