//! Steps of the walk over a JSON value: objects with known keys, texts, numbers within limits,
//! lists. Each either returns what was meant or says what is wrong at its place.

use serde_json::{Map, Value};

use super::Problem;
use super::place::{Place, nearest, quoted};
use crate::given::Given;

/// An object all of whose keys are known.
pub(super) struct Fields<'a> {
    map: &'a Map<String, Value>,
    place: &'a Place<'a>,
}

impl<'a> Fields<'a> {
    /// The object `value`, unless it is none or has a key that is not in `known`.
    pub(super) fn of(value: &'a Value, place: &'a Place<'a>, known: &[&str]) -> Result<Fields<'a>, Problem> {
        let fields = Fields { map: object(value, place)?, place };
        match fields.unknown(known).next() {
            Some(key) => Err(place.key(key).problem(unknown_key(key, known))),
            None => Ok(fields),
        }
    }

    /// The object `value`; what `unknown` says of each key that is not in `known` is added to `problems`.
    pub(super) fn telling(
        value: &'a Value,
        place: &'a Place<'a>,
        known: &[&str],
        problems: &mut Vec<Problem>,
        unknown: impl Fn(&str) -> Option<String>,
    ) -> Option<Fields<'a>> {
        let map = object(value, place).map_err(|problem| problems.push(problem)).ok()?;
        let fields = Fields { map, place };
        for key in fields.unknown(known) {
            let message = unknown(key).unwrap_or_else(|| unknown_key(key, known));
            problems.push(place.key(key).problem(message));
        }
        Some(fields)
    }

    fn unknown<'k>(&self, known: &'k [&'k str]) -> impl Iterator<Item = &'a str> + use<'a, 'k> {
        self.map.keys().map(String::as_str).filter(move |key| !known.contains(key))
    }

    /// The value under `key`, as it stands.
    pub(super) fn get(&self, key: &str) -> Option<&'a Value> {
        self.map.get(key)
    }

    /// What `read` makes of the value under `key`, which must be there.
    pub(super) fn required<T>(
        &self,
        key: &str,
        read: impl FnOnce(&Value, &Place) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let place = self.place.key(key);
        match self.map.get(key) {
            Some(value) => read(value, &place),
            None => Err(place.problem("missing")),
        }
    }

    /// What `read` makes of the value under `key`, if there is one.
    pub(super) fn optional<T>(
        &self,
        key: &str,
        read: impl FnOnce(&Value, &Place) -> Result<T, Problem>,
    ) -> Result<Option<T>, Problem> {
        self.map.get(key).map(|value| read(value, &self.place.key(key))).transpose()
    }

    /// The text under `key`; empty when there is none.
    pub(super) fn text(&self, key: &str) -> Result<String, Problem> {
        Ok(self.optional(key, text)?.unwrap_or_default())
    }
}

fn unknown_key(key: &str, known: &[&str]) -> String {
    let hint = match nearest(key, known.iter().copied()) {
        Some(meant) => format!("; did you mean `{meant}`?"),
        None if known.is_empty() => "; none is known here".to_owned(),
        None => format!("; known here: {}", list_of(known.iter().copied())),
    };
    format!("unknown key{hint}")
}

/// The value, or nothing and one more problem.
pub(super) fn keep<T>(read: Result<T, Problem>, problems: &mut Vec<Problem>) -> Option<T> {
    read.map_err(|problem| problems.push(problem)).ok()
}

/// The object `value`, whatever its keys.
pub(super) fn object<'a>(value: &'a Value, place: &Place) -> Result<&'a Map<String, Value>, Problem> {
    value.as_object().ok_or_else(|| expected("an object", value, place))
}

/// The list `value`.
pub(super) fn list<'a>(value: &'a Value, place: &Place) -> Result<&'a [Value], Problem> {
    value.as_array().map(Vec::as_slice).ok_or_else(|| expected("a list", value, place))
}

/// What `read` makes of each entry of the list `value`; what is wrong is added to `problems`.
pub(super) fn each<T>(
    value: &Value,
    place: &Place,
    problems: &mut Vec<Problem>,
    mut read: impl FnMut(&Value, &Place, &mut Vec<Problem>) -> Option<T>,
) -> Vec<T> {
    let entries = keep(list(value, place), problems).unwrap_or_default();
    let mut made = Vec::with_capacity(entries.len());
    for (i, entry) in entries.iter().enumerate() {
        made.extend(read(entry, &place.item(i), problems));
    }
    made
}

