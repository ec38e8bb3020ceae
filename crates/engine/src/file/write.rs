//! From a document to JSON text, always with the same keys in the same order.

use serde_json::{Map, Value as Json, json};

use super::wire::{USES, gauge_words};
use super::{FORMAT, VERSION};
use crate::document::network::next_free;
use crate::document::{
    Card, Document, Insulation, Joint, Part, Pose, Situation, Size, Status, Surroundings, Wire,
};
use crate::given::Given;
use crate::kind::Value;

/// The job as JSON text with one key a line, ending in a newline.
///
/// What is not known is left out. The same document always gives the same bytes.
pub fn write_json(document: &Document) -> String {
    let mut text = format!("{:#}", value(document));
    text.push('\n');
    escape_invisible(&text)
}

/// The job as a JSON value.
pub(super) fn value(document: &Document) -> Json {
    let network = &document.network;
    let mut job = Object::default();
    job.put("format", json!(FORMAT));
    job.put("version", json!(VERSION));
    job.put_unless_empty("card", card(&document.card));
    job.put("settings", json!({ "nominal_v": number(document.settings.nominal_v) }));
    if network.next_id > next_free(&network.parts, &network.wires) {
        job.put("next_id", json!(network.next_id));
    }
    let parts: Vec<Json> = network
        .parts
        .iter()
        .map(|one| part(one, document.placement.of(&one.id).collect::<Vec<_>>().as_slice()))
        .collect();
    job.put("parts", Json::Array(parts));
    job.put("wires", network.wires.iter().map(wire).collect());
    job.put("situations", document.situations.iter().map(situation).collect());
    Json::Object(job.0)
}

/// JSON text with everything escaped that is allowed in JSON but invisible, turns the direction of
/// writing, or is not allowed in XML.
///
/// All of it can only occur inside of texts, where the escape means the same.
pub fn escape_invisible(text: &str) -> String {
    let mut hidden = String::with_capacity(text.len());
    for c in text.chars() {
        let escape = matches!(c,
            '\u{7f}'..='\u{9f}' | '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}');
        if escape {
            hidden.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            hidden.push(c);
        }
    }
    hidden
}

/// An object under construction; keys stay in the order they were put.
#[derive(Default)]
struct Object(Map<String, Json>);

impl Object {
    fn put(&mut self, key: &str, value: Json) {
        self.0.insert(key.to_owned(), value);
    }

    fn put_text(&mut self, key: &str, text: &str) {
        if !text.is_empty() {
            self.put(key, json!(text));
        }
    }

    fn put_some(&mut self, key: &str, value: Option<Json>) {
        if let Some(value) = value {
            self.put(key, value);
        }
    }

    fn put_unless_empty(&mut self, key: &str, object: Object) {
        if !object.0.is_empty() {
            self.put(key, Json::Object(object.0));
        }
    }
}

/// A number as a person writes it: 90 rather than 90.0.
fn number(number: f64) -> Json {
    // Up to here every whole number is exact in both forms.
    const EXACT: f64 = 9_007_199_254_740_992.0;
    if number.fract() == 0.0 && number.abs() <= EXACT { json!(number as i64) } else { json!(number) }
}

fn given<T>(given: &Given<T>, write: impl Fn(&T) -> Json) -> Option<Json> {
    match given {
        Given::Known(value) => Some(write(value)),
        Given::Between(low, high) => Some(json!({ "between": [write(low), write(high)] })),
        Given::NotKnown => None,
    }
}

