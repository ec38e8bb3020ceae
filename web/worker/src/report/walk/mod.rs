//! The fault walk: what is complained of, one reading after the other, and what may be wrong.
//!
//! A walk is a record of the job: every reading is a change, so that it is kept, undone and printed like any other. What
//! the page shows follows from the job alone.

mod begin;
mod card;
mod causes;
mod past;
mod steps;

use engine::answer::Prepared;
use engine::diagnose::{Case, Remade, Standing, Walk};
use engine::document::{Document, Purpose, Record, Situation};
use engine::post::{Report, Spot};

use super::Asked;
use super::markup::Markup;
use super::records::{changed, refused};

/// A job with every cause solved, kept from one question to the next: with each reading only the record changes.
#[derive(Default)]
pub struct Known(Option<Case>);

impl Known {
    /// The causes of this job, solved in these situations too.
    pub fn case(&mut self, prepared: &Prepared, named: &[Situation]) -> &Case {
        let circuit = prepared.circuit();
        let has_all = |case: &Case| {
            named
                .iter()
                .all(|one| case.moments.iter().any(|moment| moment.positions == circuit.positions(one)))
        };
        let case = match self.0.take() {
            Some(case) if has_all(&case) => case,
            _ => Case::new(circuit, named),
        };
        self.0.insert(case)
    }
}

/// Does what a button of the walk asks for, or shows where it stands.
pub fn answer(asked: &Asked<'_>, known: &mut Known) -> Option<Report> {
    let number = |word: &str| word.parse::<usize>().ok();
    match asked.words[..] {
        ["walk"] => Some(page(asked, known)),
        ["walk-begin", what, found] => Some(begin::begin(asked, what, found)),
        ["walk-from-proof", reading] => begin::from_proof(asked, known, number(reading)?),
        ["walk-take", place, found] => steps::take(asked, known, number(place)?, found),
        ["walk-drop", reading] => steps::drop(asked, number(reading)?),
        ["walk-minutes"] => Some(steps::minutes(asked)),
        ["walk-who"] => steps::who(asked),
        ["walk-close"] => steps::close(asked),
        ["walk-reopen", record] => past::reopen(asked, number(record)?),
        ["walk-delete", record] => past::delete(asked, number(record)?),
        _ => None,
    }
}

/// The walk that goes on, by its place among the records.
fn open(document: &Document) -> Option<usize> {
    document.records.iter().rposition(|one| one.purpose == Purpose::Fault && one.answer.is_empty())
}

/// Every situation that something was seen or read in, and those of the job.
fn situations(document: &Document, record: &Record) -> Vec<Situation> {
    let seen = record.complaints.iter().map(|one| &one.situation);
    let read = record.readings.iter().map(|one| &one.situation);
    document.situations.iter().chain(seen).chain(read).cloned().collect()
}

/// The walk of a record.
fn walk<'w>(case: &'w Case, record: &'w Record) -> Walk<'w> {
    Walk { case, complaints: &record.complaints, readings: &record.readings, minutes: &record.minutes }
}

fn page(asked: &Asked<'_>, known: &mut Known) -> Report {
    let document = asked.document;
    let mut page = Markup::new();
    let Some(place) = open(document) else {
        begin::form(asked, &mut page);
        past::list(asked, &mut page);
        return Report { markup: page.done(), spot: Some(Spot::default()), ..Report::default() };
    };
    let record = &document.records[place];
    let case = known.case(asked.prepared, &situations(document, record));
    let walk = walk(case, record);
    let standing = walk.stand();
    card::complaints(&mut page, &walk);
    let number = record.readings.len().to_string();
    let remade = walk.remade(&standing, &document.situations, &document.interlocks);
    page.element("section", &[("class", "working"), ("data-awake", &number)], |inside| match &standing.end {
        None => card::next(inside, &walk, &standing),
        Some(end) => card::found(inside, &walk, &standing, *end, &remade),
    });
    match standing.end {
        None => {
            causes::list(&mut page, &walk, &standing);
            card::so_far(&mut page, &walk);
            further(&mut page, asked, record);
            ending(&mut page, &standing, place);
        }
        // Once it is found the list is what hardly anybody needs any more.
        Some(_) => {
            card::so_far(&mut page, &walk);
            ending(&mut page, &standing, place);
            causes::list(&mut page, &walk, &standing);
            further(&mut page, asked, record);
        }
    }
    Report { markup: page.done(), spot: Some(spot(&walk, &standing, &remade)), ..Report::default() }
}

/// What else may be said: more complaints, how long it takes to get to places, and who looks.
fn further(page: &mut Markup, asked: &Asked<'_>, record: &Record) {
    page.element("details", &[], |details| {
        details.line("summary", "", "Something else is wrong too");
        begin::things(asked, details);
    });
    steps::to_get_there(asked, page, record);
    steps::who_looks(page, record);
}

/// How to end the walk; where it is at its end, its card has the field for what it was.
fn ending(page: &mut Markup, standing: &Standing, place: usize) {
    page.element("details", &[], |details| {
        details.line("summary", "", "End this walk");
        if standing.end.is_none() {
            steps::closing(details, "Nothing was found.");
        }
        details.button("Throw it away", &format!("walk-delete {place}"));
    });
}

/// What the drawing leaves in plain sight: what may still be wrong, where the reading is taken, and what has to be changed
/// in the drawing.
fn spot(walk: &Walk<'_>, standing: &Standing, remade: &[Remade]) -> Spot {
    let mut spot = Spot::default();
    for ranked in &standing.causes {
        if let Some(fault) = walk.case.causes[ranked.cause].fault() {
            fault.subjects().iter().for_each(|subject| spot.add(subject));
        }
    }
    for subject in remade.iter().flat_map(|one| one.subjects(walk.case)) {
        spot.add(&subject);
    }
    if let Some(best) = remade.first() {
        spot.at.extend(best.subjects(walk.case));
    }
    if let Some(next) = &standing.next {
        for subject in next.probe.subjects() {
            spot.add(&subject);
            spot.at.push(subject);
        }
    }
    spot
}

/// The job with one record changed, in one step to undo.
fn with_record(
    document: &Document,
    place: usize,
    label: &str,
    said: &str,
    change: impl FnOnce(&mut Record),
) -> Report {
    let mut records = (*document.records).clone();
    change(&mut records[place]);
    changed(document, label, said, records)
}

#[cfg(test)]
mod tests;
