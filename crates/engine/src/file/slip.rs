//! What somebody who writes JSON by hand may have meant where it stops being JSON.

use super::place::quoted;

/// What is wrong with `text` at byte `at`, where the parser stopped and said `complaint`: in words for somebody who does
/// not know JSON, and at which byte. `None` when there is nothing better to say than the parser did.
pub(super) fn told(text: &str, at: usize, complaint: &str) -> (usize, Option<String>) {
    let remedy = match complaint {
        "expected value" | "key must be a string" | "trailing comma" | "expected `:`" => guess(text, at),
        "expected `,` or `}`" | "expected `,` or `]`" => guess(text, at),
        "expected ident" => {
            let before = text.get(..at).unwrap_or_default();
            let start = before.trim_end_matches(char::is_alphanumeric).len();
            return (start, guess(text, start));
        }
        "trailing characters" => Some(match remark_at(text.get(at..).unwrap_or_default()) {
            true => REMARK.to_owned(),
            false => "the job has ended before this; nothing may follow it".to_owned(),
        }),
        _ if complaint.starts_with("control character") => match line_end(text, at) {
            Some(end) => {
                let message = "a text ends on the line it begins on; a closing `\"` may be missing";
                return (end, Some(message.to_owned()));
            }
            None => Some("a text holds an invisible character, such as a tab; take it out".to_owned()),
        },
        "invalid escape" => Some("a `\\` in a text is written twice, `\\\\`".to_owned()),
        _ => None,
    };
    (at, remedy)
}

const REMARK: &str = "a remark cannot stand in a job file; take it out";

/// The end of the line, when the parser stumbled over it: it may have read it already, or only looked at it.
fn line_end(text: &str, at: usize) -> Option<usize> {
    let ends = |at: &usize| matches!(text.as_bytes().get(*at), Some(b'\n' | b'\r'));
    [at.checked_sub(1), Some(at)].into_iter().flatten().find(ends)
}

fn remark_at(rest: &str) -> bool {
    ["//", "/*", "#"].iter().any(|start| rest.starts_with(start))
}

fn guess(text: &str, at: usize) -> Option<String> {
    let (before, rest) = (text.get(..at)?, text.get(at..)?);
    let here = rest.chars().next()?;
    if remark_at(rest) {
        return Some(REMARK.to_owned());
    }
    if before.trim().is_empty() && !matches!(here, '\'' | '}' | ']' | ',') {
        return Some("this is no file of this program; one begins with `{`".to_owned());
    }
    match here {
        '\'' => return Some("keys and texts stand between `\"`, not between `'`".to_owned()),
        '\u{201c}'..='\u{201f}' | '\u{2018}'..='\u{201b}' | '\u{ab}' | '\u{bb}' => {
            return Some(format!("keys and texts stand between plain `\"`, not between `{here}`"));
        }
        _ => {}
    }
    let number = number_at_end(before.strip_suffix(',').unwrap_or_default());
    let decimals = leading(rest, |c| c.is_ascii_digit());
    if !number.is_empty() && !decimals.is_empty() {
        let [written, meant] = [",", "."].map(|point| quoted(&format!("{number}{point}{decimals}")));
        return Some(format!("{written} has a comma for its decimals; write {meant}, with a point"));
    }
    let word = leading(rest, |c| c.is_alphanumeric() || c == '_' || c == '-');
    let last = before.trim_end().chars().next_back();
    match here {
        '}' | ']' if last == Some(',') => {
            return Some(format!("there is a comma too many before this `{here}`; take it out"));
        }
        ',' if matches!(last, Some(',' | '[' | '{')) => {
            return Some("there is a comma too many here".to_owned());
        }
        '.' if !decimals_after_point(rest).is_empty() => {
            return Some(format!(
                "write {}, with a nought in front",
                quoted(&format!("0.{}", decimals_after_point(rest)))
            ));
        }
        '+' => return Some("a number carries no `+` in front".to_owned()),
        _ => {}
    }
    if !word.is_empty() && here.is_alphabetic() {
        return Some(word_told(before, rest, word));
    }
    // A value or key begins where a comma should have ended the one before.
    let begins = matches!(here, '"' | '{' | '[') || here.is_ascii_digit();
    (begins && last.is_some_and(|c| matches!(c, '"' | '}' | ']') || c.is_alphanumeric()))
        .then(|| "a comma is missing before this".to_owned())
}

