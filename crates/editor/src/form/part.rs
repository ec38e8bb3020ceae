//! The form of a part: its label, its status, and every value of its kind that counts.

use engine::document::{Document, Network, Part, Status};
use engine::given::Given;
use engine::ids::{PartId, PlaceId};
use engine::kind::{Class, Form, Value, ValueSpec, Values};
use engine::quantity::{Quantity, Unit, by_hand, capital};
use engine::resolve;

use super::wire::{place_of, place_text, places};
use super::{Field, free_text, number_text, numbers, or_unknown, plain_choices, without_unit};

const LABEL: &str = "label";
const STATUS: &str = "status";
const SURROUNDINGS: &str = "surroundings";
const PLACE: &str = "place";

/// The fields of `part`, the label first.
pub fn part_fields(document: &Document, part: &Part) -> Vec<Field> {
    let mut fields = vec![Field::text(LABEL, "Label", &part.label)];
    for spec in resolve::counting(&document.network, part, document.settings.nominal_v) {
        let made_for = resolve::made_for_v(part, document.settings.nominal_v);
        fields.push(value_field(&document.network, Some(&part.id), &part.values, spec, made_for));
    }
    // A place that parts cannot sit at is no choice, unless this one does.
    let at =
        document.plan.places.iter().filter(|place| !place.passing || part.place.as_ref() == Some(&place.id));
    let mut at: Vec<(String, String)> =
        at.map(|place| (place.id.to_string(), place.title().to_owned())).collect();
    if !at.is_empty() {
        at.insert(0, (String::new(), "nowhere yet".to_owned()));
        let sits = part.place.as_ref().map_or_else(String::new, |place| place.to_string());
        fields.push(Field::choice(PLACE, "Place on the vehicle plan", at, sits));
    }
    let places = or_unknown(places(part.surroundings));
    fields.push(Field::choice(SURROUNDINGS, "Where it sits", places, place_text(part.surroundings)));
    fields.push(Field::choice(STATUS, "In this job", status_choices(), status_word(part.status)));
    fields
}

/// What a status is called where it is chosen.
pub(super) fn status_choices() -> Vec<(String, String)> {
    let shown = |status| match status {
        Status::Existing => "already there",
        Status::New => "new",
        Status::Remove => "to be taken out",
    };
    Status::WORDS.iter().map(|(status, word)| ((*word).to_owned(), shown(*status).to_owned())).collect()
}

pub(super) fn status_word(status: Status) -> String {
    Status::WORDS.iter().find(|(one, _)| *one == status).map_or("", |(_, word)| word).to_owned()
}

pub(super) fn status_of(word: &str) -> Result<Status, String> {
    let found = Status::WORDS.iter().find(|(_, one)| *one == word);
    found.map(|(status, _)| *status).ok_or_else(|| format!("“{word}” is no status"))
}

/// The field of one value of the part `own`, or of one setting of the job; `made_for` volts decide what is assumed.
pub(super) fn value_field(
    network: &Network,
    own: Option<&PartId>,
    values: &Values,
    spec: &'static ValueSpec,
    made_for: f64,
) -> Field {
    let given = values.get(spec.name);
    let assumed = spec.assumed_of(values, made_for);
    let caption = match spec.name.split_once('.') {
        Some((group, _)) => format!("{group}: {}", spec.meaning),
        None => capital(spec.meaning),
    };
    let caption = by_hand(&caption);
    let plain = |value: &Value| match value {
        Value::Number(number) => number.to_string(),
        Value::Word(word) => (*word).to_owned(),
        Value::Flag(flag) => yes_no(*flag).to_owned(),
        Value::Part(id) => id.to_string(),
        Value::Seat(id, way) => format!("{id} {way}"),
    };
    let said = match &given {
        Given::Known(value) => plain(value),
        _ => String::new(),
    };
    // What a choice stands for while nothing is chosen is named in its first entry.
    let unsaid = |choices: Vec<(String, String)>| {
        let mut choices = or_unknown(choices);
        if let Some(assumed) = &assumed {
            choices[0].1 = format!("{} assumed", plain(assumed));
        }
        choices
    };
    match spec.form {
        Form::Number { unit, .. } => {
            let text = number_text(given.map(|value| match value {
                Value::Number(number) => number,
                _ => f64::NAN,
            }));
            let units = match unit {
                // A load may be known by its current instead.
                Unit::Watt => vec!["W", "A"],
                other => vec![other.sign()],
            };
            let assumed = match assumed {
                Some(Value::Number(number)) => Quantity::new(number, unit)
                    .map_or_else(String::new, |quantity| by_hand(&quantity.to_string())),
                _ => String::new(),
            };
            Field::number(spec.name, &caption, units, text).assuming(assumed)
        }
        Form::Count { .. } => {
            let assumed = assumed.as_ref().map_or_else(String::new, plain);
            Field::number(spec.name, &caption, vec![""], said).assuming(assumed)
        }
        Form::Word(words) => {
            Field::choice(spec.name, &caption, unsaid(plain_choices(words.iter().copied())), said)
        }
        Form::Flag => Field::choice(spec.name, &caption, unsaid(plain_choices(["yes", "no"])), said),
        Form::Part => Field::choice(spec.name, &caption, unsaid(batteries(network)), said),
        Form::Seat => {
            let mut choices = seats(network, own);
            choices.insert(0, (String::new(), "in no box".to_owned()));
            Field::choice(spec.name, &caption, choices, said)
        }
    }
}

