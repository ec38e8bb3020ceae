//! Leading and adding the wires between a donor, a switch and the coil of a relay.

use super::NotOffered;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin, build};
use crate::document::edit::apply;
use crate::document::{Document, Edit, Labels, Network, Part, Size, Status, Wire};
use crate::donor_survey::Side;
use crate::given::Given;
use crate::ids::{PartId, TerminalName, TerminalRef};
use crate::kind::{Class, Value, by_name};
use crate::quantity::{Metres, SquareMillimetres};

/// Rating of the fuse at the tap, in amperes: a coil takes a fraction of it (common practice, no source).
const TAP_FUSE_A: f64 = 3.0;

/// Length of the lead from the tap to its fuse, in metres (common practice, no source).
const TAP_M: f64 = 0.1;

/// Size of wires that a fuse at the tap or a coil protects, in square millimetres (common practice, no source).
const COIL_MM2: f64 = 1.0;

/// Wiring in the making.
pub(super) struct Wiring {
    /// The job so far.
    pub document: Document,
    /// What was done, in words.
    pub does: Vec<String>,
    /// Size of the leads that are added on the lamp's wires, in square millimetres.
    mm2: f64,
}

/// What a terminal is wired to: over how many wires, over a fuse or not, and where that ends.
struct Chain {
    /// The last wire.
    last: Wire,
    /// Where it ends.
    end: TerminalRef,
    has_fuse: bool,
}

impl Wiring {
    /// None yet, in a job; leads on the lamp's wires are of this size.
    pub fn new(document: Document, mm2: f64) -> Wiring {
        Wiring { document, does: Vec::new(), mm2 }
    }

    fn network(&self) -> &Network {
        &self.document.network
    }

    /// Whether no wire was added whose size could be another.
    pub fn does_not_hang_on_size(&self) -> bool {
        !self.does.iter().any(|one| one.contains("is added"))
    }

    /// Wires the coil of a relay to a donor that is switched on this side.
    pub fn wire(
        &mut self,
        side: Side,
        donor: &PartId,
        relay: &PartId,
        switch: Option<&PartId>,
    ) -> Result<(), NotOffered> {
        let feed = self.terminal(donor, &["feed"])?;
        let back = self.terminal(donor, &["return"])?;
        let coil = [self.terminal(relay, &["86"])?, self.terminal(relay, &["85"])?];
        let near = match switch {
            None => coil[0].clone(),
            Some(switch) => {
                let inlet = self.terminal(switch, &["in"])?;
                let outlet = self.terminal(switch, &["out", "out1"])?;
                // A lead to the coil that passes the switch by is led to the switch.
                let is_free = self.chain(&inlet).is_none();
                let chain = self.chain(&coil[0]).filter(|chain| chain.end != outlet);
                if let (true, Some(_)) = (is_free, chain) {
                    self.move_near_end(&coil[0], &inlet)?;
                }
                let ends_elsewhere = self.chain(&coil[0]);
                self.join(&outlet, &coil[0], ends_elsewhere, COIL_MM2)?;
                inlet
            }
        };
        self.join(&near, &feed, None, COIL_MM2)?;
        self.fuse(&near, &feed)?;
        match side {
            Side::Earth => self.join(&coil[1], &back, None, self.mm2),
            Side::Positive => self.lead_to_earth(&coil[1]),
        }
    }

    fn terminal(&self, part: &PartId, names: &[&str]) -> Result<TerminalRef, NotOffered> {
        let Some(found) = self.network().part(part).filter(|part| part.status != Status::Remove) else {
            return Err(NotOffered::Unfit(format!("there is no part `{part}`")));
        };
        let name = names.iter().map(|name| TerminalName::new(name)).find(|name| found.has_terminal(name));
        let name =
            name.ok_or_else(|| NotOffered::Unfit(format!("{} has no terminal {}", found.title(), names[0])))?;
        Ok(TerminalRef { part: found.id.clone(), terminal: name })
    }

