//! From a document to JSON text, always with the same keys in the same order.

use std::collections::BTreeMap;

use super::said::{Object, Said};
use super::{FORMAT, VERSION};
use crate::document::network::next_free;
use crate::document::{
    Accepted, Card, Complaint, Document, Found, InState, Insulation, Interlock, Joint, Outline, Part,
    Placement, Plan, Pose, Probe, Purpose, Reading, Record, Route, RouteKind, Settings, Severity, Shape,
    Situation, Size, Status, Strands, Surroundings, Use, VehiclePlace, Wire, settings,
};
use crate::given::Given;
use crate::kind::Value;

/// The job as JSON text with one key a line, ending in a newline.
///
/// What is not known is left out. The same document always gives the same bytes.
pub fn write_json(document: &Document) -> String {
    let mut text = job(document).on_lines();
    text.push('\n');
    text
}

/// The job as JSON text on one line.
pub(super) fn write_on_one_line(document: &Document) -> String {
    job(document).on_one_line()
}

/// The job, ready to be written.
pub(super) fn job(document: &Document) -> Said<'_> {
    let network = &document.network;
    let mut job = Object::default();
    job.put_text("format", FORMAT);
    job.put("version", Said::Count(u64::from(VERSION)));
    job.put_unless_empty("card", card(&document.card));
    job.put("settings", write_settings(&document.settings));
    if network.next_id > next_free(&network.parts, &network.wires) {
        job.put("next_id", Said::Count(network.next_id));
    }
    let part = |one| part(one, &document.placement);
    job.put("parts", Said::List(network.parts.iter().map(part).collect()));
    job.put("wires", Said::List(network.wires.iter().map(wire).collect()));
    job.put("situations", Said::List(document.situations.iter().map(situation).collect()));
    if !document.interlocks.is_empty() {
        job.put("interlocks", Said::List(document.interlocks.iter().map(interlock).collect()));
    }
    if !document.accepted.is_empty() {
        job.put("accepted", Said::List(document.accepted.iter().map(accepted).collect()));
    }
    if !document.plan.is_empty() {
        job.put("plan", plan(&document.plan));
    }
    if !document.records.is_empty() {
        job.put("records", Said::List(document.records.iter().map(record).collect()));
    }
    Said::Object(job)
}

fn accepted(accepted: &Accepted) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("check", &accepted.check);
    object.put("at", Object::of(accepted.subject.key(), Said::from(accepted.subject.id())));
    object.put_some("severity", word(&Severity::WORDS, &accepted.severity));
    object.put_text("by", &accepted.by);
    object.put_text("why", &accepted.why);
    object.put_text("date", &accepted.date);
    Said::Object(object)
}

fn record(record: &Record) -> Said<'_> {
    let mut object = Object::default();
    object.put_some("for", word(&Purpose::WORDS, &record.purpose));
    object.put_text("about", &record.about);
    object.put_text("date", &record.date);
    object.put_text("by", &record.by);
    object.put_text("meter", &record.meter);
    if !record.complaints.is_empty() {
        object.put("should", Said::List(record.complaints.iter().map(complaint).collect()));
    }
    object.put_unless_empty("minutes", minutes(&record.minutes));
    object.put("readings", Said::List(record.readings.iter().map(reading).collect()));
    object.put_text("answer", &record.answer);
    Said::Object(object)
}

fn reading(reading: &Reading) -> Said<'_> {
    let mut object = Object::default();
    object.put("situation", situation(&reading.situation));
    object.put("probe", probe(&reading.probe));
    object.put_text("expected", &reading.expected);
    object.put_some("found", reading.found.map(found));
    object.put_some("right", reading.is_right.map(Said::Flag));
    Said::Object(object)
}

fn complaint(complaint: &Complaint) -> Said<'_> {
    let mut object = Object::default();
    object.put("situation", situation(&complaint.situation));
    object.put("probe", probe(&complaint.probe));
    object.put("should", found(complaint.should));
    object.put("found", found(complaint.found));
    Said::Object(object)
}

fn minutes(minutes: &BTreeMap<String, f64>) -> Object<'_> {
    let mut object = Object::default();
    for (id, minutes) in minutes {
        object.put(id, Said::Number(*minutes));
    }
    object
}

fn probe(probe: &Probe) -> Said<'_> {
    let mut object = Object::default();
    match probe {
        Probe::Volts { at, against } | Probe::TestLamp { at, against } => {
            let key = if matches!(probe, Probe::Volts { .. }) { "volts_at" } else { "lamp_at" };
            object.put(key, Said::from(at.to_string()));
            object.put_some("against", against.as_ref().map(|terminal| Said::from(terminal.to_string())));
        }
        Probe::Amps(wire) => object.put("amps_in", Said::from(wire.as_str())),
        Probe::Look(part, load) => {
            object.put("look_at", Said::from(part.as_str()));
            object.put_text("load", load);
        }
        Probe::Listen(part) => object.put("listen_to", Said::from(part.as_str())),
        Probe::Fuse(part) => object.put("fuse_of", Said::from(part.as_str())),
        Probe::Pin { wire, against_positive } => {
            object.put("pin", Said::from(wire.as_str()));
            object.put_some("against_positive", against_positive.then_some(Said::Flag(true)));
        }
    }
    Said::Object(object)
}