/// The text `value`.
pub(super) fn text(value: &Value, place: &Place) -> Result<String, Problem> {
    value.as_str().map(str::to_owned).ok_or_else(|| expected("a text", value, place))
}

/// The yes or no `value`.
pub(super) fn flag(value: &Value, place: &Place) -> Result<bool, Problem> {
    value.as_bool().ok_or_else(|| expected("`true` or `false`", value, place))
}

/// Reads a number from `least` to `most`; `unit` is the symbol printed after the limits.
pub(super) fn number(
    least: f64,
    most: f64,
    unit: &'static str,
) -> impl Fn(&Value, &Place) -> Result<f64, Problem> {
    move |value, place| {
        let number = value.as_f64().ok_or_else(|| expected("a number", value, place))?;
        if !(least..=most).contains(&number) {
            let limits = format!("{least} to {most} {unit}");
            return Err(place.problem(format!("{value} is out of range: {}", limits.trim_end())));
        }
        // Adding nought turns a negative nought into a plain one, which is what gets written.
        Ok(number + 0.0)
    }
}

/// Reads a whole number from `least` to `most`.
pub(super) fn whole(least: i64, most: i64) -> impl Fn(&Value, &Place) -> Result<i64, Problem> {
    move |value, place| {
        // The limits of every whole number in a job are small enough to be exact in binary64.
        let number = number(least as f64, most as f64, "")(value, place)?;
        if number.fract() != 0.0 {
            return Err(place.problem(format!("{value} is not a whole number")));
        }
        Ok(number as i64)
    }
}

/// Reads one of `words` and returns what it stands for.
pub(super) fn word<T: Clone>(words: &[(T, &str)]) -> impl Fn(&Value, &Place) -> Result<T, Problem> {
    move |value, place| {
        let said = value.as_str().ok_or_else(|| {
            expected(&format!("one of {}", list_of(words.iter().map(|(_, w)| *w))), value, place)
        })?;
        match words.iter().find(|(_, word)| *word == said) {
            Some((meant, _)) => Ok(meant.clone()),
            None => Err(place.problem(format!(
                "{} is none of {}",
                quoted(said),
                list_of(words.iter().map(|(_, word)| *word))
            ))),
        }
    }
}

/// Reads one value, or a range `{"between": [lo, hi]}` of two of them in the order of `rank`.
pub(super) fn given<T>(
    value: &Value,
    place: &Place,
    rank: impl Fn(&T) -> f64,
    read: impl Fn(&Value, &Place) -> Result<T, Problem>,
) -> Result<Given<T>, Problem> {
    if !value.is_object() {
        return read(value, place).map(Given::Known);
    }
    let fields = Fields::of(value, place, &["between"])?;
    fields.required("between", |value, place| match list(value, place)? {
        [low, high] => {
            let (low, high) = (read(low, &place.item(0))?, read(high, &place.item(1))?);
            if rank(&low) > rank(&high) {
                return Err(place.problem("the smaller end of a range comes first"));
            }
            Ok(Given::Between(low, high))
        }
        other => Err(place.problem(format!("a range has two ends, not {}", other.len()))),
    })
}

/// The problem that `value` is not what was wanted.
pub(super) fn expected(wanted: &str, value: &Value, place: &Place) -> Problem {
    let found = match value {
        Value::Null => "nothing; leave a key out when its value is not known".to_owned(),
        Value::Bool(flag) => format!("`{flag}`"),
        Value::Number(number) => format!("the number {number}"),
        Value::String(text) => format!("the text {}", quoted(text)),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    };
    let remedy = match value {
        Value::String(text) if wanted == "a number" => number_meant(text),
        _ => None,
    };
    let remedy = remedy.map_or_else(String::new, |number| format!("; write {number}"));
    place.problem(format!("expected {wanted}, found {found}{remedy}"))
}

/// The number, as JSON writes it, that stands in a text by itself, perhaps with a comma for its decimals.
pub(super) fn number_meant(text: &str) -> Option<String> {
    let number = text.trim().replacen(',', ".", 1);
    let is_json = serde_json::from_str::<Value>(&number).is_ok_and(|value| value.is_number());
    is_json.then_some(number)
}

/// Names as a list for a message.
pub(super) fn list_of<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    names.into_iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