    /// Follows the wire on a terminal over fuses, connectors and splices of two wires; `None` when there is none, or
    /// several.
    fn chain(&self, from: &TerminalRef) -> Option<Chain> {
        let network = self.network();
        let mut chain: Option<Chain> = None;
        let (mut at, mut passes_fuse) = (from.clone(), false);
        // No chain is longer than the job.
        for _ in 0..network.wires.len() {
            let is_new = |wire: &&Wire| chain.as_ref().is_none_or(|chain| chain.last.id != wire.id);
            let onward: Vec<&Wire> = network.wires_at(&at).filter(is_new).collect();
            let [wire] = onward[..] else { break };
            let end = if wire.from == at { wire.to.clone() } else { wire.from.clone() };
            let has_fuse = passes_fuse || chain.is_some_and(|chain| chain.has_fuse);
            let beyond = self.beyond(&end);
            chain = Some(Chain { last: wire.clone(), end, has_fuse });
            let Some((beyond, is_fuse)) = beyond else { break };
            (at, passes_fuse) = (beyond, is_fuse);
        }
        chain
    }

    /// The terminal on the other side of what only passes a wire on: a fuse, a connector, a splice with one wire more.
    fn beyond(&self, at: &TerminalRef) -> Option<(TerminalRef, bool)> {
        let network = self.network();
        let part = network.part(&at.part)?;
        let others: Vec<TerminalRef> = part
            .terminals()
            .into_iter()
            .map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name })
            .filter(|other| other != at)
            .collect();
        match part.kind.class {
            Class::Protection if others.len() == 1 => Some((others[0].clone(), true)),
            Class::Joint => {
                let mut wired = others.into_iter().filter(|other| network.wires_at(other).next().is_some());
                match (wired.next(), wired.next()) {
                    (Some(one), None) => Some((one, false)),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// Whether wires, joints, fuses and earth points lead from a terminal to a net of this sort.
    fn reaches(&self, from: &TerminalRef, is_there: impl Fn(&Circuit, NetIndex) -> bool) -> bool {
        let circuit = build(&self.document.network, &self.document.settings);
        let leads = |index: usize, near: NetIndex| {
            let branch = &circuit.branches[index];
            let is_passed = match branch.origin {
                Origin::Wire(_) => true,
                Origin::Part(part, _) => matches!(
                    circuit.resolved.network.parts[part].kind.class,
                    Class::Joint | Class::Protection | Class::Earth
                ),
            };
            is_passed && near != CHASSIS
        };
        let Some(net) = circuit.net_of(from) else { return false };
        walk(&circuit, &[net], leads).iter().any(|(net, _)| is_there(&circuit, *net))
    }

    fn change(&mut self, edit: &Edit) -> Result<(), NotOffered> {
        self.document = apply(&self.document, edit)?;
        Ok(())
    }

    /// Leads the end of a wire that is at one terminal to another.
    fn move_end(&mut self, wire: &Wire, from: &TerminalRef, to: &TerminalRef) -> Result<(), NotOffered> {
        if wire.status != Status::New {
            let what = format!(
                "wire {}, which was there before, is on {}",
                wire.title(),
                self.network().terminal_title(from)
            );
            return Err(NotOffered::Unfit(what));
        }
        let mut moved = wire.clone();
        if moved.from == *from {
            moved.from = to.clone();
        } else {
            moved.to = to.clone();
        }
        // A short lead to a fuse stays short wherever it is tapped; what was measured for another way holds no longer.
        let is_short = wire.length.known().is_some_and(|length| length.get() <= 2.0 * TAP_M);
        if !is_short {
            moved.length = Given::NotKnown;
        }
        let network = self.network();
        let (from, to) = (network.terminal_title(from), network.terminal_title(to));
        self.does.push(format!("wire {} goes to {to} instead of {from}", wire.title()));
        self.change(&Edit::ChangeWire(moved))
    }

    fn move_near_end(&mut self, from: &TerminalRef, to: &TerminalRef) -> Result<(), NotOffered> {
        let wire = self.network().wires_at(from).next().cloned();
        wire.map_or(Ok(()), |wire| self.move_end(&wire, from, to))
    }

    /// Joins two terminals: by what leads from the first one, by `back`, which leads from the second, or by a new wire.
    ///
    /// What leads from the wires of the lamp belongs to other circuits, and is not led elsewhere.
    fn join(
        &mut self,
        one: &TerminalRef,
        other: &TerminalRef,
        back: Option<Chain>,
        mm2: f64,
    ) -> Result<(), NotOffered> {
        if self.reaches(one, |circuit, net| circuit.net_of(other) == Some(net)) {
            return Ok(());
        }
        let chain = self.chain(one);
        match (chain, back) {
            (Some(_), Some(_)) => {
                let network = self.network();
                let (one, other) = (network.terminal_title(one), network.terminal_title(other));
                Err(NotOffered::Unfit(format!("{one} and {other} are both wired to something else")))
            }
            (Some(chain), None) => self.move_end(&chain.last, &chain.end, other),
            (None, Some(back)) => self.move_end(&back.last, &back.end, one),
            (None, None) => self.add_wire(one, other, mm2, None),
        }
    }

    fn add_wire(
        &mut self,
        from: &TerminalRef,
        to: &TerminalRef,
        mm2: f64,
        length_m: Option<f64>,
    ) -> Result<(), NotOffered> {
        let network = self.network();
        let mut wire = Wire::new(network.fresh_wire_id(), from.clone(), to.clone());
        wire.label = Labels::of(network).wire();
        wire.size =
            SquareMillimetres::new(mm2).map_or(Given::NotKnown, |area| Given::Known(Size::Metric(area)));
        wire.length = length_m.and_then(Metres::new).map_or(Given::NotKnown, Given::Known);
        let ends = (network.terminal_title(from), network.terminal_title(to));
        let size = wire.size.known().map_or_else(String::new, Size::title);
        self.does.push(format!("wire {} of {size} from {} to {} is added", wire.title(), ends.0, ends.1));
        self.change(&Edit::Add { parts: Vec::new(), wires: vec![wire], poses: Vec::new() })
    }

    /// Puts a fuse at the tap, if there is none on the way to it.
    fn fuse(&mut self, near: &TerminalRef, feed: &TerminalRef) -> Result<(), NotOffered> {
        let Some(chain) = self.chain(near).filter(|chain| !chain.has_fuse && chain.end == *feed) else {
            return Ok(());
        };
        let network = self.network();
        let Some(kind) = by_name("fuse") else { return Ok(()) };
        let mut fuse = Part::new(network.fresh_part_id(), kind, Labels::of(network).part(kind.letter));
        fuse.values.set("rating_a", Given::Known(Value::Number(TAP_FUSE_A)));
        // It sits where the lamp does, if that is said.
        fuse.place = network.part(&feed.part).and_then(|part| network.place_of(part)).cloned();
        fuse.surroundings = network.part(&feed.part).and_then(|part| part.surroundings);
        let [inlet, outlet] =
            ["1", "2"].map(|name| TerminalRef { part: fuse.id.clone(), terminal: TerminalName::new(name) });
        self.does.push(format!("fuse {} of 3 A at the tap is added", fuse.title()));
        self.change(&Edit::Add { parts: vec![fuse], wires: Vec::new(), poses: Vec::new() })?;
        let mut rest = chain.last;
        if rest.from == *feed {
            rest.from = outlet;
        } else {
            rest.to = outlet;
        }
        self.change(&Edit::ChangeWire(rest))?;
        self.add_wire(feed, &inlet, self.mm2, Some(TAP_M))
    }

    /// Leads the other end of the coil to earth: to where it leads already, else to an earth point of the job or a new one.
    fn lead_to_earth(&mut self, coil: &TerminalRef) -> Result<(), NotOffered> {
        if self.reaches(coil, |_, net| net == CHASSIS) {
            return Ok(());
        }
        let chain = self.chain(coil);
        let points = self.network().parts.iter().filter(|part| part.kind.class == Class::Earth);
        let mut points = points.filter(|part| part.status != Status::Remove);
        let point = match points.next() {
            Some(part) => part.id.clone(),
            None => {
                let network = self.network();
                let kind = by_name("earth").ok_or(NotOffered::NotTold)?;
                let part = Part::new(network.fresh_part_id(), kind, Labels::of(network).part(kind.letter));
                let id = part.id.clone();
                self.does.push(format!("earth point {} is added", part.title()));
                self.change(&Edit::Add { parts: vec![part], wires: Vec::new(), poses: Vec::new() })?;
                id
            }
        };
        let to = TerminalRef { part: point, terminal: TerminalName::new("1") };
        match chain {
            Some(chain) => self.move_end(&chain.last, &chain.end, &to),
            None => self.add_wire(coil, &to, COIL_MM2, None),
        }
    }
}
