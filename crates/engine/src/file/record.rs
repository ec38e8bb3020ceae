//! Records of what was measured: from JSON values to readings. What they name need not be in the job any more, so only
//! the form of ids is looked at.

use std::collections::BTreeMap;

use serde_json::Value as Json;

use super::Problem;
use super::part::bad_id;
use super::place::{Place, quoted};
use super::walk::{Fields, each, expected, flag, keep, list_of, number, object, text, word};
use crate::document::record::{GREATEST_READING, MOST_COMPLAINTS, MOST_MINUTES, MOST_READINGS, MOST_RECORDS};
use crate::document::{Complaint, Found, Probe, Purpose, Reading, Record, Seen, Situation};
use crate::ids::{PartId, TerminalRef, WireId};

/// The keys of a record.
pub(super) const KEYS: &[&str] =
    &["for", "about", "date", "by", "meter", "should", "minutes", "readings", "answer"];

/// The keys of a reading.
pub(super) const READING_KEYS: &[&str] = &["situation", "probe", "expected", "found", "right"];

/// The keys of a complaint.
pub(super) const COMPLAINT_KEYS: &[&str] = &["situation", "probe", "should", "found"];

/// The keys of which a probe has one, which says what it is, and what else may stand beside each.
pub(super) const PROBES: &[(&str, Option<&str>)] = &[
    ("volts_at", Some("against")),
    ("amps_in", None),
    ("lamp_at", Some("against")),
    ("look_at", Some("load")),
    ("listen_to", None),
    ("fuse_of", None),
    ("pin", Some("against_positive")),
];

/// The keys of which something found has one.
pub(super) const FOUND_KEYS: &[&str] = &["number", "seen", "heard", "whole"];

/// What is said where nobody could get to take a reading.
pub(super) const CANNOT_REACH: &str = "cannot reach";

/// The least and the greatest number that a reading may have: volts or amperes.
pub(super) const READING: (f64, f64) = (-GREATEST_READING, GREATEST_READING);

/// The records of a job; what is wrong is added to `problems`.
pub(super) fn read(fields: &Fields, problems: &mut Vec<Problem>) -> Vec<Record> {
    let Some(value) = fields.get("records") else { return Vec::new() };
    let place = Place::Job.key("records");
    if keep(at_most(value, &place, MOST_RECORDS), problems).is_none() {
        return Vec::new();
    }
    each(value, &place, problems, record)
}

fn at_most(value: &Json, place: &Place, most: usize) -> Result<(), Problem> {
    match value.as_array() {
        Some(said) if said.len() > most => {
            Err(place.problem(format!("the list has {} entries; at most {most} are read", said.len())))
        }
        _ => Ok(()),
    }
}

