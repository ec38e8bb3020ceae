//! The whole job: from a JSON value to a document that violates nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde_json::Value as Json;

use super::parts::Parts;
use super::place::{Place, quoted};
use super::walk::{Fields, each, expected, keep, list_of, object, text, whole};
use super::{FORMAT, Problem, ReadError, accepted, interlock, migrate, part, plan, record, wire};
use crate::document::network::{MOST_PARTS_AND_WIRES, next_free};
use crate::document::validate::{Violation, violations};
use crate::document::{
    AT_REST, Card, Document, Network, Part, Placement, Pose, Settings, Situation, Wire, settings,
};
use crate::given::Given;
use crate::ids::PartId;

/// The keys of a job.
pub(super) const KEYS: &[&str] = &[
    "format",
    "version",
    "card",
    "settings",
    "next_id",
    "parts",
    "wires",
    "situations",
    "interlocks",
    "accepted",
    "plan",
    "records",
];
/// The keys of the card.
pub(super) const CARD_KEYS: &[&str] =
    &["title", "customer", "vehicle", "owner", "drawn_by", "approved_by", "date", "number", "revision"];
/// The nominal voltages a job may have.
pub(super) const NOMINAL_V: [f64; 2] = [12.0, 24.0];
/// Largest `next_id`: the largest whole number up to which binary64 holds them all.
pub(super) const MOST_NEXT_ID: i64 = 1 << 53;

/// Reads a job of any version.
pub(super) fn read(value: Json) -> Result<Document, ReadError> {
    let job = Place::Job;
    let at = job.key("format");
    match object(&value, &job)?.get("format") {
        None => return Err(at.problem(format!("missing; a job says `{FORMAT}`")).into()),
        Some(Json::String(said)) if said == FORMAT => {}
        Some(Json::String(said)) => {
            return Err(at.problem(format!("{} is not `{FORMAT}`", quoted(said))).into());
        }
        Some(other) => return Err(expected(&format!("the text `{FORMAT}`"), other, &at).into()),
    }
    let version = migrate::version(&value)?;
    let value = migrate::migrate(value, version)?;
    let fields = Fields::of(&value, &job, KEYS)?;

    let mut problems = Vec::new();
    check_count(&fields)?;
    let card = keep(fields.optional("card", card), &mut problems).flatten().unwrap_or_default();
    let settings = keep(fields.required("settings", read_settings), &mut problems).unwrap_or_default();
    let next_id = keep(fields.optional("next_id", whole(0, MOST_NEXT_ID)), &mut problems).flatten();
    let mut ids = BTreeSet::new();
    let (parts, poses) = parts(&fields, &mut ids, &mut problems);
    // Whatever cannot be read, the rest is looked through as far as it makes sense without.
    let known = Parts::new(&parts, fields.get("parts"));
    let wires = wires(&fields, &known, &mut ids, &mut problems);
    let situations = situations(&fields, &known, &mut problems);
    let interlocks = interlock::read(&fields, &known, &mut problems);
    let accepted = accepted::read(&fields, &known, &wires, &mut problems);
    let records = record::read(&fields, &mut problems);
    let before = problems.len();
    let plan = fields.get("plan").map(|value| plan::read(value, &job.key("plan"), &mut problems));
    let plan = plan.unwrap_or_default();
    if problems.len() == before {
        plan::check_named(&parts, &wires, &plan, &mut problems);
    }
    ReadError::unless_empty(problems)?;

    let derived = next_free(&parts, &wires);
    let next_id = next_id.and_then(|said| u64::try_from(said).ok()).map_or(derived, |said| said.max(derived));
    let document = Document {
        card: Arc::new(card),
        settings: Arc::new(settings),
        network: Arc::new(Network { parts, wires, next_id }),
        placement: Arc::new(Placement { poses }),
        plan: Arc::new(plan),
        situations: Arc::new(situations),
        interlocks: Arc::new(interlocks),
        accepted: Arc::new(accepted),
        records: Arc::new(records),
    };
    let found = violations(&document);
    ReadError::unless_empty(found.iter().map(|violation| located(violation, &document)).collect())?;
    Ok(document)
}