fn found(found: Found) -> Said<'static> {
    match found {
        Found::Number(number) => Object::of("number", Said::Number(number)),
        Found::Seen(seen) => Object::of("seen", Said::from(seen.word())),
        Found::Heard(heard) => Object::of("heard", Said::Flag(heard)),
        Found::Whole(whole) => Object::of("whole", Said::Flag(whole)),
        Found::CannotReach => Said::from(super::record::CANNOT_REACH),
    }
}

fn interlock(interlock: &Interlock) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("load", interlock.load.as_str());
    object.put_text("name", &interlock.name);
    object.put("rule", Said::from(interlock.rule.words()));
    if !interlock.any_of.is_empty() {
        let lists = interlock.any_of.iter().map(|all| Said::List(all.iter().map(in_state).collect()));
        object.put("any_of", Said::List(lists.collect()));
    }
    object.put_text("reason", &interlock.reason);
    Said::Object(object)
}

fn plan(plan: &Plan) -> Said<'_> {
    let mut object = Object::default();
    if let Some(Outline { shape, length, width }) = &plan.outline {
        let mut outline = Object::default();
        outline.put_some("shape", word(&Shape::WORDS, shape));
        outline.put("length_m", Said::Number(length.get()));
        outline.put("width_m", Said::Number(width.get()));
        object.put("outline", Said::Object(outline));
    }
    object.put("places", Said::List(plan.places.iter().map(place).collect()));
    object.put("routes", Said::List(plan.routes.iter().map(route).collect()));
    Said::Object(object)
}

fn place(place: &VehiclePlace) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("id", place.id.as_str());
    object.put_text("name", &place.name);
    object.put("x_cm", Said::Number(f64::from(place.x_cm)));
    object.put("y_cm", Said::Number(f64::from(place.y_cm)));
    object.put_some("surroundings", surroundings(place.surroundings));
    object.put_some("wet", place.wet.map(Said::Flag));
    if place.moving {
        object.put("moving", Said::Flag(true));
    }
    if place.passing {
        object.put("passing", Said::Flag(true));
    }
    object.put_some("end_m", place.end.map(|end| Said::Number(end.get())));
    Said::Object(object)
}

fn route(route: &Route) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("id", route.id.as_str());
    object.put_text("name", &route.name);
    object.put_text("from", route.from.as_str());
    object.put_text("to", route.to.as_str());
    object.put_some("length_m", given(&route.length, |length| Said::Number(length.get())));
    object.put_some("kind", word(&RouteKind::WORDS, &route.kind));
    object.put_some("surroundings", surroundings(route.surroundings));
    object.put_some("sleeve", route.sleeve.as_deref().map(Said::from));
    object.put_some("grommet", route.grommet.map(Said::Flag));
    object.put_some("slack_m", route.slack.map(|slack| Said::Number(slack.get())));
    Said::Object(object)
}

fn in_state(one: &InState) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("part", one.part.as_str());
    object.put_text("name", &one.name);
    object.put("is", Said::from(one.is.as_str()));
    Said::Object(object)
}

pub(super) fn given<'a, T>(given: &'a Given<T>, write: impl Fn(&'a T) -> Said<'a>) -> Option<Said<'a>> {
    match given {
        Given::Known(value) => Some(write(value)),
        Given::Between(low, high) => Some(Object::of("between", Said::List(vec![write(low), write(high)]))),
        Given::NotKnown => None,
    }
}

fn word<T: PartialEq>(words: &[(T, &'static str)], meant: &T) -> Option<Said<'static>> {
    words.iter().find(|(one, _)| one == meant).map(|(_, word)| Said::from(*word))
}

fn card(card: &Card) -> Object<'_> {
    let mut object = Object::default();
    object.put_text("title", &card.title);
    object.put_text("customer", &card.customer);
    object.put_text("vehicle", &card.vehicle);
    object.put_text("owner", &card.owner);
    object.put_text("drawn_by", &card.drawn_by);
    object.put_text("approved_by", &card.approved_by);
    object.put_text("date", &card.date);
    object.put_text("number", &card.number);
    object.put_text("revision", &card.revision);
    object
}

pub(super) fn write_settings(settings: &Settings) -> Said<'_> {
    let mut object = Object::default();
    object.put("nominal_v", Said::Number(settings.nominal_v));
    for setting in settings::ALL {
        let name = setting.spec.name;
        object.put_some(name, settings.said.said(name).and_then(|said| given(said, value_of)));
    }
    Said::Object(object)
}

fn surroundings(surroundings: Option<Surroundings>) -> Option<Said<'static>> {
    match surroundings? {
        Surroundings::Ambient(celsius) => Some(Object::of("ambient_c", Said::Number(celsius))),
        place => word(&Surroundings::WORDS, &place),
    }
}