fn record(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Option<Record> {
    let fields = keep(Fields::of(value, place, KEYS), problems)?;
    let purpose = keep(fields.required("for", word(&Purpose::WORDS)), problems);
    let mut said = |key: &str| keep(fields.text(key), problems);
    let (about, date, by, meter, answer) =
        (said("about"), said("date"), said("by"), said("meter"), said("answer"));
    let before = problems.len();
    let complaints = list(&fields, place, "should", MOST_COMPLAINTS, complaint, problems);
    let minutes = keep(fields.optional("minutes", minutes), problems).flatten().unwrap_or_default();
    let readings = list(&fields, place, "readings", MOST_READINGS, reading, problems);
    let is_whole = problems.len() == before;
    let record = Record {
        purpose: purpose?,
        about: about?,
        date: date?,
        by: by?,
        meter: meter?,
        complaints,
        minutes,
        readings,
        answer: answer?,
    };
    is_whole.then_some(record)
}

/// Everything in a list of at most so many entries.
fn list<T>(
    fields: &Fields,
    place: &Place,
    key: &'static str,
    most: usize,
    one: fn(&Json, &Place) -> Result<T, Problem>,
    problems: &mut Vec<Problem>,
) -> Vec<T> {
    let Some(value) = fields.get(key) else { return Vec::new() };
    let place = place.key(key);
    match keep(at_most(value, &place, most), problems) {
        Some(()) => each(value, &place, problems, |value, place, problems| keep(one(value, place), problems)),
        None => Vec::new(),
    }
}

/// Something complained of.
pub(super) fn complaint(value: &Json, place: &Place) -> Result<Complaint, Problem> {
    let fields = Fields::of(value, place, COMPLAINT_KEYS)?;
    let complaint = Complaint {
        situation: fields.optional("situation", situation)?.unwrap_or_else(Situation::at_rest),
        probe: fields.required("probe", probe)?,
        should: fields.required("should", found)?,
        found: fields.required("found", found)?,
    };
    match complaint.not_an_answer() {
        Some(key) => Err(place.key(key).problem(NO_ANSWER)),
        None => Ok(complaint),
    }
}

/// What is said of something found that does not fit what was looked at.
const NO_ANSWER: &str = "this is no answer to what was looked at";

/// Minutes by the id of a part or of a place.
pub(super) fn minutes(value: &Json, place: &Place) -> Result<BTreeMap<String, f64>, Problem> {
    let mut minutes = BTreeMap::new();
    for (key, value) in object(value, place)? {
        let place = place.key(key);
        if PartId::new(key).is_none() {
            return Err(place.problem(bad_id(key)));
        }
        minutes.insert(key.clone(), number(0.0, MOST_MINUTES, "minutes")(value, &place)?);
    }
    Ok(minutes)
}

/// One reading.
pub(super) fn reading(value: &Json, place: &Place) -> Result<Reading, Problem> {
    let fields = Fields::of(value, place, READING_KEYS)?;
    let probe = fields.required("probe", probe)?;
    let found = fields.optional("found", found)?;
    if let Some(found) = found
        && !probe.takes(found)
    {
        return Err(place.key("found").problem(NO_ANSWER));
    }
    Ok(Reading {
        situation: fields.optional("situation", situation)?.unwrap_or_else(Situation::at_rest),
        probe,
        expected: fields.text("expected")?,
        found,
        is_right: fields.optional("right", flag)?,
    })
}

/// The positions at which a reading was taken.
pub(super) fn situation(value: &Json, place: &Place) -> Result<Situation, Problem> {
    let fields = Fields::of(value, place, &["name", "set"])?;
    let set = fields.optional("set", |value, place| {
        let mut set = BTreeMap::new();
        for (key, position) in object(value, place)? {
            let place = place.key(key);
            set.insert(PartId::new(key).ok_or_else(|| place.problem(bad_id(key)))?, text(position, &place)?);
        }
        Ok(set)
    })?;
    Ok(Situation { name: fields.text("name")?, set: set.unwrap_or_default() })
}

/// What was looked at.
pub(super) fn probe(value: &Json, place: &Place) -> Result<Probe, Problem> {
    let known: Vec<&str> = PROBES.iter().flat_map(|(key, beside)| [Some(*key), *beside]).flatten().collect();
    let fields = Fields::of(value, place, &known)?;
    let mut said = PROBES.iter().filter(|(key, _)| fields.get(key).is_some());
    let (Some((key, beside)), None) = (said.next(), said.next()) else {
        let keys = list_of(PROBES.iter().map(|(key, _)| *key));
        return Err(place.problem(format!("name one thing to look at: {keys}")));
    };
    let other = PROBES
        .iter()
        .filter_map(|(_, beside)| *beside)
        .find(|one| fields.get(one).is_some() && Some(*one) != *beside);
    if let Some(other) = other {
        return Err(place.key(other).problem(format!("has no meaning beside `{key}`")));
    }
    Ok(match *key {
        "volts_at" => Probe::Volts {
            at: fields.required(key, terminal)?,
            against: fields.optional("against", terminal)?,
        },
        "lamp_at" => Probe::TestLamp {
            at: fields.required(key, terminal)?,
            against: fields.optional("against", terminal)?,
        },
        "amps_in" => Probe::Amps(fields.required(key, |value, place| {
            let id = text(value, place)?;
            WireId::new(&id).ok_or_else(|| place.problem(bad_id(&id)))
        })?),
        "look_at" => Probe::Look(fields.required(key, part)?, fields.text("load")?),
        "listen_to" => Probe::Listen(fields.required(key, part)?),
        "fuse_of" => Probe::Fuse(fields.required(key, part)?),
        _ => Probe::Pin {
            wire: fields.required(key, text)?,
            against_positive: fields.optional("against_positive", flag)?.unwrap_or(false),
        },
    })
}

fn part(value: &Json, place: &Place) -> Result<PartId, Problem> {
    let id = text(value, place)?;
    PartId::new(&id).ok_or_else(|| place.problem(bad_id(&id)))
}

fn terminal(value: &Json, place: &Place) -> Result<TerminalRef, Problem> {
    let said = text(value, place)?;
    TerminalRef::parse(&said)
        .ok_or_else(|| place.problem(format!("{} is no terminal; write `part.terminal`", quoted(&said))))
}

/// What was found.
pub(super) fn found(value: &Json, place: &Place) -> Result<Found, Problem> {
    if let Some(said) = value.as_str() {
        return match said {
            CANNOT_REACH => Ok(Found::CannotReach),
            _ => Err(place.problem(format!("{} is not `{CANNOT_REACH}`", quoted(said)))),
        };
    }
    if !value.is_object() {
        return Err(expected(&format!("an object, or the text `{CANNOT_REACH}`"), value, place));
    }
    let fields = Fields::of(value, place, FOUND_KEYS)?;
    let mut said = FOUND_KEYS.iter().filter(|key| fields.get(key).is_some());
    let (Some(key), None) = (said.next(), said.next()) else {
        let keys = list_of(FOUND_KEYS.iter().copied());
        return Err(place.problem(format!("say one thing that was found: {keys}")));
    };
    Ok(match *key {
        "number" => Found::Number(fields.required(key, number(READING.0, READING.1, ""))?),
        "seen" => Found::Seen(fields.required(key, word(&Seen::WORDS))?),
        "heard" => Found::Heard(fields.required(key, flag)?),
        _ => Found::Whole(fields.required(key, flag)?),
    })
}
