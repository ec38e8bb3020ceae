//! Every fault of a circuit.

use super::{Does, FLAT_SHARE, Fault, Mode, TOUCH_OHM};
use crate::circuit::{Change, Circuit, Gate, NetIndex, Origin};
use crate::ids::{TerminalName, TerminalRef};
use crate::kind::{Class, End, Law, PartBranch, Role};
use crate::quantity::{Ohms, Volts};
use crate::subject::Subject;

/// How likely things are to give way, beside each other (common practice, no source).
mod odds {
    use crate::document::Status;

    pub const OPEN: f64 = 1e-3;
    pub const JOINT: f64 = 3e-3;
    pub const TOUCH: f64 = 3e-4;
    pub const BLOWN: f64 = 2e-3;
    pub const CONTACT: f64 = 5e-4;
    pub const COIL: f64 = 3e-4;
    pub const LAMP: f64 = 5e-3;
    pub const LOAD: f64 = 1e-3;
    pub const DIODE: f64 = 3e-4;
    pub const FLAT: f64 = 3e-3;

    /// A mistake of fitting: in what is new ten times as likely as in what was fitted long ago and has worked since.
    pub fn of_mistake(status: Status) -> f64 {
        if status == Status::New { NEW_MISTAKE } else { 0.1 * NEW_MISTAKE }
    }

    /// A mistake of fitting in what is new.
    pub const NEW_MISTAKE: f64 = 1e-3;
}

/// Every single fault of a circuit, wires first, in document order.
pub fn faults(circuit: &Circuit) -> Vec<Fault> {
    let mut list = List { circuit, found: Vec::new() };
    for branch in 0..circuit.branches.len() {
        if let Origin::Wire(wire) = circuit.branches[branch].origin {
            list.wire(branch, wire);
        }
    }
    for part in 0..circuit.resolved.network.parts.len() {
        list.part(part);
    }
    list.found
}

/// One of a part's own branches: its index in the circuit, and what the kind says of it.
struct Own {
    index: usize,
    branch: PartBranch,
}

impl Own {
    /// The names of the terminals it joins; the chassis and the supply have none.
    fn terminals(&self) -> [Option<&TerminalName>; 2] {
        [&self.branch.from, &self.branch.to].map(|end| match end {
            End::Terminal(name) => Some(name),
            End::Chassis | End::Supply => None,
        })
    }

    fn is_at(&self, terminal: &TerminalName) -> bool {
        self.terminals().contains(&Some(terminal))
    }

    fn is_gated(&self, circuit: &Circuit) -> bool {
        self.branch.role == Role::Path && circuit.branches[self.index].gate != Gate::Always
    }
}

struct List<'c> {
    circuit: &'c Circuit,
    found: Vec<Fault>,
}

