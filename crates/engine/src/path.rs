//! Current paths: the ways current takes from a source through one load and back.

use std::collections::BTreeMap;
use std::fmt;

use petgraph::algo::all_simple_paths;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::arrange;
use crate::circuit::{CHASSIS, Circuit, Origin};
use crate::ids::{TerminalRef, WireId};
use crate::kind::{End, Law, Role};
use crate::quantity::by_hand;
use crate::solve::Rest;

/// One station on a current path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A terminal.
    Terminal(TerminalRef),
    /// A wire between the terminals before and after it.
    Wire(WireId),
    /// The vehicle body.
    Chassis,
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Step::Terminal(terminal) => terminal.fmt(f),
            Step::Wire(wire) => wire.fmt(f),
            Step::Chassis => f.write_str("chassis"),
        }
    }
}

/// One way from the positive pole of a source through a load to its negative pole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CurrentPath {
    /// Terminals and wires in the order of the current.
    pub steps: Vec<Step>,
}

/// Most paths listed for one load; beyond that the circuit is a lattice and a list helps nobody.
pub const MOST_PATHS: usize = 256;

/// Current below which something carries none, in amperes: far below any meter, far above rounding.
pub const LEAST_AMPS: f64 = 1e-6;

/// Most ways walked while looking for them.
const MOST_WALKED: usize = 50_000;

/// The current paths of the load at branch `load`, in the lasting state `rest`.
///
/// These are the simple paths, over conducting branches, from the positive to the negative pole of
/// each source that delivers current, that pass this load and no other load or coil. At most [`MOST_PATHS`] are listed, the
/// shortest first. Empty when the load carries no current.
pub fn current_paths(circuit: &Circuit, rest: &Rest, load: usize) -> Vec<CurrentPath> {
    let mut graph: DiGraph<(), ()> = DiGraph::new();
    let nets: Vec<NodeIndex> = circuit.nets.iter().map(|_| graph.add_node(())).collect();
    // A branch is a vertex too, so that parallel wires give paths that can be told apart.
    let mut branch_of = BTreeMap::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        let carries =
            matches!(branch.role, Role::Path | Role::Protection(_)) && rest.steady.conducting(index);
        if !(carries || index == load) || branch.from == branch.to {
            continue;
        }
        let vertex = graph.add_node(());
        branch_of.insert(vertex, index);
        let mut join = |a: usize, b: usize| {
            // No edge is there already, and to look for one at the net of the body takes time in proportion to the job.
            graph.add_edge(nets[a], vertex, ());
            graph.add_edge(vertex, nets[b], ());
        };
        join(branch.from, branch.to);
        let one_way =
            matches!(branch.law, Some(Law::Diode { .. } | Law::Electronic { conducts_reversed: false, .. }));
        if !one_way {
            join(branch.to, branch.from);
        }
    }
    let mut found: Vec<CurrentPath> = Vec::new();
    // A battery that is being charged is on the far side of a current path, not at its start.
    let delivers = |source: &usize| rest.steady.amps(*source) < -LEAST_AMPS;
    let carries_any = rest.steady.amps(load).abs() > LEAST_AMPS;
    for source in circuit.sources().filter(|source| carries_any && delivers(source)) {
        let (from, to) = (circuit.branches[source].from, circuit.branches[source].to);
        let walks = all_simple_paths::<Vec<NodeIndex>, _, std::hash::RandomState>(
            &graph, nets[from], nets[to], 0, None,
        );
        for walk in walks.take(MOST_WALKED) {
            let branches: Vec<usize> =
                walk.iter().filter_map(|vertex| branch_of.get(vertex).copied()).collect();
            if branches.contains(&load) {
                found.push(CurrentPath { steps: steps(circuit, source, &branches) });
            }
            if found.len() >= MOST_PATHS {
                break;
            }
        }
    }
    arrange::sort_by_key(&mut found, |path| (path.steps.len(), path.to_string()));
    found
}

impl fmt::Display for CurrentPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.steps.iter().enumerate() {
            write!(f, "{}{step}", if i > 0 { " " } else { "" })?;
        }
        Ok(())
    }
}

/// The terminals at the two ends of a branch; `None` for the chassis, or for the supply of a donor.
fn ends(circuit: &Circuit, branch: usize) -> [Option<TerminalRef>; 2] {
    let network = &circuit.resolved.network;
    match circuit.branches[branch].origin {
        Origin::Wire(index) => {
            let wire = &network.wires[index];
            [Some(wire.from.clone()), Some(wire.to.clone())]
        }
        Origin::Part(part, index) => {
            let Some(used) = &circuit.resolved.parts[part] else { return [None, None] };
            let own = (network.parts[part].kind.branches)(used).swap_remove(index);
            [own.from, own.to].map(|end| match end {
                End::Terminal(terminal) => {
                    Some(TerminalRef { part: network.parts[part].id.clone(), terminal })
                }
                End::Chassis | End::Supply => None,
            })
        }
    }
}

