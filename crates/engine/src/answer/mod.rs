//! What somebody who draws is told of a job in one situation, in words that are ready to be shown.
//!
//! This file holds the plain data alone: a program that shows an answer needs neither the solver nor the checks, and
//! [`crate::post`] carries questions and answers between the two as bytes.
//! [`Prepared`] computes it. A reading that cannot be given is `None`, never a number.

use crate::document::{Accepted, Situation};
use crate::finding::Severity;
use crate::ids::{PartId, TerminalRef, WireId};
use crate::subject::Subject;

mod carried;
mod dark;
mod lit;
mod prepared;

pub use carried::Carried;
pub use prepared::{Prepared, answer, manual};

/// What is asked of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The number of the question; the answer carries it back.
    pub revision: u64,
    /// The positions at present.
    pub situation: Situation,
    /// The load whose current path is wanted.
    pub load: Option<PartId>,
}

/// Everything that is told of a job in one situation.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Answer {
    /// The number of the question.
    pub revision: u64,
    /// How the situation comes to rest, in a word.
    pub verdict: String,
    /// The same in a sentence that names the devices; empty when everything settles.
    pub verdict_words: String,
    /// Whether the checks were run on the job as it is; until then there are no findings.
    pub checked: bool,
    /// What the checks report, the worst first, in the order of the marks on the drawing.
    pub findings: Vec<Told>,
    /// Readings of the wires of the circuit, in document order.
    pub wires: Vec<WireReading>,
    /// Readings of the parts of the circuit, in document order.
    pub parts: Vec<PartReading>,
    /// Volts to the chassis in words; `None` where no such voltage is defined.
    pub terminals: Vec<(TerminalRef, Option<String>)>,
    /// Fuses and breakers that would not stay closed, with words for it.
    pub opening: Vec<(PartId, String)>,
    /// Everything that was assumed, in words, of all situations.
    pub assumptions: Vec<(Subject, String)>,
    /// What checks could not judge, and the value that is missing: `rated current`. All is not well because nothing was
    /// found of it.
    pub unjudged: Vec<(Subject, String)>,
    /// The current path of the load that was asked for; `None` when there is no such part, or it uses no current.
    pub path: Option<LitPath>,
}

impl Answer {
    /// How many assumptions the whole answer rests on.
    pub fn rests_on(&self) -> usize {
        self.assumptions.len()
    }
}

/// One finding, with everything named as a person names it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// How much it matters.
    pub severity: Severity,
    /// Name of the check, by which its manual is asked for.
    pub check: String,
    /// What it is about.
    pub subject: Subject,
    /// The name of the subject.
    pub title: String,
    /// The fact, lowercase and without a full stop.
    pub message: String,
    /// What else contributed: subject, its name, and what is said of it.
    pub because: Vec<(Subject, String, String)>,
    /// What was calculated and what is allowed, where it is about a limit.
    pub limits: Option<String>,
    /// What to do.
    pub help: Vec<String>,
    /// What the program can do itself: which of the instructions above, by index, and what that changes in words.
    pub fixes: Vec<(u32, String)>,
    /// Whether its numbers have a working that can be shown.
    pub has_working: bool,
    /// Standard and clause of the limit, or common practice.
    pub source: String,
}

impl Told {
    /// Who accepted it and why, if somebody did.
    pub fn accepted<'a>(&self, accepted: &'a [Accepted]) -> Option<&'a Accepted> {
        Accepted::among(accepted, &self.check, &self.subject, self.severity)
    }
}

/// What a wire carries.
#[derive(Clone, Debug, PartialEq)]
pub struct WireReading {
    /// The wire.
    pub id: WireId,
    /// Its current without a sign, in words.
    pub amps: Option<String>,
    /// The voltage lost along it without a sign, in words.
    pub drop: Option<String>,
    /// That loss as a share of the nominal voltage, in words.
    pub share: Option<String>,
    /// Its current in amperes, from its first end to its second; the sign tells the direction.
    pub flow: Option<f64>,
    /// Whether its size or its length is assumed, or taken from a range.
    pub assumed: bool,
}

/// Volts, amperes and watts in words. `None` is not known.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Words {
    /// Voltage of the first end against the second.
    pub volts: Option<String>,
    /// Current without a sign.
    pub amps: Option<String>,
    /// Power without a sign.
    pub watts: Option<String>,
    /// The current in amperes from the first end to the second; negative in a source that delivers.
    pub flow: Option<f64>,
}

/// What a part does.
#[derive(Clone, Debug, PartialEq)]
pub struct PartReading {
    /// The part.
    pub id: PartId,
    /// Its position, or whether it is on or off; of a source whether it delivers or is charged.
    pub state: Option<String>,
    /// Of its coil, closed contact, lamp, winding or source.
    pub words: Words,
    /// Its loads that have a name of their own: name, whether on or off, and readings.
    pub loads: Vec<(String, Option<String>, Words)>,
    /// Of the contact that is closed, of a relay.
    pub contact: Option<Words>,
    /// Whether anything about it is assumed.
    pub assumed: bool,
}

/// The ways current takes through a load, or why there is none.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LitPath {
    /// The parts along all ways, in the order met; empty when there is none.
    pub parts: Vec<PartId>,
    /// The wires along all ways, in the order met.
    pub wires: Vec<WireId>,
    /// What keeps the current from flowing, when that is known.
    pub blocked_by: Vec<PartId>,
    /// One sentence a way; without any, why there is none.
    pub words: Vec<String>,
}

#[cfg(test)]
mod tests;
