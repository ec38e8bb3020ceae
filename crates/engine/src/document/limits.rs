//! Limits of what may be said of parts and wires, as the job file has them.
//!
//! A document within them reads back from its file as it was written.

use crate::document::accepted::{Accepted, MOST_ACCEPTED};
use crate::document::interlock::{Interlock, MOST_INTERLOCKS, MOST_STATES, Rule};
use crate::document::placement::FARTHEST;
use crate::document::plan::{END_M, FARTHEST_CM, MOST_PLACES_AND_ROUTES, OUTLINE_M};
use crate::document::record::{
    Complaint, Found, GREATEST_READING, MOST_COMPLAINTS, MOST_MINUTES, MOST_READINGS, MOST_RECORDS, Reading,
    Record,
};
use crate::document::settings::by_name;
use crate::document::wire::{
    AMBIENT_C, BUNDLE, CLASSES, COLOR_LETTERS, GAUGES, LENGTH_M, METRIC_SIZES, MOST_VIA, RATED_C, STUD_MM,
};
use crate::document::{
    AT_REST, Insulation, Joint, Outline, Part, Plan, Pose, Settings, Situation, Size, Surroundings, Wire,
};
use crate::given::Given;
use crate::ids::PartId;
use crate::kind::{Form, Value, ValueSpec};
use crate::quantity::{Metres, Unit, by_hand, three_figures};

/// What is beyond a limit in `part`, if anything.
pub(super) fn part(part: &Part) -> Result<(), String> {
    for (name, given) in part.values.iter() {
        let Some(spec) = part.kind.value(name) else {
            return Err(format!("a {} has no value “{name}”", part.kind.noun));
        };
        match given {
            Given::Known(value) => one_value(spec, value)?,
            Given::Between(Value::Number(low), Value::Number(high))
                if matches!(spec.form, Form::Number { .. }) =>
            {
                one_value(spec, &Value::Number(*low))?;
                one_value(spec, &Value::Number(*high))?;
                ordered(*low, *high, spec.meaning)?;
            }
            Given::Between(..) => return Err(format!("“{}” cannot be a range", spec.meaning)),
            Given::NotKnown => {}
        }
    }
    surroundings(part.surroundings)
}

/// What is beyond a limit in `settings`, if anything.
pub(super) fn settings(settings: &Settings) -> Result<(), String> {
    if ![12.0, 24.0].contains(&settings.nominal_v) {
        return Err("the nominal voltage is 12 V or 24 V".to_owned());
    }
    for (name, given) in settings.said.iter() {
        let Some(setting) = by_name(name) else { return Err(format!("a job has no setting “{name}”")) };
        match given {
            Given::Known(value) => one_value(&setting.spec, value)?,
            _ => return Err(format!("“{}” is one value", setting.spec.meaning)),
        }
    }
    Ok(())
}

fn surroundings(surroundings: Option<Surroundings>) -> Result<(), String> {
    match surroundings {
        Some(Surroundings::Ambient(celsius)) => within(celsius, AMBIENT_C, Unit::Celsius, "surroundings"),
        _ => Ok(()),
    }
}

fn one_value(spec: &ValueSpec, value: &Value) -> Result<(), String> {
    match (spec.form, value) {
        (Form::Number { unit, least, most }, Value::Number(number)) => {
            within(*number, (least, most), unit, spec.meaning)
        }
        (Form::Count { least, most }, Value::Number(number)) => {
            within(*number, (least.into(), most.into()), Unit::One, spec.meaning)?;
            if number.fract() == 0.0 {
                Ok(())
            } else {
                Err(format!("“{}” is a whole number", spec.meaning))
            }
        }
        (Form::Word(words), Value::Word(word)) if words.contains(word) => Ok(()),
        // What these two name is a matter of the whole document.
        (Form::Flag, Value::Flag(_)) | (Form::Part, Value::Part(_)) | (Form::Seat, Value::Seat(..)) => Ok(()),
        _ => Err(format!("“{}” cannot be said in this form", spec.meaning)),
    }
}

