//! Reports: what the worker has to say at length, and what came of what it was told to do.
//!
//! The page knows nothing of what a report is about. It sends the words that a place on the page or a button carries,
//! shows the markup that comes back, and does the few things below that only the page can do.

use super::packed::{Packed, Unread, packed};
use crate::document::{
    Accepted, Card, Document, Interlock, Network, Placement, Plan, Record, Settings, Situation,
};
use crate::ids::{PartId, WireId};
use crate::subject::Subject;

/// What is wanted, and how things stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Inquiry {
    /// The state of the job; the report carries it back.
    pub stamp: u64,
    /// The positions at present.
    pub situation: Situation,
    /// The words of what is wanted, and below them a line for each field that was filled in: `name=value`.
    pub words: String,
}

/// What the page shows and does.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Report {
    /// The state of the job that it is about.
    pub stamp: u64,
    /// What is shown: elements in which everything that a user wrote is escaped. Empty when what is shown stays.
    pub markup: String,
    /// What is said in passing; empty when there is nothing to say.
    pub said: String,
    /// What becomes of the job.
    pub change: Option<Change>,
    /// The positions to set.
    pub positions: Option<Situation>,
    /// What to show on the drawing.
    pub show: Option<Subject>,
    /// What of the drawing the report is about.
    pub spot: Option<Spot>,
}

/// What of the drawing stays in plain sight while the rest stands back; of nothing, nothing stands back.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Spot {
    /// The parts in plain sight.
    pub parts: Vec<PartId>,
    /// The wires in plain sight.
    pub wires: Vec<WireId>,
    /// What of these to look at first.
    pub at: Vec<Subject>,
}

impl Spot {
    /// Has something stay in plain sight.
    pub fn add(&mut self, subject: &Subject) {
        match (subject, subject.part()) {
            (Subject::Wire(wire), _) if !self.wires.contains(wire) => self.wires.push(wire.clone()),
            (_, Some(part)) if !self.parts.contains(part) => self.parts.push(part.clone()),
            _ => {}
        }
    }

    /// Whether nothing stands back.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.wires.is_empty()
    }
}

/// A change of the job, in one step to undo. What is `None` stays as it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What it does, as a menu names it.
    pub label: String,
    /// Title data.
    pub card: Option<Card>,
    /// What holds for the whole job.
    pub settings: Option<Settings>,
    /// Parts and wires.
    pub network: Option<Network>,
    /// The vehicle plan.
    pub plan: Option<Plan>,
    /// The named situations.
    pub situations: Option<Vec<Situation>>,
    /// The rules that must hold.
    pub interlocks: Option<Vec<Interlock>>,
    /// The accepted findings.
    pub accepted: Option<Vec<Accepted>>,
    /// The records.
    pub records: Option<Vec<Record>>,
    /// Where all symbols stand.
    pub placement: Option<Placement>,
}

impl Change {
    /// What makes of `before` what stands in `after`.
    pub fn between(label: &str, before: &Document, after: &Document) -> Change {
        Change {
            label: label.to_owned(),
            card: (before.card != after.card).then(|| (*after.card).clone()),
            settings: (before.settings != after.settings).then(|| (*after.settings).clone()),
            network: (before.network != after.network).then(|| (*after.network).clone()),
            plan: (before.plan != after.plan).then(|| (*after.plan).clone()),
            situations: (before.situations != after.situations).then(|| (*after.situations).clone()),
            interlocks: (before.interlocks != after.interlocks).then(|| (*after.interlocks).clone()),
            accepted: (before.accepted != after.accepted).then(|| (*after.accepted).clone()),
            records: (before.records != after.records).then(|| (*after.records).clone()),
            placement: (before.placement != after.placement).then(|| (*after.placement).clone()),
        }
    }
}

packed!(Inquiry { stamp, situation, words });
packed!(Change {
    label,
    card,
    settings,
    network,
    plan,
    situations,
    interlocks,
    accepted,
    records,
    placement
});
packed!(Report { stamp, markup, said, change, positions, show, spot });
packed!(Spot { parts, wires, at });
