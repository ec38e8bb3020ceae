//! What the drawer shows of a part, a wire or the job as fields of a form, and what a text typed
//! into one of them means.
//!
//! A field is plain data: the page draws every form the same way and knows nothing of parts and
//! wires. A text that is refused says why and changes nothing; an empty one means *not known*.

mod card;
mod length;
mod part;
mod several;
mod wire;

pub use card::{card_fields, changed_card, changed_settings, settings_fields};
pub use length::{length, metres};
pub use part::{changed_part, part_fields};
pub use several::{DIFFERS, changed_wires, shared_wire_fields};
pub use wire::{changed_wire, same_as, wire_fields};

use engine::given::Given;
use engine::quantity::decimal;

/// How a field is filled in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Control {
    /// Free text.
    Text,
    /// A number in the first of these units, or converted from one of the others.
    Number(Vec<&'static str>),
    /// One of these: what is stored, and what is shown.
    Choice(Vec<(String, String)>),
}

/// One field of a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Its key, unique within the form.
    pub name: &'static str,
    /// What it asks for.
    pub caption: String,
    /// How it is filled in.
    pub control: Control,
    /// What it holds now; empty when nothing was said.
    pub text: String,
    /// What is used while nothing is said, for the empty field.
    pub assumed: String,
    /// Where what is assumed is from, when that is to be told.
    pub note: String,
    /// Whether the things that a form is about together differ here; then the field is empty.
    pub differs: bool,
}

impl Field {
    fn text(name: &'static str, caption: &str, text: &str) -> Field {
        Field {
            name,
            caption: caption.to_owned(),
            control: Control::Text,
            text: text.to_owned(),
            assumed: String::new(),
            note: String::new(),
            differs: false,
        }
    }

    fn choice(name: &'static str, caption: &str, choices: Vec<(String, String)>, text: String) -> Field {
        Field { control: Control::Choice(choices), ..Field::text(name, caption, &text) }
    }

    fn number(name: &'static str, caption: &str, units: Vec<&'static str>, text: String) -> Field {
        Field { control: Control::Number(units), ..Field::text(name, caption, &text) }
    }

    fn assuming(self, assumed: String) -> Field {
        Field { assumed, ..self }
    }
}

/// Choices whose stored and shown words are the same.
fn plain_choices(words: impl IntoIterator<Item = &'static str>) -> Vec<(String, String)> {
    words.into_iter().map(|word| (word.to_owned(), word.to_owned())).collect()
}

/// The same with "not known" in front.
fn or_unknown(mut choices: Vec<(String, String)>) -> Vec<(String, String)> {
    choices.insert(0, (String::new(), "not known".to_owned()));
    choices
}

/// A number as people type it; a comma counts as the decimal point.
fn number(text: &str) -> Result<f64, String> {
    let plain = text.trim().replace(',', ".");
    decimal(&plain).ok_or_else(|| format!("“{}” is not a number", text.trim()))
}

/// The words that stand between the two ends of a range.
const TO: &str = " to ";

/// A text without the unit at its end, if it ends with this one: people write `70 Ah` and `7.5a`.
fn without_unit<'a>(text: &'a str, unit: &str) -> Option<&'a str> {
    let text = text.trim();
    let end = text.len().checked_sub(unit.len())?;
    let is_unit = !unit.is_empty() && text.get(end..)?.eq_ignore_ascii_case(unit);
    is_unit.then(|| text[..end].trim_end())
}

/// A number or a range of numbers (`2 to 3`) between `least` and `most`, with or without its unit; nothing when empty.
fn numbers(text: &str, least: f64, most: f64, unit: &str) -> Result<Given<f64>, String> {
    let within = |text: &str| {
        let number = number(without_unit(text, unit).unwrap_or(text))?;
        if (least..=most).contains(&number) {
            Ok(number)
        } else {
            Err(format!("{number} {unit} is out of range; it can be {least} to {most} {unit}"))
        }
    };
    let text = text.trim();
    if text.is_empty() {
        return Ok(Given::NotKnown);
    }
    match text.split_once(TO) {
        None => within(text).map(Given::Known),
        Some((low, high)) => {
            let (low, high) = (within(low)?, within(high)?);
            if low > high {
                return Err(format!("the range runs from {low} down to {high}; write the smaller first"));
            }
            Ok(if low == high { Given::Known(low) } else { Given::Between(low, high) })
        }
    }
}

/// A given number as it is typed.
fn number_text(given: Given<f64>) -> String {
    match given {
        Given::Known(number) => number.to_string(),
        Given::Between(low, high) => format!("{low}{TO}{high}"),
        Given::NotKnown => String::new(),
    }
}

/// Longest free text accepted in one field, in characters.
const LONGEST_TEXT: usize = 200;

/// Free text without the spaces around it.
fn free_text(text: &str) -> Result<String, String> {
    let text = text.trim();
    match text.chars().count() {
        n if n <= LONGEST_TEXT => Ok(text.to_owned()),
        n => Err(format!("the text has {n} characters; at most {LONGEST_TEXT} are kept")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_type_them() {
        assert_eq!(numbers(" 2,5 ", 0.0, 10.0, "A"), Ok(Given::Known(2.5)));
        assert_eq!(numbers("2 to 3", 0.0, 10.0, "A"), Ok(Given::Between(2.0, 3.0)));
        assert_eq!(numbers("", 0.0, 10.0, "A"), Ok(Given::NotKnown));
        assert_eq!(numbers("7.5a", 0.0, 10.0, "A"), Ok(Given::Known(7.5)));
        assert_eq!(numbers("2 Ω to 3 Ω", 0.0, 10.0, "Ω"), Ok(Given::Between(2.0, 3.0)));
        assert!(numbers("7 V", 0.0, 10.0, "A").is_err() && numbers("A", 0.0, 10.0, "A").is_err());
    }

    #[test]
    fn what_is_no_number_is_refused_with_a_reason() {
        for text in ["x", "1 2", "nan", "inf", "1e999", "3 to 2", "11", "-1", "2 to"] {
            assert!(numbers(text, 0.0, 10.0, "A").is_err(), "{text}");
        }
        assert_eq!(numbers(" x ", 0.0, 10.0, "A"), Err("“x” is not a number".to_owned()));
        assert!(numbers("11", 0.0, 10.0, "A").is_err_and(|why| why.contains("0 to 10 A")));
    }

    #[test]
    fn a_range_reads_back_as_it_is_shown() {
        for given in [Given::Known(0.22), Given::Between(1.0, 2.5), Given::NotKnown] {
            assert_eq!(numbers(&number_text(given), 0.0, 10.0, ""), Ok(given));
        }
    }
}