fn steps(circuit: &Circuit, source: usize, branches: &[usize]) -> Vec<Step> {
    let mut steps = Vec::new();
    let [positive, negative] = ends(circuit, source);
    let mut add = |step: Option<Step>| {
        // A terminal that is left as it was entered stands once.
        if let Some(step) = step
            && steps.last() != Some(&step)
        {
            steps.push(step);
        }
    };
    add(positive.map(Step::Terminal));
    let mut net = circuit.branches[source].from;
    for &index in branches {
        let branch = &circuit.branches[index];
        let forward = branch.from == net;
        let [from, to] = ends(circuit, index);
        let (enter, leave) = if forward { (from, to) } else { (to, from) };
        let far = if forward { branch.to } else { branch.from };
        add(enter.map(Step::Terminal));
        if let Origin::Wire(wire) = branch.origin {
            add(Some(Step::Wire(circuit.resolved.network.wires[wire].id.clone())));
        }
        add(if far == CHASSIS { Some(Step::Chassis) } else { leave.map(Step::Terminal) });
        net = far;
    }
    add(negative.map(Step::Terminal));
    steps
}

/// A current path told in plain words, terminal by terminal.
pub fn in_words(circuit: &Circuit, path: &CurrentPath) -> String {
    let network = &circuit.resolved.network;
    let name = |terminal: &TerminalRef| match network.part(&terminal.part) {
        Some(part) => format!("{} {} terminal {}", part.kind.noun, part.title(), terminal.terminal),
        None => terminal.to_string(),
    };
    let mut words = String::new();
    let mut before: Option<&Step> = None;
    for step in &path.steps {
        match (before, step) {
            (None, Step::Terminal(terminal)) => words.push_str(&format!("From {}", name(terminal))),
            (_, Step::Wire(id)) => {
                let what = network.wire(id).map_or_else(|| id.to_string(), wire_words);
                words.push_str(&format!(", along wire {what}"));
            }
            (Some(Step::Wire(_)), Step::Terminal(terminal)) => {
                words.push_str(&format!(" to {}", name(terminal)))
            }
            (Some(Step::Terminal(last)), Step::Terminal(terminal)) if last.part == terminal.part => {
                words.push_str(&format!(", through it to terminal {}", terminal.terminal));
            }
            (Some(Step::Chassis), Step::Terminal(terminal)) => {
                words.push_str(&format!(" to {}", name(terminal)))
            }
            (_, Step::Terminal(terminal)) => {
                words.push_str(&format!(", by the vehicle's own wiring to {}", name(terminal)))
            }
            (_, Step::Chassis) => words.push_str(", through the vehicle body"),
        }
        before = Some(step);
    }
    words.push('.');
    words
}

fn wire_words(wire: &crate::document::Wire) -> String {
    let mut facts = Vec::new();
    if let Some(size) = wire.size.known() {
        facts.push(by_hand(&size.title()));
    }
    if let Some(color) = wire.color {
        facts.push(color.title());
    }
    if facts.is_empty() {
        wire.title().to_owned()
    } else {
        format!("{} ({})", wire.title(), facts.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::{Settings, Situation};
    use crate::notation;
    use crate::solve::solve;

    fn paths(text: &str) -> (Circuit, Vec<CurrentPath>) {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let solution = solve(&circuit, &Situation::at_rest());
        let load = circuit.loads().next().unwrap().0;
        let paths = current_paths(&circuit, solution.shown().unwrap(), load);
        (circuit, paths)
    }

    #[test]
    fn a_lamp_on_two_parallel_feeds_has_two_paths() {
        let (circuit, paths) = paths(
            "battery G1
             fuse F1 rating_a=10
             splice X1
             lamp E1 watts=55
             earth X2
             wire w1 G1.+ F1.1 mm2=2.5 m=0.1
             wire w2 F1.2 X1.1 mm2=2.5 m=1
             wire w3 F1.2 X1.2 mm2=2.5 m=1
             wire w4 X1.3 E1.1 mm2=2.5 m=1
             wire w5 E1.2 X2.1 mm2=2.5 m=1",
        );
        let texts: Vec<_> = paths.iter().map(ToString::to_string).collect();
        assert_eq!(
            texts,
            [
                "G1.+ w1 F1.1 F1.2 w2 X1.1 X1.3 w4 E1.1 E1.2 w5 X2.1 chassis G1.-",
                "G1.+ w1 F1.1 F1.2 w3 X1.2 X1.3 w4 E1.1 E1.2 w5 X2.1 chassis G1.-",
            ]
        );
        assert_eq!(
            in_words(&circuit, &paths[0]),
            "From battery G1 terminal +, along wire w1 (2.5 mm²) to fuse F1 terminal 1, through it to terminal 2, \
             along wire w2 (2.5 mm²) to splice X1 terminal 1, through it to terminal 3, along wire w4 (2.5 mm²) to \
             lamp E1 terminal 1, through it to terminal 2, along wire w5 (2.5 mm²) to earth point X2 terminal 1, \
             through the vehicle body to battery G1 terminal -."
        );
    }

    #[test]
    fn a_lamp_without_earth_has_no_path() {
        let (_, paths) = paths(
            "battery G1
             lamp E1 watts=55
             wire w1 G1.+ E1.1 mm2=2.5 m=0.1",
        );
        assert!(paths.is_empty());
    }
}
