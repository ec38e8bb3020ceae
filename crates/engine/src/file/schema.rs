//! The job format as a JSON Schema, made from the same tables the reader uses.
//!
//! It says what one value may be, not how values hang together: that a wire's ends exist, that
//! ids are used once and that a range starts with its smaller end is for the reader to say.

use serde_json::{Map, Value as Json, json};

use super::part::{MOST_SYMBOLS, MOST_WAYS, NOT_KNOWN, accepts_not_known};
use super::wire::gauge_words;
use super::{FORMAT, VERSION, accepted, job, part, plan, record};
use crate::document::accepted::MOST_ACCEPTED;
use crate::document::interlock::{MOST_INTERLOCKS, MOST_STATES};
use crate::document::network::MOST_PARTS_AND_WIRES;
use crate::document::placement::FARTHEST;
use crate::document::plan::{END_M, FARTHEST_CM, MOST_PLACES_AND_ROUTES, OUTLINE_M};
use crate::document::record::{MOST_COMPLAINTS, MOST_MINUTES, MOST_READINGS, MOST_RECORDS};
use crate::document::wire::{
    AMBIENT_C, BUNDLE, CLASSES, COLOR_LETTERS, GAUGES, LENGTH_M, METRIC_SIZES, MOST_VIA, RATED_C, STUD_MM,
};
use crate::document::{
    Purpose, RouteKind, Rule, Seen, Severity, Shape, Status, Strands, Surroundings, Use, settings,
};
use crate::ids::LONGEST_ID;
use crate::kind::{self, Assumed, Form, Kind, ValueSpec};

/// The schema as the text of `fixtures/job.schema.json`, which `cargo xtask generate` writes.
pub fn schema_text() -> String {
    let mut text = format!("{:#}", schema());
    text.push('\n');
    text
}

/// The schema of a job of version [`VERSION`], in JSON Schema 2020-12.
pub fn schema() -> Json {
    let mut defs = Map::new();
    let id = format!("[A-Za-z0-9_-]{{1,{LONGEST_ID}}}");
    defs.insert("id".to_owned(), json!({ "type": "string", "pattern": format!("^{id}$") }));
    let end = json!({
        "description": "A terminal, as the part's id, a dot and the terminal's name.",
        "type": "string",
        "pattern": format!("^{id}\\..+$"),
    });
    defs.insert("terminal".to_owned(), end);
    defs.insert(
        "status".to_owned(),
        json!({ "enum": Status::WORDS.map(|(_, word)| word), "default": "new" }),
    );
    defs.insert("pose".to_owned(), pose());
    defs.insert("joint".to_owned(), joint());
    defs.insert("wire".to_owned(), wire_keys());
    for kind in kind::ALL {
        defs.insert(format!("part-{}", kind.name), part_keys(kind));
    }
    let kinds: Vec<Json> = kind::ALL.iter().map(|kind| reference(&format!("part-{}", kind.name))).collect();
    let text = json!({ "type": "string" });
    let card: Map<String, Json> =
        job::CARD_KEYS.iter().map(|key| ((*key).to_owned(), text.clone())).collect();
    let properties = json!({
        "format": { "const": FORMAT },
        "version": { "const": VERSION },
        "card": closed(Json::Object(card), &[]),
        "settings": settings_keys(),
        "next_id": { "type": "integer", "minimum": 0, "maximum": job::MOST_NEXT_ID },
        "parts": { "type": "array", "maxItems": MOST_PARTS_AND_WIRES, "items": { "oneOf": kinds } },
        "wires": { "type": "array", "maxItems": MOST_PARTS_AND_WIRES, "items": reference("wire") },
        "situations": { "type": "array", "items": closed(
            json!({
                "name": { "type": "string", "minLength": 1, "not": { "const": crate::document::AT_REST } },
                "set": { "type": "object", "propertyNames": reference("id"), "additionalProperties": text },
            }),
            &["name"],
        ) },
        "interlocks": { "type": "array", "maxItems": MOST_INTERLOCKS, "items": interlock() },
        "accepted": { "type": "array", "maxItems": MOST_ACCEPTED, "items": accepted_finding() },
        "plan": plan(),
        "records": { "type": "array", "maxItems": MOST_RECORDS, "items": record_keys() },
    });
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A Loomwright job",
    });
    if let (Json::Object(schema), Json::Object(rest)) =
        (&mut schema, closed(properties, &["format", "version", "settings"]))
    {
        schema.extend(rest);
        schema.insert("$defs".to_owned(), Json::Object(defs));
    }
    schema
}

