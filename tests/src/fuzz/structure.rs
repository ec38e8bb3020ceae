//! Changes of a job that is still JSON afterwards, or nearly.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::chance::Chance;

/// Around what is to stand in the text as it is, which no JSON value can say.
const BARE: (char, char) = ('\u{e000}', '\u{e001}');

/// After a key that is to stand in the text a second time.
const AGAIN: char = '\u{e002}';

/// Numbers at the ends of what the types of a reader hold, and beyond.
const NUMBERS: &[&str] = &[
    "-0",
    "-0.0",
    "-1",
    "0",
    "1e999",
    "-1e999",
    "1e308",
    "5e-324",
    "1e-400",
    "0.1",
    "255",
    "256",
    "65536",
    "2147483648",
    "4294967296",
    "9007199254740993",
    "9223372036854775808",
    "18446744073709551616",
    "1.5",
];

/// Texts that look like something, or upset whoever shows them.
const TEXTS: &[&str] = &[
    "",
    " ",
    "p1",
    "p1.1",
    "p0",
    "w1",
    "p18446744073709551616",
    "p01",
    "p1.",
    ".1",
    "p1.1.1",
    "unknown",
    "\u{202e}abc",
    "a\u{0}b",
    "\u{1b}[31m",
    "\u{feff}",
    "<script>",
    "]]>",
    "&amp;",
    "e\u{301}",
    "=1+1",
    "4294967296",
    "at rest",
    "\u{200b}",
];

/// The text of the value after one to three changes.
pub(super) fn changed(value: &Value, chance: &mut Chance) -> String {
    let mut value = value.clone();
    for _ in 0..1 + chance.below(3) {
        let donor = nth(&mut value, chance).clone();
        change(nth(&mut value, chance), donor, chance);
    }
    let text = value.to_string();
    text.replace(&format!("\"{}", BARE.0), "").replace(&format!("{}\"", BARE.1), "").replace(AGAIN, "")
}

/// The text of the value after one to three of its numbers, texts and answers were exchanged for what stands in `pool`
/// under the same key: mostly still a job, but one that nobody drew.
pub(super) fn exchanged(value: &Value, pool: &Pool, chance: &mut Chance) -> String {
    let mut value = value.clone();
    for _ in 0..1 + chance.below(3) {
        let mut key = String::new();
        let leaf = leaf(&mut value, &mut key, chance);
        if let Some(others) = pool.get(&key) {
            *leaf = chance.one_of(others);
        }
    }
    value.to_string()
}

/// Whatever stands in jobs, by its key.
pub(super) type Pool = BTreeMap<String, Vec<Value>>;

/// Adds what stands within `value`, which itself stands under `key`.
pub(super) fn gather(value: &Value, key: &str, pool: &mut Pool) {
    match value {
        Value::Object(map) => map.iter().for_each(|(key, inner)| gather(inner, key, pool)),
        Value::Array(list) => list.iter().for_each(|inner| gather(inner, key, pool)),
        leaf => pool.entry(key.to_owned()).or_default().push(leaf.clone()),
    }
}

/// One of the values within that have none within themselves, with the key nearest above it.
fn leaf<'v>(value: &'v mut Value, key: &mut String, chance: &mut Chance) -> &'v mut Value {
    let at = match n_inner(value) {
        0 => return value,
        n_inner => chance.below(n_inner),
    };
    if let Value::Object(map) = &*value {
        key.clone_from(map.keys().nth(at).expect("below the number of keys"));
    }
    leaf(inner(value, at), key, chance)
}

/// Changes one value; `donor` stands elsewhere in the same job, so that ids come twice and references lead astray.
fn change(value: &mut Value, donor: Value, chance: &mut Chance) {
    match (chance.below(6), &mut *value) {
        (0 | 1, Value::Object(map)) if !map.is_empty() => {
            let keys: Vec<String> = map.keys().cloned().collect();
            let key = chance.one_of(&keys);
            let inner = map[&key].clone();
            match chance.below(4) {
                0 => drop(map.shift_remove(&key)),
                1 => drop(map.insert(format!("{key}{AGAIN}"), inner)),
                2 => drop(map.insert(chance.one_of(TEXTS).to_owned(), inner)),
                _ => drop(map.insert(key, donor)),
            }
        }
        (0 | 1, Value::Array(list)) if !list.is_empty() => {
            let at = chance.below(list.len());
            match chance.below(4) {
                0 => drop(list.remove(at)),
                1 => list.insert(at, list[at].clone()),
                2 => list.swap(at, 0),
                _ => list.push(donor),
            }
        }
        (0 | 1, Value::Number(_)) | (2, _) => {
            *value = Value::String(format!("{}{}{}", BARE.0, chance.one_of(NUMBERS), BARE.1));
        }
        (0 | 1, Value::String(_)) | (3, _) => *value = Value::String(text(chance)),
        (4, _) => *value = chance.one_of(&[json!(null), json!(true), json!([]), json!({}), json!([[]])]),
        _ => *value = donor,
    }
}

fn text(chance: &mut Chance) -> String {
    let text = chance.one_of(TEXTS);
    if chance.once_in(8) { text.repeat(1 + chance.below(5000)) } else { text.to_owned() }
}

/// One of the values within, the whole among them.
fn nth<'v>(value: &'v mut Value, chance: &mut Chance) -> &'v mut Value {
    let n_inner = n_inner(value);
    if n_inner == 0 || chance.once_in(6) {
        return value;
    }
    nth(inner(value, chance.below(n_inner)), chance)
}

fn n_inner(value: &Value) -> usize {
    match value {
        Value::Object(map) => map.len(),
        Value::Array(list) => list.len(),
        _ => 0,
    }
}

fn inner(value: &mut Value, at: usize) -> &mut Value {
    let inner = match value {
        Value::Object(map) => map.values_mut().nth(at),
        Value::Array(list) => list.get_mut(at),
        _ => None,
    };
    inner.expect("below the number of values within")
}
