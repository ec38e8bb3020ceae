//! Parts and wires, and the questions asked of them directly.

use crate::document::wire::{Surroundings, Wire};
use crate::given::Given;
use crate::ids::{PartId, PlaceId, TerminalName, TerminalRef, WireId};
use crate::kind::{Assumed, Kind, Terminal, Value, Values};

/// Most parts and wires of one job, taken together.
pub const MOST_PARTS_AND_WIRES: usize = 20_000;

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
    /// What the air around it is like.
    pub surroundings: Option<Surroundings>,
    /// The place of the vehicle plan it sits at.
    pub place: Option<PlaceId>,
    /// What was said about it.
    pub values: Values,
}

impl Part {
    /// A new part of which nothing is known but what it is and what it is called.
    pub fn new(id: PartId, kind: &'static Kind, label: String) -> Part {
        Part {
            id,
            kind,
            label,
            status: Status::New,
            surroundings: None,
            place: None,
            values: Values::default(),
        }
    }

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

    /// How many ways it has for fuses to sit in; `None` when it is no fuse box.
    pub fn box_ways(&self) -> Option<u32> {
        // Of the kinds that count ways only a fuse box has a terminal `feed`.
        let ways = self.kind.value("ways").filter(|_| self.has_terminal(&TerminalName::new("feed")))?;
        let assumed = match ways.assumed {
            Assumed::Number(assumed) => assumed as u32,
            _ => 0,
        };
        Some(self.values.count_or("ways", assumed))
    }

    /// The fuse box it has a seat in.
    pub fn holder(&self) -> Option<&PartId> {
        match self.values.said("seat") {
            Some(Given::Known(Value::Seat(holder, _))) => Some(holder),
            _ => None,
        }
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

    /// The place of the vehicle plan a part sits at: its own, else that of the fuse box it has a seat in.
    pub fn place_of<'a>(&'a self, part: &'a Part) -> Option<&'a PlaceId> {
        part.place.as_ref().or_else(|| self.part(part.holder()?)?.place.as_ref())
    }

    /// The parts that `name` may mean: the one with this id, else those with this label.
    pub fn parts_called(&self, name: &str) -> Vec<&Part> {
        match self.parts.iter().find(|part| part.id.as_str() == name) {
            Some(part) => vec![part],
            None => self.parts.iter().filter(|part| part.label == name).collect(),
        }
    }

    /// The wires that `name` may mean: the one with this id, else those with this label.
    pub fn wires_called(&self, name: &str) -> Vec<&Wire> {
        match self.wires.iter().find(|wire| wire.id.as_str() == name) {
            Some(wire) => vec![wire],
            None => self.wires.iter().filter(|wire| wire.label == name).collect(),
        }
    }

    /// The wires that end on `terminal`, those to be removed left out.
    pub fn wires_at<'a>(&'a self, terminal: &'a TerminalRef) -> impl Iterator<Item = &'a Wire> {
        self.wires.iter().filter(move |wire| {
            wire.status != Status::Remove && (wire.from == *terminal || wire.to == *terminal)
        })
    }

    /// What a terminal is for, in plain words; `None` when there is no such terminal.
    pub fn terminal_meaning(&self, terminal: &TerminalRef) -> Option<&'static str> {
        let terminals = self.part(&terminal.part)?.terminals();
        terminals.iter().find(|one| one.name == terminal.terminal).map(|one| one.meaning)
    }

    /// A terminal as a person names it: `K1:30`.
    pub fn terminal_title(&self, terminal: &TerminalRef) -> String {
        let part = self.part(&terminal.part).map_or(terminal.part.as_str(), Part::title);
        format!("{part}:{}", terminal.terminal)
    }

    /// The same with what sort of part it is of, which the letter of a designation does not always tell: `splice X1:2`.
    pub fn terminal_in_full(&self, terminal: &TerminalRef) -> String {
        let noun = self.part(&terminal.part).map_or("part", |part| part.kind.noun);
        format!("{noun} {}", self.terminal_title(terminal))
    }
}

impl Network {
    /// An id for one new part: `p` and the first number from [`Network::next_id`] on that is free.
    pub fn fresh_part_id(&self) -> PartId {
        self.fresh_ids().part()
    }

    /// An id for one new wire: `w` and the first number from [`Network::next_id`] on that is free.
    pub fn fresh_wire_id(&self) -> WireId {
        self.fresh_ids().wire()
    }

    /// Ids for several new parts and wires, no two alike.
    pub fn fresh_ids(&self) -> FreshIds<'_> {
        // A job begins to count at one, as people do.
        FreshIds { network: self, next: self.next_id.max(1) }
    }
}

/// Hands out ids that nothing in a network has.
pub struct FreshIds<'a> {
    network: &'a Network,
    next: u64,
}

impl FreshIds<'_> {
    /// The next id for a part.
    pub fn part(&mut self) -> PartId {
        PartId::new(&self.text("p")).expect("a letter and a number are an id")
    }

    /// The next id for a wire.
    pub fn wire(&mut self) -> WireId {
        WireId::new(&self.text("w")).expect("a letter and a number are an id")
    }

    fn text(&mut self, letter: &str) -> String {
        loop {
            let text = format!("{letter}{}", self.next);
            self.next += 1;
            // Parts and wires share one space of ids.
            let taken = self.network.parts.iter().any(|part| part.id.as_str() == text)
                || self.network.wires.iter().any(|wire| wire.id.as_str() == text);
            if !taken {
                return text;
            }
        }
    }
}

/// The number of the next new id when nothing else is said: beyond every number that stands
/// at the end of an id, so that no id can come twice.
pub fn next_free(parts: &[Part], wires: &[Wire]) -> u64 {
    let ids = parts.iter().map(|part| part.id.as_str()).chain(wires.iter().map(|wire| wire.id.as_str()));
    ids.filter_map(number_at_end).max().map_or(0, |largest| largest + 1)
}

/// The number at the end of an id. Longer ones than fifteen digits are no numbers of ours.
fn number_at_end(id: &str) -> Option<u64> {
    let digits = id.trim_start_matches(|c: char| !c.is_ascii_digit());
    let digits = digits.rsplit(|c: char| !c.is_ascii_digit()).next()?;
    (digits.len() <= 15).then(|| digits.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_at_the_end_of_ids_are_found() {
        for (id, number) in [
            ("p12", Some(12)),
            ("a1b007", Some(7)),
            ("42", Some(42)),
            ("lamp", None),
            ("p1x", None),
            ("p999999999999999", Some(999_999_999_999_999)),
            ("p9999999999999999", None),
        ] {
            assert_eq!(number_at_end(id), number, "{id}");
        }
    }
}
