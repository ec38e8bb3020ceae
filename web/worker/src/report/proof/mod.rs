//! The proving sheet on the page: one card a step, filled in at the vehicle.
//!
//! The sheet is a record of the job: every entry is a change, so that it is kept, undone and printed like any other. What
//! the page shows follows from the job alone.

mod card;
mod page;
mod steps;

use std::collections::BTreeMap;

use engine::diagnose::{Case, Minutes, Proof, Ruled, prove, proving_situations, ruled};
use engine::document::{Document, Interlock, Purpose, Record, Situation};
use engine::post::Report;

use super::Asked;

/// What is kept from one question to the next.
#[derive(Default)]
pub struct Known {
    /// The sheet of the job: with each entry only the record changes.
    sheet: Option<Sheet>,
    /// The reading that was entered last: a card that is not right stays open until the user goes on.
    last: Option<usize>,
}

/// A sheet, and what it was made from beside the circuit.
pub struct Sheet {
    case: Case,
    proof: Proof,
    situations: Vec<Situation>,
    interlocks: Vec<Interlock>,
    minutes: Minutes,
}

impl Known {
    /// The sheet of this job.
    fn sheet(&mut self, asked: &Asked<'_>, minutes: &Minutes) -> &Sheet {
        let document = asked.document;
        let is_it = |sheet: &Sheet| {
            sheet.situations == *document.situations
                && sheet.interlocks == *document.interlocks
                && sheet.minutes == *minutes
        };
        let sheet = match self.sheet.take() {
            Some(sheet) if is_it(&sheet) => sheet,
            _ => Sheet::new(asked, minutes),
        };
        self.sheet.insert(sheet)
    }
}

impl Sheet {
    fn new(asked: &Asked<'_>, minutes: &Minutes) -> Sheet {
        let (circuit, document) = (asked.prepared.circuit(), asked.document);
        let ruled: Vec<Ruled> = ruled(circuit, &document.interlocks);
        let case = Case::new(circuit, &proving_situations(&document.situations, &ruled));
        Sheet {
            proof: prove(&case, &ruled, minutes),
            case,
            situations: (*document.situations).clone(),
            interlocks: (*document.interlocks).clone(),
            minutes: minutes.clone(),
        }
    }

    /// Whether a record was made from this sheet.
    fn is_that_of(&self, record: &Record) -> bool {
        self.proof.is_that_of(&self.case, &record.readings)
    }
}

/// Does what a button of the sheet asks for, or shows where it stands.
pub fn answer(asked: &Asked<'_>, known: &mut Known) -> Option<Report> {
    let number = |word: &str| word.parse::<usize>().ok();
    match asked.words[..] {
        ["proof"] => Some(page::page(asked, known)),
        ["proof-on"] => {
            known.last = None;
            Some(page::page(asked, known))
        }
        ["proof-begin"] => {
            known.last = None;
            Some(steps::begin(asked, known))
        }
        [
            word @ ("proof-number" | "proof-take" | "proof-looks" | "proof-rest" | "proof-again"),
            reading,
            ref how @ ..,
        ] => {
            let place = number(reading)?;
            known.last = Some(place);
            match (word, how) {
                ("proof-number", how) => steps::number(asked, place, how == ["milli"]),
                ("proof-take", [found]) => steps::take(asked, place, found),
                ("proof-looks", []) => steps::looks(asked, place),
                ("proof-rest", []) => steps::rest(asked, place),
                ("proof-again", []) => steps::again(asked, place),
                _ => None,
            }
        }
        ["proof-set", reading] => steps::set(asked, number(reading)?),
        ["proof-who"] => steps::who(asked),
        ["proof-delete", record] => steps::delete(asked, number(record)?),
        _ => None,
    }
}

/// The sheet that is filled in, by its place among the records: the last one.
fn present(document: &Document) -> Option<usize> {
    document.records.iter().rposition(|one| one.purpose == Purpose::Proof)
}

/// How long it takes to get to places, as it was said last.
fn minutes(document: &Document) -> BTreeMap<String, f64> {
    let said = document.records.iter().rev().map(|one| &one.minutes);
    said.into_iter().find(|minutes| !minutes.is_empty()).cloned().unwrap_or_default()
}

#[cfg(test)]
mod tests;