fn yes_no(flag: bool) -> &'static str {
    if flag { "yes" } else { "no" }
}

fn batteries(network: &Network) -> Vec<(String, String)> {
    let all = network.parts.iter().filter(|part| part.kind.class == Class::Battery);
    all.map(|part| (part.id.to_string(), part.title().to_owned())).collect()
}

/// Every way of every fuse box that is free for the part `own`.
fn seats(network: &Network, own: Option<&PartId>) -> Vec<(String, String)> {
    let taken = |id: &PartId, way: u32| {
        network.parts.iter().any(|other| {
            Some(&other.id) != own
                && other.values.iter().any(|(_, given)| *given == Given::Known(Value::Seat(id.clone(), way)))
        })
    };
    let mut choices = Vec::new();
    for fuse_box in &network.parts {
        // A part that is no fuse box has no ways.
        for way in 1..=fuse_box.box_ways().unwrap_or(0) {
            if !taken(&fuse_box.id, way) {
                choices.push((format!("{} {way}", fuse_box.id), format!("{}, way {way}", fuse_box.title())));
            }
        }
    }
    choices
}

/// `part` after `text` was entered into its field `name`, in the unit `unit` for a number; why not,
/// when the text is refused.
pub fn changed_part(
    document: &Document,
    part: &Part,
    name: &str,
    text: &str,
    unit: &str,
) -> Result<Part, String> {
    let mut changed = part.clone();
    match name {
        LABEL => changed.label = free_text(text)?,
        STATUS => changed.status = status_of(text)?,
        SURROUNDINGS => changed.surroundings = place_of(text, part.surroundings)?,
        PLACE => changed.place = PlaceId::new(text),
        name => {
            let spec =
                part.kind.value(name).ok_or_else(|| format!("a {} has no “{name}”", part.kind.noun))?;
            let volts = rated_volts(document, part, spec.name);
            changed.values.set(spec.name, value(spec, text, unit, volts)?);
        }
    }
    Ok(changed)
}

/// What `text` says of a value; a power may be said as the current at `rated_v` volts.
pub(super) fn value(
    spec: &'static ValueSpec,
    text: &str,
    unit: &str,
    rated_v: f64,
) -> Result<Given<Value>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(Given::NotKnown);
    }
    let none = || format!("“{text}” is none of the choices");
    Ok(match spec.form {
        Form::Number { unit: own, least, most } => {
            // A unit that stands beside the number is what was meant, whichever is chosen.
            let says = |unit: &str| without_unit(text, unit).is_some();
            if own == Unit::Watt && !says("W") && (unit == "A" || says("A")) {
                let amps = numbers(text, least / rated_v, most / rated_v, "A")?;
                // Three figures more than anyone reads keep 0.1 A x 12 V from becoming 1.2000000000000002 W.
                amps.map(|amps| Value::Number(to_a_millionth(amps * rated_v)))
            } else {
                numbers(text, least, most, own.sign())?.map(Value::Number)
            }
        }
        Form::Count { least, most } => match numbers(text, f64::from(least), f64::from(most), "")? {
            Given::Known(number) if number == f64::from(number as u32) => Given::Known(Value::Number(number)),
            _ => return Err(format!("“{text}” is not a whole number")),
        },
        Form::Word(words) => {
            Given::Known(Value::Word(words.iter().copied().find(|word| *word == text).ok_or_else(none)?))
        }
        Form::Flag => match text {
            "yes" => Given::Known(Value::Flag(true)),
            "no" => Given::Known(Value::Flag(false)),
            _ => return Err(none()),
        },
        Form::Part => Given::Known(Value::Part(PartId::new(text).ok_or_else(none)?)),
        Form::Seat => {
            let seat = text.split_once(' ').and_then(|(id, way)| Some((PartId::new(id)?, way.parse().ok()?)));
            let (id, way) = seat.ok_or_else(none)?;
            Given::Known(Value::Seat(id, way))
        }
    })
}

/// Rounds to a millionth.
fn to_a_millionth(number: f64) -> f64 {
    const MILLION: f64 = 1e6;
    (number * MILLION + 0.5).floor() / MILLION
}

/// The voltage at which the power `name` of a load holds.
fn rated_volts(document: &Document, part: &Part, name: &str) -> f64 {
    let nominal = document.settings.nominal_v;
    let beside = match name.rsplit_once('.') {
        Some((group, _)) => format!("{group}.at_v"),
        None => "at_v".to_owned(),
    };
    match part.values.get(&beside) {
        Given::Known(Value::Number(volts)) if volts > 0.0 => volts,
        _ => match part.kind.value(&beside).and_then(|spec| spec.assumed_at(nominal)) {
            Some(Value::Number(volts)) if volts > 0.0 => volts,
            _ => nominal,
        },
    }
}