fn settings_keys() -> Json {
    let mut properties = Map::new();
    properties.insert("nominal_v".to_owned(), json!({ "enum": job::NOMINAL_V.map(whole) }));
    for setting in settings::ALL {
        let mut schema = match setting.spec.form {
            Form::Number { least, most, .. } => number((least, most)),
            _ => value(&setting.spec),
        };
        schema["description"] = json!(described(&setting.spec));
        properties.insert(setting.spec.name.to_owned(), schema);
    }
    closed(Json::Object(properties), &["nominal_v"])
}

fn accepted_finding() -> Json {
    let one_of = |key: &str| {
        let named = if matches!(key, "terminal" | "net") { reference("terminal") } else { reference("id") };
        closed(json!({ key: named }), &[key])
    };
    // Something beside blanks.
    let said = json!({ "type": "string", "pattern": "\\S" });
    closed(
        json!({
            "check": said,
            "at": { "oneOf": accepted::SUBJECT_KEYS.iter().map(|key| one_of(key)).collect::<Vec<_>>() },
            "severity": { "enum": Severity::WORDS.map(|(_, word)| word) },
            "by": said,
            "why": said,
            "date": { "type": "string" },
        }),
        &["check", "at", "severity", "by", "why"],
    )
}

fn record_keys() -> Json {
    let text = || json!({ "type": "string" });
    let beside = |key: &str| match key {
        "against" => reference("terminal"),
        "against_positive" => json!({ "type": "boolean" }),
        _ => text(),
    };
    let probe = |(key, other): &(&str, Option<&str>)| {
        let mut properties = Map::new();
        let named = match *key {
            "volts_at" | "lamp_at" => reference("terminal"),
            "pin" => text(),
            _ => reference("id"),
        };
        properties.insert((*key).to_owned(), named);
        properties.extend(other.map(|other| (other.to_owned(), beside(other))));
        closed(Json::Object(properties), &[key])
    };
    let found = |key: &str| {
        let value = match key {
            "number" => number(record::READING),
            "seen" => json!({ "enum": Seen::WORDS.map(|(_, word)| word) }),
            _ => json!({ "type": "boolean" }),
        };
        closed(json!({ key: value }), &[key])
    };
    let answers: Vec<Json> = record::FOUND_KEYS.iter().map(|key| found(key)).collect();
    let mut all_found = answers.clone();
    all_found.push(json!({ "const": record::CANNOT_REACH }));
    let set = json!({ "type": "object", "propertyNames": reference("id"), "additionalProperties": text() });
    let situation = closed(json!({ "name": text(), "set": set }), &[]);
    let probes = json!({ "oneOf": record::PROBES.iter().map(probe).collect::<Vec<_>>() });
    let complaint = closed(
        json!({
            "situation": situation,
            "probe": probes,
            "should": { "oneOf": answers },
            "found": { "oneOf": answers },
        }),
        &["probe", "should", "found"],
    );
    let minutes = json!({
        "type": "object",
        "propertyNames": reference("id"),
        "additionalProperties": number((0.0, MOST_MINUTES)),
    });
    let reading = closed(
        json!({
            "situation": situation,
            "probe": probes,
            "expected": text(),
            "found": { "oneOf": all_found },
            "right": { "type": "boolean" },
        }),
        &["probe"],
    );
    closed(
        json!({
            "for": { "enum": Purpose::WORDS.map(|(_, word)| word) },
            "about": text(),
            "date": text(),
            "by": text(),
            "meter": text(),
            "should": { "type": "array", "maxItems": MOST_COMPLAINTS, "items": complaint },
            "minutes": minutes,
            "readings": { "type": "array", "maxItems": MOST_READINGS, "items": reading },
            "answer": text(),
        }),
        &["for"],
    )
}

