//! Answers as text for people and as JSON for programs.

mod assumed;
pub mod changes;
pub mod charge;
pub mod diagnose;
pub mod inspect;
pub mod json;
mod layout;
pub mod mistakes;
pub mod protect;
pub mod prove;
pub mod route;
pub mod sit;
pub mod size;
pub mod sweep;
pub mod text;

use engine::circuit::Circuit;

/// The rules that the limits of a job go by, in words of their own paragraph.
fn rules_in_force(out: &mut String, circuit: &Circuit) {
    layout::wrapped(out, "", &engine::protection::rules::in_words(&circuit.resolved.settings));
}

/// `text` with every character shown as its code that would move a terminal's cursor, change the
/// direction of writing or not be seen; line ends stay.
pub fn harmless(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        let hidden = matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}');
        if c != '\n' && (c.is_control() || hidden) {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_upset_a_terminal_is_shown_as_its_code() {
        assert_eq!(harmless("a\n\u{1b}[31m\u{202e}ü"), "a\n\\u{1b}[31m\\u{202e}ü");
    }
}
