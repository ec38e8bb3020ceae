//! A job on its way to JSON text.
//!
//! Writing goes by this instead of by the JSON value that is read, because it is done after every change while somebody
//! waits, and by a module for which everybody waits: it borrows what it writes and needs no map.

use std::borrow::Cow;
use std::fmt::Write;

/// What is to be written. Keys stay in the order they were put.
pub(super) enum Said<'a> {
    Text(Cow<'a, str>),
    Number(f64),
    Count(u64),
    Flag(bool),
    List(Vec<Said<'a>>),
    Object(Object<'a>),
}

/// Keys with what is said under each.
#[derive(Default)]
pub(super) struct Object<'a>(pub(super) Vec<(Cow<'a, str>, Said<'a>)>);

impl<'a> Object<'a> {
    /// What is said under a key.
    pub(super) fn get(&self, key: &str) -> Option<&Said<'a>> {
        self.0.iter().find(|(own, _)| own == key).map(|(_, said)| said)
    }

    /// The text under a key; empty when there is none.
    pub(super) fn text(&self, key: &str) -> &str {
        match self.get(key) {
            Some(Said::Text(text)) => text,
            _ => "",
        }
    }

    /// What is said under a name, one object deeper for each dot in it.
    pub(super) fn at(&self, name: &str) -> Option<&Said<'a>> {
        match name.split_once('.') {
            None => self.get(name),
            Some((group, rest)) => match self.get(group)? {
                Said::Object(inner) => inner.at(rest),
                _ => None,
            },
        }
    }

    /// One key alone.
    pub(super) fn of(key: &'a str, value: Said<'a>) -> Said<'a> {
        let mut object = Object::default();
        object.put(key, value);
        Said::Object(object)
    }

    pub(super) fn put(&mut self, key: impl Into<Cow<'a, str>>, value: Said<'a>) {
        self.0.push((key.into(), value));
    }

    pub(super) fn put_text(&mut self, key: &'a str, text: &'a str) {
        if !text.is_empty() {
            self.put(key, Said::from(text));
        }
    }

    pub(super) fn put_some(&mut self, key: &'a str, value: Option<Said<'a>>) {
        if let Some(value) = value {
            self.put(key, value);
        }
    }

    pub(super) fn put_unless_empty(&mut self, key: &'a str, object: Object<'a>) {
        if !object.0.is_empty() {
            self.put(key, Said::Object(object));
        }
    }

    /// Puts a value under its name, one object deeper for each dot in it.
    pub(super) fn put_grouped(&mut self, name: &'a str, value: Said<'a>) {
        let Some((group, rest)) = name.split_once('.') else { return self.put(name, value) };
        let there = self.0.iter_mut().find_map(|(key, said)| match said {
            Said::Object(inner) if key == group => Some(inner),
            _ => None,
        });
        match there {
            Some(inner) => inner.put_grouped(rest, value),
            None => {
                let mut inner = Object::default();
                inner.put_grouped(rest, value);
                self.put(group, Said::Object(inner));
            }
        }
    }
}

impl<'a> From<&'a str> for Said<'a> {
    fn from(text: &'a str) -> Said<'a> {
        Said::Text(Cow::Borrowed(text))
    }
}

impl From<String> for Said<'_> {
    fn from(text: String) -> Self {
        Said::Text(Cow::Owned(text))
    }
}

impl Said<'_> {
    /// As text with two spaces for each level, one entry a line.
    pub(super) fn on_lines(&self) -> String {
        let mut text = String::new();
        self.write(&mut text, Some(0));
        text
    }

    /// As text on one line.
    pub(super) fn on_one_line(&self) -> String {
        let mut text = String::new();
        self.write(&mut text, None);
        text
    }

    fn write(&self, to: &mut String, level: Option<usize>) {
        match self {
            Said::Text(text) => write_text(text, to),
            Said::Number(number) => write_number(*number, to),
            Said::Count(count) => put(to, count),
            Said::Flag(flag) => put(to, flag),
            Said::List(list) => {
                let brackets = ['[', ']'];
                write_entries(list, brackets, to, level, |entry, to, level| entry.write(to, level));
            }
            Said::Object(Object(entries)) => {
                let brackets = ['{', '}'];
                write_entries(entries, brackets, to, level, |(key, value), to, level| {
                    write_text(key, to);
                    to.push_str(if level.is_some() { ": " } else { ":" });
                    value.write(to, level);
                });
            }
        }
    }
}

fn put(to: &mut String, value: &dyn std::fmt::Display) {
    write!(to, "{value}").expect("writing to a string does not fail");
}

fn write_entries<T>(
    entries: &[T],
    [open, close]: [char; 2],
    to: &mut String,
    level: Option<usize>,
    write: fn(&T, &mut String, Option<usize>),
) {
    let inner = level.map(|level| level + 1);
    to.push(open);
    for (index, entry) in entries.iter().enumerate() {
        if index > 0 {
            to.push(',');
        }
        begin_line(to, inner);
        write(entry, to, inner);
    }
    if !entries.is_empty() {
        begin_line(to, level);
    }
    to.push(close);
}

