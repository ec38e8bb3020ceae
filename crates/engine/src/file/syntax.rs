//! From JSON text to a JSON value, stricter than JSON itself asks: a key given twice is refused,
//! because whichever of the two was dropped might have been the one that was meant, and nesting
//! has a limit, because a hostile file must not exhaust the stack.

use std::fmt;
use std::ops::Range;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::error::Category;
use serde_json::{Map, Number, Value};

use super::place::quoted;
use super::{Problem, slip};

/// Deepest nesting accepted; a job needs eight levels.
const DEEPEST: usize = 32;

/// Parses `text`, or says at which line and column it stops being JSON.
pub(super) fn parse(text: &str) -> Result<Value, Problem> {
    parse_part(text, 0..text.len())
}

/// Parses these bytes of `file`; lines and columns are told as they are counted in all of it.
pub(super) fn parse_part(file: &str, part: Range<usize>) -> Result<Value, Problem> {
    let start = part.start;
    let text = &file[part];
    if text.trim().is_empty() {
        return Err(Problem::new(String::new(), "the file is empty".to_owned()));
    }
    let mut parser = serde_json::Deserializer::from_str(text);
    let parsed = Level(0).deserialize(&mut parser);
    parsed.and_then(|value| parser.end().map(|()| value)).map_err(|error| {
        // The position is told as the place, so it is taken off the message.
        let told = error.to_string();
        let position = format!(" at line {} column {}", error.line(), error.column());
        let told = told.strip_suffix(&position).unwrap_or(&told);
        let at = offset(text, error.line(), error.column());
        let (at, message) = match error.classify() {
            Category::Eof => {
                (text.len(), "the file ends in the middle; the rest of it is missing".to_owned())
            }
            Category::Syntax => {
                let (at, slip) = slip::told(text, at, told);
                (at, slip.unwrap_or_else(|| told.to_owned()))
            }
            Category::Data | Category::Io => (at, told.to_owned()),
        };
        Problem::new(slip::line_and_column(file, start + at), message)
    })
}

/// The byte at a position as the parser counts it: lines from 1, bytes within the line from 1.
fn offset(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    (start + column.saturating_sub(1)).min(text.len())
}

/// Reads one value that stands this many levels deep.
struct Level(usize);

impl Level {
    fn deeper<E: Error>(&self) -> Result<Level, E> {
        if self.0 == DEEPEST {
            return Err(E::custom(format!("nested more than {DEEPEST} levels deep")));
        }
        Ok(Level(self.0 + 1))
    }
}

impl<'de> DeserializeSeed<'de> for Level {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, parser: D) -> Result<Value, D::Error> {
        parser.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Level {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Bool(flag))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Value, E> {
        Ok(Value::from(number))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Value, E> {
        Ok(Value::from(number))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Value, E> {
        Number::from_f64(number).map(Value::Number).ok_or_else(|| E::custom("number out of range"))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Value, E> {
        Ok(Value::String(text.to_owned()))
    }

    fn visit_string<E: Error>(self, text: String) -> Result<Value, E> {
        Ok(Value::String(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(self.deeper()?)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            if map.contains_key(&key) {
                return Err(A::Error::custom(format!("the key {} is given twice", quoted(&key))));
            }
            let value = entries.next_value_seed(self.deeper()?)?;
            map.insert(key, value);
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(text: &str) -> String {
        parse(text).unwrap_err().to_string()
    }

    #[test]
    fn a_key_given_twice_is_refused_where_it_comes_again() {
        assert_eq!(refusal("{\"a\": 1,\n \"a\": 2}"), "line 2, column 4: the key `a` is given twice");
    }

    #[test]
    fn syntax_errors_name_line_and_column() {
        assert_eq!(
            refusal("{\n  \"a\": 1,\n}"),
            "line 3, column 1: there is a comma too many before this `}`; take it out"
        );
        assert_eq!(refusal("{} x"), "line 1, column 4: the job has ended before this; nothing may follow it");
        assert_eq!(refusal(" \n"), "the file is empty");
    }

    #[test]
    fn numbers_beyond_all_bounds_are_refused() {
        assert_eq!(refusal("[1e999]"), "line 1, column 6: number out of range");
        assert!(refusal("[NaN]").starts_with("line 1, column 2"));
    }

    #[test]
    fn nesting_is_limited_without_using_the_stack_up() {
        assert!(parse(&format!("{}{}", "[".repeat(32), "]".repeat(32))).is_ok());
        for open in ["[", "{\"a\":"] {
            assert!(refusal(&open.repeat(100_000)).contains("nested more than 32 levels deep"));
        }
    }

    #[test]
    fn half_a_surrogate_pair_is_refused() {
        assert!(refusal(r#"["\ud800"]"#).starts_with("line 1"));
    }
}
