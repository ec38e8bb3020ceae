//! Whether a situation depends on what was done before it.
//!
//! A circuit remembers only when a relay's contact has a say in its own coil circuit, perhaps by
//! way of other relays. Only then are sequences of actions explored, breadth first, so that each
//! lasting state comes with the shortest sequence that leads to it from rest.

use std::collections::{BTreeSet, VecDeque};

use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;
use petgraph::unionfind::UnionFind;

use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, State};
use crate::kind::{Law, Role};
use crate::solve::settle::{Rest, Verdict, settle};
use crate::solve::steady::Bench;

/// One action: a part (by index) is put into a position.
pub type Action = (usize, u8);

/// A lasting state and the shortest sequence of actions that leads to it from rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// The lasting state.
    pub rest: Rest,
    /// Actions from rest, in order.
    pub actions: Vec<Action>,
}

/// Most lasting states explored.
const MOST_EXPLORED: usize = 4096;

/// Whether some relay's contact may influence its own coil.
///
/// Contacts and coils are joined to regions: what hangs together once the stiff supply and the
/// chassis are taken away, that is everything reached from them without passing a contact or load.
/// A relay influences the coils in the regions its contacts touch.
pub fn remembers(circuit: &Circuit) -> bool {
    let relays = || circuit.devices.iter().enumerate().filter(|(_, device)| device.relay);
    if relays().next().is_none() {
        return false;
    }
    let mut starts = vec![CHASSIS];
    starts.extend(
        circuit.sources().flat_map(|index| [circuit.branches[index].from, circuit.branches[index].to]),
    );
    let mut stiff = vec![false; circuit.nets.len()];
    for (net, _) in walk(circuit, &starts, |index, _| {
        let branch = &circuit.branches[index];
        branch.gate == Gate::Always
            && branch.role == Role::Path
            && matches!(branch.law, Some(Law::Resistance(_)))
            || matches!(branch.role, Role::Protection(_))
    }) {
        stiff[net] = true;
    }
    let mut regions = UnionFind::<usize>::new(circuit.nets.len());
    for branch in &circuit.branches {
        if !stiff[branch.from] && !stiff[branch.to] {
            regions.union(branch.from, branch.to);
        }
    }
    let regions_of = |index: usize| {
        let branch = &circuit.branches[index];
        [branch.from, branch.to]
            .into_iter()
            .filter(|net| !stiff[*net])
            .map(|net| regions.find(net))
            .collect::<Vec<_>>()
    };
    let mut influence: DiGraph<(), ()> = DiGraph::new();
    let nodes: Vec<_> = circuit.devices.iter().map(|_| influence.add_node(())).collect();
    for (index, branch) in circuit.branches.iter().enumerate() {
        let Gate::Device(owner, _) = branch.gate else { continue };
        let touched = regions_of(index);
        for (device, found) in relays() {
            if regions_of(found.branch).iter().any(|region| touched.contains(region)) {
                influence.update_edge(nodes[owner], nodes[device], ());
            }
        }
    }
    tarjan_scc(&influence).iter().any(|scc| scc.len() > 1 || influence.contains_edge(scc[0], scc[0]))
}

/// All lasting states with `positions` that some sequence of actions leads to, shortest first.
pub fn reached(bench: &Bench<'_>, positions: &[u8]) -> Vec<Reached> {
    let circuit = bench.circuit;
    let mut seen: BTreeSet<State> = BTreeSet::new();
    let mut queue = VecDeque::new();
    let mut found = Vec::new();
    // What is no input (a fuse taken out, a stalled motor) is as asked from the beginning.
    let mut rest = State { positions: positions.to_vec(), devices: circuit.rest().devices };
    for input in &circuit.inputs {
        rest.positions[input.part] = 0;
    }
    let start = settle(bench, rest);
    let mut enter = |rest: Rest, actions: Vec<Action>, queue: &mut VecDeque<Reached>| {
        if seen.insert(rest.state.clone()) {
            queue.push_back(Reached { rest, actions });
        }
    };
    for rest in start.rests {
        enter(rest, Vec::new(), &mut queue);
    }
    let mut explored = 0;
    while let Some(here) = queue.pop_front() {
        explored += 1;
        if explored > MOST_EXPLORED {
            break;
        }
        for input in &circuit.inputs {
            for position in 0..input.positions {
                if here.rest.state.positions[input.part] == position {
                    continue;
                }
                let mut state = here.rest.state.clone();
                state.positions[input.part] = position;
                let next = settle(bench, state);
                if next.verdict == Verdict::Collapse {
                    continue;
                }
                for rest in next.rests {
                    let mut actions = here.actions.clone();
                    actions.push((input.part, position));
                    enter(rest, actions, &mut queue);
                }
            }
        }
        if here.rest.state.positions == positions {
            found.push(here);
        }
    }
    found
}
