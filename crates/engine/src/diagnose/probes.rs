//! The readings that may be taken, and what each costs.

use std::collections::{BTreeMap, BTreeSet};

use super::case::{Case, Target, earths, poles};
use super::ends::{own_terminal, sides};
use super::{Reading, Walk};
use crate::circuit::{CHASSIS, Origin};
use crate::document::{Found, Probe};
use crate::fault::Mode;
use crate::ids::{PartId, TerminalRef};
use crate::kind::{Class, Role};
use crate::subject::Subject;

/// How long things take, in minutes (all common practice, no source).
pub mod minutes {
    /// To read what is to be done, find the terminals by their names, and write down what was found: with every reading.
    pub const EACH: f64 = 1.0;
    /// To look at a load or to listen.
    pub const LOOK: f64 = 0.3;
    /// To look at each further load with the same glance.
    pub const GLANCE: f64 = 0.1;
    /// To hold the leads of a meter, or its clamp, and read it.
    pub const METER: f64 = 0.5;
    /// To take a fuse out and look at it.
    pub const FUSE: f64 = 0.3;
    /// To work one switch or donor circuit.
    pub const SWITCH: f64 = 0.2;
    /// To get at a fuse or a battery.
    pub const OPEN: f64 = 0.2;
    /// To get at a relay or an earth point.
    pub const RELAY: f64 = 0.5;
    /// To get at the connector of a lamp or any other load.
    pub const LOAD: f64 = 1.0;
    /// To get at the back of a switch.
    pub const BEHIND: f64 = 2.0;
    /// To open up where wires are joined.
    pub const WRAPPED: f64 = 3.0;
}

/// How long it takes to get somewhere, by the id of a part or of a place on the plan, in minutes; the part counts before
/// its place, and what is not named is taken as [`minutes`] says.
pub type Minutes = BTreeMap<String, f64>;

/// One reading that may be taken.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub probe: Probe,
    pub target: Target,
    /// How long it takes by itself.
    base: f64,
    /// The parts to get at.
    parts: Vec<PartId>,
    /// Whether it is the same in every situation.
    pub is_of_all: bool,
}

/// Everything that may be read, in the order of wires and parts. Of terminals that are one, the one that is easiest to get
/// at stands for all, and each whose wires may be exchanged for itself.
pub(super) fn choices(case: &Case, minutes: &Minutes) -> Vec<Choice> {
    let circuit = &case.circuit;
    let network = &circuit.resolved.network;
    let mut found: Vec<Choice> = Vec::new();
    let mut add = |probe: Probe, base: f64, parts: Vec<PartId>| {
        if let Some(target) = case.target(&probe) {
            let is_of_all = matches!(probe, Probe::Fuse(_));
            found.push(Choice { probe, target, base, parts, is_of_all });
        }
    };
    for (index, part) in network.parts.iter().enumerate() {
        let branches: Vec<_> = circuit.branches_of_part(index).map(|(_, branch)| branch).collect();
        let mut names: Vec<&str> = Vec::new();
        for branch in &branches {
            if let (Role::Load(load), Some(_)) = (branch.role, branch.law)
                && !names.contains(&load.name)
            {
                names.push(load.name);
                add(Probe::Look(part.id.clone(), load.name.to_owned()), minutes::LOOK, Vec::new());
            }
        }
        if branches.iter().any(|branch| matches!(branch.role, Role::Coil { .. })) {
            add(Probe::Listen(part.id.clone()), minutes::LOOK, Vec::new());
        }
        if part.kind.class == Class::Protection
            && branches.iter().any(|branch| matches!(branch.role, Role::Protection(_)))
        {
            add(Probe::Fuse(part.id.clone()), minutes::FUSE, vec![part.id.clone()]);
        }
    }
    let volts = |at: &TerminalRef, against: Option<&TerminalRef>| Probe::Volts {
        at: at.clone(),
        against: against.cloned(),
    };
    for terminal in points(case, minutes) {
        add(volts(&terminal, None), minutes::METER, vec![terminal.part.clone()]);
    }
    for earth in earths(circuit) {
        for pole in poles(circuit) {
            add(volts(&earth, Some(&pole)), minutes::METER, vec![earth.part.clone(), pole.part.clone()]);
        }
    }
    for side in sides(circuit) {
        let parts = vec![side.at.part.clone(), side.against.part.clone()];
        add(volts(&side.at, Some(&side.against)), minutes::METER, parts);
    }
    for branch in &circuit.branches {
        match branch.origin {
            Origin::Wire(wire) if branch.law.is_some() => {
                let wire = &network.wires[wire];
                let ends = vec![wire.from.part.clone(), wire.to.part.clone()];
                add(volts(&wire.from, Some(&wire.to)), minutes::METER, ends.clone());
                let nearer = nearest(case, minutes, &ends);
                add(Probe::Amps(wire.id.clone()), minutes::METER, nearer.into_iter().collect());
            }
            Origin::Part(part, _) if branch.law.is_some() => {
                let part = &network.parts[part];
                let at = |net| own_terminal(circuit, branch.origin, net);
                if branch.to != CHASSIS
                    && let (Some(from), Some(to)) = (at(branch.from), at(branch.to))
                {
                    add(volts(&from, Some(&to)), minutes::METER, vec![part.id.clone()]);
                }
            }
            _ => {}
        }
    }
    let mut known = BTreeSet::new();
    found.retain(|choice| known.insert(choice.probe.clone()));
    found
}

