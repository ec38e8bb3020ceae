//! Parts: values as the kind table describes them, and poses.

use serde_json::Value as Json;

use super::place::{Place, nearest, quoted};
use super::walk::{Fields, each, expected, flag, given, keep, list_of, number, text, whole, word};
use super::{Problem, plan, wire};
use crate::document::placement::FARTHEST;
use crate::document::{Part, Pose, Status};
use crate::given::Given;
use crate::ids::{LONGEST_ID, PartId};
use crate::kind::{self, Assumed, Form, Kind, Value, ValueSpec, Values};

/// The keys of a part.
pub(super) const KEYS: &[&str] = &["id", "kind", "label", "status", "surroundings", "place", "values", "at"];
/// The keys of a pose.
pub(super) const POSE_KEYS: &[&str] = &["view", "x", "y", "turn", "mirrored", "pinned"];
/// The word that says of a value that it is not known, like leaving it out.
pub(super) const NOT_KNOWN: &str = "not known";
/// Most fuse-box ways a seat may name; the box itself may have fewer.
pub(super) const MOST_WAYS: u32 = 1_000;

/// Most symbols of one part: each of its views, and those that are drawn again where their wires are.
pub(super) const MOST_SYMBOLS: usize = 1_000;

/// Reads a part and its poses; what is wrong is added to `problems`.
pub(super) fn read(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Option<(Part, Vec<Pose>)> {
    // The kind is read first, because it knows which keys belong in `values`.
    let kind = value.get("kind").and_then(|name| kind::by_name(name.as_str()?));
    let misplaced = |key: &str| {
        let belongs = kind.is_some_and(|kind| keys_under(kind, "").contains(&key));
        belongs.then(|| {
            format!("a value of the part; put it in `values`: {{ \"values\": {{ \"{key}\": ... }} }}")
        })
    };
    let before = problems.len();
    let fields = Fields::telling(value, place, KEYS, problems, misplaced)?;
    let id = keep(fields.required("id", part_id), problems);
    let kind = keep(fields.required("kind", kind_name), problems);
    let label = keep(fields.text("label"), problems);
    let status = keep(fields.optional("status", word(&Status::WORDS)), problems);
    let surroundings = keep(fields.optional("surroundings", wire::surroundings), problems);
    let sits_at = keep(fields.optional("place", plan::place_id), problems);
    let mut values = Values::default();
    if let (Some(kind), Some(said)) = (kind, fields.get("values")) {
        group(said, &place.key("values"), kind, "", &mut values, problems);
    }
    let part = Part {
        id: id?,
        kind: kind?,
        label: label?,
        status: status?.unwrap_or_default(),
        surroundings: surroundings?,
        place: sits_at?,
        values,
    };
    let poses = match fields.get("at") {
        Some(at) if at.as_array().is_some_and(|all| all.len() > MOST_SYMBOLS) => {
            let why = format!("a part has at most {MOST_SYMBOLS} symbols");
            problems.push(place.key("at").problem(why));
            Vec::new()
        }
        Some(at) => each(at, &place.key("at"), problems, |entry, place, problems| {
            keep(pose(entry, place, &part), problems)
        }),
        None => Vec::new(),
    };
    (problems.len() == before).then_some((part, poses))
}

/// Reads the id of a part.
pub(super) fn part_id(value: &Json, place: &Place) -> Result<PartId, Problem> {
    let said = text(value, place)?;
    PartId::new(&said).ok_or_else(|| place.problem(bad_id(&said)))
}

/// What to say of a text that is no id.
pub(super) fn bad_id(said: &str) -> String {
    format!("{} is no id: 1 to {LONGEST_ID} letters a to z, digits, `_` or `-`", quoted(said))
}

pub(super) fn kind_name(value: &Json, place: &Place) -> Result<&'static Kind, Problem> {
    let said = text(value, place)?;
    kind::by_name(&said).ok_or_else(|| {
        let names = || kind::ALL.iter().map(|kind| kind.name);
        let problem = place.problem(format!("there is no part kind {}", quoted(&said)));
        problem.with_list(&match nearest(&said, names()) {
            Some(meant) => format!("; did you mean `{meant}`?"),
            None => format!("; known: {}", list_of(names())),
        })
    })
}

