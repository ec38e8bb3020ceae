//! Parts and wires, and the questions asked of them directly.

use crate::document::wire::Wire;
use crate::ids::{PartId, TerminalName, TerminalRef, WireId};
use crate::kind::{Kind, Terminal, Values};

/// Whether a part or wire was there before, comes with this job, or comes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Status {
    /// It was there before.
    Existing,
    /// This job adds it.
    #[default]
    New,
    /// This job takes it out; it is drawn but no longer part of the circuit.
    Remove,
}

impl Status {
    /// Every status, with the word the job file uses.
    pub const WORDS: [(Status, &'static str); 3] =
        [(Status::Existing, "existing"), (Status::New, "new"), (Status::Remove, "remove")];
}

/// One component.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Identity.
    pub id: PartId,
    /// What it is.
    pub kind: &'static Kind,
    /// Designation, free text; may be empty.
    pub label: String,
    /// There before, new, or to be removed.
    pub status: Status,
    /// What was said about it.
    pub values: Values,
}

impl Part {
    /// The terminals it has with its present values.
    pub fn terminals(&self) -> Vec<Terminal> {
        (self.kind.terminals)(&self.values)
    }

    /// Whether it has a terminal of this name.
    pub fn has_terminal(&self, name: &TerminalName) -> bool {
        self.terminals().iter().any(|terminal| terminal.name == *name)
    }

    /// Its positions, the one at rest first; empty when it has none.
    pub fn positions(&self) -> &'static [&'static str] {
        (self.kind.positions)(&self.values)
    }

    /// The name it goes by: its label, else its id.
    pub fn title(&self) -> &str {
        if self.label.is_empty() { self.id.as_str() } else { &self.label }
    }
}

/// The parts and wires of a job, in the order the user made them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Network {
    /// All parts.
    pub parts: Vec<Part>,
    /// All wires.
    pub wires: Vec<Wire>,
    /// The number the next new id will carry; it never falls, so a deleted id is not used again.
    pub next_id: u64,
}

impl Network {
    /// The part with this id.
    pub fn part(&self, id: &PartId) -> Option<&Part> {
        self.parts.iter().find(|part| part.id == *id)
    }

    /// The wire with this id.
    pub fn wire(&self, id: &WireId) -> Option<&Wire> {
        self.wires.iter().find(|wire| wire.id == *id)
    }

    /// The parts that `name` may mean: the one with this id, else those with this label.
    pub fn parts_called(&self, name: &str) -> Vec<&Part> {
        match self.parts.iter().find(|part| part.id.as_str() == name) {
            Some(part) => vec![part],
            None => self.parts.iter().filter(|part| part.label == name).collect(),
        }
    }

    /// The wires that end on `terminal`, those to be removed left out.
    pub fn wires_at<'a>(&'a self, terminal: &'a TerminalRef) -> impl Iterator<Item = &'a Wire> {
        self.wires.iter().filter(move |wire| {
            wire.status != Status::Remove && (wire.from == *terminal || wire.to == *terminal)
        })
    }

    /// A terminal as a person names it: `K1:30`.
    pub fn terminal_title(&self, terminal: &TerminalRef) -> String {
        let part = self.part(&terminal.part).map_or(terminal.part.as_str(), Part::title);
        format!("{part}:{}", terminal.terminal)
    }
}