/// What is wrong with a word that stands without quotes.
fn word_told(before: &str, rest: &str, word: &str) -> String {
    let number = number_at_end(before.trim_end());
    if !number.is_empty() {
        return format!("write {} without {}; the key names the unit", quoted(number), quoted(word));
    }
    let after = rest[word.len()..].trim_start();
    if after.starts_with(':') {
        return format!("the key {} needs quotes: `\"{}\"`", quoted(word), shortened(word));
    }
    match word.to_lowercase().as_str() {
        "true" | "yes" => format!("write `true` for {}", quoted(word)),
        "false" | "no" => format!("write `false` for {}", quoted(word)),
        "null" | "none" | "nan" | "infinity" => {
            format!("{} is no value; leave a key out when its value is not known", quoted(word))
        }
        _ => format!("the text {} needs quotes: `\"{}\"`", quoted(word), shortened(word)),
    }
}

/// A word as it is repeated in a remedy; a long one is cut off by [`quoted`] already.
fn shortened(word: &str) -> String {
    quoted(word).trim_matches('`').to_owned()
}

/// The digits that a text begins with, or whatever else passes `wanted`.
fn leading(text: &str, wanted: impl Fn(char) -> bool) -> &str {
    let end = text.find(|c| !wanted(c)).unwrap_or(text.len());
    &text[..end]
}

/// The digits behind a point that a text begins with.
fn decimals_after_point(text: &str) -> &str {
    leading(text.strip_prefix('.').unwrap_or_default(), |c| c.is_ascii_digit())
}