fn check_count(fields: &Fields) -> Result<(), Problem> {
    let count = |key| fields.get(key).and_then(Json::as_array).map_or(0, Vec::len);
    let (parts, wires) = (count("parts"), count("wires"));
    if parts + wires > MOST_PARTS_AND_WIRES {
        return Err(Place::Job.problem(format!(
            "the job has {parts} parts and {wires} wires; at most {MOST_PARTS_AND_WIRES} together are read"
        )));
    }
    Ok(())
}

fn card(value: &Json, place: &Place) -> Result<Card, Problem> {
    let fields = Fields::of(value, place, CARD_KEYS)?;
    Ok(Card {
        title: fields.text("title")?,
        customer: fields.text("customer")?,
        vehicle: fields.text("vehicle")?,
        owner: fields.text("owner")?,
        drawn_by: fields.text("drawn_by")?,
        approved_by: fields.text("approved_by")?,
        date: fields.text("date")?,
        number: fields.text("number")?,
        revision: fields.text("revision")?,
    })
}

pub(super) fn read_settings(value: &Json, place: &Place) -> Result<Settings, Problem> {
    let keys: Vec<&str> = settings_keys().collect();
    let fields = Fields::of(value, place, &keys)?;
    let nominal_v = fields.required("nominal_v", |value, place| {
        let said = value.as_f64().ok_or_else(|| expected("a number", value, place))?;
        let known = NOMINAL_V.into_iter().find(|nominal| *nominal == said);
        known.ok_or_else(|| place.problem(format!("{value} V is neither 12 V nor 24 V")))
    })?;
    let mut settings = Settings::of(nominal_v);
    for setting in settings::ALL {
        let said = fields.optional(setting.spec.name, |value, place| {
            match part::one(value, place, &setting.spec)? {
                Given::Between(..) => Err(place.problem("a setting is one value, not a range")),
                given => Ok(given),
            }
        })?;
        settings.said.set(setting.spec.name, said.unwrap_or_default());
    }
    Ok(settings)
}

/// The keys of the settings.
pub(super) fn settings_keys() -> impl Iterator<Item = &'static str> {
    std::iter::once("nominal_v").chain(settings::ALL.iter().map(|setting| setting.spec.name))
}

fn parts<'v>(
    fields: &Fields<'v>,
    ids: &mut BTreeSet<String>,
    problems: &mut Vec<Problem>,
) -> (Vec<Part>, Vec<Pose>) {
    let Some(value) = fields.get("parts") else { return Default::default() };
    let read = each(value, &Place::Job.key("parts"), problems, |value, place, problems| {
        check_id(value, place, ids, problems);
        part::read(value, place, problems)
    });
    let (parts, poses): (Vec<Part>, Vec<Vec<Pose>>) = read.into_iter().unzip();
    (parts, poses.into_iter().flatten().collect())
}

fn wires(
    fields: &Fields,
    parts: &Parts,
    ids: &mut BTreeSet<String>,
    problems: &mut Vec<Problem>,
) -> Vec<Wire> {
    let Some(value) = fields.get("wires") else { return Vec::new() };
    each(value, &Place::Job.key("wires"), problems, |value, place, problems| {
        check_id(value, place, ids, problems);
        wire::read(value, place, parts, problems)
    })
}

/// Refuses an id that a part or wire before has, whatever else may be wrong with this one.
pub(super) fn check_id(value: &Json, place: &Place, ids: &mut BTreeSet<String>, problems: &mut Vec<Problem>) {
    let Some(id) = value.get("id").and_then(Json::as_str) else { return };
    if !ids.insert(id.to_owned()) && PartId::new(id).is_some() {
        problems.push(place.key("id").problem(Violation::IdUsedTwice(id.to_owned()).to_string()));
    }
}