fn within(number: f64, (least, most): (f64, f64), unit: Unit, what: &str) -> Result<(), String> {
    // A number that is none lies within no limits either.
    if (least..=most).contains(&number) {
        return Ok(());
    }
    let limits = format!("{} to {} {}", three_figures(least), three_figures(most), unit.sign());
    Err(format!("“{what}” may be {}", limits.trim_end()))
}

fn ordered(low: f64, high: f64, what: &str) -> Result<(), String> {
    if low <= high { Ok(()) } else { Err(format!("the smaller end of the range “{what}” comes first")) }
}

/// What is beyond a limit in `wire`, if anything.
pub(super) fn wire(wire: &Wire) -> Result<(), String> {
    match wire.size {
        Given::Known(size) => known_size(size)?,
        Given::Between(low, high) => {
            known_size(low)?;
            known_size(high)?;
            if matches!(low, Size::Metric(_)) != matches!(high, Size::Metric(_)) {
                return Err("both ends of a range of sizes are of one system".to_owned());
            }
            ordered(low.area().get(), high.area().get(), "size")?;
        }
        Given::NotKnown => {}
    }
    length(wire.length)?;
    if wire.via.len() > MOST_VIA {
        return Err(format!("a wire is led by at most {MOST_VIA} places"));
    }
    if let Some(color) = wire.color {
        let known = |letters: &str| COLOR_LETTERS.iter().any(|(known, _)| *known == letters);
        if let Some(other) = [Some(color.base), color.stripe].into_iter().flatten().find(|one| !known(one)) {
            return Err(format!("“{other}” is no colour"));
        }
    }
    match wire.insulation {
        Some(Insulation::Class(letter)) if !CLASSES.iter().any(|(class, _)| *class == letter) => {
            return Err(format!("“{letter}” is no class of insulation"));
        }
        Some(Insulation::Rated(celsius)) => within(celsius, RATED_C, Unit::Celsius, "insulation")?,
        _ => {}
    }
    surroundings(wire.surroundings)?;
    if let Some(bundle) = wire.bundle {
        within(bundle.into(), (BUNDLE.0.into(), BUNDLE.1.into()), Unit::One, "bundle")?;
    }
    for joint in [&wire.joint_from, &wire.joint_to] {
        if let Some(Joint { stud_mm: Some(stud), .. }) = joint {
            within(*stud, STUD_MM, Unit::Millimetre, "stud")?;
        }
    }
    Ok(())
}

fn known_size(size: Size) -> Result<(), String> {
    let known = match size {
        Size::Metric(area) => METRIC_SIZES.contains(&area.get()),
        Size::Gauge(gauge) => GAUGES.contains(&gauge),
    };
    if known { Ok(()) } else { Err(format!("“{}” is no size of the series", by_hand(&size.title()))) }
}

/// What is beyond a limit in `plan`, if anything.
pub(super) fn plan(plan: &Plan) -> Result<(), String> {
    if plan.places.len() + plan.routes.len() > MOST_PLACES_AND_ROUTES {
        return Err(format!("a plan has at most {MOST_PLACES_AND_ROUTES} places and routes together"));
    }
    if let Some(Outline { length, width, .. }) = plan.outline {
        within(length.get(), OUTLINE_M, Unit::Metre, "length of the vehicle")?;
        within(width.get(), OUTLINE_M, Unit::Metre, "width of the vehicle")?;
    }
    for place in &plan.places {
        let cm = -FARTHEST_CM..=FARTHEST_CM;
        if !cm.contains(&place.x_cm) || !cm.contains(&place.y_cm) {
            return Err(format!(
                "a place lies at most {} m from the front of the vehicle",
                FARTHEST_CM / 100
            ));
        }
        surroundings(place.surroundings)?;
        if let Some(end) = place.end {
            within(end.get(), END_M, Unit::Metre, "length from the way to a terminal")?;
        }
    }
    for route in &plan.routes {
        length(route.length)?;
        surroundings(route.surroundings)?;
        if let Some(slack) = route.slack {
            within(slack.get(), END_M, Unit::Metre, "loop for movement")?;
        }
    }
    Ok(())
}

fn length(said: Given<Metres>) -> Result<(), String> {
    match said {
        Given::Known(length) => within(length.get(), LENGTH_M, Unit::Metre, "length"),
        Given::Between(low, high) => {
            within(low.get(), LENGTH_M, Unit::Metre, "length")?;
            within(high.get(), LENGTH_M, Unit::Metre, "length")?;
            ordered(low.get(), high.get(), "length")
        }
        Given::NotKnown => Ok(()),
    }
}