/// The terminals at which volts are read: the easiest of each net, and all whose wires may be exchanged.
fn points(case: &Case, minutes: &Minutes) -> Vec<TerminalRef> {
    let circuit = &case.circuit;
    let exchanged: BTreeSet<TerminalRef> = case
        .causes
        .iter()
        .filter_map(|cause| cause.fault())
        .flat_map(|fault| match (&fault.subject, &fault.mode) {
            (Subject::Part(part), Mode::Swapped(a, b)) => vec![
                TerminalRef { part: part.clone(), terminal: a.clone() },
                TerminalRef { part: part.clone(), terminal: b.clone() },
            ],
            _ => Vec::new(),
        })
        .collect();
    let mut found = Vec::new();
    for terminals in circuit.nets.iter().skip(1) {
        let is_earth = |terminal: &TerminalRef| {
            circuit.resolved.network.part(&terminal.part).is_some_and(|part| part.kind.class == Class::Earth)
        };
        // An earth point is read against the battery.
        let plain = terminals.iter().filter(|terminal| !exchanged.contains(terminal) && !is_earth(terminal));
        let easiest =
            plain.min_by(|a, b| access(case, minutes, &a.part).total_cmp(&access(case, minutes, &b.part)));
        found.extend(easiest.cloned());
        found.extend(terminals.iter().filter(|terminal| exchanged.contains(terminal)).cloned());
    }
    found
}

/// The part of these that is easiest to get at.
fn nearest(case: &Case, minutes: &Minutes, parts: &[PartId]) -> Option<PartId> {
    parts.iter().min_by(|a, b| access(case, minutes, a).total_cmp(&access(case, minutes, b))).cloned()
}

/// How long it takes to get at a part, in minutes.
fn access(case: &Case, minutes: &Minutes, part: &PartId) -> f64 {
    let Some(part) = case.circuit.resolved.network.part(part) else { return minutes::WRAPPED };
    let said = minutes.get(part.id.as_str()).or_else(|| minutes.get(part.place.as_ref()?.as_str()));
    if let Some(said) = said {
        return *said;
    }
    match part.kind.class {
        Class::Battery | Class::Protection => minutes::OPEN,
        Class::Earth => minutes::RELAY,
        Class::Contact if is_relay(part) => minutes::RELAY,
        Class::Contact => minutes::BEHIND,
        Class::Load | Class::Donor | Class::Generator => minutes::LOAD,
        Class::Joint | Class::Valve if part.has_terminal(&crate::ids::TerminalName::new("feed")) => {
            minutes::OPEN
        }
        Class::Joint | Class::Valve => minutes::WRAPPED,
    }
}

fn is_relay(part: &crate::document::Part) -> bool {
    part.has_terminal(&crate::ids::TerminalName::new("86"))
}

