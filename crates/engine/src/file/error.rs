//! What is wrong with a file that cannot be opened.

use std::collections::BTreeSet;
use std::fmt;

/// One thing that is wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// A path (`parts[3].values.coil_ohm`) or a position in the text (`line 3, column 7`); empty
    /// when the whole file is meant.
    pub place: String,
    /// What is wrong there; one line, lowercase, no full stop.
    pub message: String,
    /// How much of the end of the message is a list that needs to be told only once a file.
    list: usize,
}

impl Problem {
    /// A problem at `place`.
    pub(super) fn new(place: String, message: String) -> Problem {
        // Parsers repeat what they stumbled over; it must not upset a terminal.
        Problem { place, message: super::place::harmless(&message), list: 0 }
    }

    /// The same, ending in a list of what is possible; of several problems with one list only the first tells it.
    pub(super) fn with_list(mut self, list: &str) -> Problem {
        let list = super::place::harmless(list);
        self.message.push_str(&list);
        self.list = list.len();
        self
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
        let mut told = BTreeSet::new();
        problems.retain(|problem| told.insert((problem.place.clone(), problem.message.clone())));
        let mut lists = BTreeSet::new();
        for problem in &mut problems {
            let end = problem.message.len() - problem.list;
            if problem.list > 0 && !lists.insert(problem.message[end..].to_owned()) {
                problem.message.truncate(end);
                problem.list = 0;
            }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn told(problems: Vec<Problem>) -> String {
        ReadError::unless_empty(problems).unwrap_err().to_string()
    }

    #[test]
    fn no_problem_is_told_twice_and_no_list_either() {
        let problem = |place: &str, message: &str| Problem::new(place.to_owned(), message.to_owned());
        let one = || problem("a", "no size").with_list(": 1, 2");
        let other = problem("b", "no size").with_list(": 1, 2");
        let third = problem("c", "no gauge").with_list(": 8");
        assert_eq!(told(vec![one(), other, one(), third]), "a: no size: 1, 2\nb: no size\nc: no gauge: 8");
    }
}