/// What is beyond a limit in `pose`, if anything.
pub(super) fn pose(pose: &Pose) -> Result<(), String> {
    let steps = -FARTHEST..=FARTHEST;
    if steps.contains(&pose.x) && steps.contains(&pose.y) && pose.turn < 4 {
        return Ok(());
    }
    Err(format!("a symbol stands at most {FARTHEST} steps from the middle of the drawing"))
}

/// What is beyond a limit in `interlocks`, if anything.
pub(super) fn interlocks(interlocks: &[Interlock]) -> Result<(), String> {
    if interlocks.len() > MOST_INTERLOCKS {
        return Err(format!("a job has at most {MOST_INTERLOCKS} interlocks"));
    }
    for interlock in interlocks {
        let lists = &interlock.any_of;
        if lists.is_empty() && interlock.rule != Rule::AnyTime || lists.iter().any(Vec::is_empty) {
            return Err(format!("“{}” needs a condition", interlock.rule.words()));
        }
        if !lists.is_empty() && interlock.rule == Rule::AnyTime {
            return Err(format!("“{}” has no condition", interlock.rule.words()));
        }
        if lists.len() > MOST_STATES || lists.iter().any(|all| all.len() > MOST_STATES) {
            return Err(format!("a condition has at most {MOST_STATES} of each"));
        }
    }
    Ok(())
}

/// What is wrong with `records`, if anything.
pub(super) fn records(records: &[Record]) -> Result<(), String> {
    if records.len() > MOST_RECORDS {
        return Err(format!("a job has at most {MOST_RECORDS} records"));
    }
    for record in records {
        if record.readings.len() > MOST_READINGS {
            return Err(format!("a record has at most {MOST_READINGS} readings"));
        }
        if record.complaints.len() > MOST_COMPLAINTS {
            return Err(format!("a record has at most {MOST_COMPLAINTS} complaints"));
        }
        let is_small =
            |found: Found| !matches!(found, Found::Number(number) if number.abs() > GREATEST_READING);
        let is_answer = |reading: &Reading| {
            reading.found.is_none_or(|found| reading.probe.takes(found) && is_small(found))
        };
        let is_whole =
            |one: &Complaint| one.not_an_answer().is_none() && is_small(one.should) && is_small(one.found);
        if !record.readings.iter().all(is_answer) || !record.complaints.iter().all(is_whole) {
            return Err("a reading is no answer to what was looked at".to_owned());
        }
        for (id, minutes) in &record.minutes {
            if PartId::new(id).is_none() || !(0.0..=MOST_MINUTES).contains(minutes) {
                return Err(format!("nobody gets to “{id}” in {} minutes", three_figures(*minutes)));
            }
        }
    }
    Ok(())
}

/// What is wrong with `accepted`, if anything.
pub(super) fn accepted(accepted: &[Accepted]) -> Result<(), String> {
    if accepted.len() > MOST_ACCEPTED {
        return Err(format!("a job has at most {MOST_ACCEPTED} accepted findings"));
    }
    for (index, one) in accepted.iter().enumerate() {
        if let Some(lacking) = one.lacks() {
            return Err(format!("an accepted finding says {lacking}"));
        }
        let is_same = |other: &Accepted| (&other.check, &other.subject) == (&one.check, &one.subject);
        if accepted[..index].iter().any(is_same) {
            return Err("this finding is accepted already".to_owned());
        }
    }
    Ok(())
}

/// What is wrong with the names of `situations`, if anything.
pub(super) fn situations(situations: &[Situation]) -> Result<(), String> {
    for (index, situation) in situations.iter().enumerate() {
        let name = &situation.name;
        if name.is_empty() {
            return Err("a situation needs a name".to_owned());
        }
        if name == AT_REST {
            return Err(format!("“{AT_REST}” always exists and is not listed"));
        }
        if situations[..index].iter().any(|other| other.name == *name) {
            return Err(format!("there is a situation “{name}” already"));
        }
    }
    Ok(())
}