/// The keys that stand directly under `prefix`: values, and groups of values.
pub(super) fn keys_under(kind: &Kind, prefix: &str) -> Vec<&'static str> {
    let mut keys: Vec<&'static str> = Vec::new();
    for spec in kind.values {
        let Some(rest) = spec.name.strip_prefix(prefix) else { continue };
        let key = rest.split_once('.').map_or(rest, |(group, _)| group);
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys
}

/// Reads the values whose names start with `prefix` from the object of their group.
pub(super) fn group(
    value: &Json,
    place: &Place,
    kind: &'static Kind,
    prefix: &str,
    values: &mut Values,
    problems: &mut Vec<Problem>,
) {
    let keys = keys_under(kind, prefix);
    let Some(fields) = Fields::telling(value, place, &keys, problems, |_| None) else { return };
    for key in keys {
        let Some(said) = fields.get(key) else { continue };
        let (name, place) = (format!("{prefix}{key}"), place.key(key));
        match kind.value(&name) {
            Some(spec) => {
                if let Some(value) = keep(one(said, &place, spec), problems) {
                    values.set(spec.name, value);
                }
            }
            None => group(said, &place, kind, &format!("{name}."), values, problems),
        }
    }
}

/// Reads one value of a part, or one setting.
pub(super) fn one(value: &Json, place: &Place, spec: &'static ValueSpec) -> Result<Given<Value>, Problem> {
    match spec.form {
        Form::Number { unit, least, most } => {
            let said = given(value, place, |number| *number, number(least, most, unit.symbol()))?;
            Ok(said.map(Value::Number))
        }
        Form::Count { least, most } => {
            let count = whole(i64::from(least), i64::from(most))(value, place)?;
            // A count fits 32 bits by the limits of its form, so it is exact as a number.
            Ok(Given::Known(Value::Number(count as f64)))
        }
        Form::Word(words) => {
            let mut known: Vec<(Given<Value>, &str)> =
                words.iter().map(|word| (Given::Known(Value::Word(word)), *word)).collect();
            if accepts_not_known(spec) {
                known.push((Given::NotKnown, NOT_KNOWN));
            }
            word(&known)(value, place)
        }
        Form::Flag => flag(value, place).map(|flag| Given::Known(Value::Flag(flag))),
        Form::Part => part_id(value, place).map(|id| Given::Known(Value::Part(id))),
        Form::Seat => {
            let fields = Fields::of(value, place, &["box", "way"])?;
            let id = fields.required("box", part_id)?;
            let way = fields.required("way", whole(1, i64::from(MOST_WAYS)))?;
            let way = u32::try_from(way).map_err(|_| place.problem("no such way"))?;
            Ok(Given::Known(Value::Seat(id, way)))
        }
    }
}

/// Whether a word value may be said to be not known; where a word is assumed, saying so would
/// only hide the assumption.
pub(super) fn accepts_not_known(spec: &ValueSpec) -> bool {
    matches!(spec.form, Form::Word(_)) && spec.assumed == Assumed::Nothing
}

fn pose(value: &Json, place: &Place, part: &Part) -> Result<Pose, Problem> {
    if !value.is_object() {
        return Err(expected("an object", value, place));
    }
    let fields = Fields::of(value, place, POSE_KEYS)?;
    let views: Vec<&str> = (part.kind.views)(&part.values).iter().map(|view| view.name).collect();
    let view = match fields.optional("view", text)? {
        Some(said) if views.contains(&said.as_str()) => said,
        Some(said) => {
            let message = format!(
                "a {} has no symbol {}; it has {}",
                part.kind.noun,
                quoted(&said),
                list_of(views.iter().copied())
            );
            return Err(place.key("view").problem(message));
        }
        None => match views[..] {
            [only] => only.to_owned(),
            _ => {
                let message = format!("missing; a {} has {}", part.kind.noun, list_of(views.iter().copied()));
                return Err(place.key("view").problem(message));
            }
        },
    };
    let steps = whole(-i64::from(FARTHEST), FARTHEST.into());
    // All three limits lie far inside the target types.
    Ok(Pose {
        part: part.id.clone(),
        view,
        x: fields.required("x", &steps)? as i32,
        y: fields.required("y", &steps)? as i32,
        turn: fields.optional("turn", whole(0, 3))?.unwrap_or(0) as u8,
        mirrored: fields.optional("mirrored", flag)?.unwrap_or(false),
        pinned: fields.optional("pinned", flag)?.unwrap_or(false),
    })
}