/// What has been done already, as far as the next reading depends on it.
pub(super) struct Bench {
    /// Parts that were got at already.
    at_hand: BTreeSet<PartId>,
    /// Probes that were answered, each with the moment.
    taken: BTreeSet<(Probe, usize)>,
    /// Parts nobody can get at with a lead.
    shut: BTreeSet<PartId>,
    /// Probes that cannot be taken.
    refused: BTreeSet<Probe>,
    /// The moment everything is set to.
    pub now: usize,
}

impl Bench {
    /// Reads it off what was taken so far.
    pub fn new(walk: &Walk<'_>) -> Bench {
        let case = walk.case;
        let mut bench = Bench {
            at_hand: BTreeSet::new(),
            taken: BTreeSet::new(),
            shut: BTreeSet::new(),
            refused: BTreeSet::new(),
            now: 0,
        };
        let said = walk
            .complaints
            .iter()
            .map(|complaint| (&complaint.situation, &complaint.probe, Some(complaint.found)));
        let read =
            walk.readings.iter().map(|Reading { situation, probe, found, .. }| (situation, probe, *found));
        for (situation, probe, found) in said.chain(read) {
            let Some(moment) = case.moment(situation) else { continue };
            bench.now = moment;
            let parts = parts_of(probe);
            match found {
                None => {}
                Some(Found::CannotReach) => {
                    bench.refused.insert(probe.clone());
                    // What another reading was taken at can be reached; then it is the other end that cannot.
                    bench.shut.extend(parts.into_iter().filter(|part| !bench.at_hand.contains(part)));
                }
                Some(_) => {
                    bench.at_hand.extend(parts);
                    bench.taken.insert((probe.clone(), moment));
                    // Where a test lamp was held, a meter tells little more.
                    if let Probe::TestLamp { at, against } = probe {
                        let (at, against) = (at.clone(), against.clone());
                        bench.taken.insert((Probe::Volts { at, against }, moment));
                    }
                }
            }
        }
        bench
    }

    /// Whether a reading can still be taken and tells something that was not read before.
    pub fn is_open(&self, choice: &Choice, moment: usize) -> bool {
        let is_taken = match choice.is_of_all {
            // It is the same whatever is switched on.
            true => self.taken.iter().any(|(probe, _)| *probe == choice.probe),
            false => self.taken.contains(&(choice.probe.clone(), moment)),
        };
        !is_taken && self.can_reach(choice)
    }

    /// Whether a reading can be taken at all.
    pub fn can_reach(&self, choice: &Choice) -> bool {
        !self.refused.contains(&choice.probe)
            && !parts_of(&choice.probe).iter().any(|part| self.shut.contains(part))
    }

    /// Takes a reading: what it had to get at is at hand from then on.
    pub fn take(&mut self, choice: &Choice, moment: usize) {
        self.at_hand.extend(choice.parts.iter().cloned());
        if !choice.is_of_all {
            self.now = moment;
        }
    }

    /// What it takes, in minutes, from where everything is now.
    pub fn minutes(&self, case: &Case, minutes: &Minutes, choice: &Choice, moment: usize) -> f64 {
        let way = choice.parts.iter().filter(|part| !self.at_hand.contains(part));
        let way: f64 = way.map(|part| access(case, minutes, part)).sum();
        let (now, then) = (&case.moments[self.now].positions, &case.moments[moment].positions);
        let n_switched = now.iter().zip(then).filter(|(now, then)| now != then).count();
        let switching = if choice.is_of_all { 0.0 } else { minutes::SWITCH * n_switched as f64 };
        minutes::EACH + choice.base + way + switching
    }
}

/// The parts that a probe has to get at with a lead, a clamp or fingers.
fn parts_of(probe: &Probe) -> Vec<PartId> {
    match probe {
        Probe::Volts { at, against } | Probe::TestLamp { at, against } => {
            std::iter::once(at).chain(against).map(|terminal| terminal.part.clone()).collect()
        }
        Probe::Fuse(part) => vec![part.clone()],
        Probe::Amps(_) | Probe::Look(..) | Probe::Listen(_) | Probe::Pin { .. } => Vec::new(),
    }
}
