//! What every check may read: the circuit, the surveyed situations, and what hangs together.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

use petgraph::unionfind::UnionFind;

use crate::check::remedy;
use crate::check::survey::{Survey, joined};
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex, Origin};
use crate::document::{Edit, Interlock, Part, Route, Situation, Status, Wire};
use crate::given::Given;
use crate::ids::TerminalRef;
use crate::kind::{Class, End, Law, Role};
use crate::protection::FuseRule;
use crate::protection::Prospects;
use crate::protection::zones::Zones;
use crate::resolve::UsedWire;
use crate::route;
use crate::solve::{Solver, Steady};
use crate::subject::Subject;

/// A side of the supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pole {
    /// What hangs on a positive pole.
    Positive,
    /// What hangs on a negative pole or the chassis.
    Negative,
}

/// Share of a current from which on what carries it is in line with it (common practice, no source).
const IN_LINE_SHARE: f64 = 0.5;

/// The circuit with everything new left out.
struct Before {
    circuit: Circuit,
    /// What was asked of it, by position: the same few situations are asked for wire by wire.
    known: RefCell<BTreeMap<Vec<u8>, Option<Rc<Steady>>>>,
    /// The branch of each wire or part, by where it comes from.
    branches: BTreeMap<Origin, usize>,
}

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
    before: OnceCell<Before>,
    pub(super) pieces: OnceCell<Vec<Subject>>,
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
            pieces: OnceCell::new(),
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
            let circuit = self.circuit.of_changed(&Arc::new(network));
            let branches =
                circuit.branches.iter().enumerate().map(|(index, branch)| (branch.origin, index)).collect();
            Before { circuit, known: RefCell::default(), branches }
        });
        let same = *before.branches.get(&self.circuit.branches[branch].origin)?;
        let mut known = before.known.borrow_mut();
        let steady = known.entry(positions.to_vec()).or_insert_with(|| {
            let settled = Solver::new(&before.circuit).enter(positions.to_vec());
            settled.shown().map(|rest| Rc::clone(&rest.steady))
        });
        steady.as_ref().map(|steady| steady.amps(same))
    }

    /// How many wires of the circuit end on a terminal.
    pub fn ends_at(&self, terminal: &TerminalRef) -> usize {
        self.ends_at.get(terminal).copied().unwrap_or(0)
    }

    /// Which pole a loose end would bring to a wire: a terminal by what its part leads to with every contact closed, a
    /// whole part by the first of its terminals that leads to one. `None` when it leads to neither or to both.
    pub fn side_of(&self, subject: &Subject) -> Option<Pole> {
        let net = |terminal: &TerminalRef| self.circuit.net_of(terminal);
        let nets: Vec<NetIndex> = match subject {
            Subject::Terminal(terminal) => net(terminal).into_iter().collect(),
            Subject::Part(id) => {
                let part = self.circuit.resolved.network.part(id)?;
                let end = |terminal: crate::kind::Terminal| TerminalRef {
                    part: id.clone(),
                    terminal: terminal.name,
                };
                part.terminals().into_iter().filter_map(|terminal| net(&end(terminal))).collect()
            }
            Subject::Wire(_) | Subject::Net(_) => Vec::new(),
        };
        nets.into_iter().find_map(|net| match (self.supplied[net], self.returned[net]) {
            (true, false) => Some(Pole::Positive),
            (false, true) => Some(Pole::Negative),
            _ => None,
        })
    }

    /// What may bring a branch its current with every contact closed, back to the first fuse or source on each way.
    pub fn ways_to(&self, branch: usize) -> Vec<Subject> {
        let ends = [self.circuit.branches[branch].from, self.circuit.branches[branch].to];
        let fed: Vec<NetIndex> = ends.into_iter().filter(|net| self.supplied[*net]).collect();
        self.subjects_around(&fed, |index, near| passes(self.circuit, index, near, Way::FromEarth)).0
    }

    /// The wires from a positive pole by which a branch is fed although it would be fed without them.
    pub fn second_feeds_of(&self, branch: usize) -> Vec<Subject> {
        let circuit = self.circuit;
        let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
        let fed: Vec<NetIndex> = ends.into_iter().filter(|net| self.supplied[*net]).collect();
        let poles: Vec<NetIndex> = circuit.sources().map(|source| circuit.branches[source].from).collect();
        let back = |without: Option<usize>, stops_at_fuses: bool| {
            walk(circuit, &fed, |index, near| {
                let is_fuse = matches!(circuit.branches[index].role, Role::Protection(_));
                Some(index) != without
                    && near != CHASSIS
                    && !poles.contains(&near)
                    && !(is_fuse && stops_at_fuses)
                    && passes(circuit, index, near, Way::FromEarth)
            })
        };
        let from_pole =
            back(None, true).into_iter().filter(|(net, _)| poles.contains(net)).filter_map(|(_, by)| by);
        let is_second = |wire: &usize| {
            self.wire_of(*wire).is_some()
                && back(Some(*wire), false).iter().any(|(net, _)| poles.contains(net))
        };
        from_pole.filter(is_second).map(|wire| circuit.subject(wire)).collect()
    }

    /// What has a say in whether a branch is fed: all that hangs on its two sides up to fuses, sources and earth, and on the two sides of the coils whose contacts are among that.
    pub fn deciders_of(&self, branch: usize) -> Vec<Subject> {
        let circuit = self.circuit;
        let mut all: Vec<Subject> = Vec::new();
        let mut looked_at: Vec<usize> = vec![branch];
        let mut next = 0;
        while let Some(at) = looked_at.get(next).map(|index| &circuit.branches[*index]) {
            next += 1;
            // A common earth joins what has nothing to do with each other.
            let (subjects, met) = self
                .subjects_around(&[at.from, at.to], |_, near| self.supplied[near] || !self.returned[near]);
            all.extend(subjects);
            for index in met {
                if let Gate::Device(device, _) = circuit.branches[index].gate
                    && !looked_at.contains(&circuit.devices[device].branch)
                {
                    looked_at.push(circuit.devices[device].branch);
                }
            }
        }
        all
    }

    /// What is joined with some nets by wires, contacts and joints, up to fuses, sources and the body.
    pub fn joined_with(&self, nets: &[NetIndex]) -> Vec<Subject> {
        self.subjects_around(nets, |_, _| true).0
    }

    /// What carries at least half of the current of a branch together with it, where that is greatest: the loads that
    /// draw it, and what lies between them and the supply.
    pub fn in_line_with(&self, branch: usize) -> Vec<Subject> {
        let circuit = self.circuit;
        let Some((amps, rest, _)) = self.survey.greatest_amps(branch, |_| true) else { return Vec::new() };
        let carries = |index: usize, near: NetIndex| {
            let is_source = circuit.branches[index].role == Role::Source;
            !is_source && near != CHASSIS && rest.steady.amps(index).abs() >= IN_LINE_SHARE * amps
        };
        let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
        let met = walk(circuit, &ends, carries);
        met.into_iter().filter_map(|(_, by)| by).map(|by| circuit.subject(by)).collect()
    }

    /// The branches without a fuse that a walk from some nets meets, as subjects with the terminals on the way.
    fn subjects_around(
        &self,
        nets: &[NetIndex],
        through: impl Fn(usize, NetIndex) -> bool,
    ) -> (Vec<Subject>, Vec<usize>) {
        let circuit = self.circuit;
        let is_end = |net: NetIndex| {
            let is_pole =
                |source: usize| [circuit.branches[source].from, circuit.branches[source].to].contains(&net);
            net == CHASSIS || circuit.sources().any(is_pole)
        };
        let mut over = BTreeSet::new();
        let met = walk(circuit, nets, |index, near| {
            let branch = &circuit.branches[index];
            let passes =
                !is_end(near) && branch.role == Role::Path && branch.law.is_some() && through(index, near);
            if passes {
                over.insert(index);
            }
            passes
        });
        let mut subjects: Vec<Subject> = Vec::new();
        let terminals = met.iter().filter(|(net, _)| !is_end(*net)).flat_map(|(net, _)| &circuit.nets[*net]);
        subjects.extend(terminals.cloned().map(Subject::Terminal));
        for index in &over {
            let subject = circuit.subject(*index);
            if !subjects.contains(&subject) {
                subjects.push(subject);
            }
        }
        (subjects, over.into_iter().collect())
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

    /// The batteries, by the branch of each as a source.
    pub fn batteries(&self) -> impl Iterator<Item = usize> + '_ {
        self.circuit
            .sources()
            .filter(|source| self.part_of(*source).is_some_and(|(_, part)| part.kind.class == Class::Battery))
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

    /// Each route of the plan with the wires of the circuit on it: branch index, wire, values. A wire that is led to and
    /// fro stands there once.
    pub fn on_routes(
        &self,
    ) -> impl Iterator<Item = (&'c Route, impl Iterator<Item = (usize, &'c Wire, &'c UsedWire)> + '_)> + '_
    {
        let resolved = &self.circuit.resolved;
        resolved.plan.routes.iter().enumerate().map(move |(index, route)| {
            let is_on = move |(branch, ..): &(usize, &'c Wire, &'c UsedWire)| {
                self.way_of(*branch).is_some_and(|way| way.pieces.contains(&index))
            };
            (route, self.wires().filter(is_on))
        })
    }

    /// The way of a wire along the plan.
    pub fn way_of(&self, branch: usize) -> Option<&'c route::Way> {
        match self.circuit.branches[branch].origin {
            Origin::Wire(wire) => self.circuit.resolved.ways.of(wire),
            Origin::Part(..) => None,
        }
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
        self.wire_of(branch).is_some_and(|(_, used)| used.size.is_none() || !used.length_said())
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
