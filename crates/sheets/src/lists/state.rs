//! In which state a job is: what was found, what it must keep to, and what it rests on.

use engine::document::interlock::Rule;
use engine::document::{sentence, settings};
use engine::finding::{Finding, lapsed};
use engine::given::Given;
use engine::kind::{Form, Value};
use engine::quantity::{Unit, by_hand};
use engine::subject::Subject;

use super::{NOTHING, Setting, Table, or_not_known};
use crate::facts::{Facts, number};

/// What the checks found, under the numbers of the marks on the drawing.
pub fn findings(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Words};
    let network = facts.network();
    let mut table = Table::new(
        "Open findings",
        "findings",
        &[("Mark", Name), ("About", Words), ("What was found", Words), ("What to do", Words), ("By", Words)],
    );
    for (number, finding, _) in facts.numbered().filter(|(.., accepted)| accepted.is_none()) {
        table.entry(vec![
            format!("{} {number}", finding.severity.word()),
            finding.subject.title(network),
            in_full(facts, finding),
            help(finding),
            by_hand(&finding.source),
        ]);
    }
    table
}

/// Findings that somebody answers for.
pub fn accepted(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Words};
    let mut table = Table::new(
        "Accepted findings",
        "accepted",
        &[
            ("Mark", Name),
            ("About", Words),
            ("What was found", Words),
            ("What to do", Words),
            ("Accepted", Words),
        ],
    );
    for (number, finding, accepted) in facts.numbered() {
        let Some(accepted) = accepted else { continue };
        table.entry(vec![
            format!("{} {number}", finding.severity.word()),
            finding.subject.title(facts.network()),
            in_full(facts, finding),
            help(finding),
            accepted.in_words(),
        ]);
    }
    for one in lapsed(&facts.document().accepted, facts.findings()) {
        table.notes.push(format!(
            "Accepted {}: {}. That is not found, or graver now, so this counts for nothing.",
            one.in_words(),
            one.finding_in_words(facts.network())
        ));
    }
    table
}

/// The fact with its numbers and with what contributed.
fn in_full(facts: &Facts<'_>, finding: &Finding) -> String {
    let mut text = by_hand(&finding.message);
    if let Some(measured) = &finding.measured {
        let allowed =
            finding.allowed.as_ref().map(|allowed| format!(", limit {allowed}")).unwrap_or_default();
        text.push_str(&by_hand(&format!(" ({} {measured}{allowed})", finding.basis.word())));
    }
    // What is said of several things stands once.
    let mut because: Vec<(&str, Vec<&Subject>)> = Vec::new();
    for label in &finding.because {
        match because.iter_mut().find(|(one, _)| *one == label.text) {
            Some((_, about)) => about.push(&label.subject),
            None => because.push((&label.text, vec![&label.subject])),
        }
    }
    for (says, about) in because {
        let title = facts.about(about.iter().copied());
        let said = if says.starts_with(&title) { says.to_owned() } else { format!("{title}: {says}") };
        text.push_str(&format!("; {}", by_hand(&said)));
    }
    text
}

/// What to do about a finding.
fn help(finding: &Finding) -> String {
    let help: Vec<String> = finding.help.iter().map(|help| by_hand(&help.text)).collect();
    if help.is_empty() { NOTHING.to_owned() } else { help.join("; ") }
}

/// The rules that must hold in every situation.
pub fn interlocks(facts: &Facts<'_>) -> Table {
    let mut table =
        Table::new("Interlocks", "interlocks", &[("Rule", Setting::Words), ("Because", Setting::Words)]);
    for interlock in facts.document().interlocks.iter() {
        let rule = sentence::print(interlock, facts.network());
        let because = match interlock.reason.trim() {
            "" if interlock.rule == Rule::AnyTime => "waived, no reason said",
            "" => "no reason said",
            said => said,
        };
        table.entry(vec![rule, because.to_owned()]);
    }
    table
}

/// What was assumed because nothing was said, and about what.
pub fn assumptions(facts: &Facts<'_>) -> Table {
    use Setting::Words;
    let mut table = Table::new(
        "Assumptions",
        "assumptions",
        &[("What is assumed", Words), ("About", Words), ("So it cannot be judged", Words)],
    );
    // The same words about several things stand once.
    let mut all: Vec<(String, Option<String>, Vec<&Subject>)> = Vec::new();
    for assumption in &facts.circuit().resolved.assumptions {
        let text = by_hand(&assumption.text);
        match all.iter_mut().find(|(one, unjudged, _)| *one == text && *unjudged == assumption.unjudged) {
            Some((.., about)) => about.push(&assumption.subject),
            None => all.push((text, assumption.unjudged.clone(), vec![&assumption.subject])),
        }
    }
    for (text, unjudged, about) in all {
        table.entry(vec![text, facts.about_all(about), unjudged.unwrap_or_else(|| NOTHING.to_owned())]);
    }
    table
}

/// What limits go by, with where each comes from.
pub fn settings(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Number, Words};
    let settings = &facts.document().settings;
    let mut table = Table::new(
        "What the limits go by",
        "settings",
        &[("What", Words), ("Value", Number), ("Unit", Name), ("From", Words)],
    );
    table.entry(vec![
        "nominal voltage".to_owned(),
        or_not_known(number(settings.nominal_v)),
        Unit::Volt.symbol().to_owned(),
        "set for this job".to_owned(),
    ]);
    for setting in settings::ALL {
        let (value, unit) = match setting.spec.form {
            Form::Number { unit, .. } => {
                let value = match settings.said.said(setting.spec.name) {
                    Some(Given::Between(Value::Number(low), Value::Number(high))) => {
                        number(*low).zip(number(*high)).map(|(low, high)| format!("{low} to {high}"))
                    }
                    _ => number(settings.number(setting)),
                };
                (value, unit.sign().to_owned())
            }
            _ => (Some(settings.word(setting).to_owned()), String::new()),
        };
        table.entry(vec![
            setting.spec.meaning.to_owned(),
            or_not_known(value),
            unit,
            by_hand(settings.source(setting)),
        ]);
    }
    table
}
