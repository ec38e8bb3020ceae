//! What is done in a walk: taking a reading, taking one back, how long it takes to get anywhere, and the end.

use engine::document::record::{MOST_MINUTES, MOST_READINGS};
use engine::document::{Found, Probe, Reading, Record};
use engine::post::Report;
use engine::quantity::capital;

use super::super::markup::Markup;
use super::super::records::{found_of, meter_of};
use super::super::typed::Meter;
use super::super::{Asked, in_full};
use super::{Known, open, refused, situations, walk, with_record};

/// Most texts of what was expected that are kept with a reading.
const MOST_EXPECTED: usize = 3;

/// Takes the reading that the card asks for; `place` is how many were taken before, as the card had it.
pub fn take(asked: &Asked<'_>, known: &mut Known, place: usize, answer: &str) -> Option<Report> {
    let document = asked.document;
    let index = open(document)?;
    let record = &document.records[index];
    if record.readings.len() != place {
        return Some(refused("This card is older than the job. Look at the new one."));
    }
    if place == MOST_READINGS {
        return Some(refused("A walk has no more readings than these."));
    }
    let case = known.case(asked.prepared, &situations(document, record));
    let next = walk(case, record).stand().next?;
    // Where a card asks for volts a test lamp may be held instead.
    let (probe, word) = match (next.probe, answer.strip_prefix("lamp-")) {
        (Probe::Volts { at, against }, Some(word)) => (Probe::TestLamp { at, against }, word),
        (probe, _) => (probe, answer),
    };
    let found = match found(asked, &probe, word) {
        Ok(found) => found,
        Err(why) => return Some(refused(&why)),
    };
    // What was expected of a meter says nothing of a lamp.
    let expected = match probe {
        Probe::TestLamp { .. } => String::new(),
        _ => {
            let walk = walk(case, record);
            let told = next.expected.iter().take(MOST_EXPECTED).map(|one| one.in_words(&walk, &probe));
            told.collect::<Vec<_>>().join("; ")
        }
    };
    let reading = Reading {
        situation: case.moments[next.moment].situation.clone(),
        probe,
        expected,
        found: Some(found),
        is_right: None,
    };
    let label = format!("reading {}", place + 1);
    Some(with_record(document, index, &label, "", |record| record.readings.push(reading)))
}

/// What was found, by the word of a button and the number that was filled in.
fn found(asked: &Asked<'_>, probe: &Probe, word: &str) -> Result<Found, String> {
    let found = match (word, meter_of(probe, asked.document)) {
        ("number" | "milli", Some(meter)) => {
            let meter = Meter { is_milli: word == "milli", ..meter };
            Some(Found::Number(meter.read(asked.field("number").unwrap_or_default())?))
        }
        ("out", _) => Some(Found::CannotReach),
        (word, _) => found_of(word),
    };
    let is_answer = |found: &Found| probe.takes(*found);
    found.filter(is_answer).ok_or_else(|| "That is no answer to what was asked.".to_owned())
}

/// Takes a reading back.
pub fn drop(asked: &Asked<'_>, reading: usize) -> Option<Report> {
    let index = open(asked.document)?;
    asked.document.records[index].readings.get(reading)?;
    let label = format!("take reading {} back", reading + 1);
    Some(with_record(asked.document, index, &label, "", |record| {
        record.readings.remove(reading);
    }))
}

/// How long it takes to get to parts and places, and a way to say so.
pub fn to_get_there(asked: &Asked<'_>, page: &mut Markup, record: &Record) {
    let document = asked.document;
    page.element("details", &[], |details| {
        details.line("summary", "", "How long it takes to get there");
        details.line("p", "hint", "A reading behind the dash tells as much as one at the fuse box, and costs more. What you say of a part counts before what you say of its place.");
        let named = |id: &str| {
            let part = document.network.parts.iter().find(|part| part.id.as_str() == id).map(in_full);
            let place = document.plan.places.iter().find(|place| place.id.as_str() == id);
            part.or_else(|| place.map(|place| place.name.clone())).unwrap_or_else(|| id.to_owned())
        };
        for (id, minutes) in &record.minutes {
            details.paragraph(&format!("{}: {minutes} minutes", capital(&named(id))));
        }
        let places = document.plan.places.iter().map(|place| (place.id.as_str(), place.name.clone()));
        let parts = document.network.parts.iter().map(|part| (part.id.as_str(), in_full(part)));
        let all: Vec<(&str, String)> = places.chain(parts).collect();
        let listed: Vec<(&str, &str)> = all.iter().map(|(id, title)| (*id, title.as_str())).collect();
        details.element("div", &[("class", "row")], |row| {
            row.select("where", "Part or place", &listed, asked.field("where").unwrap_or_default());
            row.field("minutes", "Minutes; empty for the usual", "");
            row.button("Say so", "walk-minutes");
        });
    });
}

/// Keeps how long it takes to get somewhere.
pub fn minutes(asked: &Asked<'_>) -> Report {
    let (Some(index), Some(id)) = (open(asked.document), asked.field("where").filter(|id| !id.is_empty()))
    else {
        return refused("Choose a part or a place first.");
    };
    let said = asked.field("minutes").unwrap_or_default();
    let minutes = said.replace(',', ".").parse::<f64>().ok().filter(|one| (0.0..=MOST_MINUTES).contains(one));
    match (said.is_empty(), minutes) {
        (true, _) => {
            with_record(asked.document, index, "minutes to get there", "As usual again.", |record| {
                record.minutes.remove(id);
            })
        }
        (false, Some(minutes)) => {
            with_record(asked.document, index, "minutes to get there", "Kept.", |record| {
                record.minutes.insert(id.to_owned(), minutes);
            })
        }
        (false, None) => refused("Enter minutes, such as 10."),
    }
}

/// Who looks, and with which meter.
pub fn who_looks(page: &mut Markup, record: &Record) {
    page.element("details", &[], |details| {
        details.line("summary", "", "Who looks, and with which meter");
        details.element("div", &[("class", "row")], |row| {
            row.field("by", "Name", &record.by);
            row.field("meter", "Meter", &record.meter);
            row.field("on", "Date", &record.date);
            row.button("Keep", "walk-who");
        });
    });
}

/// Keeps who looks.
pub fn who(asked: &Asked<'_>) -> Option<Report> {
    let index = open(asked.document)?;
    let field = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    Some(with_record(asked.document, index, "who looks", "Kept.", |record| {
        (record.by, record.meter, record.date) = (field("by"), field("meter"), field("on"));
    }))
}

/// The field for what came of it, and the button that ends the walk.
pub fn closing(page: &mut Markup, words: &str) {
    page.element("div", &[("class", "row")], |row| {
        row.field_long("answer", "What it was, for the record", words);
        row.button("End the walk with this", "walk-close");
    });
}

/// Ends the walk with what was filled in.
pub fn close(asked: &Asked<'_>) -> Option<Report> {
    let index = open(asked.document)?;
    let answer = asked.field("answer").unwrap_or_default().to_owned();
    if answer.is_empty() {
        return Some(refused("Say what it was first, or that nothing was found."));
    }
    let said = "Ended. The walk is kept with the job and stands in the printed set.";
    Some(with_record(asked.document, index, "end the fault walk", said, |record| record.answer = answer))
}
