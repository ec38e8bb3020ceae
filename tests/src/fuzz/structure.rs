//! Changes of a job that is still JSON afterwards, or nearly.

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
    let n_inner = match value {
        Value::Object(map) => map.len(),
        Value::Array(list) => list.len(),
        _ => 0,
    };
    if n_inner == 0 || chance.once_in(6) {
        return value;
    }
    let at = chance.below(n_inner);
    let inner = match value {
        Value::Object(map) => map.values_mut().nth(at),
        Value::Array(list) => list.get_mut(at),
        _ => None,
    };
    nth(inner.expect("below the number of values within"), chance)
}
