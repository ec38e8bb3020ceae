//! Interlocks as plain sentences: `E1 only with main beam`, `E1 only with S2 on and K1 on or S3 on`.
//!
//! Parts go by label, by id, or, for donors, by their signal; the longest name that fits is meant. Where no state is
//! said the one meant is the first that is not at rest. `and` binds closer than `or`.

use std::fmt;

use crate::document::interlock::{InState, Interlock, Rule, state_impossible, states, workings};
use crate::document::{Network, Part};
use crate::given::Given;
use crate::kind::{Class, Value};

/// Why a sentence is no interlock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SentenceError {
    /// Where it stops making sense, in characters from the start.
    pub at: usize,
    /// What is wrong, or was expected there; lowercase, no full stop.
    pub message: String,
    /// The parts that a name may mean, by id, when it is one of several.
    pub candidates: Vec<String>,
}

impl fmt::Display for SentenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "character {}: {}", self.at + 1, self.message)
    }
}

impl std::error::Error for SentenceError {}

/// The signal of a donor, where it is said.
pub fn signal(part: &Part) -> Option<&'static str> {
    match part.values.said("signal") {
        Some(Given::Known(Value::Word(word))) if part.kind.class == Class::Donor => Some(word),
        _ => None,
    }
}

/// Reads a sentence about the parts of `network`.
///
/// # Errors
///
/// Tells the place, and what was expected there.
pub fn parse(sentence: &str, network: &Network) -> Result<Interlock, SentenceError> {
    let mut reader = Reader { text: sentence, at: 0, network };
    let (part, name) = reader.load()?;
    let rule = reader.rule()?;
    let mut any_of = Vec::new();
    if rule != Rule::AnyTime {
        let mut all = vec![reader.state()?];
        while !reader.is_at_end() {
            if reader.word("and") {
                all.push(reader.state()?);
            } else if reader.word("or") {
                any_of.push(std::mem::replace(&mut all, vec![reader.state()?]));
            } else {
                return Err(reader.wrong("expected `and`, `or` or the end"));
            }
        }
        any_of.push(all);
    }
    if !reader.is_at_end() {
        return Err(reader.wrong("expected the end"));
    }
    Ok(Interlock { load: part.id.clone(), name, rule, any_of, reason: String::new() })
}

/// Reads states joined by `and`: `E1 on and S2 off`.
///
/// # Errors
///
/// Tells the place, and what was expected there.
pub fn parse_states(text: &str, network: &Network) -> Result<Vec<InState>, SentenceError> {
    let mut reader = Reader { text, at: 0, network };
    let mut states = vec![reader.state()?];
    while !reader.is_at_end() {
        if !reader.word("and") {
            return Err(reader.wrong("expected `and` or the end"));
        }
        states.push(reader.state()?);
    }
    Ok(states)
}

/// One state as a sentence has it, parts by their labels: `E1 on`, `S3 in position 2`.
pub fn print_state(one: &InState, network: &Network) -> String {
    let title = network.part(&one.part).map_or(one.part.as_str(), Part::title);
    let name = if one.name.is_empty() { String::new() } else { format!(" {}", one.name) };
    let at = if one.is.starts_with(|c: char| c.is_ascii_digit()) { "in position " } else { "" };
    format!("{title}{name} {at}{}", one.is)
}

