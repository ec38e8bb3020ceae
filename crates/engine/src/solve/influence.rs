//! Which relays may move which devices, told from the structure of the circuit alone.

use std::collections::BTreeSet;

use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;
use petgraph::unionfind::UnionFind;

use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate};
use crate::kind::{Law, Role};

/// The influence of relays on devices.
///
/// Contacts and devices are joined to regions: what hangs together once the stiff supply and the
/// chassis are taken away, that is everything reached from them without passing a contact or load.
/// A relay influences the devices in the regions its contacts touch. What is left out is the little
/// that loads pull the stiff supply down.
#[derive(Clone, Debug, Default)]
pub struct Influence {
    /// Pairs of the relay that moves and the device it may move.
    pairs: BTreeSet<(usize, usize)>,
    remembers: bool,
}

impl Influence {
    /// Reads the influence off a circuit.
    pub fn new(circuit: &Circuit) -> Influence {
        if !circuit.devices.iter().any(|device| device.relay) {
            return Influence::default();
        }
        let stiff = stiff(circuit);
        let mut regions = UnionFind::<usize>::new(circuit.nets.len());
        for branch in &circuit.branches {
            if !stiff[branch.from] && !stiff[branch.to] {
                regions.union(branch.from, branch.to);
            }
        }
        let of = regions.into_labeling();
        let touched = |index: usize| {
            let branch = &circuit.branches[index];
            [branch.from, branch.to].map(|net| (!stiff[net]).then(|| of[net]))
        };
        let mut pairs = BTreeSet::new();
        for (index, branch) in circuit.branches.iter().enumerate() {
            let Gate::Device(owner, _) = branch.gate else { continue };
            let contact = touched(index);
            for (device, found) in circuit.devices.iter().enumerate() {
                if touched(found.branch).iter().flatten().any(|region| contact.contains(&Some(*region))) {
                    pairs.insert((owner, device));
                }
            }
        }
        let mut graph: DiGraph<(), ()> = DiGraph::new();
        let nodes: Vec<_> = circuit.devices.iter().map(|_| graph.add_node(())).collect();
        for (owner, device) in &pairs {
            graph.add_edge(nodes[*owner], nodes[*device], ());
        }
        let circle = |scc: &Vec<_>| scc.len() > 1 || graph.contains_edge(scc[0], scc[0]);
        let remembers = tarjan_scc(&graph).iter().any(circle);
        Influence { pairs, remembers }
    }

    /// Whether a relay's contact has a say in its own coil circuit, perhaps by way of other relays,
    /// so that the past may matter.
    pub fn remembers(&self) -> bool {
        self.remembers
    }

    /// Whether none of these devices may move another of them.
    pub fn are_independent(&self, devices: &[usize]) -> bool {
        devices.iter().all(|a| devices.iter().all(|b| !self.pairs.contains(&(*a, *b))))
    }
}

/// Nets that hang on a source or the chassis without a contact or load between.
fn stiff(circuit: &Circuit) -> Vec<bool> {
    let mut starts = vec![CHASSIS];
    starts.extend(
        circuit.sources().flat_map(|index| [circuit.branches[index].from, circuit.branches[index].to]),
    );
    let mut stiff = vec![false; circuit.nets.len()];
    for (net, _) in walk(circuit, &starts, |index, _| {
        let branch = &circuit.branches[index];
        let fixed = branch.gate == Gate::Always && branch.role == Role::Path;
        fixed && matches!(branch.law, Some(Law::Resistance(_))) || matches!(branch.role, Role::Protection(_))
    }) {
        stiff[net] = true;
    }
    stiff
}
