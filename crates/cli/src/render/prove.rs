//! The answer of `prove`, as text and as JSON.

use engine::diagnose::{Case, Proof, Step, Told};
use engine::document::{Document, Found};
use serde_json::{Value, json};

use super::assumed;
use super::diagnose::probe;
use super::json::{rules, subject, text as reply};
use super::layout::wrapped;

/// Answer for people.
pub fn text(document: &Document, case: &Case, proof: &Proof) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    let (readings, faults) = (proof.steps.len(), proof.shown.len());
    let head = format!(
        "{readings} readings show every one of {faults} single faults; no sheet needs fewer than {}. They take some {:.0} \
         minutes.",
        proof.at_least, proof.minutes
    );
    wrapped(&mut out, "", &head);
    out.push_str(
        "What passes is calculated from tolerances of parts that are common practice, no source.\n\n",
    );
    for (number, step) in (1..).zip(&proof.steps) {
        wrapped(&mut out, &format!("{number:>3}. "), &step.instruction(case));
        wrapped(&mut out, "     ", &format!("Passes: {}. Found: ________", step.passes()));
    }
    if !proof.unproved.is_empty() {
        out.push_str("\nWhat no reading shows\n");
        for one in &proof.unproved {
            let why = match one.is_out_of_sight {
                true => "nothing that can be read is otherwise",
                false => "it lies within tolerances",
            };
            wrapped(&mut out, "  ", &format!("{}: {why}.", case.causes[one.cause].in_words(&case.circuit)));
        }
    }
    assumed::for_checks(&mut out, &case.circuit);
    out
}

/// Answer for programs.
pub fn json(document: &Document, case: &Case, proof: &Proof) -> String {
    let cause = |index: usize| {
        let fault = case.causes[index].fault();
        json!({ "subject": fault.map(|fault| subject(&fault.subject)), "what": case.causes[index].in_words(&case.circuit) })
    };
    let shown = proof.shown.iter().map(|(index, ohm)| {
        let mut told = cause(*index);
        told["from_ohm"] = json!(ohm);
        told
    });
    let unproved = proof.unproved.iter().map(|one| {
        let mut told = cause(one.cause);
        told["is_out_of_sight"] = json!(one.is_out_of_sight);
        told
    });
    reply(&json!({
        "job": document.card.title,
        "readings": proof.steps.iter().map(|one| step(case, one)).collect::<Vec<_>>(),
        "shown": shown.collect::<Vec<_>>(),
        "unproved": unproved.collect::<Vec<_>>(),
        "at_least": proof.at_least,
        "minutes": proof.minutes,
        "rules": rules(&case.circuit),
    }))
}

fn step(case: &Case, step: &Step) -> Value {
    let moment = &case.moments[step.moment];
    let set: serde_json::Map<String, Value> =
        moment.situation.set.iter().map(|(part, position)| (part.to_string(), json!(position))).collect();
    let expected = match step.expected {
        Told::Number(value, tolerance) => json!({ "number": value, "tolerance": tolerance }),
        Told::Plain(Found::Seen(seen)) => json!({ "seen": seen.word() }),
        Told::Plain(Found::Heard(heard)) => json!({ "heard": heard }),
        Told::Plain(Found::Whole(whole)) => json!({ "whole": whole }),
        Told::Plain(Found::Number(_) | Found::CannotReach) => Value::Null,
    };
    json!({
        "situation": { "name": moment.situation.name, "set": set },
        "probe": probe(&step.probe),
        "passes": expected,
        "shows": step.shows.len(),
    })
}