#[cfg(test)]
mod tests {
    use engine::notation;

    use super::super::Control;
    use super::*;

    fn document(text: &str) -> Document {
        Document { network: notation::network(text).unwrap(), ..Document::default() }
    }

    /// What becomes of the first part of `text` when `typed` is entered.
    fn entered(text: &str, name: &str, typed: &str, unit: &str) -> Result<Given<Value>, String> {
        let document = document(text);
        let part = &document.network.parts[0];
        changed_part(&document, part, name, typed, unit).map(|part| part.values.get(name))
    }

    #[test]
    fn every_value_reads_back_as_it_is_shown() {
        let document = document(
            "fuse F1 rating_a=10 seat=A1:2
            relay K1 contact=change-over coil_ohm=90
            battery G1 to_chassis=false capacity_ah=70
            led-lamp E1 watts=20
            fuse-box A1 ways=4
            splice W1 ways=5",
        );
        for part in &document.network.parts {
            for field in part_fields(&document, part) {
                let unit = match &field.control {
                    Control::Number(units) => units[0],
                    _ => "",
                };
                let same = changed_part(&document, part, field.name, &field.text, unit);
                assert_eq!(same.as_ref(), Ok(part), "{} of {}", field.name, part.id);
            }
        }
    }

    #[test]
    fn where_a_part_sits_is_chosen_among_places_where_parts_can_sit() {
        let mut document = document("lamp E1");
        let asked = |document: &Document| {
            let fields = part_fields(document, &document.network.parts[0]);
            fields.into_iter().find(|field| field.name == PLACE)
        };
        assert_eq!(asked(&document), None, "without a plan there are no places");
        document.plan = std::sync::Arc::new(engine::document::plan::start(engine::document::Shape::Truck));
        let Some(Field { control: Control::Choice(choices), text, .. }) = asked(&document) else {
            panic!("a place is chosen")
        };
        assert_eq!((choices[0].1.as_str(), text.as_str()), ("nowhere yet", ""));
        let passing = document.plan.places.iter().filter(|place| place.passing).count();
        assert_eq!(choices.len(), 1 + document.plan.places.len() - passing);
        let part = &document.network.parts[0];
        let put = changed_part(&document, part, PLACE, &choices[1].0, "").unwrap();
        assert_eq!(put.place.as_ref().map(|place| place.as_str()), Some(choices[1].0.as_str()));
        assert_eq!(changed_part(&document, &put, PLACE, "", "").as_ref(), Ok(part));
    }

    #[test]
    fn a_load_may_be_given_in_amperes() {
        assert_eq!(entered("lamp E1", "watts", "0,1", "A"), Ok(Given::Known(Value::Number(1.2))));
        assert_eq!(entered("lamp E1 at_v=24", "watts", "2", "A"), Ok(Given::Known(Value::Number(48.0))));
        // The unit that was typed counts, not the one beside the field.
        assert_eq!(entered("lamp E1", "watts", "4.5 A", "W"), Ok(Given::Known(Value::Number(54.0))));
        assert_eq!(entered("lamp E1", "watts", "55 W", "A"), Ok(Given::Known(Value::Number(55.0))));
    }

    #[test]
    fn the_first_choice_says_what_is_assumed() {
        let document = document("fuse F1");
        let fields = part_fields(&document, &document.network.parts[0]);
        let first = |name: &str| {
            let field = fields.iter().find(|field| field.name == name).unwrap();
            let Control::Choice(choices) = &field.control else { panic!("{name} is chosen") };
            choices[0].clone()
        };
        assert_eq!(first("family"), (String::new(), "blade-C assumed".to_owned()));
        assert_eq!(first("seat"), (String::new(), "in no box".to_owned()));
    }

    #[test]
    fn an_empty_field_means_not_known() {
        assert_eq!(entered("lamp E1 watts=55", "watts", " ", "W"), Ok(Given::NotKnown));
    }

    #[test]
    fn what_cannot_be_is_refused_with_the_limits() {
        assert!(entered("fuse F1", "rating_a", "-3", "A").is_err_and(|why| why.contains("out of range")));
        assert!(entered("splice W1", "ways", "2.5", "").is_err());
        let refused = entered("relay K1", "contact", "sometimes", "");
        assert_eq!(refused, Err("“sometimes” is none of the choices".to_owned()));
        assert!(entered("relay K1", "flux", "1", "").is_err());
        assert!(
            entered("relay K1", "coil_ohm", "-1", "Ω").is_err_and(|why| why.ends_with("0.1 to 100000 Ω"))
        );
    }

    #[test]
    fn only_values_that_count_are_asked_for() {
        let asked = |text: &str| -> Vec<&'static str> {
            let document = document(text);
            part_fields(&document, &document.network.parts[0]).iter().map(|field| field.name).collect()
        };
        assert!(!asked("donor E9 switching=positive").contains(&"common_feed"));
        assert!(asked("donor E9 switching=earth").contains(&"common_feed"));
    }
}