struct Reader<'a> {
    text: &'a str,
    /// Byte where what is not yet read begins.
    at: usize,
    network: &'a Network,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip_space(&mut self) {
        self.at += self.rest().len() - self.rest().trim_start().len();
    }

    fn is_at_end(&mut self) -> bool {
        self.skip_space();
        matches!(self.rest(), "" | ".")
    }

    fn wrong(&self, message: impl Into<String>) -> SentenceError {
        let at = self.text[..self.at].chars().count();
        SentenceError { at, message: message.into(), candidates: Vec::new() }
    }

    /// How many bytes of the rest `name` takes, which ends where a word does; `None` when it does not stand there.
    fn fits(&self, name: &str, exactly: bool) -> Option<usize> {
        let rest = self.rest();
        let mut length = 0;
        let mut characters = rest.chars();
        for wanted in name.chars() {
            let found = characters.next()?;
            let same = found == wanted || !exactly && found.to_lowercase().eq(wanted.to_lowercase());
            if !same {
                return None;
            }
            length += found.len_utf8();
        }
        let ends = characters.next().is_none_or(|next| next.is_whitespace() || matches!(next, '.' | ','));
        (ends && length > 0).then_some(length)
    }

    /// Steps over a word, if it comes next.
    fn word(&mut self, word: &str) -> bool {
        self.skip_space();
        let length = self.fits(word, false);
        self.at += length.unwrap_or(0);
        length.is_some()
    }

    /// Steps over words that follow each other, if they come next.
    fn words(&mut self, words: &str) -> bool {
        let start = self.at;
        let all = words.split(' ').all(|word| self.word(word));
        if !all {
            self.at = start;
        }
        all
    }

    /// Steps over the name of a part.
    fn part(&mut self, expected: &str) -> Result<&'a Part, SentenceError> {
        self.skip_space();
        // An id names one part; a label, or a signal, is looked for as written before it is in any spelling.
        for exactly in [true, false] {
            let mut best: (usize, Vec<&Part>) = (0, Vec::new());
            for part in &self.network.parts {
                let names = [Some(part.label.as_str()), signal(part)].into_iter().flatten();
                let by_id = self.fits(part.id.as_str(), exactly).map(|length| (length, true));
                let by_name =
                    names.filter_map(|name| self.fits(name, exactly)).max().map(|length| (length, false));
                for (length, is_id) in by_id.into_iter().chain(by_name) {
                    if length > best.0 || is_id && length == best.0 {
                        best = (length, vec![part]);
                        if is_id {
                            break;
                        }
                    } else if length == best.0
                        && !best.1.iter().any(|other| self.is_called(other, length, exactly))
                    {
                        best.1.push(part);
                    }
                }
            }
            match &best.1[..] {
                [] => {}
                [part] => {
                    self.at += best.0;
                    return Ok(part);
                }
                several => {
                    let name = &self.rest()[..best.0];
                    let told: Vec<String> =
                        several.iter().map(|part| format!("`{}` ({})", part.id, part.kind.noun)).collect();
                    let message = format!("`{name}` may mean {}; name it by its id", told.join(", "));
                    let candidates = several.iter().map(|part| part.id.to_string()).collect();
                    return Err(SentenceError { candidates, ..self.wrong(message) });
                }
            }
        }
        Err(self.wrong(expected))
    }

    /// Whether the next `length` bytes are the id of a part.
    fn is_called(&self, part: &Part, length: usize, exactly: bool) -> bool {
        self.fits(part.id.as_str(), exactly) == Some(length)
    }

    fn load(&mut self) -> Result<(&'a Part, String), SentenceError> {
        let start = self.at;
        let part = self.part("expected the label of a load")?;
        let names = workings(part);
        if names.is_empty() {
            self.at = start;
            return Err(self.wrong(format!("{} {} is no load", part.kind.noun, part.title())));
        }
        let named = names.iter().copied().filter(|name| !name.is_empty());
        let said = named.clone().find(|name| self.word(name));
        match said {
            Some(name) => Ok((part, name.to_owned())),
            None if names.contains(&"") => Ok((part, String::new())),
            None => {
                self.skip_space();
                let known: Vec<String> = named.map(|name| format!("`{name}`")).collect();
                Err(self.wrong(format!("expected which load of {}: {}", part.title(), known.join(" or "))))
            }
        }
    }

    fn rule(&mut self) -> Result<Rule, SentenceError> {
        let found = Rule::WORDS.iter().find(|(_, words)| self.words(words));
        self.skip_space();
        match found {
            Some((rule, _)) => Ok(*rule),
            None => {
                let known: Vec<String> = Rule::WORDS.iter().map(|(_, words)| format!("`{words}`")).collect();
                Err(self.wrong(format!("expected {}", known.join(", "))))
            }
        }
    }

    fn state(&mut self) -> Result<InState, SentenceError> {
        let start = self.at;
        let part = self.part("expected a switch, a donor circuit, a relay or a load")?;
        let name = workings(part).into_iter().find(|name| !name.is_empty() && self.word(name));
        let possible = |name: &str| states(part, name);
        let name = name.unwrap_or_default();
        let known = possible(name);
        if known.is_empty() {
            self.at = start;
            self.skip_space();
            let one = InState { part: part.id.clone(), name: name.to_owned(), is: String::new() };
            return Err(self.wrong(state_impossible(&one, self.network).unwrap_or_default()));
        }
        let _ = self.words("in position") || self.word("is") || self.word("at");
        let said = known.iter().find(|state| self.word(state));
        let is = match said {
            Some(state) => (*state).to_owned(),
            // `lit` and `dark` are what people say of lamps.
            None if known == ["off", "on"] && self.word("lit") => "on".to_owned(),
            None if known == ["off", "on"] && self.word("dark") => "off".to_owned(),
            None if known.get(1) == Some(&"on")
                || known.len() == 2 && !known[1].starts_with(|c: char| c.is_ascii_digit()) =>
            {
                known[1].to_owned()
            }
            None => {
                self.skip_space();
                let known: Vec<String> = known.iter().map(|state| format!("`{state}`")).collect();
                return Err(self.wrong(format!("expected {} of {}", known.join(" or "), part.title())));
            }
        };
        Ok(InState { part: part.id.clone(), name: name.to_owned(), is })
    }
}