fn situations(fields: &Fields, parts: &Parts, problems: &mut Vec<Problem>) -> Vec<Situation> {
    let mut names: Vec<String> = Vec::new();
    let mut named = |value: &Json, place: &Place| {
        let name = text(value, place)?;
        if name.is_empty() {
            return Err(place.problem("a situation needs a name"));
        }
        if name == AT_REST {
            return Err(place.problem(format!("`{AT_REST}` always exists and is not listed")));
        }
        if names.contains(&name) {
            return Err(place.problem(format!("there are two situations {}", quoted(&name))));
        }
        names.push(name.clone());
        Ok(name)
    };
    let Some(value) = fields.get("situations") else { return Vec::new() };
    each(value, &Place::Job.key("situations"), problems, |value, place, problems| {
        let fields = Fields::telling(value, place, &["name", "set"], problems, |_| None)?;
        let name = keep(fields.required("name", &mut named), problems);
        let set = fields.get("set").map(|set| positions(set, &place.key("set"), parts, problems));
        Some(Situation { name: name?, set: set.unwrap_or_default() })
    })
}

fn positions(
    value: &Json,
    place: &Place,
    parts: &Parts,
    problems: &mut Vec<Problem>,
) -> BTreeMap<PartId, String> {
    let said = keep(object(value, place), problems);
    let read = said
        .into_iter()
        .flatten()
        .filter_map(|(key, position)| keep(one_position(key, position, &place.key(key), parts), problems));
    read.collect()
}

fn one_position(
    key: &str,
    position: &Json,
    place: &Place,
    parts: &Parts,
) -> Result<(PartId, String), Problem> {
    if let Some(told) = parts.label_told(key, PartId::to_string) {
        return Err(place.problem(told));
    }
    let id = PartId::new(key).ok_or_else(|| place.problem(part::bad_id(key)))?;
    let position = text(position, place)?;
    if let Some(part) = parts.get(&id, place)? {
        let known = part.positions();
        if known.is_empty() {
            return Err(place.problem(format!("a {} has no positions to set", part.kind.noun)));
        }
        if !known.contains(&position.as_str()) {
            let known = list_of(known.iter().copied());
            return Err(place.problem(format!("{} is none of {known}", quoted(&position))));
        }
    }
    Ok((id, position))
}

/// The problem that a violation is, at the place of the part or wire that breaks the rule.
fn located(violation: &Violation, document: &Document) -> Problem {
    let network = &document.network;
    let part = |id: &str| network.parts.iter().rposition(|part| part.id.as_str() == id);
    let wire = |id: &str| network.wires.iter().rposition(|wire| wire.id.as_str() == id);
    let job = Place::Job;
    let (parts, wires) = (job.key("parts"), job.key("wires"));
    let message = violation.to_string();
    match violation {
        // The later of the two is the one that came in addition; wires come after parts.
        Violation::IdUsedTwice(id) => match (wire(id), part(id)) {
            (Some(i), _) => wires.item(i).key("id").problem(message),
            (None, Some(i)) => parts.item(i).key("id").problem(message),
            (None, None) => job.problem(message),
        },
        Violation::NoSuchTerminal(id, _) | Violation::BothEndsTheSame(id) => match wire(id.as_str()) {
            Some(i) => wires.item(i).problem(message),
            None => job.problem(message),
        },
        Violation::NoSuchPart(id, _) | Violation::SeatNotFree(id, _) => match part(id.as_str()) {
            Some(i) => parts.item(i).key("values").problem(message),
            None => job.problem(message),
        },
        Violation::NoSuchPosition(_)
        | Violation::NoSuchState(_)
        | Violation::NoSuchView(_)
        | Violation::NoSuchSubject(_)
        | Violation::NoSuchPlace(_) => job.problem(message),
    }
}
