//! Files made to do harm: what is on file, changed by chance, given to every reader.
//!
//! ```text
//! seeds ──structure, bytes──> input ──try_input──> accepted, refused, or what is wrong with the reader
//! ```
//!
//! An input follows from its number alone, so that one that fails is found again.

mod bytes;
mod seeds;
mod structure;

use std::panic::{AssertUnwindSafe, catch_unwind};

use drawing::overlay::Overlay;
use engine::check::run_all;
use engine::document::validate::violations;
use engine::document::{Document, Situation};
use engine::file::workshop::{self, Workshop};
use engine::file::{self, ReadError};
use engine::{laid, solve};

use crate::chance::Chance;
pub use seeds::Seeds;

/// Most bytes told of one problem.
const LONGEST_PROBLEM: usize = 1500;

/// Most parts of a document that is solved, checked and drawn as well.
const SMALL: usize = 12;

/// What a reader made of an input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It was read.
    Accepted,
    /// It was refused, with a reason.
    Refused,
}

/// The input of this number.
pub fn input(seeds: &Seeds, number: u64) -> Vec<u8> {
    let mut chance = Chance::new(number);
    let changed = match chance.below(8) {
        0 | 1 => seeds.any(&mut chance).to_vec(),
        2 | 3 => structure::changed(seeds.json(&mut chance), &mut chance).into_bytes(),
        4..=6 => structure::exchanged(seeds.json(&mut chance), &seeds.pool, &mut chance).into_bytes(),
        _ => seeds.in_picture(&structure::changed(seeds.json(&mut chance), &mut chance), &mut chance),
    };
    // Half of it gets no further change: what was changed in structure stays well-formed, so that it gets past the parser.
    let n_changes = if chance.once_in(2) { 0 } else { 1 + chance.below(4) };
    (0..n_changes).fold(changed, |input, _| bytes::changed(input, seeds.any(&mut chance), &mut chance))
}

/// A job on file and what it becomes when some of what it says is exchanged; `None` when that is refused.
pub fn neighbours(seeds: &Seeds, number: u64) -> Option<(Document, Document)> {
    let mut chance = Chance::new(number);
    let before = seeds.json(&mut chance);
    let after = structure::exchanged(before, &seeds.pool, &mut chance);
    Some((file::read(before.to_string().as_bytes()).ok()?, file::read(after.as_bytes()).ok()?))
}

/// Reads an input and follows it as far as it goes; the error says what the reader did wrong.
pub fn try_input(seeds: &Seeds, input: &[u8]) -> Result<Outcome, String> {
    catch_unwind(AssertUnwindSafe(|| follow(seeds, input))).unwrap_or_else(|panic| {
        let told = panic.downcast_ref::<String>().map(String::as_str);
        let told = told.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no message");
        Err(format!("panic: {told}"))
    })
}

fn follow(seeds: &Seeds, input: &[u8]) -> Result<Outcome, String> {
    if let Ok(text) = std::str::from_utf8(input)
        && text.contains(file::OBSERVATIONS)
        && let Err(error) = file::read_observations(text, &seeds.observed)
    {
        told_well(&error)?;
    }
    if let Ok(text) = std::str::from_utf8(input)
        && text.contains(workshop::WORKSHOP)
    {
        return match workshop::read(text) {
            Ok(read) => lasts_apart(&read).map(|()| Outcome::Accepted),
            Err(error) => told_well(&error).map(|()| Outcome::Refused),
        };
    }
    match file::read(input) {
        Ok(document) => lasts(&document).map(|()| Outcome::Accepted),
        Err(error) => told_well(&error).map(|()| Outcome::Refused),
    }
}

/// Whether every problem is told in words, briefly, harmless to a terminal, and with its place unless it
/// is about the whole file.
fn told_well(error: &ReadError) -> Result<(), String> {
    let problems = error.problems();
    for problem in problems {
        let told = problem.to_string();
        if problem.message.is_empty() {
            return Err(format!("a problem without a message: {told:?}"));
        }
        if problem.place.is_empty() && problems.len() > 1 {
            return Err(format!("one of several problems without a place: {told:?}"));
        }
        if told.len() > LONGEST_PROBLEM {
            let start: String = told.chars().take(300).collect();
            return Err(format!("a problem of {} bytes: {start:?}", told.len()));
        }
        if told.chars().any(char::is_control) {
            return Err(format!("a control character in a message: {told:?}"));
        }
    }
    if problems.is_empty() { Err("refused without a reason".to_owned()) } else { Ok(()) }
}

/// Whether the card and the parts of a workshop are the same after writing and reading.
fn lasts_apart(read: &Workshop) -> Result<(), String> {
    for text in [workshop::write(read), workshop::write_on_one_line(read)] {
        match workshop::read(&text) {
            Ok(again) if again == *read => {}
            Ok(_) => return Err("another workshop after writing and reading".to_owned()),
            Err(error) => return Err(format!("a workshop refused after writing: {error}")),
        }
    }
    Ok(())
}

/// Whether an accepted document keeps the rules, is the same after writing and reading, and is solved, checked and drawn.
fn lasts(document: &Document) -> Result<(), String> {
    let violated = violations(document);
    if !violated.is_empty() {
        return Err(format!("accepted against the rules: {violated:?}"));
    }
    let text = file::write_json(document);
    match file::read_json(&text) {
        Ok(again) if again == *document => {}
        Ok(_) => return Err("another document after writing and reading".to_owned()),
        Err(error) => return Err(format!("refused after writing: {error}")),
    }
    if document.network.parts.len() <= SMALL {
        let circuit = laid::circuit(document);
        solve::solve(&circuit, &Situation::at_rest());
        let findings = run_all(&circuit, &document.situations, &document.interlocks);
        let picture = drawing::annotated_picture(
            document,
            &Overlay::of_findings(&findings),
            file::job_element(document),
        );
        if file::read(picture.as_bytes()).as_ref() != Ok(document) {
            return Err("another document after drawing and reading".to_owned());
        }
    }
    Ok(())
}
