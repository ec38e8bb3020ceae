//! The answer of `inspect`, as text and as JSON.

use engine::document::Document;
use engine::finding::Harm;
use engine::inspect::{Inspection, Item, Turn, Unknown, Verdict, may_happen};
use engine::laid;
use serde_json::{Value, json};

use super::json::{rules, subject, text as reply, word};
use super::layout::wrapped;
use super::{assumed, rules_in_force};

/// Answer for people.
pub fn text(document: &Document, inspection: &Inspection) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    wrapped(&mut out, "", &inspection.head());
    for sentence in inspection.limits() {
        wrapped(&mut out, "", &sentence);
    }
    out.push_str("Calculated, not measured.\n");
    if inspection.is_empty {
        return out;
    }
    let looks = inspection.looks();
    if !looks.is_empty() {
        out.push_str("\nWhat to look at, what clears most doubts first\n");
        for (number, look) in (1..).zip(&looks) {
            wrapped(&mut out, &format!("{number:>3}. "), &look.words);
        }
    }
    let gathered = inspection.gathered();
    if !gathered.is_empty() {
        out.push_str("\nWhat was found, the worst first\n\n");
    }
    let width = format!("Stop {}  ", gathered.len()).len();
    for (number, indices) in (1..).zip(&gathered) {
        entry(&mut out, inspection, number, width, indices);
        out.push('\n');
    }
    let not_found = inspection.not_found_in_words();
    if !not_found.is_empty() {
        wrapped(&mut out, "", &not_found);
    }
    let not_judged = inspection.not_judged_in_words();
    if !not_judged.is_empty() {
        out.push_str("\nCannot be judged\n");
        not_judged.iter().for_each(|words| wrapped(&mut out, "  ", words));
    }
    let circuit = laid::circuit(&inspection.as_used);
    rules_in_force(&mut out, &circuit);
    assumed::for_checks(&mut out, &circuit);
    out
}

/// Items of one sort: the first speaks for all of them.
fn entry(out: &mut String, inspection: &Inspection, number: usize, width: usize, indices: &[usize]) {
    let Some(item) = indices.first().map(|index| &inspection.items[*index]) else { return };
    let head = format!("{} {number}", item.severity.word());
    wrapped(out, &format!("{head:<width$}"), &inspection.may_happen(indices));
    let mut row = |name: &str, text: &str| {
        if !text.is_empty() {
            wrapped(out, &format!("{:width$}{name:<12}", ""), text);
        }
    };
    row("at", &inspection.about(indices));
    row("how sure", &inspection.how_sure(item));
    row("found", &item.finding.message);
    row("", &inspection.worked_out_with(item));
    for turn in inspection.turns_of(indices) {
        row("to decide", &turn);
    }
    row("now", item.action().words());
    for help in &item.finding.help {
        row("to mend", &help.text);
    }
    row("source", &item.finding.source);
    row("check", item.finding.check);
}

/// Answer for programs.
pub fn json(document: &Document, inspection: &Inspection) -> String {
    let count = |verdict| inspection.items.iter().filter(|item| item.verdict == verdict).count();
    let circuit = laid::circuit(&inspection.as_used);
    let look_at = inspection.look_at.iter().map(|look| {
        json!({
            "unknown": look.unknown,
            "clears": look.clears,
            "helps": look.helps,
        })
    });
    let not_judged = inspection.not_judged.iter();
    let not_judged = not_judged.map(|(about, what)| json!({ "subject": subject(about), "missing": what }));
    reply(&json!({
        "job": document.card.title,
        "conclusion": inspection.conclusion().key(),
        "head": inspection.head(),
        "counts": { "sure": count(Verdict::Sure), "possible": count(Verdict::Possible) },
        "items": inspection.items.iter().map(|item| told(inspection, item)).collect::<Vec<_>>(),
        "unknown": inspection.unknowns.iter().map(unknown).collect::<Vec<_>>(),
        "look_at": look_at.collect::<Vec<_>>(),
        "not_found": inspection.not_found,
        "not_judged": not_judged.collect::<Vec<_>>(),
        "own": inspection.own.iter().map(subject).collect::<Vec<_>>(),
        "tried": inspection.n_tried,
        "limits": inspection.limits(),
        "rules": rules(&circuit),
    }))
}

fn told(inspection: &Inspection, item: &Item) -> Value {
    let turns = item.decided_by.iter().map(turn).collect::<Vec<_>>();
    let with = item.with.iter().map(|(index, number)| json!({ "unknown": index, "value": number }));
    json!({
        "check": item.finding.check,
        "subject": subject(&item.finding.subject),
        "severity": word(item.severity),
        "verdict": item.verdict.word(),
        "at_least": item.at_least.map(word),
        "fire": item.harm() == Harm::Fire,
        "may_happen": may_happen(item.finding.check),
        "how_sure": inspection.how_sure(item),
        "message": item.finding.message,
        "worked_out_with": with.collect::<Vec<_>>(),
        "decided_by": turns,
        "together": item.together,
        "now": item.action().words(),
        "help": item.finding.help.iter().map(|help| help.text.as_str()).collect::<Vec<_>>(),
        "source": item.finding.source,
    })
}

fn turn(turn: &Turn) -> Value {
    let stands = turn.stands.iter().map(|(from, to)| json!({ "from": from, "to": to }));
    json!({ "unknown": turn.unknown, "stands": stands.collect::<Vec<_>>() })
}

fn unknown(unknown: &Unknown) -> Value {
    let steps = unknown.steps.iter().map(|step| json!({ "value": step.number, "words": step.title }));
    json!({
        "subject": subject(&unknown.subject),
        "key": unknown.key,
        "unit": unknown.unit.symbol(),
        "least": unknown.span.low,
        "used": unknown.span.used,
        "greatest": unknown.span.high,
        "steps": steps.collect::<Vec<_>>(),
        "said": unknown.said,
        "source": unknown.source,
    })
}
