//! Interlocks: from JSON values to rules that name parts and states that are there.

use serde_json::Value as Json;

use super::Problem;
use super::parts::Parts;
use super::place::Place;
use super::walk::{Fields, each, keep, list, text, word};
use super::{part, place};
use crate::document::interlock::{MOST_INTERLOCKS, MOST_STATES, states, workings};
use crate::document::{InState, Interlock, Part, Rule};
use crate::ids::PartId;

/// The interlocks of a job; what is wrong is added to `problems`.
pub(super) fn read(fields: &Fields, parts: &Parts, problems: &mut Vec<Problem>) -> Vec<Interlock> {
    let Some(value) = fields.get("interlocks") else { return Vec::new() };
    let place = Place::Job.key("interlocks");
    if let Some(said) = value.as_array().filter(|said| said.len() > MOST_INTERLOCKS) {
        let message = format!("there are {} interlocks; at most {MOST_INTERLOCKS} are read", said.len());
        problems.push(place.problem(message));
        return Vec::new();
    }
    each(value, &place, problems, |value, place, problems| one(value, place, parts, problems))
}

fn one(value: &Json, place: &Place, parts: &Parts, problems: &mut Vec<Problem>) -> Option<Interlock> {
    let fields =
        Fields::telling(value, place, &["load", "name", "rule", "any_of", "reason"], problems, |_| None)?;
    let load = keep(fields.required("load", |value, place| named(value, place, parts)), problems);
    let name = keep(fields.text("name"), problems);
    let rule = keep(fields.required("rule", word(&Rule::WORDS)), problems);
    let reason = keep(fields.text("reason"), problems);
    let any_of = match fields.get("any_of") {
        Some(said) => condition(said, &place.key("any_of"), parts, problems),
        None => Some(Vec::new()),
    };
    let ((load, part), name, rule, any_of, reason) = (load?, name?, rule?, any_of?, reason?);
    if let Some(part) = part {
        keep(check_load(part, &name, place), problems)?;
    }
    let at = place.key("any_of");
    if any_of.is_empty() != (rule == Rule::AnyTime) {
        let does = if any_of.is_empty() { "needs a condition" } else { "has no condition" };
        problems.push(at.problem(format!("`{}` {does}", rule.words())));
    }
    Some(Interlock { load, name, rule, any_of, reason })
}

/// The part of the id under a key; none with it when that part could not be read.
fn named<'p>(value: &Json, place: &Place, parts: &Parts<'p>) -> Result<(PartId, Option<&'p Part>), Problem> {
    let said = text(value, place)?;
    if let Some(told) = parts.label_told(&said, PartId::to_string) {
        return Err(place.problem(told));
    }
    let id = PartId::new(&said).ok_or_else(|| place.problem(part::bad_id(&said)))?;
    let part = parts.get(&id, place)?;
    Ok((id, part))
}

fn check_load(part: &Part, name: &str, place: &Place) -> Result<(), Problem> {
    let names = workings(part);
    if names.contains(&name) {
        return Ok(());
    }
    if names.is_empty() {
        return Err(place.key("load").problem(format!("a {} is no load", part.kind.noun)));
    }
    let known = super::walk::list_of(names.into_iter().filter(|name| !name.is_empty()));
    let at = place.key("name");
    Err(match (name, known.as_str()) {
        ("", _) => at.problem(format!("missing; this {} has the loads {known}", part.kind.noun)),
        (_, "") => at.problem(format!("a {} has one load, which has no name", part.kind.noun)),
        _ => at.problem(format!("{} is none of {known}", place::quoted(name))),
    })
}

fn condition(
    value: &Json,
    place: &Place,
    parts: &Parts,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Vec<InState>>> {
    let before = problems.len();
    keep(check_count(value, place), problems)?;
    let any_of = each(value, place, problems, |value, place, problems| {
        keep(check_count(value, place), problems)?;
        Some(each(value, place, problems, |value, place, problems| {
            keep(in_state(value, place, parts), problems)
        }))
    });
    (problems.len() == before).then_some(any_of)
}

fn check_count(value: &Json, place: &Place) -> Result<(), Problem> {
    match list(value, place)?.len() {
        0 => Err(place.problem("the list is empty")),
        n if n > MOST_STATES => {
            Err(place.problem(format!("the list has {n} entries; at most {MOST_STATES} are read")))
        }
        _ => Ok(()),
    }
}

fn in_state(value: &Json, place: &Place, parts: &Parts) -> Result<InState, Problem> {
    let fields = Fields::of(value, place, &["part", "name", "is"])?;
    let (id, part) = fields.required("part", |value, place| named(value, place, parts))?;
    let name = fields.text("name")?;
    let is = fields.required("is", text)?;
    if let Some(part) = part {
        let known = states(part, &name);
        if known.is_empty() {
            let at = place.key(if name.is_empty() { "part" } else { "name" });
            return Err(at.problem(format!("a {} has no such state", part.kind.noun)));
        }
        if !known.contains(&is.as_str()) {
            let known = super::walk::list_of(known.iter().copied());
            return Err(place.key("is").problem(format!("{} is none of {known}", place::quoted(&is))));
        }
    }
    Ok(InState { part: id, name, is })
}
