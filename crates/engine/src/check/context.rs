//! What every check may read: the circuit, the surveyed situations, and what hangs together.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use petgraph::unionfind::UnionFind;

use crate::check::remedy;
use crate::check::survey::{Survey, joined};
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin, build};
use crate::document::{Edit, Interlock, Part, Situation, Status, Wire};
use crate::given::Given;
use crate::ids::TerminalRef;
use crate::kind::{Class, End, Law, Role};
use crate::protection::Prospects;
use crate::protection::zones::{FuseRule, Zones};
use crate::resolve::UsedWire;
use crate::solve::Solver;

/// Everything a check reads.
pub struct Context<'c> {
    /// The circuit.
    pub circuit: &'c Circuit,
    /// Rules that must hold in every situation.
    pub interlocks: &'c [Interlock],
    /// Solved situations.
    pub survey: Survey<'c>,
    /// Whether a net hangs on a positive pole when every contact is closed.
    pub supplied: Vec<bool>,
    /// Whether a net hangs on a negative pole or the chassis when every contact is closed.
    pub returned: Vec<bool>,
    /// Whether a net hangs on a positive pole in some surveyed situation.
    pub live: Vec<bool>,
    /// Whether a net hangs on a negative pole or the chassis in some surveyed situation.
    pub grounded: Vec<bool>,
    zones: OnceCell<Zones<'c>>,
    prospects: OnceCell<Prospects<'c>>,
    before: OnceCell<Circuit>,
    run: Vec<usize>,
    ends_at: BTreeMap<&'c TerminalRef, usize>,
}

