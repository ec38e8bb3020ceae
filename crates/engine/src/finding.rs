//! What checks report, as plain data.

use crate::arrange;
pub use crate::document::Severity;
use crate::document::{Accepted, Edit, Network};
use crate::quantity::Quantity;
use crate::subject::Subject;
pub use crate::working::Basis;
use crate::working::Working;

/// What a check's findings lead to when nothing is done about them. Ordered: the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// A wire may get hot enough to burn.
    Fire,
    /// Something does not work as it should.
    Failure,
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
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    /// An instruction in plain words.
    pub text: String,
    /// The edits that carry it out, in order; empty where a person has to decide.
    pub fix: Vec<Edit>,
}

impl Help {
    /// An instruction that a person carries out.
    pub fn words(text: impl Into<String>) -> Help {
        Help { text: text.into(), fix: Vec::new() }
    }

    /// The same with the edits that carry it out.
    pub fn with_fix(self, fix: Vec<Edit>) -> Help {
        Help { fix, ..self }
    }
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
    /// Where what was found comes from.
    pub basis: Basis,
    /// The limit it was compared with.
    pub allowed: Option<Quantity>,
    /// What to do.
    pub help: Vec<Help>,
    /// Standard and clause of the limit, or common practice.
    pub source: String,
    /// How the numbers came about: first what was found, then the limit, then what they rest on.
    pub working: Vec<Working>,
    /// Subjects on the same fault, for telling causes from effects; not shown.
    pub touches: Vec<Subject>,
}

impl Finding {
    /// Who accepted it and why, if somebody did.
    pub fn accepted<'a>(&self, accepted: &'a [Accepted]) -> Option<&'a Accepted> {
        Accepted::among(accepted, self.check, &self.subject, self.severity)
    }

    /// Whether it is a Stop that nobody has accepted.
    pub fn is_open_stop(&self, accepted: &[Accepted]) -> bool {
        self.severity == Severity::Stop && self.accepted(accepted).is_none()
    }

    /// A finding about one thing, without a number: what else there is to say is set by its check.
    pub fn of(
        check: &'static str,
        severity: Severity,
        subject: Subject,
        message: impl Into<String>,
        source: impl Into<String>,
    ) -> Finding {
        Finding {
            check,
            severity,
            message: message.into(),
            touches: vec![subject.clone()],
            subject,
            because: Vec::new(),
            measured: None,
            basis: Basis::default(),
            allowed: None,
            help: Vec::new(),
            source: source.into(),
            working: Vec::new(),
        }
    }
}

/// What was accepted and is not found any more, or is graver now than it was accepted as.
pub fn lapsed<'a>(accepted: &'a [Accepted], findings: &[Finding]) -> Vec<&'a Accepted> {
    let holds = |one: &&Accepted| {
        findings.iter().any(|finding| one.holds_for(finding.check, &finding.subject, finding.severity))
    };
    accepted.iter().filter(|one| !holds(one)).collect()
}

/// What has to be known of a check to put its findings in order.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    /// Name of the check.
    pub check: &'static str,
    /// What its findings lead to.
    pub harm: Harm,
    /// The checks whose findings may be causes of what it finds.
    pub explained_by: &'static [&'static str],
}

