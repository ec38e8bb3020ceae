//! No lint is switched off silently: exceptions are made with `expect` and a reason.
//!
//! Clippy warns of the attribute itself; this also finds it inside macros and conditions.

use super::Complaints;
use super::sources::Source;

pub fn examine(sources: &[Source], complaints: &mut Complaints) {
    for source in sources.iter().filter(|source| source.is_a(&["rs"])) {
        for (line, number) in source.text.lines().zip(1..) {
            let line = line.trim_start();
            let is_attribute = line.starts_with("#[") || line.starts_with("#![");
            let before = |at: usize| line[..at].ends_with(['[', ' ', ',', '(']);
            if is_attribute && line.match_indices("allow(").any(|(at, _)| before(at)) {
                complaints
                    .fail(format!("`{}`:{number}: use `expect` with a reason, not `allow`", source.path));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::complaints_about;
    use super::*;

    #[test]
    fn silent_exceptions_are_found_behind_conditions_too() {
        let about = |text| complaints_about("crates/engine/src/x.rs", text, examine).len();
        assert_eq!(about("#[allow(dead_code)]"), 1);
        assert_eq!(about("    #![cfg_attr(test, allow(dead_code))]"), 1);
        assert_eq!(about("#[expect(dead_code, reason = \"read by the debugger\")]"), 0);
        assert_eq!(about("fn allow(x: u8) {}"), 0);
    }
}
