//! Where in a job something stands, as a path; and text of a file quoted safely in a message.

use std::fmt;

use super::Problem;

/// A place in a job: the whole of it, under a key, or in a list.
///
/// It borrows the place it lies in, so walking a job allocates nothing for places.
#[derive(Clone, Copy)]
pub(super) enum Place<'a> {
    /// The whole job.
    Job,
    /// Under this key.
    Key(&'a Place<'a>, &'a str),
    /// The list entry of this index, counted from 0.
    Item(&'a Place<'a>, usize),
}

impl<'a> Place<'a> {
    /// The place under `key`.
    pub(super) fn key(&'a self, key: &'a str) -> Place<'a> {
        Place::Key(self, key)
    }

    /// The list entry `index`.
    pub(super) fn item(&'a self, index: usize) -> Place<'a> {
        Place::Item(self, index)
    }

    /// A problem at this place.
    pub(super) fn problem(&self, message: impl Into<String>) -> Problem {
        Problem::new(self.to_string(), message.into())
    }
}

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Job => Ok(()),
            Place::Item(parent, index) => write!(f, "{parent}[{index}]"),
            Place::Key(parent, key) => {
                let plain = !key.is_empty()
                    && key.len() <= LONGEST_QUOTE
                    && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
                match (parent, plain) {
                    (Place::Job, true) => f.write_str(key),
                    (_, true) => write!(f, "{parent}.{key}"),
                    (_, false) => write!(f, "{parent}[{}]", quoted(key)),
                }
            }
        }
    }
}

/// Most characters of a file's own text repeated in a message.
const LONGEST_QUOTE: usize = 60;

/// `text` between backticks, shortened, and [`harmless`].
pub(super) fn quoted(text: &str) -> String {
    format!("`{}`", shortened(text))
}

/// The first characters of `text`, [`harmless`], and three points when there are more.
pub(super) fn shortened(text: &str) -> String {
    let shown: String = text.chars().take(LONGEST_QUOTE).collect();
    let more = if text.chars().nth(LONGEST_QUOTE).is_some() { "..." } else { "" };
    format!("{}{more}", harmless(&shown))
}

/// `text` with everything escaped that moves the cursor, turns the direction of writing, or is not
/// seen. Letters of any script, quotes and backslashes stay as they are.
pub(super) fn harmless(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\'' | '"' | '\\' => shown.push(c),
            _ => shown.extend(c.escape_debug()),
        }
    }
    shown
}

/// The entry of `known` that `text` most likely meant, if one is close.
pub(super) fn nearest<'a>(text: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A long text cannot be close to any key, and measuring it would take long.
    if text.len() > LONGEST_QUOTE {
        return None;
    }
    let wanted: Vec<char> = text.to_lowercase().chars().collect();
    known
        .into_iter()
        .map(|key| (distance(&wanted, &key.chars().collect::<Vec<_>>()), key))
        .filter(|(apart, key)| *apart <= 2 && *apart < key.chars().count().min(wanted.len()))
        .min_by_key(|(apart, _)| *apart)
        .map(|(_, key)| key)
}

/// How many characters must be put in, left out, changed or swapped with their neighbor to make
/// `left` into `right` (optimal string alignment; time and space in the product of the lengths).
fn distance(left: &[char], right: &[char]) -> usize {
    let width = right.len() + 1;
    let mut table = vec![0; (left.len() + 1) * width];
    for i in 0..=left.len() {
        for j in 0..width {
            table[i * width + j] = if i == 0 || j == 0 {
                i + j
            } else {
                let changed = usize::from(left[i - 1] != right[j - 1]);
                let mut least = (table[(i - 1) * width + j] + 1)
                    .min(table[i * width + j - 1] + 1)
                    .min(table[(i - 1) * width + j - 1] + changed);
                if i > 1 && j > 1 && left[i - 1] == right[j - 2] && left[i - 2] == right[j - 1] {
                    least = least.min(table[(i - 2) * width + j - 2] + 1);
                }
                least
            };
        }
    }
    table[table.len() - 1]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_read_as_paths() {
        let parts = Place::Job.key("parts");
        let part = parts.item(3);
        let values = part.key("values");
        assert_eq!(values.key("coil_ohm").to_string(), "parts[3].values.coil_ohm");
        assert_eq!(values.key("a b\u{1b}").to_string(), "parts[3].values[`a b\\u{1b}`]");
    }

    #[test]
    fn quotes_are_short_and_harmless() {
        assert_eq!(quoted("a\n\u{202e}b"), "`a\\n\\u{202e}b`");
        assert_eq!(quoted(&"ä".repeat(100)).chars().count(), 60 + 3 + 2);
    }

    #[test]
    fn a_slip_of_the_keyboard_finds_its_key() {
        let known = ["coil_ohm", "pull_in_v", "drop_out_v"];
        for (typed, meant) in [
            ("coil_ohms", Some("coil_ohm")),
            ("Coil_Ohm", Some("coil_ohm")),
            ("pul_lin_v", Some("pull_in_v")),
            ("colour", None),
            ("", None),
        ] {
            assert_eq!(nearest(typed, known), meant, "{typed}");
        }
    }
}
