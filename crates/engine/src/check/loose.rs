//! Loose ends, and where a wire may be missing or sit on the wrong terminal.

use std::collections::BTreeSet;

use crate::check::Context;
use crate::circuit::NetIndex;
use crate::document::{Part, Status};
use crate::ids::{PartId, TerminalRef};
use crate::kind::Class;
use crate::subject::Subject;

impl Context<'_> {
    /// The one terminal of a new part that needs a wire, has none and is live with every contact closed; `None` when
    /// there are several. The far side of a connector's way needs one where the near side has one.
    pub fn only_live_end(&self) -> Option<TerminalRef> {
        let parts = self.circuit.resolved.network.parts.iter().enumerate();
        let new = parts.filter(|(_, part)| part.status == Status::New);
        let ends = new.flat_map(|(index, part)| {
            let is_way =
                part.kind.class == Class::Joint && self.circuit.branches_of_part(index).next().is_some();
            let needed = part.terminals().into_iter().filter(move |terminal| terminal.needed || is_way);
            needed.map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name })
        });
        let is_loose = |end: &TerminalRef| {
            let alone = |net: NetIndex| self.circuit.nets[net].iter().all(|other| other.part == end.part);
            self.ends_at(end) == 0
                && self
                    .circuit
                    .net_of(end)
                    .is_some_and(|net| alone(net) && self.supplied[net] && !self.returned[net])
        };
        let mut loose = ends.filter(is_loose);
        loose.next().filter(|_| loose.next().is_none())
    }

    /// Terminals without a wire, with their parts, where a wire of the same part shares its terminal with another and
    /// the part is among what is given: its wire may have been put on the wrong terminal.
    pub fn misplaced_at(&self, touched: &[Subject]) -> Vec<Subject> {
        let network = &self.circuit.resolved.network;
        let mut near: BTreeSet<&PartId> = BTreeSet::new();
        for subject in touched {
            match subject {
                Subject::Wire(id) => {
                    let wire = network.wires.iter().find(|wire| wire.id == *id);
                    near.extend(wire.into_iter().flat_map(|wire| [&wire.from.part, &wire.to.part]));
                }
                Subject::Terminal(terminal) => near.extend([&terminal.part]),
                Subject::Part(_) | Subject::Net(_) => {}
            }
        }
        let mut misplaced = Vec::new();
        let is_near = |part: &&Part| near.contains(&part.id) && part.kind.class != Class::Joint;
        for part in network.parts.iter().filter(is_near) {
            let ends = part
                .terminals()
                .into_iter()
                .map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name });
            let (bare, wired): (Vec<_>, Vec<_>) = ends.partition(|end| self.ends_at(end) == 0);
            if !bare.is_empty() && wired.iter().any(|end| self.ends_at(end) > 1) {
                misplaced.push(Subject::Part(part.id.clone()));
                misplaced.extend(bare.into_iter().map(Subject::Terminal));
            }
        }
        misplaced
    }

    /// The terminals without a wire among these, and those beside which a wire may sit on the wrong terminal.
    pub fn loose_ends_at(&self, around: &[Subject]) -> Vec<Subject> {
        let is_bare =
            |subject: &&Subject| matches!(subject, Subject::Terminal(end) if self.ends_at(end) == 0);
        around.iter().filter(is_bare).cloned().chain(self.misplaced_at(around)).collect()
    }

    /// All terminals of the fuses that are met in one of them.
    pub fn fuse_ends_at(&self, around: &[Subject]) -> Vec<Subject> {
        let network = &self.circuit.resolved.network;
        let met = around.iter().filter_map(|subject| network.part(subject.part()?));
        let fuses = met.filter(|part| part.kind.class == Class::Protection);
        let ends = fuses.flat_map(|fuse| {
            let own = |name| Subject::Terminal(TerminalRef { part: fuse.id.clone(), terminal: name });
            fuse.terminals().into_iter().map(move |terminal| own(terminal.name))
        });
        ends.collect()
    }

    /// New splices and bars on which a single wire ends: the pieces of a joint that was left out. None where nothing
    /// tells that they belong together: one that leads to a pole, and one that lacks it.
    pub fn pieces_of_a_joint(&self) -> &[Subject] {
        self.pieces.get_or_init(|| {
            let is_piece = |part: &&Part| {
                let ends = part
                    .terminals()
                    .into_iter()
                    .map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name });
                let is_joint = part.status == Status::New
                    && part.kind.class == Class::Joint
                    && part.box_ways().is_none();
                is_joint && ends.map(|end| self.ends_at(&end)).sum::<usize>() == 1
            };
            let parts = self.circuit.resolved.network.parts.iter().filter(is_piece);
            let pieces: Vec<Subject> = parts.map(|part| Subject::Part(part.id.clone())).collect();
            let n_leads = pieces.iter().filter(|piece| self.side_of(piece).is_some()).count();
            if (1..pieces.len()).contains(&n_leads) { pieces } else { Vec::new() }
        })
    }

    /// All pieces of a joint that was left out, where one of them is among these.
    pub fn pieces_at(&self, touched: &[Subject]) -> Vec<Subject> {
        let pieces = self.pieces_of_a_joint();
        let is_one = |subject: &Subject| match subject {
            Subject::Wire(id) => self.circuit.resolved.network.wire(id).is_some_and(|wire| {
                [&wire.from, &wire.to].iter().any(|end| pieces.contains(&Subject::Part(end.part.clone())))
            }),
            other => other.part().is_some_and(|part| pieces.contains(&Subject::Part(part.clone()))),
        };
        if touched.iter().any(is_one) { pieces.to_vec() } else { Vec::new() }
    }
}