/// The interlock as a sentence that [`parse`] reads back; parts go by their labels where these tell them apart.
pub fn print(interlock: &Interlock, network: &Network) -> String {
    let by_label = written(interlock, network, true);
    match parse(&by_label, network) {
        Ok(read) if read == (Interlock { reason: String::new(), ..interlock.clone() }) => by_label,
        // A label that reads like something else gives way to the id.
        _ => written(interlock, network, false),
    }
}

fn written(interlock: &Interlock, network: &Network, by_label: bool) -> String {
    let called = |id: &crate::ids::PartId| match network.part(id) {
        Some(part) if by_label => part.title().to_owned(),
        _ => id.to_string(),
    };
    let named = |id: &crate::ids::PartId, name: &str| match name {
        "" => called(id),
        name => format!("{} {name}", called(id)),
    };
    let state = |one: &InState| {
        let at = if one.is.starts_with(|c: char| c.is_ascii_digit()) { "in position " } else { "" };
        format!("{} {at}{}", named(&one.part, &one.name), one.is)
    };
    let all = |all: &Vec<InState>| all.iter().map(state).collect::<Vec<_>>().join(" and ");
    let condition: Vec<String> = interlock.any_of.iter().map(all).collect();
    let start = format!("{} {}", named(&interlock.load, &interlock.name), interlock.rule.words());
    if condition.is_empty() { start } else { format!("{start} {}", condition.join(" or ")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation;

    const PARTS: &str = "
        switch S1
        switch S2
        switch S3 action=two-way
        switch S4 action=push
        relay K1
        lamp E1
        lamp E2
        twin-lamp E3
        donor E4 signal=main_beam
        donor E5
        splice X1";

    fn network() -> Network {
        let mut network = (*notation::network(PARTS).unwrap()).clone();
        for part in &mut network.parts {
            if part.id.as_str() == "E5" {
                part.label = "Flash or hold".to_owned();
            }
        }
        network
    }

    #[test]
    fn what_is_printed_is_read_back() {
        let network = network();
        for (sentence, printed) in [
            ("E1 only with main beam", "E1 only with E4 on"),
            ("E1 only with S2 on and K1 on or S3 2", "E1 only with S2 on and K1 on or S3 in position 2"),
            ("e1 NEVER with e2 lit.", "E1 never with E2 on"),
            ("E2 always with flash OR hold and E1 dark", "E2 always with Flash or hold on and E1 off"),
            ("E3 beam only with S4", "E3 beam only with S4 pressed"),
            ("E3 position any time", "E3 position any time"),
            ("K1 never with S1 off", "K1 never with S1 off"),
            ("E1 only with E3 position is off", "E1 only with E3 position off"),
        ] {
            let interlock = parse(sentence, &network).unwrap_or_else(|error| panic!("{sentence}: {error}"));
            assert_eq!(print(&interlock, &network), printed);
            assert_eq!(parse(printed, &network), Ok(interlock), "{printed}");
        }
    }

    #[test]
    fn a_sentence_that_says_nothing_tells_where_and_what_was_expected() {
        let network = network();
        for (sentence, told) in [
            ("", "character 1: expected the label of a load"),
            ("E9 only with S1", "character 1: expected the label of a load"),
            ("X1 only with S1", "character 1: splice X1 is no load"),
            ("S1 only with S2", "character 1: switch S1 is no load"),
            ("E3 only with S1", "character 4: expected which load of E3: `beam` or `position`"),
            ("E1 with S1", "character 4: expected `only with`, `never with`, `always with`, `any time`"),
            ("E1 only with", "character 13: expected a switch, a donor circuit, a relay or a load"),
            ("E1 only with S3", "character 16: expected `1` or `2` of S3"),
            ("E1 only with X1 on", "character 14: splice X1 has no state to name"),
            ("E1 only with S1 on S2", "character 20: expected `and`, `or` or the end"),
            ("E1 any time at all", "character 13: expected the end"),
        ] {
            assert_eq!(parse(sentence, &network).map_err(|error| error.to_string()), Err(told.to_owned()));
        }
    }

    #[test]
    fn a_label_that_several_parts_have_lists_them() {
        let mut network = network();
        for part in &mut network.parts {
            if part.kind.name == "lamp" {
                part.label = "lamp".to_owned();
            }
        }
        let error = parse("lamp never with S1", &network).unwrap_err();
        assert_eq!(error.candidates, ["E1", "E2"]);
        assert_eq!(error.message, "`lamp` may mean `E1` (lamp), `E2` (lamp); name it by its id");
        let by_id = parse("E2 never with S1", &network).unwrap();
        assert_eq!(print(&by_id, &network), "E2 never with S1 on");
    }
}