fn plan() -> Json {
    let words = |words: [&'static str; 4]| json!({ "enum": words });
    let outline = closed(
        json!({
            "shape": words(Shape::WORDS.map(|(_, word)| word)),
            "length_m": number(OUTLINE_M),
            "width_m": number(OUTLINE_M),
        }),
        plan::OUTLINE_KEYS,
    );
    let centimetres = json!({ "type": "integer", "minimum": -FARTHEST_CM, "maximum": FARTHEST_CM });
    let place = closed(
        json!({
            "id": reference("id"),
            "name": { "type": "string" },
            "x_cm": centimetres,
            "y_cm": centimetres,
            "surroundings": surroundings(),
            "wet": { "type": "boolean" },
            "moving": { "type": "boolean", "default": false },
            "passing": { "type": "boolean", "default": false },
            "end_m": number(END_M),
        }),
        &["id", "x_cm", "y_cm"],
    );
    let route = closed(
        json!({
            "id": reference("id"),
            "name": { "type": "string" },
            "from": reference("id"),
            "to": reference("id"),
            "length_m": given(&number(LENGTH_M)),
            "kind": words(RouteKind::WORDS.map(|(_, word)| word)),
            "surroundings": surroundings(),
            "sleeve": { "type": "string" },
            "grommet": { "type": "boolean" },
            "slack_m": number(END_M),
        }),
        &["id", "from", "to"],
    );
    let list = |items: Json| json!({ "type": "array", "maxItems": MOST_PLACES_AND_ROUTES, "items": items });
    closed(json!({ "outline": outline, "places": list(place), "routes": list(route) }), &[])
}

fn interlock() -> Json {
    let in_state = closed(
        json!({ "part": reference("id"), "name": { "type": "string" }, "is": { "type": "string" } }),
        &["part", "is"],
    );
    let all = json!({ "type": "array", "minItems": 1, "maxItems": MOST_STATES, "items": in_state });
    closed(
        json!({
            "load": reference("id"),
            "name": { "type": "string" },
            "rule": { "enum": Rule::WORDS.map(|(_, words)| words) },
            "any_of": { "type": "array", "minItems": 1, "maxItems": MOST_STATES, "items": all },
            "reason": { "type": "string" },
        }),
        &["load", "rule"],
    )
}

/// An object with these keys and no others.
fn closed(properties: Json, required: &[&str]) -> Json {
    let mut object = json!({ "type": "object", "properties": properties });
    if !required.is_empty() {
        object["required"] = json!(required);
    }
    object["additionalProperties"] = json!(false);
    object
}

fn reference(name: &str) -> Json {
    json!({ "$ref": format!("#/$defs/{name}") })
}

/// A number without a fraction where it has none, as the writer writes it.
fn whole(number: f64) -> Json {
    if number.fract() == 0.0 && number.abs() < 1e15 { json!(number as i64) } else { json!(number) }
}

fn number((least, most): (f64, f64)) -> Json {
    json!({ "type": "number", "minimum": whole(least), "maximum": whole(most) })
}

/// One value, or a range of two.
fn given(one: &Json) -> Json {
    let ends = json!({ "type": "array", "items": one, "minItems": 2, "maxItems": 2 });
    json!({ "anyOf": [one, closed(json!({ "between": ends }), &["between"])] })
}

fn part_keys(kind: &Kind) -> Json {
    let mut properties = json!({
        "id": reference("id"),
        "kind": { "const": kind.name },
        "label": { "type": "string" },
        "status": reference("status"),
        "surroundings": surroundings(),
        "place": reference("id"),
        "values": group(kind, ""),
        "at": { "type": "array", "maxItems": MOST_SYMBOLS, "items": reference("pose") },
    });
    debug_assert!(part::KEYS.iter().all(|key| properties.get(key).is_some()));
    let mut schema = closed(properties.take(), &["id", "kind"]);
    schema["description"] = json!(kind.manual().lines().next().unwrap_or_default());
    schema
}

/// The values whose names start with `prefix`, as one object.
fn group(kind: &Kind, prefix: &str) -> Json {
    let keys = part::keys_under(kind, prefix).into_iter().map(|key| {
        let name = format!("{prefix}{key}");
        let schema = match kind.value(&name) {
            Some(spec) => value(spec),
            None => group(kind, &format!("{name}.")),
        };
        (key.to_owned(), schema)
    });
    closed(Json::Object(keys.collect()), &[])
}

fn value(spec: &ValueSpec) -> Json {
    let mut schema = match spec.form {
        Form::Number { least, most, .. } => given(&number((least, most))),
        Form::Count { least, most } => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Form::Word(words) => {
            let not_known = accepts_not_known(spec).then_some(NOT_KNOWN);
            json!({ "enum": words.iter().copied().chain(not_known).collect::<Vec<_>>() })
        }
        Form::Flag => json!({ "type": "boolean" }),
        Form::Part => reference("id"),
        Form::Seat => closed(
            json!({ "box": reference("id"), "way": { "type": "integer", "minimum": 1, "maximum": MOST_WAYS } }),
            &["box", "way"],
        ),
    };
    schema["description"] = json!(described(spec));
    schema
}

/// What a value means, its unit, and what is assumed when it is not said.
pub(super) fn described(spec: &ValueSpec) -> String {
    let mut text = spec.meaning.to_owned();
    if let Form::Number { unit, .. } = spec.form
        && !unit.symbol().is_empty()
    {
        text.push_str(&format!("; in {}", unit.symbol()));
    }
    if let Some(assumed) = assumed(spec) {
        text.push_str(&format!("; {assumed} is assumed when it is left out"));
    }
    text
}

/// What is assumed when a value is not said, in words.
pub(super) fn assumed(spec: &ValueSpec) -> Option<String> {
    match spec.assumed {
        Assumed::Nothing => None,
        Assumed::Number(number) => Some(number.to_string()),
        Assumed::ByNominal(at_12, at_24) => Some(format!("{at_12} (24 V: {at_24})")),
        Assumed::Word(word) => Some(word.to_owned()),
        Assumed::Flag(flag) => Some(flag.to_string()),
    }
}

fn pose() -> Json {
    let step = json!({ "type": "integer", "minimum": -FARTHEST, "maximum": FARTHEST });
    let mut schema = closed(
        json!({
            "view": { "type": "string" },
            "x": step,
            "y": step,
            "turn": { "type": "integer", "minimum": 0, "maximum": 3, "default": 0 },
            "mirrored": { "type": "boolean", "default": false },
            "pinned": { "type": "boolean", "default": false },
        }),
        &["x", "y"],
    );
    schema["description"] = json!("Where a symbol stands, in grid steps of 2.5 mm; quarter turns clockwise.");
    schema
}

fn joint() -> Json {
    closed(json!({ "by": { "type": "string" }, "stud_mm": number(STUD_MM) }), &["by"])
}

fn surroundings() -> Json {
    let places = Surroundings::WORDS.map(|(_, word)| word);
    json!({ "oneOf": [
        { "enum": places },
        closed(json!({ "ambient_c": number(AMBIENT_C) }), &["ambient_c"]),
    ] })
}

fn wire_keys() -> Json {
    let letters = json!({ "enum": COLOR_LETTERS.iter().map(|(letters, _)| letters).collect::<Vec<_>>() });
    let metric = json!({ "enum": METRIC_SIZES.iter().map(|size| whole(*size)).collect::<Vec<_>>() });
    let gauges = json!({ "enum": GAUGES.iter().flat_map(|gauge| gauge_words(*gauge)).collect::<Vec<_>>() });
    let classes: Vec<String> = CLASSES.iter().map(|(letter, _)| letter.to_string()).collect();
    closed(
        json!({
            "id": reference("id"),
            "label": { "type": "string" },
            "from": reference("terminal"),
            "to": reference("terminal"),
            "status": reference("status"),
            "size": { "oneOf": [
                closed(json!({ "mm2": given(&metric) }), &["mm2"]),
                closed(json!({ "awg": given(&gauges) }), &["awg"]),
            ] },
            "length_m": given(&number(LENGTH_M)),
            "colour": closed(json!({ "base": letters, "stripe": letters }), &["base"]),
            "insulation": { "oneOf": [
                { "enum": classes },
                closed(json!({ "rated_c": number(RATED_C) }), &["rated_c"]),
            ] },
            "surroundings": surroundings(),
            "bundle": { "type": "integer", "minimum": BUNDLE.0, "maximum": BUNDLE.1 },
            "sleeve": { "type": "string" },
            "grommet": { "type": "boolean" },
            "ends": closed(json!({ "from": reference("joint"), "to": reference("joint") }), &[]),
            "use": { "enum": Use::WORDS.map(|(_, word)| word) },
            "strand_class": { "enum": Strands::WORDS.map(|(_, word)| word) },
            "via": { "type": "array", "maxItems": MOST_VIA, "items": reference("id") },
            "keep_apart": { "type": "boolean", "default": false },
        }),
        &["id", "from", "to"],
    )
}

#[cfg(test)]
mod tests {
    use super::super::wire;
    use super::*;

    fn keys(schema: &Json) -> Vec<&str> {
        schema["properties"].as_object().unwrap().keys().map(String::as_str).collect()
    }

    #[test]
    fn the_schema_and_the_reader_know_the_same_keys() {
        let schema = schema();
        assert_eq!(keys(&schema), job::KEYS);
        assert_eq!(keys(&schema["properties"]["card"]), job::CARD_KEYS);
        assert_eq!(keys(&schema["properties"]["settings"]), job::settings_keys().collect::<Vec<_>>());
        assert_eq!(keys(&schema["$defs"]["wire"]), wire::KEYS);
        assert_eq!(keys(&schema["$defs"]["pose"]), part::POSE_KEYS);
        let plan = &schema["properties"]["plan"];
        assert_eq!(keys(plan), plan::KEYS);
        assert_eq!(keys(&schema["properties"]["accepted"]["items"]), accepted::KEYS);
        assert_eq!(keys(&plan["properties"]["outline"]), plan::OUTLINE_KEYS);
        assert_eq!(keys(&plan["properties"]["places"]["items"]), plan::PLACE_KEYS);
        assert_eq!(keys(&plan["properties"]["routes"]["items"]), plan::ROUTE_KEYS);
        for kind in kind::ALL {
            let part = &schema["$defs"][format!("part-{}", kind.name)];
            assert_eq!(keys(part), part::KEYS);
            assert_eq!(keys(&part["properties"]["values"]), part::keys_under(kind, ""), "{}", kind.name);
        }
    }

    #[test]
    fn the_schema_on_file_is_the_generated_one() {
        let on_file = include_str!("../../../../fixtures/job.schema.json");
        assert!(on_file == schema_text(), "run `cargo xtask generate`");
    }
}