fn begin_line(to: &mut String, level: Option<usize>) {
    if let Some(level) = level {
        to.push('\n');
        for _ in 0..level {
            to.push_str("  ");
        }
    }
}

/// A number as a person writes it: 90 rather than 90.0, and never with an exponent. It reads back as the same number.
fn write_number(number: f64, to: &mut String) {
    // JSON has no sign for nought, and no words for what is no number; a document has neither.
    put(to, &if number == 0.0 { 0.0 } else { number });
}

/// A text in quotes, with everything escaped that JSON demands, that is invisible, that turns the direction of writing,
/// or that is not allowed in XML.
fn write_text(text: &str, to: &mut String) {
    to.push('"');
    // Nearly every text is this plain, and is copied as a whole.
    if text.bytes().all(|b| matches!(b, b' '..=b'~') && b != b'"' && b != b'\\') {
        to.push_str(text);
        to.push('"');
        return;
    }
    for c in text.chars() {
        match c {
            '"' => to.push_str("\\\""),
            '\\' => to.push_str("\\\\"),
            '\n' => to.push_str("\\n"),
            '\r' => to.push_str("\\r"),
            '\t' => to.push_str("\\t"),
            '\u{8}' => to.push_str("\\b"),
            '\u{c}' => to.push_str("\\f"),
            c if c < ' ' || is_invisible(c) => {
                put(to, &format_args!("\\u{:04x}", u32::from(c)));
            }
            c => to.push(c),
        }
    }
    to.push('"');
}

/// Whether a character is allowed in JSON but invisible, turns the direction of writing, or is not allowed in XML.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{7f}'..='\u{9f}' | '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}')
}

/// JSON text with every character escaped that is allowed in JSON but invisible, turns the direction of writing, or is
/// not allowed in XML. All of it can only occur inside of texts, where the escape means the same.
pub fn escape_invisible(text: &str) -> String {
    let mut hidden = String::with_capacity(text.len());
    for c in text.chars() {
        if is_invisible(c) {
            put(&mut hidden, &format_args!("\\u{:04x}", u32::from(c)));
        } else {
            hidden.push(c);
        }
    }
    hidden
}

#[cfg(test)]
mod tests {
    use serde_json::Value as Json;

    use super::*;

    #[test]
    fn it_reads_as_what_was_said_however_it_is_laid_out() {
        let mut inner = Object::default();
        inner.put_grouped("coil.ohm", Said::Number(90.0));
        inner.put_grouped("coil.on_above.v", Said::Number(0.000_000_1));
        inner.put_grouped("coil.on_above.share", Said::Number(-1.0e21));
        inner.put("none", Said::List(Vec::new()));
        inner.put("nothing", Said::Object(Object::default()));
        let texts = ["", "\"\\/\u{8}\u{c}\n\r\t", "\u{0}\u{1f}\u{7f}", "Ω \u{202e}\u{feff}\u{ffff} 𝄞"];
        let list =
            texts.map(Said::from).into_iter().chain([Said::Flag(true), Said::Count(u64::MAX)]).collect();
        let mut all = Object::default();
        all.put("list", Said::List(list));
        all.put("inner", Said::Object(inner));
        let said = Said::Object(all);
        let meant = serde_json::json!({
            "list": [texts[0], texts[1], texts[2], texts[3], true, u64::MAX],
            "inner": {
                "coil": { "ohm": 90, "on_above": { "v": 1e-7, "share": -1_000_000_000_000_000_000_000.0 } },
                "none": [],
                "nothing": {},
            },
        });
        for text in [said.on_one_line(), said.on_lines()] {
            assert_eq!(serde_json::from_str::<Json>(&text).unwrap(), meant, "{text}");
            assert!(!text.contains(['\u{7f}', '\u{202e}', '\u{feff}', '\u{ffff}']), "{text}");
        }
        assert_eq!(said.on_one_line().lines().count(), 1);
    }

    #[test]
    fn it_is_laid_out_as_people_indent() {
        let said = Object::of("a", Said::List(vec![Said::Number(2.5), Object::of("b", Said::from("c"))]));
        let lines = "{\n  \"a\": [\n    2.5,\n    {\n      \"b\": \"c\"\n    }\n  ]\n}";
        assert_eq!(said.on_lines(), lines);
        assert_eq!(said.on_one_line(), r#"{"a":[2.5,{"b":"c"}]}"#);
    }

    #[test]
    fn numbers_read_back_as_the_same_number() {
        for number in
            [0.0, 90.0, 0.1, 1.0 / 3.0, 5e-324, 1.797e308, 2.2250738585072014e-308, 9_007_199_254_740_993.0]
        {
            let text = Said::Number(number).on_one_line();
            assert_eq!(text.parse::<f64>().unwrap().to_bits(), number.to_bits(), "{text}");
            assert_eq!(serde_json::from_str::<f64>(&text).unwrap().to_bits(), number.to_bits(), "{text}");
        }
        assert_eq!(Said::Number(-0.0).on_one_line(), "0");
        assert_eq!(Said::Number(90.0).on_one_line(), "90");
    }
}
