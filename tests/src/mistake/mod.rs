//! Single mistakes of every kind, planted at every place of a job where they can be made.
//!
//! They are made in what the job brings, not in what was there before; a donor's side and an alternator's limit are
//! what a survey may get wrong.

use std::collections::BTreeSet;
use std::sync::Arc;

use engine::document::{Document, Network, Part, Status, Wire};
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::Class;

use crate::judge::Judged;

mod fuses;
mod parts;
mod terminals;
mod wires;

/// A job with one mistake.
#[derive(Clone, Debug)]
pub struct Mistake {
    /// The kind of mistake.
    pub kind: &'static str,
    /// What was done, for people.
    pub what: String,
    /// The parts and wires it was done to, by id: where a finding is at the right place.
    pub places: BTreeSet<String>,
    /// The job with it.
    pub document: Document,
}

/// A job in which mistakes are planted.
pub struct Bed<'d> {
    document: &'d Document,
    judged: &'d Judged,
    planted: Vec<Mistake>,
}

/// Every kind of mistake at every place of a job that was judged.
pub fn plant(document: &Document, judged: &Judged) -> Vec<Mistake> {
    let mut bed = Bed { document, judged, planted: Vec::new() };
    fuses::plant(&mut bed);
    wires::plant(&mut bed);
    terminals::plant(&mut bed);
    parts::plant(&mut bed);
    bed.planted
}

impl<'d> Bed<'d> {
    fn network(&self) -> &'d Network {
        &self.document.network
    }

    /// Parts that this job brings.
    fn parts(&self) -> impl Iterator<Item = &'d Part> + use<'d> {
        self.network().parts.iter().filter(|part| part.status == Status::New)
    }

    fn parts_of(&self, class: Class) -> impl Iterator<Item = &'d Part> + use<'d> {
        self.parts().filter(move |part| part.kind.class == class)
    }

    /// Wires that this job brings.
    fn wires(&self) -> impl Iterator<Item = &'d Wire> + use<'d> {
        self.network().wires.iter().filter(|wire| wire.status == Status::New)
    }

    /// The wires that end on a part.
    fn wires_of(&self, part: &PartId) -> impl Iterator<Item = &'d Wire> + use<'d> {
        let part = part.clone();
        self.wires().filter(move |wire| wire.from.part == part || wire.to.part == part)
    }

    /// Plants one mistake: the network with `change` done to it.
    fn plant(
        &mut self,
        kind: &'static str,
        what: String,
        places: impl IntoIterator<Item = String>,
        change: impl FnOnce(&mut Network),
    ) {
        let mut network = self.network().clone();
        change(&mut network);
        let document = Document { network: Arc::new(network), ..self.document.clone() };
        self.planted.push(Mistake { kind, what, places: places.into_iter().collect(), document });
    }
}

/// The part with this id.
fn part_of<'n>(network: &'n mut Network, id: &PartId) -> &'n mut Part {
    network.parts.iter_mut().find(|part| part.id == *id).expect("the part is there")
}

/// The wire with this id.
fn wire_of<'n>(network: &'n mut Network, id: &WireId) -> &'n mut Wire {
    network.wires.iter_mut().find(|wire| wire.id == *id).expect("the wire is there")
}

/// A terminal.
fn end(part: &PartId, terminal: &str) -> TerminalRef {
    TerminalRef::new(part, terminal)
}

/// Gives every wire end at `a` to `b` and the other way round.
fn swap_ends(network: &mut Network, a: &TerminalRef, b: &TerminalRef) {
    for wire in &mut network.wires {
        for end in [&mut wire.from, &mut wire.to] {
            if end == a {
                *end = b.clone();
            } else if end == b {
                *end = a.clone();
            }
        }
    }
}

/// Whether a swap leaves no wire with both ends on one terminal.
fn is_wired(network: &Network, terminal: &TerminalRef) -> bool {
    network.wires.iter().any(|wire| wire.from == *terminal || wire.to == *terminal)
}

/// An id for something new.
fn fresh(network: &mut Network, letter: &str) -> String {
    network.next_id += 1;
    format!("{letter}{}", network.next_id + 5000)
}