/// The number that a text ends with; empty when it ends with none, or with one that belongs to a word or a text.
fn number_at_end(text: &str) -> &str {
    let start = text
        .rfind(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .map_or(0, |at| at + text[at..].chars().next().map_or(0, char::len_utf8));
    let stands_alone =
        text[..start].chars().next_back().is_none_or(|c| c.is_whitespace() || "[:,".contains(c));
    if stands_alone && text[start..].ends_with(|c: char| c.is_ascii_digit()) { &text[start..] } else { "" }
}

/// Where byte `at` of `text` lies, as people count: line and column from 1, the column in characters.
pub(super) fn line_and_column(text: &str, at: usize) -> String {
    let before = text.get(..at).unwrap_or(text);
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let (line, column) = (before.matches('\n').count() + 1, before[start..].chars().count() + 1);
    format!("line {line}, column {column}")
}

#[cfg(test)]
mod tests {
    use super::super::syntax::parse;

    fn refusal(text: &str) -> String {
        parse(text).unwrap_err().to_string()
    }

    #[test]
    fn long_slips_are_told_briefly() {
        let [digits, letters] = ["9", "a"].map(|c| c.repeat(10_000));
        for text in [
            format!("[{digits},{digits}.]"),
            format!(r#"{{"a": {digits},{digits}}}"#),
            format!(r#"{{"a": .{digits}}}"#),
            format!(r#"{{"a": 5{letters}}}"#),
            format!(r#"{{"a": {digits}{letters}}}"#),
            format!("{{{letters}: 1}}"),
        ] {
            let told = refusal(&text);
            assert!(told.len() < 250, "{} bytes: {told}", told.len());
        }
    }

    #[test]
    fn slips_of_the_hand_are_told_with_what_to_write() {
        for (text, message) in [
            (
                r#"{"mm2": 2,5}"#,
                "line 1, column 11: `2,5` has a comma for its decimals; write `2.5`, with a point",
            ),
            (
                "{\n  \"a\": 0,25 }",
                "line 2, column 10: `0,25` has a comma for its decimals; write `0.25`, with a point",
            ),
            ("{ // lamps\n}", "line 1, column 3: a remark cannot stand in a job file; take it out"),
            ("{\n# lamps\n}", "line 2, column 1: a remark cannot stand in a job file; take it out"),
            ("[1, /* two */ 2]", "line 1, column 5: a remark cannot stand in a job file; take it out"),
            (r#"{"a": 1} // end"#, "line 1, column 10: a remark cannot stand in a job file; take it out"),
            ("{'a': 1}", "line 1, column 2: keys and texts stand between `\"`, not between `'`"),
            (r#"{"a": 'x'}"#, "line 1, column 7: keys and texts stand between `\"`, not between `'`"),
            (
                "{\u{201c}a\u{201d}: 1}",
                "line 1, column 2: keys and texts stand between plain `\"`, not between `\u{201c}`",
            ),
            ("{parts: []}", "line 1, column 2: the key `parts` needs quotes: `\"parts\"`"),
            ("{\"a\": 1,\n}", "line 2, column 1: there is a comma too many before this `}`; take it out"),
            ("[1, 2, ]", "line 1, column 8: there is a comma too many before this `]`; take it out"),
            ("[1,, 2]", "line 1, column 4: there is a comma too many here"),
            (r#"{"a": 1 "b": 2}"#, "line 1, column 9: a comma is missing before this"),
            ("[{}\n {}]", "line 2, column 2: a comma is missing before this"),
            (r#"{"a": 20A}"#, "line 1, column 9: write `20` without `A`; the key names the unit"),
            (r#"{"a": 2.5 mm2}"#, "line 1, column 11: write `2.5` without `mm2`; the key names the unit"),
            (r#"{"a": .5}"#, "line 1, column 7: write `0.5`, with a nought in front"),
            (r#"{"a": +5}"#, "line 1, column 7: a number carries no `+` in front"),
            (r#"{"a": yes}"#, "line 1, column 7: write `true` for `yes`"),
            (r#"{"a": True}"#, "line 1, column 7: write `true` for `True`"),
            (
                "{\"a\": \"x,\n\"b\": 1}",
                "line 1, column 10: a text ends on the line it begins on; a closing `\"` may be missing",
            ),
            (r#"{"a": "C:\job"}"#, r"line 1, column 11: a `\` in a text is written twice, `\\`"),
            (r#"{"a": tru, "b": 1}"#, "line 1, column 7: the text `tru` needs quotes: `\"tru\"`"),
            (
                "{\"a\": \"x\ty\"}",
                "line 1, column 9: a text holds an invisible character, such as a tab; take it out",
            ),
            ("hello", "line 1, column 1: this is no file of this program; one begins with `{`"),
            ("{} x", "line 1, column 4: the job has ended before this; nothing may follow it"),
            (r#"{"a": lamp}"#, "line 1, column 7: the text `lamp` needs quotes: `\"lamp\"`"),
        ] {
            assert_eq!(refusal(text), message, "{text}");
        }
    }

    #[test]
    fn a_file_that_is_cut_off_says_so() {
        for (text, place) in [
            ("{\"a\": [", "line 1, column 8"),
            ("{\"a\": 1,\n \"b\": {\"c\": 2}\n", "line 3, column 1"),
            ("{\"a\": \"x", "line 1, column 9"),
            ("{\"a\": tru", "line 1, column 10"),
            ("{\"a\"", "line 1, column 5"),
        ] {
            let told = refusal(text);
            assert!(told.starts_with(&format!("{place}: the file ends in the middle")), "{text}: {told}");
        }
    }

    #[test]
    fn columns_count_characters() {
        assert_eq!(refusal("{\"ä\": \"öü\" \"b\": 2}"), "line 1, column 12: a comma is missing before this");
    }

    #[test]
    fn a_list_of_whole_numbers_is_no_decimal() {
        assert!(parse("[2,5]").is_ok());
        assert!(!refusal(r#"{"a": "2",5}"#).contains("decimals"));
    }
}
