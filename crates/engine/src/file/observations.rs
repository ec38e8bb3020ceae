//! What a fault is looked for with: from a JSON value to complaints and readings about a job.

use serde_json::Value as Json;

use super::place::{Place, quoted};
use super::record::{complaint, minutes, reading};
use super::walk::{Fields, each, expected, keep, whole};
use super::{OBSERVATIONS, Problem, ReadError};
use crate::document::{Document, Observations, Probe, Situation};
use crate::ids::{PartId, TerminalRef};
use crate::kind::Class;

/// The version that is read.
const VERSION: i64 = 1;

/// Reads observations; unlike in a record of the job everything they name must be in the job.
pub(super) fn read(value: &Json, document: &Document) -> Result<Observations, ReadError> {
    let whole_file = Place::Job;
    let fields = Fields::of(value, &whole_file, &["format", "version", "should", "readings", "minutes"])?;
    fields.required("format", |value, place| match value.as_str() {
        Some(OBSERVATIONS) => Ok(()),
        Some(said) => Err(place.problem(format!("{} is not `{OBSERVATIONS}`", quoted(said)))),
        None => Err(expected(&format!("the text `{OBSERVATIONS}`"), value, place)),
    })?;
    fields.required("version", whole(VERSION, VERSION))?;
    let mut problems = Vec::new();
    let list = |key: &'static str| fields.get(key).map(|value| (value, whole_file.key(key)));
    let complaints = list("should").map_or_else(Vec::new, |(value, place)| {
        each(value, &place, &mut problems, |value, place, problems| {
            let read = complaint(value, place).and_then(|complaint| {
                check_situation(&complaint.situation, &place.key("situation"), document)?;
                check_probe(&complaint.probe, &place.key("probe"), document)?;
                Ok(complaint)
            });
            keep(read, problems)
        })
    });
    let readings = list("readings").map_or_else(Vec::new, |(value, place)| {
        each(value, &place, &mut problems, |value, place, problems| {
            let read = reading(value, place).and_then(|reading| {
                check_situation(&reading.situation, &place.key("situation"), document)?;
                check_probe(&reading.probe, &place.key("probe"), document)?;
                Ok(reading)
            });
            keep(read, problems)
        })
    });
    let known = |value: &Json, place: &Place| {
        let minutes = minutes(value, place)?;
        minutes.keys().try_for_each(|id| check_id(id, &place.key(id), document))?;
        Ok(minutes)
    };
    let minutes = keep(fields.optional("minutes", known), &mut problems);
    ReadError::unless_empty(problems)?;
    Ok(Observations { complaints, readings, minutes: minutes.flatten().unwrap_or_default() })
}

fn check_situation(situation: &Situation, place: &Place, document: &Document) -> Result<(), Problem> {
    for (id, position) in &situation.set {
        let known = part(id, place, document)?.positions();
        if !known.contains(&position.as_str()) {
            return Err(place.problem(format!("`{id}` has no position {}", quoted(position))));
        }
    }
    Ok(())
}

fn check_probe(probe: &Probe, place: &Place, document: &Document) -> Result<(), Problem> {
    let terminal = |terminal: &TerminalRef| match part(&terminal.part, place, document)? {
        own if own.has_terminal(&terminal.terminal) => Ok(()),
        _ => Err(place.problem(format!("there is no terminal `{terminal}`"))),
    };
    match probe {
        Probe::Volts { at, against } | Probe::TestLamp { at, against } => {
            terminal(at)?;
            against.as_ref().map_or(Ok(()), terminal)
        }
        Probe::Amps(wire) if document.network.wire(wire).is_none() => {
            Err(place.problem(format!("there is no wire `{wire}`")))
        }
        Probe::Amps(_) => Ok(()),
        Probe::Look(id, _) if part(id, place, document)?.kind.class == Class::Protection => {
            Err(place.problem(format!("nothing lights in `{id}`; a fuse is looked at with `fuse_of`")))
        }
        Probe::Look(id, _) | Probe::Listen(id) | Probe::Fuse(id) => part(id, place, document).map(|_| ()),
        Probe::Pin { .. } => {
            Err(place.problem("a wire that is not drawn tells nothing of a fault in what is"))
        }
    }
}