fn part<'a>(part: &'a Part, placement: &'a Placement) -> Said<'a> {
    let mut object = Object::default();
    object.put_text("id", part.id.as_str());
    object.put_text("kind", part.kind.name);
    object.put_text("label", &part.label);
    object.put_some("status", word(&Status::WORDS, &part.status));
    object.put_some("surroundings", surroundings(part.surroundings));
    object.put_some("place", part.place.as_ref().map(|place| Said::from(place.as_str())));
    let mut values = Object::default();
    for spec in part.kind.values {
        if let Some(written) = part.values.said(spec.name).and_then(|said| given(said, value_of)) {
            values.put_grouped(spec.name, written);
        }
    }
    object.put_unless_empty("values", values);
    let poses: Vec<Said> = placement.of(&part.id).map(pose).collect();
    if !poses.is_empty() {
        object.put("at", Said::List(poses));
    }
    Said::Object(object)
}

pub(super) fn value_of(value: &Value) -> Said<'_> {
    match value {
        Value::Number(number) => Said::Number(*number),
        Value::Word(word) => Said::from(*word),
        Value::Flag(flag) => Said::Flag(*flag),
        Value::Part(id) => Said::from(id.as_str()),
        Value::Seat(id, way) => {
            let mut seat = Object::default();
            seat.put_text("box", id.as_str());
            seat.put("way", Said::Count(u64::from(*way)));
            Said::Object(seat)
        }
    }
}

fn pose(pose: &Pose) -> Said<'_> {
    let mut object = Object::default();
    object.put("view", Said::from(pose.view.as_str()));
    object.put("x", Said::Number(f64::from(pose.x)));
    object.put("y", Said::Number(f64::from(pose.y)));
    object.put("turn", Said::Count(u64::from(pose.turn)));
    if pose.mirrored {
        object.put("mirrored", Said::Flag(true));
    }
    if pose.pinned {
        object.put("pinned", Said::Flag(true));
    }
    Said::Object(object)
}

fn wire(wire: &Wire) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("id", wire.id.as_str());
    object.put_text("label", &wire.label);
    object.put("from", Said::from(wire.from.to_string()));
    object.put("to", Said::from(wire.to.to_string()));
    object.put_some("status", word(&Status::WORDS, &wire.status));
    object.put_some("size", size(&wire.size));
    object.put_some("length_m", given(&wire.length, |length| Said::Number(length.get())));
    if let Some(color) = wire.color {
        let mut letters = Object::default();
        letters.put_text("base", color.base);
        letters.put_text("stripe", color.stripe.unwrap_or_default());
        object.put("colour", Said::Object(letters));
    }
    object.put_some(
        "insulation",
        wire.insulation.map(|insulation| match insulation {
            Insulation::Class(letter) => Said::from(letter.to_string()),
            Insulation::Rated(celsius) => Object::of("rated_c", Said::Number(celsius)),
        }),
    );
    object.put_some("surroundings", surroundings(wire.surroundings));
    object.put_some("bundle", wire.bundle.map(|count| Said::Count(u64::from(count))));
    object.put_some("sleeve", wire.sleeve.as_deref().map(Said::from));
    object.put_some("grommet", wire.grommet.map(Said::Flag));
    let mut ends = Object::default();
    ends.put_some("from", wire.joint_from.as_ref().map(joint));
    ends.put_some("to", wire.joint_to.as_ref().map(joint));
    object.put_unless_empty("ends", ends);
    object.put_some("use", wire.used_for.as_ref().and_then(|used_for| word(&Use::WORDS, used_for)));
    object.put_some("strand_class", wire.strands.as_ref().and_then(|strands| word(&Strands::WORDS, strands)));
    if !wire.via.is_empty() {
        object.put("via", Said::List(wire.via.iter().map(|place| Said::from(place.as_str())).collect()));
    }
    if wire.keep_apart {
        object.put("keep_apart", Said::Flag(true));
    }
    Said::Object(object)
}

fn size(size: &Given<Size>) -> Option<Said<'_>> {
    let system = match size {
        Given::Known(Size::Metric(_)) | Given::Between(Size::Metric(_), _) => "mm2",
        Given::Known(Size::Gauge(_)) | Given::Between(Size::Gauge(_), _) => "awg",
        Given::NotKnown => return None,
    };
    let written = given(size, |one| match one {
        Size::Metric(area) => Said::Number(area.get()),
        Size::Gauge(gauge @ 1..) => Said::Number(f64::from(*gauge)),
        Size::Gauge(gauge) => Said::from(format!("{}/0", 1 - gauge)),
    })?;
    Some(Object::of(system, written))
}

fn joint(joint: &Joint) -> Said<'_> {
    let mut object = Object::default();
    object.put("by", Said::from(joint.by.as_str()));
    object.put_some("stud_mm", joint.stud_mm.map(Said::Number));
    Said::Object(object)
}

fn situation(situation: &Situation) -> Said<'_> {
    let mut set = Object::default();
    for (id, position) in &situation.set {
        set.put(id.as_str(), Said::from(position.as_str()));
    }
    let mut object = Object::default();
    object.put("name", Said::from(situation.name.as_str()));
    object.put("set", Said::Object(set));
    Said::Object(object)
}
