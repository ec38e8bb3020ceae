//! The answer of `prove`, as text and as JSON.

use engine::diagnose::{Awaited, Case, HowTested, NOT_WHOLE, Proof, Step, Tested, Told, all_of, caution};
use engine::document::sentence::print;
use engine::document::{Document, Found};
use engine::quantity::capital;
use serde_json::{Value, json};

use super::assumed;
use super::diagnose::probe;
use super::json::{rules, subject, text as reply};
use super::layout::wrapped;

/// Answer for people.
pub fn text(document: &Document, case: &Case, proof: &Proof, n_stops: usize) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    if let Some(caution) = caution(n_stops) {
        wrapped(&mut out, "", &caution);
    }
    if proof.steps.is_empty() {
        wrapped(&mut out, "", "No reading shows any fault of this job, so nothing can be proved.");
    } else {
        wrapped(&mut out, "", &head(proof));
    }
    if !proof.is_whole {
        wrapped(&mut out, "", NOT_WHOLE);
    }
    out.push_str(
        "What passes is calculated from tolerances of parts that are common practice, no source.\n\n",
    );
    for (number, step) in (1..).zip(&proof.steps) {
        wrapped(&mut out, &format!("{number:>3}. "), &step.instruction(case));
        wrapped(&mut out, "     ", &format!("Passes: {}. Found: ________", step.passes(case)));
    }
    rules_in_words(&mut out, case, proof);
    let unshown = proof.unshown(case);
    if !unshown.is_empty() || proof.n_old > 0 {
        out.push_str("\nWhat no reading shows\n");
    }
    for one in &unshown {
        let of = all_of(&case.circuit.resolved.network, &one.of);
        let what = if of.is_empty() { one.what.clone() } else { format!("{of}: {}", one.what) };
        wrapped(&mut out, "  ", &format!("{}. {}", capital(&what), one.why));
    }
    if proof.n_old > 0 {
        let old = format!("{} faults of what was there before are not looked for.", proof.n_old);
        wrapped(&mut out, "  ", &old);
    }
    assumed::for_checks(&mut out, &case.circuit);
    out
}

/// How many readings there are, and what they show.
fn head(proof: &Proof) -> String {
    let count = |n: usize, one: &str, several: &str| {
        if n == 1 { format!("1 {one}") } else { format!("{n} {several}") }
    };
    let least = match proof.is_whole {
        true => format!("; no sheet needs fewer than {}", proof.at_least),
        false => String::new(),
    };
    format!(
        "{} every one of {} that any reading shows{least}. Time: some {}.",
        count(proof.steps.len(), "step shows", "steps show"),
        count(proof.shown.len(), "single fault", "single faults"),
        count(proof.minutes.round().max(1.0) as usize, "minute", "minutes")
    )
}

/// The interlocks, and where the sheet puts each to the test.
fn rules_in_words(out: &mut String, case: &Case, proof: &Proof) {
    if !proof.rules.is_empty() {
        out.push_str("\nInterlocks\n");
    }
    for (index, one) in proof.rules.iter().enumerate() {
        let on = (1..).zip(&proof.steps).filter(|(_, step)| step.rules.contains(&index));
        let on: Vec<String> = on.map(|(number, _)| number.to_string()).collect();
        let how = match one.how {
            HowTested::OnTheSheet => format!("step {}", on.join(", ")),
            HowTested::BrokenAsDrawn => "the drawing breaks it, so the sheet cannot show it".to_owned(),
            HowTested::NotOnTheSheet => "not on the sheet".to_owned(),
        };
        wrapped(out, "  ", &format!("{}: {how}.", print(&one.interlock, &case.circuit.resolved.network)));
    }
}

/// Answer for programs.
pub fn json(document: &Document, case: &Case, proof: &Proof, n_stops: usize) -> String {
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
        "stops": n_stops,
        "steps": proof.steps.iter().map(|one| step(case, one)).collect::<Vec<_>>(),
        "shown": shown.collect::<Vec<_>>(),
        "unproved": unproved.collect::<Vec<_>>(),
        "by_eye": proof.by_eye.iter().map(|fault| fault.in_words(&case.circuit.resolved.network)).collect::<Vec<_>>(),
        "interlocks": proof.rules.iter().map(|one| rule(case, one)).collect::<Vec<_>>(),
        "not_looked_for": proof.n_old,
        "is_whole": proof.is_whole,
        "at_least": proof.at_least,
        "minutes": proof.minutes,
        "rules": rules(&case.circuit),
    }))
}

fn step(case: &Case, step: &Step) -> Value {
    let moment = &case.moments[step.moment];
    let set: serde_json::Map<String, Value> =
        moment.situation.set.iter().map(|(part, position)| (part.to_string(), json!(position))).collect();
    json!({
        "situation": { "name": moment.situation.name, "set": set },
        "readings": step.readings.iter().map(reading).collect::<Vec<_>>(),
        "shows": step.shows.len(),
        "interlocks": step.rules,
    })
}

fn reading(one: &Awaited) -> Value {
    let expected = match one.expected {
        Told::Number(value, tolerance) => json!({ "number": value, "tolerance": tolerance }),
        Told::Plain(Found::Seen(seen)) => json!({ "seen": seen.word() }),
        Told::Plain(Found::Heard(heard)) => json!({ "heard": heard }),
        Told::Plain(Found::Whole(whole)) => json!({ "whole": whole }),
        Told::Plain(Found::Number(_) | Found::CannotReach) => Value::Null,
    };
    json!({ "probe": probe(&one.probe), "passes": expected })
}

fn rule(case: &Case, one: &Tested) -> Value {
    let how = match one.how {
        HowTested::OnTheSheet => "on the sheet",
        HowTested::BrokenAsDrawn => "broken as drawn",
        HowTested::NotOnTheSheet => "not on the sheet",
    };
    json!({ "rule": print(&one.interlock, &case.circuit.resolved.network), "is": how })
}
