//! The order of work: what is done at the vehicle for this job, step by step, from the battery coming off to the last tie.
//!
//! The order is that of the trade (common practice, no source): the battery off before anything is touched, what comes out
//! before what goes in, earths first, holes before the wires that lead through them, fuses last but for the battery, and
//! the battery back on when everything else is done. What is in each step follows from the job: only what is new or comes
//! out, with sizes, lengths, places and ends as they stand there. What the job does not say is told as not known.
//!
//! Each new part and wire is fitted in one step, and each that comes out comes out in one; other steps may name it.

mod after;
mod before;
mod between;

use crate::circuit::Circuit;
use crate::document::{Document, Part, Status, Wire};
use crate::quantity::capital;
use crate::subject::Subject;

/// What a step is about. The order is that of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Reading the donors, while there is still a supply.
    Survey,
    /// Taking the supply off.
    BatteryOff,
    /// Taking out what comes out.
    TakeOut,
    /// Earth points.
    Earths,
    /// Holes through sheet metal, and their grommets.
    Holes,
    /// Putting parts in their places.
    Parts,
    /// Laying wires.
    Runs,
    /// Terminals and joints on the ends of wires.
    Ends,
    /// Relays into their bases.
    Relays,
    /// Seeing that no fuse is in.
    FusesOut,
    /// What is measured without a supply.
    ProveDead,
    /// Fuses, one at a time.
    FusesIn,
    /// Putting the supply back on.
    BatteryOn,
    /// What is tried and measured with it.
    ProveLive,
    /// Ties, covers, labels, papers.
    Tidy,
}

/// What an item of a step does with its subject.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    /// Fits it.
    Fits,
    /// Takes it out.
    TakesOut,
    /// Says something about it, or needs none.
    Says,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What is done, in words.
    pub text: String,
    /// What with.
    pub does: Does,
    /// The parts and wires that it is about.
    pub subjects: Vec<Subject>,
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is about.
    pub stage: Stage,
    /// What it is called: an instruction.
    pub title: String,
    /// What is done in it; never empty.
    pub items: Vec<Item>,
}

/// The order of work of a job, whose circuit this is; empty when nothing in it is new or comes out.
pub fn fitting_order(document: &Document, circuit: &Circuit) -> Vec<Step> {
    let work = Work { document, circuit };
    let is_work = |status: Status| status != Status::Existing;
    let network = &document.network;
    let any = network.parts.iter().any(|part| is_work(part.status))
        || network.wires.iter().any(|wire| is_work(wire.status));
    if !any {
        return Vec::new();
    }
    let mut steps = Vec::new();
    before::add(&work, &mut steps);
    between::add(&work, &mut steps);
    after::add(&work, &mut steps);
    steps.retain(|step| !step.items.is_empty());
    steps
}

/// A job and its circuit.
struct Work<'d> {
    document: &'d Document,
    circuit: &'d Circuit,
}

impl<'d> Work<'d> {
    /// The parts of this status.
    fn parts(&self, status: Status) -> impl Iterator<Item = &'d Part> {
        self.document.network.parts.iter().filter(move |part| part.status == status)
    }

    /// The wires of this status.
    fn wires(&self, status: Status) -> impl Iterator<Item = (usize, &'d Wire)> {
        self.document.network.wires.iter().enumerate().filter(move |(_, wire)| wire.status == status)
    }

    /// A part or wire as it is called.
    fn title(&self, subject: &Subject) -> String {
        subject.title(&self.document.network)
    }

    /// Where a part sits: ` at the tail`; nothing where it is not said.
    fn at_place(&self, part: &Part) -> String {
        let place = self.document.network.place_of(part).and_then(|id| self.document.plan.place(id));
        place.map_or_else(String::new, |place| format!(" at {}", place.title()))
    }

    /// Whether a part of the job has a plan to sit on.
    fn has_plan(&self) -> bool {
        self.document.plan.places.iter().any(|place| !place.passing)
    }

    /// How long a wire is cut, in words.
    fn length(&self, wire: usize) -> String {
        let used = self.circuit.resolved.wires[wire].as_ref();
        let known = used.filter(|used| used.length_from != crate::resolve::LengthFrom::Assumed);
        let length = known.map(|used| crate::laid::up_to_the_centimetre(used.length.high));
        length.map_or_else(|| "length not known".to_owned(), |length| length.to_string())
    }
}

/// What a wire is, in words: size and color.
fn wire_words(wire: &Wire) -> String {
    let size = wire.size.known().map_or_else(|| "size not known".to_owned(), |size| size.title());
    let color = wire.color.map_or_else(|| "colour not known".to_owned(), |color| color.title());
    format!("{size}, {color}")
}

/// An item that names parts or wires; its text begins with a capital letter.
fn item(text: String, does: Does, subjects: Vec<Subject>) -> Item {
    Item { text: capital(&text), does, subjects }
}

/// An item that names nothing of the job.
fn says(text: &str) -> Item {
    item(text.to_owned(), Does::Says, Vec::new())
}

fn step(stage: Stage, title: &str, items: Vec<Item>) -> Step {
    Step { stage, title: title.to_owned(), items }
}

fn part_subject(part: &Part) -> Subject {
    Subject::Part(part.id.clone())
}

fn wire_subject(wire: &Wire) -> Subject {
    Subject::Wire(wire.id.clone())
}

#[cfg(test)]
mod tests;
