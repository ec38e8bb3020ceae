//! The answer of `sit`, as text and as JSON.

use engine::circuit::Circuit;
use engine::document::Document;
use engine::finding::{Finding, Severity};
use engine::quantity::{Quantity, Unit};
use engine::sitting::{Sitting, StaysAs, Tried, weight};
use engine::sizing::{Reason, kilograms};
use serde_json::{Value, json};

use super::json::{assumed as assumptions, rules, subject, text as reply, word};
use super::layout::{table, wrapped};
use super::{assumed, harmless, rules_in_force};

/// Most choices of places for several parts that are shown to people.
const MOST_ROWS: usize = 10;

/// What a result rests on.
const FOOT: &str = "Copper, wire and bulkheads are of the wires whose length hangs on the places; drop is the greatest of \
    the loads that they feed or lead back from. All checks were run on the job for each row.";

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, sitting: &Result<Sitting, Reason>) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    let sitting = match sitting {
        Ok(sitting) => sitting,
        Err(reason) => {
            wrapped(&mut out, "", &format!("No place was found: {}.", reason.what));
            return out;
        }
    };
    wrapped(&mut out, "", &sitting.why(document));
    out.push('\n');
    out.push_str("Places, the best first\n");
    let shown = match sitting.parts.len() {
        1 => &sitting.tried[..],
        _ => &sitting.tried[..sitting.tried.len().min(MOST_ROWS)],
    };
    let mut rows =
        vec![["", "copper", "wire", "bulkheads", "drop", "Stop", "Look", ""].map(str::to_owned).to_vec()];
    rows.extend(shown.iter().map(|tried| row(sitting, document, tried)));
    if let Some(now) = sitting.now.as_ref().filter(|now| !shown.contains(now)) {
        rows.push(row(sitting, document, now));
    }
    table(&mut out, &rows);
    let n_more = sitting.tried.len() - shown.len();
    if n_more > 0 {
        wrapped(&mut out, "", &format!("{n_more} more were tried."));
    }
    out.push('\n');
    for tried in shown.iter().filter(|tried| !tried.differences().is_empty()) {
        let title = tried.title(sitting, document);
        wrapped(&mut out, "  ", &format!("{title}: {}.", tried.differences()));
    }
    for note in sitting.notes(document) {
        wrapped(&mut out, "", &note);
    }
    let total = weight(sitting.best().job_copper);
    wrapped(&mut out, "", &format!("Copper of the whole job at the best places: {total}. {FOOT}"));
    rules_in_force(&mut out, circuit);
    out.push_str("Calculated, not measured.\n");
    assumed::for_checks(&mut out, circuit);
    out
}

fn row(sitting: &Sitting, document: &Document, tried: &Tried) -> Vec<String> {
    let quantity = |value, unit| Quantity::new(value, unit).map_or_else(|| "-".to_owned(), |q| q.to_string());
    let drop = tried.drop.as_ref().map(|(_, share)| quantity(100.0 * share, Unit::Percent));
    let is_now = sitting.now.as_ref().is_some_and(|now| now.places == tried.places);
    vec![
        harmless(&tried.title(sitting, document)),
        weight(tried.copper),
        quantity(tried.wire_m, Unit::Metre),
        tried.n_bulkheads.to_string(),
        drop.unwrap_or_else(|| "-".to_owned()),
        tried.n_stops.to_string(),
        tried.n_looks.to_string(),
        if is_now { "now" } else { "" }.to_owned(),
    ]
}

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, sitting: &Result<Sitting, Reason>) -> String {
    let title = &document.card.title;
    let sitting = match sitting {
        Ok(sitting) => sitting,
        Err(reason) => {
            let about = reason.subject.as_ref().map(subject);
            return reply(&json!({ "job": title, "found": false, "reason": reason.what, "subject": about }));
        }
    };
    let stays: Vec<Value> = (sitting.stays.iter())
        .map(|stays| match &stays.why {
            StaysAs::Typed => json!({ "wire": stays.wire.as_str(), "why": "typed" }),
            StaysAs::EndsNowhere(part) => {
                json!({ "wire": stays.wire.as_str(), "why": "ends nowhere", "part": part.as_str() })
            }
        })
        .collect();
    let not_joined: Vec<Value> = (sitting.not_joined.iter())
        .map(|(part, place)| json!({ "part": part.as_str(), "place": place.as_str() }))
        .collect();
    reply(&json!({
        "job": title,
        "found": true,
        "parts": sitting.parts.iter().map(|part| part.as_str()).collect::<Vec<_>>(),
        "why": sitting.why(document),
        "now": sitting.now.as_ref().map(|now| told(sitting, now)),
        "best": told(sitting, sitting.best()),
        "proved": sitting.is_proved,
        "left_out_copper_g": sitting.left_out.map(grams),
        "tried": sitting.tried.iter().map(|tried| told(sitting, tried)).collect::<Vec<_>>(),
        "wires": sitting.wires.iter().map(|wire| wire.as_str()).collect::<Vec<_>>(),
        "assumed_size": sitting.assumed.iter().map(|wire| wire.as_str()).collect::<Vec<_>>(),
        "unchanged": stays,
        "not_joined": not_joined,
        "rules": rules(circuit),
        "assumed": assumptions(circuit),
    }))
}

fn grams(mm2_m: f64) -> f64 {
    1000.0 * kilograms(mm2_m)
}

fn told(sitting: &Sitting, tried: &Tried) -> Value {
    let places = sitting.parts.iter().zip(&tried.places);
    let places = places.map(|(part, place)| (part.to_string(), json!(place.as_str())));
    let findings = |findings: &[Finding]| -> Vec<Value> {
        let one = |finding: &Finding| {
            json!({
                "check": finding.check,
                "severity": word(finding.severity),
                "subject": subject(&finding.subject),
                "message": finding.message,
            })
        };
        findings.iter().map(one).collect()
    };
    json!({
        "places": places.collect::<serde_json::Map<String, Value>>(),
        "copper_g": grams(tried.copper),
        "job_copper_g": grams(tried.job_copper),
        "wire_m": tried.wire_m,
        "bulkheads": tried.n_bulkheads,
        "drop_percent": tried.drop.as_ref().map(|(_, share)| 100.0 * share),
        "drop_of": tried.drop.as_ref().map(|(load, _)| subject(load)),
        "stops": tried.n_stops,
        "looks": tried.n_looks,
        "new_stops": tried.n_new(Severity::Stop),
        "new_looks": tried.n_new(Severity::Look),
        "new": findings(&tried.come),
        "gone": findings(&tried.gone),
    })
}
