//! What is wrong with a file that cannot be opened.

use std::fmt;

/// One thing that is wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// A path (`parts[3].values.coil_ohm`) or a position in the text (`line 3, column 7`); empty
    /// when the whole file is meant.
    pub place: String,
    /// What is wrong there; one line, lowercase, no full stop.
    pub message: String,
}

impl Problem {
    /// A problem at `place`.
    pub(super) fn new(place: String, message: String) -> Problem {
        // Parsers repeat what they stumbled over; it must not upset a terminal.
        Problem { place, message: super::place::harmless(&message) }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place.is_empty() {
            f.write_str(&self.message)
        } else {
            write!(f, "{}: {}", self.place, self.message)
        }
    }
}

/// Why a file was not opened: at least one problem, in the order of the file.
///
/// Displayed as one line a problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    problems: Vec<Problem>,
    left_out: usize,
}

/// Most problems told of one file; somebody who has mended these can ask again.
const MOST_PROBLEMS: usize = 20;

impl ReadError {
    /// The error made of these problems, or `Ok` when there are none.
    pub(super) fn unless_empty(mut problems: Vec<Problem>) -> Result<(), ReadError> {
        if problems.is_empty() {
            return Ok(());
        }
        let left_out = problems.len().saturating_sub(MOST_PROBLEMS);
        problems.truncate(MOST_PROBLEMS);
        Err(ReadError { problems, left_out })
    }

    /// The problems told, the first of the file first; never empty.
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// The same error with `prefix` before each place.
    pub(super) fn within(mut self, prefix: &str) -> ReadError {
        for problem in &mut self.problems {
            problem.place = if problem.place.is_empty() {
                prefix.to_owned()
            } else {
                format!("{prefix}, {}", problem.place)
            };
        }
        self
    }
}

impl From<Problem> for ReadError {
    fn from(problem: Problem) -> ReadError {
        ReadError { problems: vec![problem], left_out: 0 }
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            if i > 0 {
                f.write_str("\n")?;
            }
            problem.fmt(f)?;
        }
        if self.left_out > 0 {
            write!(f, "\nand {} more", self.left_out)?;
        }
        Ok(())
    }
}

impl std::error::Error for ReadError {}
