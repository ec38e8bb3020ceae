//! Files stay short enough to be read in one sitting.

use super::Complaints;
use super::sources::Source;
use crate::generate;

const WARN_ABOVE: usize = 500;
const FAIL_ABOVE: usize = 900;

pub fn examine(sources: &[Source], complaints: &mut Complaints) {
    for source in sources {
        let is_generated = generate::ALL.iter().any(|file| file.path == source.path && !file.shared);
        if is_generated || !source.is_a(&["rs", "css", "js", "mjs", "html", "py"]) {
            continue;
        }
        let n_lines = source.text.lines().count();
        let text = format!("`{}` has {n_lines} lines; split it along what it is about", source.path);
        if n_lines > FAIL_ABOVE {
            complaints.fail(text);
        } else if n_lines > WARN_ABOVE {
            complaints.warn(text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::complaints_about;
    use super::*;

    #[test]
    fn a_file_of_more_than_900_lines_fails() {
        let about = |n: usize| complaints_about("crates/engine/src/x.rs", &"\n".repeat(n), examine);
        assert!(about(900).is_empty());
        assert_eq!(about(901).len(), 1);
    }
}