fn word<T: PartialEq>(words: &[(T, &'static str)], meant: &T) -> Option<Json> {
    words.iter().find(|(one, _)| one == meant).map(|(_, word)| json!(word))
}

fn card(card: &Card) -> Object {
    let mut object = Object::default();
    object.put_text("title", &card.title);
    object.put_text("customer", &card.customer);
    object.put_text("vehicle", &card.vehicle);
    object.put_text("drawn_by", &card.drawn_by);
    object.put_text("date", &card.date);
    object.put_text("number", &card.number);
    object
}

fn part(part: &Part, poses: &[&Pose]) -> Json {
    let mut object = Object::default();
    object.put("id", json!(part.id.as_str()));
    object.put("kind", json!(part.kind.name));
    object.put_text("label", &part.label);
    object.put_some("status", word(&Status::WORDS, &part.status));
    let mut values = Object::default();
    for spec in part.kind.values {
        if let Some(written) = given(&part.values.get(spec.name), value_of) {
            put_grouped(&mut values.0, spec.name, written);
        }
    }
    object.put_unless_empty("values", values);
    if !poses.is_empty() {
        object.put("at", poses.iter().map(|one| pose(one)).collect());
    }
    Json::Object(object.0)
}

/// Puts a value under its name, one object deeper for each dot in it.
fn put_grouped(map: &mut Map<String, Json>, name: &str, value: Json) {
    match name.split_once('.') {
        None => {
            map.insert(name.to_owned(), value);
        }
        Some((group, rest)) => {
            let inner = map.entry(group).or_insert_with(|| Json::Object(Map::new()));
            if let Json::Object(inner) = inner {
                put_grouped(inner, rest, value);
            }
        }
    }
}

fn value_of(value: &Value) -> Json {
    match value {
        Value::Number(said) => number(*said),
        Value::Word(word) => json!(word),
        Value::Flag(flag) => json!(flag),
        Value::Part(id) => json!(id.as_str()),
        Value::Seat(id, way) => json!({ "box": id.as_str(), "way": way }),
    }
}

fn pose(pose: &Pose) -> Json {
    let mut object = Object::default();
    object.put("view", json!(pose.view));
    object.put("x", json!(pose.x));
    object.put("y", json!(pose.y));
    object.put("turn", json!(pose.turn));
    if pose.mirrored {
        object.put("mirrored", json!(true));
    }
    Json::Object(object.0)
}

fn wire(wire: &Wire) -> Json {
    let mut object = Object::default();
    object.put("id", json!(wire.id.as_str()));
    object.put_text("label", &wire.label);
    object.put("from", json!(wire.from.to_string()));
    object.put("to", json!(wire.to.to_string()));
    object.put_some("status", word(&Status::WORDS, &wire.status));
    object.put_some("size", size(&wire.size));
    object.put_some("length_m", given(&wire.length, |length| number(length.get())));
    object.put_some(
        "colour",
        wire.color.map(|color| match color.stripe {
            Some(stripe) => json!({ "base": color.base, "stripe": stripe }),
            None => json!({ "base": color.base }),
        }),
    );
    object.put_some(
        "insulation",
        wire.insulation.map(|insulation| match insulation {
            Insulation::Class(letter) => json!(letter.to_string()),
            Insulation::Rated(celsius) => json!({ "rated_c": number(celsius) }),
        }),
    );
    object.put_some(
        "surroundings",
        wire.surroundings.and_then(|surroundings| match surroundings {
            Surroundings::Ambient(celsius) => Some(json!({ "ambient_c": number(celsius) })),
            place => word(&Surroundings::WORDS, &place),
        }),
    );
    object.put_some("bundle", wire.bundle.map(|count| json!(count)));
    object.put_some("sleeve", wire.sleeve.as_ref().map(|sleeve| json!(sleeve)));
    object.put_some("grommet", wire.grommet.map(|grommet| json!(grommet)));
    let mut ends = Object::default();
    ends.put_some("from", wire.joint_from.as_ref().map(joint));
    ends.put_some("to", wire.joint_to.as_ref().map(joint));
    object.put_unless_empty("ends", ends);
    object.put_some("use", wire.used_for.as_ref().and_then(|used_for| word(&USES, used_for)));
    Json::Object(object.0)
}

fn size(size: &Given<Size>) -> Option<Json> {
    let system = match size {
        Given::Known(Size::Metric(_)) | Given::Between(Size::Metric(_), _) => "mm2",
        Given::Known(Size::Gauge(_)) | Given::Between(Size::Gauge(_), _) => "awg",
        Given::NotKnown => return None,
    };
    let written = given(size, |one| match one {
        Size::Metric(area) => number(area.get()),
        Size::Gauge(gauge) => gauge_words(*gauge).swap_remove(0),
    })?;
    Some(json!({ system: written }))
}

fn joint(joint: &Joint) -> Json {
    let mut object = Object::default();
    object.put("by", json!(joint.by));
    object.put_some("stud_mm", joint.stud_mm.map(number));
    Json::Object(object.0)
}

fn situation(situation: &Situation) -> Json {
    let set: Map<String, Json> =
        situation.set.iter().map(|(id, position)| (id.to_string(), json!(position))).collect();
    json!({ "name": situation.name, "set": set })
}
