//! What every check may read: the circuit, the surveyed situations, and what hangs together.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use crate::check::survey::Survey;
use crate::circuit::reach::{branches_by_net, walk};
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin};
use crate::document::{Part, Situation, Wire};
use crate::ids::TerminalRef;
use crate::kind::{Class, Law, Role};
use crate::resolve::UsedWire;

/// Everything a check reads.
pub struct Context<'c> {
    /// The circuit.
    pub circuit: &'c Circuit,
    /// Solved situations.
    pub survey: Survey<'c>,
    /// Branches that end on each net.
    pub at: Vec<Vec<usize>>,
    /// Whether a net hangs on a positive pole when every contact is closed.
    pub supplied: Vec<bool>,
    /// Whether a net hangs on a negative pole or the chassis when every contact is closed.
    pub returned: Vec<bool>,
    run: Vec<usize>,
    ends_at: BTreeMap<&'c TerminalRef, usize>,
}

impl<'c> Context<'c> {
    /// Surveys a circuit.
    pub fn new(circuit: &'c Circuit, situations: &[Situation]) -> Context<'c> {
        let sources: Vec<usize> = circuit.sources().collect();
        let positive: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].from).collect();
        let mut negative: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].to).collect();
        negative.push(CHASSIS);
        let negatives = negative.clone();
        let reached = |start: &[NetIndex], way: Way, stop: &dyn Fn(NetIndex) -> bool| {
            let mut met = vec![false; circuit.nets.len()];
            for (net, _) in
                walk(circuit, start, |index, near| !stop(near) && passes(circuit, index, near, way))
            {
                met[net] = true;
            }
            met
        };
        Context {
            circuit,
            survey: Survey::new(circuit, situations),
            at: branches_by_net(circuit),
            // The chassis ends the supply side: what is joined with it is a short circuit, not a feed.
            supplied: reached(&positive, Way::FromSupply, &|net| negatives.contains(&net)),
            returned: reached(&negative, Way::FromEarth, &|net| positive.contains(&net)),
            run: runs(circuit),
            ends_at: ends_at(circuit),
        }
    }

    /// How many wires of the circuit end on a terminal.
    pub fn ends_at(&self, terminal: &TerminalRef) -> usize {
        self.ends_at.get(terminal).copied().unwrap_or(0)
    }

    /// Two nets with one number are on one run: joined by wires, splices and connectors alone.
    pub fn run_of(&self, net: NetIndex) -> usize {
        self.run[net]
    }

    /// The part a branch belongs to, with its index.
    pub fn part_of(&self, branch: usize) -> Option<(usize, &'c Part)> {
        match self.circuit.branches[branch].origin {
            Origin::Part(part, _) => Some((part, &self.circuit.resolved.network.parts[part])),
            Origin::Wire(_) => None,
        }
    }

    /// The wire a branch is, with its values.
    pub fn wire_of(&self, branch: usize) -> Option<(&'c Wire, &'c UsedWire)> {
        match self.circuit.branches[branch].origin {
            Origin::Wire(wire) => {
                let resolved = &self.circuit.resolved;
                resolved.wires[wire].as_ref().map(|used| (&resolved.network.wires[wire], used))
            }
            Origin::Part(..) => None,
        }
    }

    /// All wires that are part of the circuit: branch index, wire, values.
    pub fn wires(&self) -> impl Iterator<Item = (usize, &'c Wire, &'c UsedWire)> + '_ {
        (0..self.circuit.branches.len())
            .filter_map(|branch| self.wire_of(branch).map(|(wire, used)| (branch, wire, used)))
    }

    /// A part as sentences name it: `lamp E1`.
    pub fn title(&self, part: usize) -> String {
        let part = &self.circuit.resolved.network.parts[part];
        format!("{} {}", part.kind.noun, part.title())
    }

    /// Whether a load is this job's business: not the vehicle's own lamp, and known well enough.
    pub fn is_judged(&self, branch: usize) -> bool {
        self.part_of(branch).is_some_and(|(_, part)| part.kind.class != Class::Donor)
            && self.circuit.branches[branch].law.is_some()
    }
}

/// Which way a walk goes: with the current, from the supply on, or against it, from the earth back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    FromSupply,
    FromEarth,
}

/// Whether a branch joins without using energy when its contacts are closed, seen from `near`; a
/// diode joins only the way current goes through it.
pub(super) fn passes(circuit: &Circuit, index: usize, near: NetIndex, way: Way) -> bool {
    let branch = &circuit.branches[index];
    match (branch.role, branch.law) {
        (Role::Path, Some(Law::Diode { .. })) => (branch.from == near) == (way == Way::FromSupply),
        (Role::Path | Role::Protection(_), Some(_)) => true,
        _ => false,
    }
}

fn ends_at(circuit: &Circuit) -> BTreeMap<&TerminalRef, usize> {
    let mut ends = BTreeMap::new();
    for branch in &circuit.branches {
        if let Origin::Wire(wire) = branch.origin {
            let wire = &circuit.resolved.network.wires[wire];
            *ends.entry(&wire.from).or_default() += 1;
            *ends.entry(&wire.to).or_default() += 1;
        }
    }
    ends
}

fn runs(circuit: &Circuit) -> Vec<usize> {
    let mut joined = UnionFind::<usize>::new(circuit.nets.len());
    for branch in &circuit.branches {
        let joins = match branch.origin {
            Origin::Wire(_) => true,
            Origin::Part(part, _) => {
                branch.role == Role::Path
                    && circuit.resolved.network.parts[part].kind.class == Class::Joint
                    && branch.law.is_some()
            }
        };
        if joins && branch.from != CHASSIS && branch.to != CHASSIS {
            joined.union(branch.from, branch.to);
        }
    }
    joined.into_labeling()
}