impl<'c> Context<'c> {
    /// Surveys a circuit.
    pub fn new(circuit: &'c Circuit, situations: &[Situation], interlocks: &'c [Interlock]) -> Context<'c> {
        let sources: Vec<usize> = circuit.sources().collect();
        let positive: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].from).collect();
        let mut negative: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].to).collect();
        negative.push(CHASSIS);
        let survey = Survey::new(circuit, situations);
        // A contact that shorts the supply would make everything hang on both poles.
        let shorting: BTreeSet<usize> =
            survey.situations.iter().flat_map(|surveyed| &surveyed.shorts).map(|short| short.root).collect();
        let reached = |start: &[NetIndex], stop: &[NetIndex], way: Way| {
            let met = walk(circuit, start, |index, near| {
                !stop.contains(&near) && !shorting.contains(&index) && passes(circuit, index, near, way)
            });
            flags(circuit, met.into_iter().map(|(net, _)| net))
        };
        let seen = |start: &[NetIndex]| {
            let rests = survey.situations.iter().flat_map(|surveyed| surveyed.rests());
            flags(circuit, rests.flat_map(|rest| joined(circuit, rest, start)))
        };
        Context {
            circuit,
            interlocks,
            // The far pole ends a side: what is joined with it is a short circuit, not a feed.
            supplied: reached(&positive, &negative, Way::FromSupply),
            returned: reached(&negative, &positive, Way::FromEarth),
            live: seen(&positive),
            grounded: seen(&negative),
            survey,
            zones: OnceCell::new(),
            prospects: OnceCell::new(),
            before: OnceCell::new(),
            run: runs(circuit),
            ends_at: ends_at(circuit),
        }
    }

    /// How large the fuse ahead of a wire may be.
    pub fn fuse_rule(&self) -> FuseRule {
        FuseRule::of(&self.circuit.resolved.settings)
    }

    /// Protection zones.
    pub fn zones(&self) -> &Zones<'c> {
        self.zones.get_or_init(|| Zones::new(self.circuit))
    }

    /// What a fault would draw anywhere, in the states the surveyed situations come to.
    pub fn prospects(&self) -> &Prospects<'c> {
        self.prospects.get_or_init(|| {
            let rests = self
                .survey
                .situations
                .iter()
                .flat_map(|surveyed| surveyed.rests().map(|rest| (surveyed.when.clone(), &rest.state)));
            Prospects::new(self.circuit, &rests.collect::<Vec<_>>())
        })
    }

    /// Amperes of an existing wire with everything new left out, in a situation entered from rest; `None` when that
    /// does not come to rest.
    pub fn amps_before(&self, branch: usize, positions: &[u8]) -> Option<f64> {
        let before = self.before.get_or_init(|| {
            let mut network = (*self.circuit.resolved.network).clone();
            let parts = network.parts.iter_mut().map(|part| &mut part.status);
            let wires = network.wires.iter_mut().map(|wire| &mut wire.status);
            for status in parts.chain(wires).filter(|status| **status == Status::New) {
                *status = Status::Remove;
            }
            build(&Arc::new(network), &self.circuit.resolved.settings)
        });
        let solution = Solver::new(before).solve(positions.to_vec());
        let origin = self.circuit.branches[branch].origin;
        let same = before.branches.iter().position(|other| other.origin == origin)?;
        solution.shown().map(|rest| rest.steady.amps(same))
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

    /// The two terminals between which a branch of a part lies; `None` when one of its ends is none.
    pub fn terminals_of(&self, branch: usize) -> Option<[TerminalRef; 2]> {
        let Origin::Part(part, own) = self.circuit.branches[branch].origin else { return None };
        let used = self.circuit.resolved.parts[part].as_ref()?;
        let part = &self.circuit.resolved.network.parts[part];
        let ends = (part.kind.branches)(used).into_iter().nth(own).map(|branch| [branch.from, branch.to])?;
        let [from, to] = ends.map(|end| match end {
            End::Terminal(terminal) => Some(TerminalRef { part: part.id.clone(), terminal }),
            End::Chassis | End::Supply => None,
        });
        Some([from?, to?])
    }

    /// The edits that exchange what ends on the two terminals of a branch of a new part.
    pub fn turned_round(&self, branch: usize) -> Vec<Edit> {
        let network = &self.circuit.resolved.network;
        match self.terminals_of(branch) {
            Some([one, other]) => remedy::exchanged(network, &one, &other),
            None => Vec::new(),
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

    /// Whether a new wire or part hangs on the run of a wire.
    pub fn touches_new(&self, branch: usize) -> bool {
        let circuit = self.circuit;
        let run = self.run_of(circuit.branches[branch].from);
        let mut nets = (1..circuit.nets.len()).filter(|net| self.run_of(*net) == run);
        let new_part = |net: usize| {
            circuit.nets[net].iter().any(|terminal| {
                circuit.resolved.network.part(&terminal.part).is_some_and(|part| part.status == Status::New)
            })
        };
        nets.any(|net| {
            new_part(net)
                || circuit.at[net]
                    .iter()
                    .any(|index| self.wire_of(*index).is_some_and(|(wire, _)| wire.status == Status::New))
        })
    }

    /// Whether the rating of a fuse is a guess: that of a donor circuit which was not given.
    pub fn is_guessed(&self, fuse: usize) -> bool {
        self.part_of(fuse).is_some_and(|(_, part)| {
            part.kind.class == Class::Donor && part.values.get("fuse_a") == Given::NotKnown
        })
    }

    /// Whether the size or length of a wire had to be assumed.
    pub fn is_assumed(&self, branch: usize) -> bool {
        self.wire_of(branch).is_some_and(|(_, used)| used.size.is_none() || !used.length_said)
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

/// Whether everything that decides what a wire stands was said.
pub(super) fn is_fully_said(wire: &Wire) -> bool {
    wire.insulation.is_some() && wire.surroundings.is_some() && wire.bundle.is_some()
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

fn flags(circuit: &Circuit, nets: impl Iterator<Item = NetIndex>) -> Vec<bool> {
    let mut flags = vec![false; circuit.nets.len()];
    for net in nets {
        flags[net] = true;
    }
    flags
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