fn part<'d>(
    id: &PartId,
    place: &Place,
    document: &'d Document,
) -> Result<&'d crate::document::Part, Problem> {
    document.network.part(id).ok_or_else(|| place.problem(format!("there is no part `{id}`")))
}

fn check_id(id: &str, place: &Place, document: &Document) -> Result<(), Problem> {
    let is_part = document.network.parts.iter().any(|part| part.id.as_str() == id);
    if is_part || document.plan.places.iter().any(|one| one.id.as_str() == id) {
        return Ok(());
    }
    Err(place.problem("there is no part and no place with this id"))
}

#[cfg(test)]
mod tests {
    use crate::document::{Found, Probe, Seen};
    use crate::file::{read_json, read_observations};

    const JOB: &str = r#"{ "format": "loomwright-job", "version": 1, "settings": { "nominal_v": 12 },
        "parts": [ { "id": "g", "kind": "battery" }, { "id": "s", "kind": "switch" }, { "id": "e", "kind": "lamp" } ],
        "wires": [ { "id": "w", "from": "g.+", "to": "s.in" } ] }"#;

    fn problem(observations: &str) -> String {
        let job = read_json(JOB).unwrap();
        let text = format!(r#"{{ "format": "loomwright-observations", "version": 1, {observations} }}"#);
        read_observations(&text, &job).unwrap_err().to_string()
    }

    #[test]
    fn observations_are_read() {
        let job = read_json(JOB).unwrap();
        let text = r#"{ "format": "loomwright-observations", "version": 1,
            "should": [ { "situation": { "name": "on", "set": { "s": "on" } }, "probe": { "look_at": "e" },
                "should": { "seen": "lit" }, "found": { "seen": "dark" } } ],
            "readings": [ { "probe": { "volts_at": "s.in" }, "found": { "number": 12.5 } },
                { "probe": { "amps_in": "w" }, "found": "cannot reach" } ],
            "minutes": { "s": 10 } }"#;
        let read = read_observations(text, &job).unwrap();
        assert_eq!(read.complaints[0].found, Found::Seen(Seen::Dark));
        assert_eq!(read.complaints[0].should, Found::Seen(Seen::Lit));
        assert_eq!(read.readings.len(), 2);
        assert!(matches!(read.readings[1].probe, Probe::Amps(_)));
        assert_eq!(read.readings[1].found, Some(Found::CannotReach));
        assert_eq!(read.minutes["s"], 10.0);
    }

    #[test]
    fn what_is_not_in_the_job_is_refused_with_its_place() {
        let reading = |inside: &str| problem(&format!(r#""readings": [ {{ {inside} }} ]"#));
        for (said, place) in [
            (reading(r#""probe": { "volts_at": "q.1" }"#), "readings[0].probe: there is no part `q`"),
            (reading(r#""probe": { "volts_at": "s.x" }"#), "readings[0].probe: there is no terminal `s.x`"),
            (reading(r#""probe": { "amps_in": "v" }"#), "readings[0].probe: there is no wire `v`"),
            (
                reading(r#""situation": { "name": "", "set": { "s": "up" } }, "probe": { "amps_in": "w" }"#),
                "readings[0].situation: `s` has no position `up`",
            ),
            (problem(r#""minutes": { "q": 1 }"#), "minutes.q: there is no part and no place with this id"),
            (
                problem(
                    r#""should": [ { "probe": { "look_at": "e" }, "should": { "heard": true }, "found": { "seen": "dark" } } ]"#,
                ),
                "should[0].should: this is no answer to what was looked at",
            ),
        ] {
            assert_eq!(said, place);
        }
    }
}
