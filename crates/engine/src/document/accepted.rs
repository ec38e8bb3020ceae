//! Findings that somebody answers for: they stay findings, and everybody reads who accepted them and why.

use super::subject::Subject;

/// Most accepted findings in a job.
pub const MOST_ACCEPTED: usize = 1_000;

/// How much a finding matters. Ordered: the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Dangerous, or will not work.
    Stop,
    /// Outside good practice.
    Look,
    /// Advice.
    Note,
}

impl Severity {
    /// Every severity, the worst first.
    pub const ALL: [Severity; 3] = [Severity::Stop, Severity::Look, Severity::Note];

    /// The severities with the words the job file writes.
    pub const WORDS: [(Severity, &'static str); 3] =
        [(Severity::Stop, "stop"), (Severity::Look, "look"), (Severity::Note, "note")];

    /// The word shown to users.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Stop => "Stop",
            Severity::Look => "Look",
            Severity::Note => "Note",
        }
    }

    /// What the word stands for: lowercase, no full stop.
    pub fn meaning(self) -> &'static str {
        match self {
            Severity::Stop => "dangerous or will not work",
            Severity::Look => "outside good practice",
            Severity::Note => "advice",
        }
    }
}

/// A finding that somebody answers for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// Name of the check that reports it.
    pub check: String,
    /// What it is about.
    pub subject: Subject,
    /// How grave it was. One that has become graver since is not accepted any more.
    pub severity: Severity,
    /// Who accepts it.
    pub by: String,
    /// Why it may stay.
    pub why: String,
    /// When, as the user wrote it; empty when nothing was said.
    pub date: String,
}

impl Accepted {
    /// The one of them that speaks of the finding of this check about this subject, which is of this severity.
    pub fn among<'a>(
        all: &'a [Accepted],
        check: &str,
        subject: &Subject,
        severity: Severity,
    ) -> Option<&'a Accepted> {
        all.iter().find(|one| one.holds_for(check, subject, severity))
    }

    /// Whether it speaks of the finding of this check about this subject, which is of this severity.
    pub fn holds_for(&self, check: &str, subject: &Subject, severity: Severity) -> bool {
        self.check == check && self.subject == *subject && self.severity <= severity
    }

    /// Which finding it speaks of, in words that name its subject: `volt-drop of lamp E1, a Look`.
    pub fn finding_in_words(&self, network: &super::Network) -> String {
        format!("{} of {}, a {}", self.check, self.subject.title(network), self.severity.word())
    }

    /// Who, when and why: `by J. Sample, 2026-11-25: the lamp is dim on purpose`.
    pub fn in_words(&self) -> String {
        let date = if self.date.is_empty() { String::new() } else { format!(", {}", self.date) };
        format!("by {}{date}: {}", self.by, self.why)
    }

    /// What is lacking, if anything.
    pub fn lacks(&self) -> Option<&'static str> {
        let blank = |text: &str| text.trim().is_empty();
        match self {
            one if blank(&one.check) => Some("the name of the check"),
            one if blank(&one.by) => Some("who accepts it"),
            one if blank(&one.why) => Some("why it may stay"),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::PartId;

    #[test]
    fn what_has_become_graver_is_not_accepted_any_more() {
        let subject = |id: &str| Subject::Part(PartId::new(id).unwrap());
        let accepted = Accepted {
            check: "volt-drop".to_owned(),
            subject: subject("e1"),
            severity: Severity::Look,
            by: "J. Sample".to_owned(),
            why: "bright enough".to_owned(),
            date: String::new(),
        };
        assert!(accepted.holds_for("volt-drop", &subject("e1"), Severity::Look));
        assert!(accepted.holds_for("volt-drop", &subject("e1"), Severity::Note));
        assert!(!accepted.holds_for("volt-drop", &subject("e1"), Severity::Stop));
        assert!(!accepted.holds_for("volt-drop", &subject("e2"), Severity::Look));
        assert!(!accepted.holds_for("fuse-too-small", &subject("e1"), Severity::Look));
        assert_eq!(accepted.in_words(), "by J. Sample: bright enough");
        assert_eq!(accepted.lacks(), None);
        assert_eq!(Accepted { why: " ".to_owned(), ..accepted }.lacks(), Some("why it may stay"));
    }
}
