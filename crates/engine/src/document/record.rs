//! What was measured and seen on the vehicle: kept as it was taken, whatever becomes of the drawing afterwards.
//!
//! A record names parts, wires and terminals by their ids, and they need not be in the job any more: what was measured
//! before a part was taken out stays true. So nothing here is checked against the network.

use std::collections::BTreeMap;

use super::Situation;
use super::subject::Subject;
use crate::ids::{PartId, TerminalRef, WireId};

/// Most records in a job.
pub const MOST_RECORDS: usize = 200;

/// Most readings in a record.
pub const MOST_READINGS: usize = 2_000;

/// Most complaints in a record.
pub const MOST_COMPLAINTS: usize = 200;

/// The greatest number that a reading may have, without its sign: volts or amperes.
pub const GREATEST_READING: f64 = 10_000.0;

/// The longest that getting anywhere may take, in minutes: a week.
pub const MOST_MINUTES: f64 = 10_080.0;

/// What a record was taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To learn what the vehicle's own circuit is.
    Survey,
    /// To find a fault.
    Fault,
    /// To prove that the work is right.
    Proof,
}

impl Purpose {
    /// The purposes with the words the job file writes.
    pub const WORDS: [(Purpose, &'static str); 3] =
        [(Purpose::Survey, "survey"), (Purpose::Fault, "fault"), (Purpose::Proof, "proof")];
}

/// Readings that were taken together, and what came of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// What they were taken for.
    pub purpose: Purpose,
    /// What they are about, in words: a complaint, or a donor circuit.
    pub about: String,
    /// When, as the user wrote it.
    pub date: String,
    /// Who took them.
    pub by: String,
    /// With which meter.
    pub meter: String,
    /// What is complained of, where a fault is looked for.
    pub complaints: Vec<Complaint>,
    /// How long it takes to get to a part or a place on the plan, by its id, in minutes, where the user said so.
    pub minutes: BTreeMap<String, f64>,
    /// The readings, in the order taken.
    pub readings: Vec<Reading>,
    /// What came of them, in words; empty while they go on.
    pub answer: String,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// How switches and donor circuits stood.
    pub situation: Situation,
    /// What was looked at, and how.
    pub probe: Probe,
    /// What was expected, in words as they were shown then.
    pub expected: String,
    /// What was found; `None` while it is not taken.
    pub found: Option<Found>,
    /// Whether that is as it should be, judged when it was taken; `None` where nothing was judged.
    pub is_right: Option<bool>,
}

/// What is looked at, and how.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Probe {
    /// A voltmeter with its red lead at a terminal and its black lead at another one, else at the body.
    Volts {
        /// The red lead.
        at: TerminalRef,
        /// The black lead.
        against: Option<TerminalRef>,
    },
    /// A clamp meter around a wire; the sign does not count.
    Amps(WireId),
    /// A test lamp with one lead at a terminal and the other one at another, else at the body.
    TestLamp {
        /// The one lead.
        at: TerminalRef,
        /// The other one.
        against: Option<TerminalRef>,
    },
    /// Eyes on a load: the part, and the name of the load where it has several.
    Look(PartId, String),
    /// An ear or a finger on a relay.
    Listen(PartId),
    /// A fuse taken out and looked at.
    Fuse(PartId),
    /// A voltmeter at a wire of the vehicle that is not drawn yet, by the name it is called by.
    Pin {
        /// The wire.
        wire: String,
        /// Where the other lead is: `true` for battery positive, else the body.
        against_positive: bool,
    },
}

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found {
    /// Volts, or amperes, as the meter showed.
    Number(f64),
    /// How bright a load was.
    Seen(Seen),
    /// Whether a relay was heard to pull in.
    Heard(bool),
    /// Whether a fuse was whole.
    Whole(bool),
    /// Nobody could get there.
    CannotReach,
}

/// How bright a load is, or how strongly it works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seen {
    /// As it should be.
    Lit,
    /// Weaker than it should be.
    Dim,
    /// Not at all.
    Dark,
}

impl Seen {
    /// What can be seen, with the words the job file writes.
    pub const WORDS: [(Seen, &'static str); 3] =
        [(Seen::Lit, "lit"), (Seen::Dim, "dim"), (Seen::Dark, "dark")];

    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Seen::Lit => "lit",
            Seen::Dim => "dim",
            Seen::Dark => "dark",
        }
    }
}

/// What somebody complains of: what something should be, and what it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    /// How switches and donor circuits stand.
    pub situation: Situation,
    /// What it is about.
    pub probe: Probe,
    /// What it should be.
    pub should: Found,
    /// What it is.
    pub found: Found,
}

impl Complaint {
    /// Which of `should` and `found` is no answer to what was looked at, if one is; that nobody could get there is none.
    pub fn not_an_answer(&self) -> Option<&'static str> {
        let is_none = |found: Found| found == Found::CannotReach || !self.probe.takes(found);
        [("should", self.should), ("found", self.found)]
            .into_iter()
            .find(|(_, found)| is_none(*found))
            .map(|(key, _)| key)
    }
}

/// What a fault is looked for with: complaints, readings, and how long it takes to get to places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observations {
    /// What is complained of.
    pub complaints: Vec<Complaint>,
    /// What was read, in the order taken.
    pub readings: Vec<Reading>,
    /// Minutes by the id of a part or of a place on the plan.
    pub minutes: BTreeMap<String, f64>,
}

impl Probe {
    /// The parts and wires that a lead, a clamp, an eye or an ear goes to.
    pub fn subjects(&self) -> Vec<Subject> {
        let part = |id: &PartId| vec![Subject::Part(id.clone())];
        match self {
            Probe::Volts { at, against } | Probe::TestLamp { at, against } => std::iter::once(at)
                .chain(against)
                .map(|terminal| Subject::Part(terminal.part.clone()))
                .collect(),
            Probe::Amps(wire) => vec![Subject::Wire(wire.clone())],
            Probe::Look(id, _) | Probe::Listen(id) | Probe::Fuse(id) => part(id),
            Probe::Pin { .. } => Vec::new(),
        }
    }

    /// Whether this is an answer to it.
    pub fn takes(&self, found: Found) -> bool {
        match (self, found) {
            (_, Found::CannotReach) => true,
            (Probe::Volts { .. } | Probe::Amps(_) | Probe::Pin { .. }, Found::Number(number)) => {
                number.is_finite()
            }
            (Probe::Look(..) | Probe::TestLamp { .. }, Found::Seen(_))
            | (Probe::Listen(_), Found::Heard(_))
            | (Probe::Fuse(_), Found::Whole(_)) => true,
            _ => false,
        }
    }
}