impl List<'_> {
    fn add(&mut self, subject: &Subject, mode: Mode, odds: f64, does: Does) {
        self.found.push(Fault { subject: subject.clone(), mode, odds, does });
    }

    fn add_changes(&mut self, subject: &Subject, mode: Mode, odds: f64, changes: Vec<Change>) {
        self.add(subject, mode, odds, Does::Changes(changes));
    }

    fn open(&mut self, subject: &Subject, mode: Mode, odds: f64, branch: usize) {
        self.add_changes(subject, mode, odds, vec![Change::Law(branch, None)]);
    }

    fn wire(&mut self, branch: usize, index: usize) {
        let wire = &self.circuit.resolved.network.wires[index];
        if self.circuit.branches[branch].law.is_none() {
            return;
        }
        let subject = Subject::Wire(wire.id.clone());
        self.open(&subject, Mode::Open, odds::OPEN, branch);
        self.add(&subject, Mode::Resistive, odds::JOINT, Does::Adds(branch));
        let touch = Ohms::new(TOUCH_OHM).map(|ohm| vec![Change::Touches(branch, ohm)]);
        self.add_changes(&subject, Mode::TouchesBody, odds::TOUCH, touch.unwrap_or_default());
        self.wrong_taps(&subject, branch, index);
    }

    /// A wire at a terminal of a donor circuit may have been put to the same wire of another one, or to the other wire of
    /// the same lamp.
    fn wrong_taps(&mut self, subject: &Subject, branch: usize, index: usize) {
        let network = &self.circuit.resolved.network;
        let wire = &network.wires[index];
        let odds = odds::of_mistake(wire.status);
        for (end, is_first) in [(&wire.from, true), (&wire.to, false)] {
            if network.part(&end.part).is_none_or(|part| part.kind.class != Class::Donor) {
                continue;
            }
            for donor in network.parts.iter().filter(|part| part.kind.class == Class::Donor) {
                for terminal in donor.terminals() {
                    let own = donor.id == end.part;
                    if own == (terminal.name == end.terminal) {
                        continue;
                    }
                    let other = TerminalRef { part: donor.id.clone(), terminal: terminal.name };
                    let Some(net) = self.circuit.net_of(&other) else { continue };
                    let (from, to) = (self.circuit.branches[branch].from, self.circuit.branches[branch].to);
                    let moved = if is_first { (net, to) } else { (from, net) };
                    let changes = vec![Change::Ends(branch, moved.0, moved.1)];
                    self.add_changes(subject, Mode::WrongTap(other), odds, changes);
                }
            }
        }
    }

    fn part(&mut self, index: usize) {
        let resolved = &self.circuit.resolved;
        let (part, Some(used)) = (&resolved.network.parts[index], &resolved.parts[index]) else { return };
        let branches = (part.kind.branches)(used);
        let own: Vec<Own> = self
            .circuit
            .branches_of_part(index)
            .filter_map(|(branch, made)| match made.origin {
                Origin::Part(_, i) => Some(Own { index: branch, branch: branches.get(i)?.clone() }),
                Origin::Wire(_) => None,
            })
            .collect();
        let subject = Subject::Part(part.id.clone());
        for one in own.iter().filter(|one| one.branch.law.is_some()) {
            self.branch(&subject, part.kind.class, one);
        }
        self.loads(&subject, &own);
        let odds = odds::of_mistake(part.status);
        self.swaps(&subject, &own, odds);
        self.terminals(&subject, &own);
        if part.kind.class == Class::Joint {
            self.apart(&subject, index);
        }
    }

    /// What may be wrong with one branch of a part, its loads aside.
    fn branch(&mut self, subject: &Subject, class: Class, own: &Own) {
        let index = own.index;
        let far = own.terminals()[1].cloned();
        match (own.branch.role, self.circuit.branches[index].gate, far) {
            (Role::Protection(_), ..) => {
                self.open(subject, Mode::Blown, odds::BLOWN, index);
                let joint = if class == Class::Donor { Mode::BadFeed } else { Mode::Resistive };
                self.add(subject, joint, odds::JOINT, Does::Adds(index));
                if class == Class::Protection {
                    self.add(subject, Mode::WrongFuse, odds::NEW_MISTAKE, Does::Nothing);
                }
            }
            (Role::Coil { .. }, ..) => self.open(subject, Mode::CoilOpen, odds::COIL, index),
            (Role::Path, gate, Some(far)) if gate != Gate::Always && class == Class::Contact => {
                self.open(subject, Mode::NeverCloses(far.clone()), odds::CONTACT, index);
                self.add(subject, Mode::BurntContact(far.clone()), odds::CONTACT, Does::Adds(index));
                self.welded(subject, index, far);
            }
            (Role::Path, ..) => {
                self.open(subject, Mode::Open, odds::OPEN, index);
                self.add(subject, Mode::Resistive, odds::JOINT, Does::Adds(index));
            }
            (Role::Source, ..) => self.flat(subject, index),
            (Role::Suppression, ..) => self.shorted(subject, index),
            (Role::Load(_), ..) => {}
        }
        if own.branch.role == Role::Path && matches!(own.branch.law, Some(Law::Diode { .. })) {
            self.shorted(subject, index);
        }
    }

    /// A contact that is welded keeps the armature from reaching the other one.
    fn welded(&mut self, subject: &Subject, index: usize, far: TerminalName) {
        let mut changes = vec![Change::Gate(index, Gate::Always)];
        if let Gate::Device(device, on) = self.circuit.branches[index].gate {
            let opposite = |other: &usize| self.circuit.branches[*other].gate == Gate::Device(device, !on);
            let others = (0..self.circuit.branches.len()).filter(opposite);
            changes.extend(others.map(|other| Change::Law(other, None)));
        }
        self.add_changes(subject, Mode::Welded(far), odds::CONTACT, changes);
    }

    fn flat(&mut self, subject: &Subject, index: usize) {
        let changes = match self.circuit.branches[index].law {
            Some(Law::Source { emf, internal, limit, one_way: false }) => {
                let emf = Volts::new(emf.get() * FLAT_SHARE).unwrap_or(emf);
                vec![Change::Law(index, Some(Law::Source { emf, internal, limit, one_way: false }))]
            }
            // One that no current flows back into gives nothing when it has failed.
            _ => vec![Change::Law(index, None)],
        };
        self.add_changes(subject, Mode::Flat, odds::FLAT, changes);
    }

    fn shorted(&mut self, subject: &Subject, index: usize) {
        let law = Ohms::new(TOUCH_OHM).map(Law::Resistance);
        self.add_changes(subject, Mode::Shorted, odds::DIODE, vec![Change::Law(index, law)]);
    }

    /// Loads of one name are one thing: a motor that runs and the same one blocked.
    fn loads(&mut self, subject: &Subject, own: &[Own]) {
        let mut names: Vec<&'static str> = Vec::new();
        for one in own {
            if let Role::Load(load) = one.branch.role
                && !names.contains(&load.name)
            {
                names.push(load.name);
            }
        }
        for name in names {
            let of_name = |one: &&Own| matches!(one.branch.role, Role::Load(load) if load.name == name);
            let same: Vec<&Own> = own.iter().filter(of_name).collect();
            if same.iter().all(|one| one.branch.law.is_none()) {
                continue;
            }
            let is_lamp = same.iter().any(|one| matches!(one.branch.law, Some(Law::Filament { .. })));
            let odds = if is_lamp { odds::LAMP } else { odds::LOAD };
            let changes = same.iter().map(|one| Change::Law(one.index, None)).collect();
            self.add_changes(subject, Mode::Dead(name), odds, changes);
        }
    }

    /// Wires that may have been exchanged between terminals: those of contacts that share their other terminal, of loads
    /// that do, of the two sides of a contact, of a coil, and of what minds which way round it is.
    fn swaps(&mut self, subject: &Subject, own: &[Own], odds: f64) {
        let mut pairs: Vec<(TerminalName, TerminalName)> = Vec::new();
        let mut add = |a: &TerminalName, b: &TerminalName| {
            let is_same = |(c, d): &(TerminalName, TerminalName)| (c, d) == (a, b) || (c, d) == (b, a);
            if a != b && !pairs.iter().any(is_same) {
                pairs.push((a.clone(), b.clone()));
            }
        };
        for (number, one) in own.iter().enumerate() {
            let [Some(from), Some(to)] = one.terminals() else { continue };
            let minds = matches!(one.branch.law, Some(Law::Electronic { .. } | Law::Diode { .. }))
                && one.branch.role != Role::Suppression;
            if minds || matches!(one.branch.role, Role::Coil { .. }) || one.is_gated(self.circuit) {
                add(from, to);
            }
            for other in &own[number + 1..] {
                let alike = one.is_gated(self.circuit) && other.is_gated(self.circuit)
                    || matches!((one.branch.role, other.branch.role), (Role::Load(_), Role::Load(_)));
                let [Some(its_from), Some(its_to)] = other.terminals() else { continue };
                if alike && from == its_from {
                    add(to, its_to);
                }
                if alike && to == its_to {
                    add(from, its_from);
                }
            }
        }
        for (a, b) in pairs {
            let changes = self.exchanged(own, &a, &b);
            let is_one_way = own.len() == 1 && !own[0].is_gated(self.circuit);
            let mode = if is_one_way { Mode::Reversed } else { Mode::Swapped(a, b) };
            self.add_changes(subject, mode, odds, changes);
        }
    }

    /// The branches of a part as they are when what was at one terminal is at the other.
    fn exchanged(&self, own: &[Own], a: &TerminalName, b: &TerminalName) -> Vec<Change> {
        let net = |wanted: &TerminalName| -> Option<NetIndex> {
            own.iter().find_map(|one| {
                let made = &self.circuit.branches[one.index];
                let [from, to] = one.terminals();
                (from == Some(wanted)).then_some(made.from).or((to == Some(wanted)).then_some(made.to))
            })
        };
        let (Some(net_a), Some(net_b)) = (net(a), net(b)) else { return Vec::new() };
        let moved = |name: Option<&TerminalName>, net: NetIndex| match name {
            Some(name) if name == a => net_b,
            Some(name) if name == b => net_a,
            _ => net,
        };
        own.iter()
            .filter(|one| one.is_at(a) || one.is_at(b))
            .map(|one| {
                let made = &self.circuit.branches[one.index];
                let [from, to] = one.terminals();
                Change::Ends(one.index, moved(from, made.from), moved(to, made.to))
            })
            .collect()
    }

    /// A terminal at which several branches of a part meet may be off as a whole; with one branch that is the same as the
    /// branch being open.
    fn terminals(&mut self, subject: &Subject, own: &[Own]) {
        let mut known: Vec<&TerminalName> = Vec::new();
        for terminal in own.iter().flat_map(Own::terminals).flatten() {
            if known.contains(&terminal) {
                continue;
            }
            known.push(terminal);
            let at: Vec<&Own> = own.iter().filter(|one| one.is_at(terminal)).collect();
            if at.len() > 1 {
                let changes = at.iter().map(|one| Change::Law(one.index, None)).collect();
                self.add_changes(subject, Mode::TerminalOff(terminal.clone()), odds::OPEN, changes);
            }
        }
    }

    /// A joint of three wires and more may come apart as a whole.
    fn apart(&mut self, subject: &Subject, part: usize) {
        let network = &self.circuit.resolved.network;
        let id = &network.parts[part].id;
        let is_here = |branch: &usize| match self.circuit.branches[*branch].origin {
            Origin::Wire(wire) => {
                [&network.wires[wire].from, &network.wires[wire].to].iter().any(|end| end.part == *id)
            }
            Origin::Part(..) => false,
        };
        // What a part joins by branches of its own, as a connector does, comes apart there.
        if self.circuit.branches_of_part(part).next().is_some() {
            return;
        }
        let wires: Vec<usize> = (0..self.circuit.branches.len()).filter(is_here).collect();
        if wires.len() > 2 {
            let changes = wires.into_iter().map(|branch| Change::Law(branch, None)).collect();
            self.add_changes(subject, Mode::Apart, odds::OPEN, changes);
        }
    }
}
