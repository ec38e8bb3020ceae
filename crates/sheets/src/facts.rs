//! What a set tells of a job, computed by the engine.

use std::collections::BTreeMap;

use engine::answer::Prepared;
use engine::circuit::Circuit;
use engine::document::{Accepted, Document, Network};
use engine::finding::Finding;
use engine::ids::WireId;
use engine::laid::up_to_the_centimetre;
use engine::quantity::{Metres, Quantity, Unit, by_hand};
use engine::subject::Subject;

use crate::supply;

/// A job with what was computed of it.
pub struct Facts<'a> {
    prepared: &'a Prepared,
    loads: BTreeMap<WireId, Loaded>,
}

/// What a wire carries when it carries most.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Loaded {
    /// Amperes, without a sign.
    pub amps: f64,
    /// Volts lost along it; `None` when they are not known.
    pub volts: Option<f64>,
    /// Whether more may flow: something that draws current through it is not known, or never settles.
    pub at_least: bool,
}

impl<'a> Facts<'a> {
    /// The facts of a job. Its checks are run when they were not before.
    pub fn of(prepared: &'a Prepared) -> Facts<'a> {
        let mut loads = BTreeMap::new();
        for carried in prepared.carried() {
            let at_least = carried.may_be_more || supply::is_left_open(prepared.circuit(), carried.branch);
            let loaded = Loaded { amps: carried.amps, volts: carried.volts, at_least };
            loads.insert(carried.wire.clone(), loaded);
        }
        Facts { prepared, loads }
    }

    /// The job.
    pub fn document(&self) -> &'a Document {
        self.prepared.document()
    }

    /// Its circuit.
    pub fn circuit(&self) -> &'a Circuit {
        self.prepared.circuit()
    }

    /// What the checks found, the worst first.
    pub fn findings(&self) -> &'a [Finding] {
        self.prepared.findings()
    }

    /// The findings with the numbers of their marks, and who accepted each and why.
    pub(crate) fn numbered(&self) -> impl Iterator<Item = (u32, &'a Finding, Option<&'a Accepted>)> {
        let accepted: &'a [Accepted] = &self.document().accepted;
        (1..).zip(self.findings()).map(move |(number, finding)| (number, finding, finding.accepted(accepted)))
    }

    pub(crate) fn prepared(&self) -> &'a Prepared {
        self.prepared
    }

    pub(crate) fn network(&self) -> &'a Network {
        &self.document().network
    }

    /// What a wire carries when it carries most, in states that may last; `None` when no current of it is known.
    pub(crate) fn load_of(&self, wire: &WireId) -> Option<&Loaded> {
        self.loads.get(wire)
    }

    /// Several things in words, each sort named once where they follow each other: `lamp E3, E4, relay K1`.
    pub(crate) fn about<'s>(&self, subjects: impl IntoIterator<Item = &'s Subject>) -> String {
        let mut said = String::new();
        let mut before = String::new();
        for subject in subjects {
            let title = subject.title(self.network());
            let own = match subject {
                Subject::Part(id) => self.network().part(id).map(|part| part.title()),
                Subject::Wire(id) => self.network().wire(id).map(|wire| wire.title()),
                _ => None,
            };
            let sort = own.and_then(|own| title.strip_suffix(own)).unwrap_or_default().to_owned();
            let is_same = !sort.is_empty() && sort == before;
            let words = if is_same { title[sort.len()..].to_owned() } else { title };
            if !said.is_empty() {
                said.push_str(", ");
            }
            said.push_str(&words);
            before = sort;
        }
        said
    }

    /// The numbers of the findings about a thing, as they are marked on the drawing.
    pub(crate) fn marks_of(&self, subject: &Subject) -> String {
        let numbers = (1..).zip(self.findings()).filter(|(_, finding)| finding.subject == *subject);
        numbers
            .map(|(number, finding)| format!("{} {number}", finding.severity.word()))
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// A length up to the next centimetre, in metres: the number alone.
pub(crate) fn metres(length: f64) -> String {
    let length = Metres::new(length).map_or(length, |length| up_to_the_centimetre(length).get());
    // Adding nought takes the sign off what was rounded up to it.
    format!("{:.2}", length + 0.0)
}

/// A number to the thousandth of its unit, as a person reads it, without the unit.
pub(crate) fn number(value: f64) -> Option<String> {
    Quantity::new(value, Unit::One).map(|quantity| quantity.to_the_thousandth().to_string())
}

/// A number in a unit, as a person writes it.
pub(crate) fn in_words(value: f64, unit: Unit) -> Option<String> {
    Quantity::new(value, unit).map(|quantity| by_hand(&quantity.to_the_thousandth().to_string()))
}