/// Puts effects under their cause and sorts what is left.
///
/// A finding goes under another when its check lists the other's check among those that explain it
/// and the root of either is among the things the other touches. The cause keeps the graver
/// severity of the two: a loose terminal that leaves a lamp dark is as grave as the dark lamp. What is only advice is no
/// cause of what is wrong.
///
/// The gravest come first; of the same severity what can start a fire comes before what merely does not work, and a
/// cause from which a fire may follow counts as one that can start it.
pub fn fold(network: &Network, checks: &[Standing], mut findings: Vec<Finding>) -> Vec<Finding> {
    let mut harms = sort(network, checks, &mut findings);
    let cause_of = |effect: &Finding, all: &[Finding]| -> Option<usize> {
        let standing = checks.iter().find(|standing| standing.check == effect.check)?;
        standing.explained_by.iter().find_map(|cause| {
            all.iter().position(|other| {
                other.check == *cause
                    && (other.severity != Severity::Note || effect.severity == Severity::Note)
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
            harms[cause] = harms[cause].min(harms[index]);
        }
    }
    let mut kept: Vec<(Finding, Harm)> = findings
        .into_iter()
        .zip(harms)
        .zip(under)
        .filter(|(_, under)| under.is_none())
        .map(|(kept, _)| kept)
        .collect();
    arrange::sort_by_key(&mut kept, |(finding, harm)| {
        (finding.severity, *harm, finding.subject.position(network), finding.check)
    });
    kept.into_iter().map(|(finding, _)| finding).collect()
}

/// Sorts findings, and tells what each leads to.
fn sort(network: &Network, checks: &[Standing], findings: &mut Vec<Finding>) -> Vec<Harm> {
    let harm = |finding: &Finding| {
        let standing = checks.iter().find(|standing| standing.check == finding.check);
        // A check that is not listed comes last among its severity.
        standing.map_or(Harm::Failure, |standing| standing.harm)
    };
    arrange::sort_by_key(findings, |finding| {
        (finding.severity, harm(finding), finding.subject.position(network), finding.check)
    });
    findings.iter().map(harm).collect()
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
            basis: Basis::default(),
            allowed: None,
            help: Vec::new(),
            source: String::new(),
            working: Vec::new(),
            touches: touches.iter().map(|id| subject(id)).collect(),
        }
    }

    const CHECKS: &[Standing] = &[
        Standing { check: "dark", harm: Harm::Failure, explained_by: &["loose", "thin"] },
        Standing { check: "loose", harm: Harm::Failure, explained_by: &["thin"] },
        Standing { check: "thin", harm: Harm::Fire, explained_by: &[] },
    ];

    fn folded(findings: Vec<Finding>) -> Vec<(&'static str, Severity, usize)> {
        let folded = fold(&Network::default(), CHECKS, findings);
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
    fn a_cause_from_which_a_fire_follows_comes_before_what_merely_does_not_work() {
        const CAUSES: &[Standing] = &[
            Standing { check: "dark", harm: Harm::Failure, explained_by: &[] },
            Standing { check: "loose", harm: Harm::Failure, explained_by: &[] },
            Standing { check: "short", harm: Harm::Fire, explained_by: &["loose"] },
        ];
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["e1"]),
            finding("loose", Severity::Look, "k1", &["k1"]),
            finding("short", Severity::Stop, "w1", &["w1", "k1"]),
        ];
        let folded = fold(&Network::default(), CAUSES, findings);
        assert_eq!(folded.iter().map(|one| one.check).collect::<Vec<_>>(), ["loose", "dark"]);
    }

    #[test]
    fn advice_is_no_cause_of_what_is_wrong() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["e1", "k1"]),
            finding("loose", Severity::Note, "k1", &["k1"]),
        ];
        assert_eq!(folded(findings), [("dark", Severity::Stop, 0), ("loose", Severity::Note, 0)]);
    }

    #[test]
    fn a_chain_of_effects_ends_at_the_first_cause() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["k1"]),
            finding("loose", Severity::Look, "k1", &["w1"]),
            finding("thin", Severity::Look, "w1", &["w1"]),
        ];
        assert_eq!(folded(findings), [("thin", Severity::Stop, 2)]);
    }
    #[test]
    fn what_can_burn_comes_first_within_its_severity() {
        let findings = vec![
            finding("dark", Severity::Stop, "e1", &["e1"]),
            finding("thin", Severity::Look, "w2", &["w2"]),
            finding("loose", Severity::Look, "k1", &["k1"]),
            finding("thin", Severity::Stop, "w1", &["w1"]),
        ];
        let order: Vec<_> =
            folded(findings).into_iter().map(|(check, severity, _)| (check, severity)).collect();
        assert_eq!(
            order,
            [
                ("thin", Severity::Stop),
                ("dark", Severity::Stop),
                ("thin", Severity::Look),
                ("loose", Severity::Look)
            ]
        );
    }
}
