//! Accepted findings: from JSON values to what names parts, wires and terminals that are there.

use serde_json::Value as Json;

use super::Problem;
use super::parts::Parts;
use super::place::Place;
use super::walk::{Fields, each, keep, list_of, text, word};
use super::{part, wire};
use crate::document::Wire;
use crate::document::accepted::{Accepted, MOST_ACCEPTED, Severity};
use crate::document::subject::Subject;
use crate::ids::{PartId, WireId};

/// The keys of an accepted finding.
pub(super) const KEYS: &[&str] = &["check", "at", "severity", "by", "why", "date"];

/// The keys of what a finding is about, of which one is said.
pub(super) const SUBJECT_KEYS: &[&str] = &["part", "terminal", "wire", "net"];

/// The accepted findings of a job; what is wrong is added to `problems`.
pub(super) fn read(
    fields: &Fields,
    parts: &Parts,
    wires: &[Wire],
    problems: &mut Vec<Problem>,
) -> Vec<Accepted> {
    let Some(value) = fields.get("accepted") else { return Vec::new() };
    let place = Place::Job.key("accepted");
    if let Some(said) = value.as_array().filter(|said| said.len() > MOST_ACCEPTED) {
        let message = format!("there are {} accepted findings; at most {MOST_ACCEPTED} are read", said.len());
        problems.push(place.problem(message));
        return Vec::new();
    }
    let mut before: Vec<(String, Subject)> = Vec::new();
    // A wire that could not be read may be the one that is meant.
    let all_read = fields.get("wires").and_then(Json::as_array).map_or(0, Vec::len) == wires.len();
    each(value, &place, problems, |value, place, problems| {
        let one = keep(one(value, place, parts, all_read.then_some(wires)), problems)?;
        let which = (one.check.clone(), one.subject.clone());
        if before.contains(&which) {
            problems.push(place.problem("this finding is accepted already, further up"));
            return None;
        }
        before.push(which);
        Some(one)
    })
}

fn one(value: &Json, place: &Place, parts: &Parts, wires: Option<&[Wire]>) -> Result<Accepted, Problem> {
    let fields = Fields::of(value, place, KEYS)?;
    let said = |value: &Json, place: &Place| match text(value, place)? {
        said if said.trim().is_empty() => Err(place.problem("must not be empty")),
        said => Ok(said),
    };
    Ok(Accepted {
        check: fields.required("check", said)?,
        subject: fields.required("at", |value, place| subject(value, place, parts, wires))?,
        severity: fields.required("severity", word(&Severity::WORDS))?,
        by: fields.required("by", said)?,
        why: fields.required("why", said)?,
        date: fields.text("date")?,
    })
}

fn subject(value: &Json, place: &Place, parts: &Parts, wires: Option<&[Wire]>) -> Result<Subject, Problem> {
    let fields = Fields::of(value, place, SUBJECT_KEYS)?;
    let mut said = SUBJECT_KEYS.iter().filter(|key| fields.get(key).is_some());
    let (Some(key), None) = (said.next(), said.next()) else {
        return Err(place.problem(format!("name one thing: {}", list_of(SUBJECT_KEYS.iter().copied()))));
    };
    fields.required(key, |value, place| {
        let id = text(value, place)?;
        Ok(match *key {
            "part" => {
                let id = PartId::new(&id).ok_or_else(|| place.problem(part::bad_id(&id)))?;
                parts.get(&id, place)?;
                Subject::Part(id)
            }
            "wire" => {
                let id = WireId::new(&id).ok_or_else(|| place.problem(part::bad_id(&id)))?;
                if wires.is_some_and(|wires| wires.iter().all(|wire| wire.id != id)) {
                    return Err(place.problem(format!("there is no wire `{id}`")));
                }
                Subject::Wire(id)
            }
            key => {
                let terminal = wire::terminal(value, place, parts)?;
                if key == "net" { Subject::Net(terminal) } else { Subject::Terminal(terminal) }
            }
        })
    })
}
