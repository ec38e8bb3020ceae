//! What a set tells of a job, computed by the engine.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::BTreeMap;

use engine::answer::Prepared;
use engine::circuit::Circuit;
use engine::diagnose::{Case, Minutes, Proof, prove, proving_situations, ruled};
use engine::document::{Accepted, Card, Document, Network, Status};
use engine::file::workshop::Workshop;
use engine::finding::Finding;
use engine::ids::WireId;
use engine::inspect::{Inspection, inspect};
use engine::laid::up_to_the_centimetre;
use engine::quantity::{Metres, Quantity, Unit, by_hand};
use engine::subject::Subject;

use crate::supply;

/// A job with what was computed of it.
pub struct Facts<'a> {
    prepared: &'a Prepared,
    loads: BTreeMap<WireId, Loaded>,
    inspects: bool,
    inspection: OnceCell<Inspection>,
    proves: bool,
    proof: OnceCell<(Case, Proof)>,
    in_feet: bool,
    workshop: Option<&'a Workshop>,
    prices: bool,
    card: Cow<'a, Card>,
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
        let network = &prepared.document().network;
        let is_there = |status| status != Status::New;
        // A drawing in which nothing is new is one of what was found.
        let inspects = !network.wires.is_empty()
            && network.parts.iter().all(|part| is_there(part.status))
            && network.wires.iter().all(|wire| is_there(wire.status));
        Facts {
            prepared,
            loads,
            inspects,
            inspection: OnceCell::new(),
            proves: false,
            proof: OnceCell::new(),
            in_feet: false,
            workshop: None,
            prices: false,
            card: Cow::Borrowed(&prepared.document().card),
        }
    }

    /// The same with an inspection, which otherwise only jobs have in which nothing is new.
    pub fn inspected(self) -> Facts<'a> {
        Facts { inspects: true, ..self }
    }

    /// The same with a proving sheet to fill in.
    pub fn proving(self) -> Facts<'a> {
        Facts { proves: true, ..self }
    }

    /// The same with what is cut in feet and inches too.
    pub fn in_feet(self) -> Facts<'a> {
        Facts { in_feet: true, ..self }
    }

    /// The same for a workshop: its card stands above the title block and fills what the job leaves empty, and the parts
    /// list has the order numbers of its parts, with `prices` their prices too.
    pub fn for_workshop(self, workshop: &'a Workshop, prices: bool) -> Facts<'a> {
        let mut card = Card::clone(&self.document().card);
        let fill = |field: &mut String, with: &str| {
            if field.trim().is_empty() {
                with.clone_into(field);
            }
        };
        fill(&mut card.owner, &workshop.card.name);
        fill(&mut card.drawn_by, &workshop.card.drawn_by);
        Facts { workshop: Some(workshop), prices, card: Cow::Owned(card), ..self }
    }

    /// The workshop that the set is made for.
    pub(crate) fn workshop(&self) -> Option<&'a Workshop> {
        self.workshop
    }

    /// Whether the parts list tells what parts cost.
    pub(crate) fn has_prices(&self) -> bool {
        self.prices
    }

    /// The title data, filled from the card of the workshop.
    pub(crate) fn card(&self) -> &Card {
        &self.card
    }

    /// Whether what is cut is wanted in feet and inches too.
    pub(crate) fn is_in_feet(&self) -> bool {
        self.in_feet
    }

    /// The proving sheet, where one is wanted, and the case that it was made in.
    pub(crate) fn proof(&self) -> Option<(&Case, &Proof)> {
        let made = || {
            let document = self.document();
            let ruled = ruled(self.circuit(), &document.interlocks);
            let case = Case::new(self.circuit(), &proving_situations(&document.situations, &ruled));
            let proof = prove(&case, &ruled, &Minutes::new());
            (case, proof)
        };
        self.proves.then(|| self.proof.get_or_init(made)).map(|(case, proof)| (case, proof))
    }

    /// What an inspection tells, where one is wanted.
    pub(crate) fn inspection(&self) -> Option<&Inspection> {
        self.inspects.then(|| self.inspection.get_or_init(|| inspect(self.document(), &mut |_, _| ())))
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

    /// How many findings are a Stop that nobody accepted.
    pub fn open_stops(&self) -> usize {
        let accepted = &self.document().accepted;
        self.findings().iter().filter(|finding| finding.is_open_stop(accepted)).count()
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
        let of_sort = |(sort, own): (String, Vec<String>)| format!("{sort}{}", own.join(", "));
        self.by_sort(subjects).into_iter().map(of_sort).collect::<Vec<_>>().join(", ")
    }

    /// The same for many things whose order tells nothing: those whose numbers follow each other are told by the first and
    /// the last: `wire W2, W4–W19`.
    pub(crate) fn about_all<'s>(&self, subjects: impl IntoIterator<Item = &'s Subject>) -> String {
        let mut subjects: Vec<&Subject> = subjects.into_iter().collect();
        engine::arrange::sort_by_key(&mut subjects, |subject| in_pieces(&subject.title(self.network())));
        let of_sort = |(sort, own): (String, Vec<String>)| format!("{sort}{}", ranges(&own).join(", "));
        self.by_sort(subjects).into_iter().map(of_sort).collect::<Vec<_>>().join(", ")
    }

    /// What things are, with a space behind it, and the designations of those that are it and follow each other.
    fn by_sort<'s>(&self, subjects: impl IntoIterator<Item = &'s Subject>) -> Vec<(String, Vec<String>)> {
        let mut all: Vec<(String, Vec<String>)> = Vec::new();
        for subject in subjects {
            let title = subject.title(self.network());
            let own = match subject {
                Subject::Part(id) => self.network().part(id).map(|part| part.title()),
                Subject::Wire(id) => self.network().wire(id).map(|wire| wire.title()),
                _ => None,
            };
            let sort = own.and_then(|own| title.strip_suffix(own)).unwrap_or_default();
            let own = title[sort.len()..].to_owned();
            match all.last_mut() {
                Some((before, titles)) if before == sort && !sort.is_empty() => titles.push(own),
                _ => all.push((sort.to_owned(), vec![own])),
            }
        }
        all
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

/// A designation as letters and numbers in turns, to sort `F2` before `F10`.
pub(crate) fn in_pieces(title: &str) -> Vec<(String, u64)> {
    let mut pieces: Vec<(String, u64)> = Vec::new();
    let mut is_number = true;
    for c in title.chars() {
        let digit = c.to_digit(10).map(u64::from);
        if digit.is_none() && is_number {
            pieces.push((String::new(), 0));
        }
        is_number = digit.is_some();
        match (pieces.last_mut(), digit) {
            (Some((_, number)), Some(digit)) => *number = number.saturating_mul(10).saturating_add(digit),
            (Some((letters, _)), None) => letters.push(c),
            (None, Some(digit)) => pieces.push((String::new(), digit)),
            (None, None) => {}
        }
    }
    pieces
}

/// Designations with three or more that follow each other as the first and the last of them.
fn ranges(titles: &[String]) -> Vec<String> {
    const LEAST: usize = 3;
    let follows = |one: &String, other: &String| match (&in_pieces(one)[..], &in_pieces(other)[..]) {
        // Written back, a designation with noughts before its number would be another.
        ([(letters, n)], [(same, next)]) => {
            letters == same
                && *next == n + 1
                && *other == format!("{same}{next}")
                && *one == format!("{letters}{n}")
        }
        _ => false,
    };
    let mut said = Vec::new();
    let mut from = 0;
    while from < titles.len() {
        let mut to = from + 1;
        while to < titles.len() && follows(&titles[to - 1], &titles[to]) {
            to += 1;
        }
        if to - from >= LEAST {
            said.push(format!("{}–{}", titles[from], titles[to - 1]));
        } else {
            said.extend(titles[from..to].iter().cloned());
        }
        from = to;
    }
    said
}

/// A length up to the next centimetre, in metres: the number alone.
pub(crate) fn metres(length: f64) -> String {
    let length = Metres::new(length).map_or(length, |length| up_to_the_centimetre(length).get());
    // Adding nought takes the sign off what was rounded up to it.
    format!("{:.2}", length + 0.0)
}

/// A length up to the next inch, in feet and inches; one that is whole inches but for rounding stays what it is. An inch is
/// 25.4 mm exactly (international yard and pound agreement of 1959; NIST SP 811, appendix B.8).
pub(crate) fn feet_and_inches(length: f64) -> String {
    let inches = (length * 1000.0 / 25.4 - 1e-6).ceil().max(0.0);
    let (feet, inches) = ((inches / 12.0).floor(), inches % 12.0);
    match (feet, inches) {
        (0.0, inches) => format!("{inches} in"),
        (feet, 0.0) => format!("{feet} ft"),
        (feet, inches) => format!("{feet} ft {inches} in"),
    }
}

/// A number to the thousandth of its unit, as a person reads it, without the unit.
pub(crate) fn number(value: f64) -> Option<String> {
    Quantity::new(value, Unit::One).map(|quantity| quantity.to_the_thousandth().to_string())
}

/// A number in a unit, as a person writes it.
pub(crate) fn in_words(value: f64, unit: Unit) -> Option<String> {
    Quantity::new(value, unit).map(|quantity| by_hand(&quantity.to_the_thousandth().to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designations_that_follow_each_other_are_a_range() {
        let said =
            |titles: &[&str]| ranges(&titles.iter().map(|title| (*title).to_owned()).collect::<Vec<_>>());
        assert_eq!(said(&["W2", "W4", "W5", "W6", "W9", "W10"]), ["W2", "W4–W6", "W9", "W10"]);
        assert_eq!(said(&["E1", "F2", "F3"]), ["E1", "F2", "F3"]);
        assert_eq!(said(&["W08", "W09", "W10", "W11", "W12"]), ["W08", "W09", "W10–W12"]);
        assert_eq!(said(&["dash lamp", "9", "10", "11"]), ["dash lamp", "9–11"]);
    }
}
