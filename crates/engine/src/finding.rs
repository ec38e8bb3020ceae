//! What checks report, as plain data.

use crate::arrange;
use crate::document::Network;
use crate::quantity::Quantity;
use crate::subject::Subject;

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

    /// The word shown to users.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Stop => "Stop",
            Severity::Look => "Look",
            Severity::Note => "Note",
        }
    }
}

/// A subject and what is said about it; the text is short because the subject points.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What it is about.
    pub subject: Subject,
    /// What is said.
    pub text: String,
}

/// Something that may be done about a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Help {
    /// An instruction in plain words.
    pub text: String,
}

/// One finding of one check.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Name of the check.
    pub check: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The fact, with numbers and without a remedy; stands alone.
    pub message: String,
    /// What it is about: the root of the matter.
    pub subject: Subject,
    /// What else contributed.
    pub because: Vec<Label>,
    /// What was found.
    pub measured: Option<Quantity>,
    /// The limit it was compared with.
    pub allowed: Option<Quantity>,
    /// What to do.
    pub help: Vec<Help>,
    /// Standard and clause of the limit, or common practice.
    pub source: &'static str,
    /// Subjects on the same fault, for telling causes from effects; not shown.
    pub touches: Vec<Subject>,
}

/// A check whose finding is an effect, and the checks that may have found its cause.
pub type Explained = (&'static str, &'static [&'static str]);

/// Puts effects under their cause and sorts what is left.
///
/// A finding goes under another when its check lists the other's check among those that explain it
/// and the root of either is among the things the other touches. The cause keeps the graver
/// severity of the two: a loose terminal that leaves a lamp dark is as grave as the dark lamp.
pub fn fold(network: &Network, explained: &[Explained], mut findings: Vec<Finding>) -> Vec<Finding> {
    sort(network, &mut findings);
    let cause_of = |effect: &Finding, all: &[Finding]| -> Option<usize> {
        let (_, causes) = explained.iter().find(|(check, _)| *check == effect.check)?;
        causes.iter().find_map(|cause| {
            all.iter().position(|other| {
                other.check == *cause
                    && (effect.touches.contains(&other.subject) || other.touches.contains(&effect.subject))
            })
        })
    };
    let mut under: Vec<Option<usize>> = findings.iter().map(|effect| cause_of(effect, &findings)).collect();
    // A chain of causes leads to its first one; tables of causes are free of circles.
    for index in 0..under.len() {
        let mut steps = 0;
        while let Some(next) = under[index].and_then(|cause| under[cause]) {
            under[index] = Some(next);
            steps += 1;
            if steps > findings.len() {
                under[index] = None;
            }
        }
    }
    for index in 0..findings.len() {
        if let Some(cause) = under[index] {
            let label =
                Label { subject: findings[index].subject.clone(), text: findings[index].message.clone() };
            let severity = findings[index].severity;
            // What the cause has already told of a thing includes what follows for it.
            if findings[cause].because.iter().all(|told| told.subject != label.subject) {
                findings[cause].because.push(label);
            }
            findings[cause].severity = findings[cause].severity.min(severity);
        }
    }
    let mut kept: Vec<Finding> = findings
        .into_iter()
        .zip(under)
        .filter(|(_, under)| under.is_none())
        .map(|(finding, _)| finding)
        .collect();
    sort(network, &mut kept);
    kept
}

fn sort(network: &Network, findings: &mut Vec<Finding>) {
    arrange::sort_by_key(findings, |finding| {
        (finding.severity, finding.subject.position(network), finding.check)
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::PartId;

    fn finding(check: &'static str, severity: Severity, part: &str, touches: &[&str]) -> Finding {
        let subject = |id: &str| Subject::Part(PartId::new(id).unwrap());
        Finding {
            check,
            severity,
            message: String::new(),
            subject: subject(part),
            because: Vec::new(),
            measured: None,
            allowed: None,
            help: Vec::new(),
            source: "",
            touches: touches.iter().map(|id| subject(id)).collect(),
        }
    }

    const EXPLAINED: &[Explained] = &[("dark", &["loose", "thin"]), ("loose", &["thin"]), ("thin", &[])];

    fn folded(findings: Vec<Finding>) -> Vec<(&'static str, Severity, usize)> {
        let folded = fold(&Network::default(), EXPLAINED, findings);
        folded.into_iter().map(|f| (f.check, f.severity, f.because.len())).collect()
    }

    #[test]
    fn an_effect_goes_under_its_cause_and_lends_it_its_severity() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["e1", "k1"]),
            finding("loose", Severity::Look, "k1", &["k1"]),
        ];
        assert_eq!(folded(findings), [("loose", Severity::Stop, 1)]);
    }

    #[test]
    fn an_effect_on_something_else_stays() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["e1"]),
            finding("loose", Severity::Look, "k1", &["k1"]),
        ];
        assert_eq!(folded(findings), [("dark", Severity::Stop, 0), ("loose", Severity::Look, 0)]);
    }

    #[test]
    fn a_chain_of_effects_ends_at_the_first_cause() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["k1"]),
            finding("loose", Severity::Look, "k1", &["w1"]),
            finding("thin", Severity::Note, "w1", &["w1"]),
        ];
        assert_eq!(folded(findings), [("thin", Severity::Stop, 2)]);
    }
}
