//! Replies for programs: one object each, with ids and with units in the keys.

use engine::check::Check;
use engine::circuit::Circuit;
use engine::conductor::CurrentTable;
use engine::document::{Document, Edit, Part, Situation};
use engine::file::escape_invisible;
use engine::finding::{Finding, Severity};
use engine::path::{CurrentPath, in_words};
use engine::protection::FuseRule;
use engine::protection::rules::fuse_rule_title;
use engine::quantity::{Amps, Quantity};
use engine::reading::{Flow, PartReading, Readings};
use engine::solve::Solution;
use engine::subject::Subject;
use engine::working::Working;
use serde_json::{Map, Value, json};

/// The object as text, ending in a newline.
pub fn text(reply: &Value) -> String {
    format!("{}\n", escape_invisible(&format!("{reply:#}")))
}

/// A subject by what it is and its id.
pub fn subject(subject: &Subject) -> Value {
    json!({ subject.key(): subject.id() })
}

fn quantity(quantity: &Quantity) -> Value {
    json!({ "value": quantity.value, "unit": quantity.unit.symbol() })
}

/// The word of a severity.
pub fn word(severity: Severity) -> String {
    severity.word().to_lowercase()
}

/// Reply of `check`.
pub fn check(document: &Document, circuit: &Circuit, findings: &[Finding]) -> String {
    let counts: Map<String, Value> = Severity::ALL
        .into_iter()
        .map(|severity| {
            (word(severity), json!(findings.iter().filter(|finding| finding.severity == severity).count()))
        })
        .collect();
    let findings: Vec<Value> = findings
        .iter()
        .map(|one| {
            let mut told = finding(one);
            if let Some(accepted) = one.accepted(&document.accepted) {
                told["accepted"] = json!({ "by": accepted.by, "why": accepted.why, "date": accepted.date });
            }
            told
        })
        .collect();
    text(&json!({
        "job": document.card.title,
        "findings": findings,
        "counts": counts,
        "rules": rules(circuit),
        "assumed": assumed(circuit),
    }))
}

/// The table and the rule that limits go by.
pub fn rules(circuit: &Circuit) -> Value {
    let settings = &circuit.resolved.settings;
    json!({
        "current_table": CurrentTable::of(settings).title(),
        "fuse_rule": fuse_rule_title(settings),
        "fuse_over_current": FuseRule::of(settings).factor,
    })
}

/// Everything that was assumed, one entry each.
pub fn assumed(circuit: &Circuit) -> Vec<Value> {
    circuit
        .resolved
        .assumptions
        .iter()
        .map(|assumption| {
            json!({
                "subject": subject(&assumption.subject),
                "key": assumption.key,
                "value": assumption.value.map(|quantity| quantity.value),
                "text": assumption.text,
                "judged": assumption.unjudged.is_none(),
            })
        })
        .collect()
}

fn finding(finding: &Finding) -> Value {
    let because: Vec<Value> = finding
        .because
        .iter()
        .map(|label| json!({ "subject": subject(&label.subject), "text": label.text }))
        .collect();
    let help: Vec<Value> = finding
        .help
        .iter()
        .map(|help| match help.fix.is_empty() {
            true => json!({ "text": help.text }),
            false => json!({ "text": help.text, "fix": help.fix.iter().map(changed).collect::<Value>() }),
        })
        .collect();
    let mut reply = json!({
        "check": finding.check,
        "severity": word(finding.severity),
        "message": finding.message,
        "subject": subject(&finding.subject),
        "because": because,
    });
    if let Some(measured) = &finding.measured {
        reply["measured"] = quantity(measured);
        reply["basis"] = json!(finding.basis.word());
    }
    if let Some(allowed) = &finding.allowed {
        reply["allowed"] = quantity(allowed);
    }
    reply["help"] = Value::Array(help);
    reply["source"] = json!(finding.source);
    reply["working"] = finding.working.iter().map(working).collect();
    reply
}

/// What an edit of a fix changes.
fn changed(edit: &Edit) -> Value {
    match edit {
        Edit::ChangeWire(wire) => json!({ "wire": wire.id.as_str() }),
        Edit::ChangePart(part) => json!({ "part": part.id.as_str() }),
        Edit::Add { parts, wires, .. } => json!({
            "parts": parts.iter().map(|part| part.id.as_str()).collect::<Vec<_>>(),
            "wires": wires.iter().map(|wire| wire.id.as_str()).collect::<Vec<_>>(),
        }),
        _ => json!({}),
    }
}

/// How a number came about.
pub fn working(working: &Working) -> Value {
    let inputs: Vec<Value> = working
        .inputs
        .iter()
        .map(|input| {
            json!({
                "symbol": input.symbol,
                "what": input.what,
                "value": input.value.value,
                "unit": input.value.unit.symbol(),
                "basis": input.basis.word(),
            })
        })
        .collect();
    json!({
        "what": working.what,
        "formula": working.formula,
        "inputs": inputs,
        "result": quantity(&working.result),
        "source": working.source,
    })
}

/// Reply of `explain` about a part or wire.
pub fn workings(situation: &Situation, of: &Subject, workings: &[Working], findings: &[Finding]) -> String {
    text(&json!({
        "subject": subject(of),
        "situation": situation.name,
        "working": workings.iter().map(working).collect::<Value>(),
        "findings": findings.iter().map(finding).collect::<Value>(),
    }))
}

/// Reply of `solve`.
pub fn solve(circuit: &Circuit, situation: &Situation, solution: &Solution, readings: &Readings) -> String {
    let volts = |(terminal, volts): &(_, Option<engine::quantity::Volts>)| {
        (engine::ids::TerminalRef::to_string(terminal), json!(volts.map(engine::quantity::Volts::get)))
    };
    let terminals: Map<String, Value> = readings.terminals.iter().map(volts).collect();
    let wires: Map<String, Value> =
        readings.wires.iter().map(|(id, reading)| (id.to_string(), flow(reading, "drop_v"))).collect();
    let parts: Map<String, Value> =
        readings.parts.iter().map(|(id, reading)| (id.to_string(), part(reading))).collect();
    let opening: Vec<Value> = readings
        .opening
        .iter()
        .map(|one| {
            json!({ "subject": subject(&Subject::Part(one.part.clone())), "rating_a": one.rated.get(), "amps": one.amps.get() })
        })
        .collect();
    let restless: Vec<Value> = solution
        .restless
        .iter()
        .map(|device| subject(&circuit.subject(circuit.devices[*device].branch)))
        .collect();
    text(&json!({
        "situation": situation.name,
        "verdict": solution.verdict.word(),
        "restless": restless,
        "opening": opening,
        "terminals": terminals,
        "wires": wires,
        "parts": parts,
        "balance": readings.balance.as_ref().map(|balance| {
            json!({ "current_a": balance.current_a, "power_w": balance.power_w })
        }),
        "assumed": assumed(circuit),
    }))
}

fn flow(flow: &Flow, volts: &str) -> Value {
    json!({
        "amps": flow.amps.map(Amps::get),
        volts: flow.volts.map(engine::quantity::Volts::get),
        "watts": flow.watts.map(engine::quantity::Watts::get),
    })
}

fn part(reading: &PartReading) -> Value {
    let mut reply = json!({
        "state": reading.state,
        "volts": reading.flow.volts.map(engine::quantity::Volts::get),
        "amps": reading.flow.amps.map(Amps::get),
        "watts": reading.flow.watts.map(engine::quantity::Watts::get),
    });
    if !reading.loads.is_empty() {
        let loads: Map<String, Value> =
            reading.loads.iter().map(|(name, load)| ((*name).to_owned(), part(load))).collect();
        reply["loads"] = Value::Object(loads);
    }
    reply
}

/// Reply of `paths`.
pub fn paths(circuit: &Circuit, load: &Part, situation: &Situation, paths: &[CurrentPath]) -> String {
    let stations: Vec<Vec<String>> =
        paths.iter().map(|path| path.steps.iter().map(ToString::to_string).collect()).collect();
    let words: Vec<String> = paths.iter().map(|path| in_words(circuit, path)).collect();
    text(&json!({
        "load": load.id.as_str(),
        "situation": situation.name,
        "paths": stations,
        "words": words,
    }))
}

/// Reply of `explain` with a name.
pub fn manual(check: &Check) -> String {
    text(&json!({ "check": check.name, "summary": check.summary, "manual": check.manual() }))
}

/// Reply of `explain` without a name.
pub fn manuals(checks: &[&Check]) -> String {
    let checks: Vec<Value> =
        checks.iter().map(|check| json!({ "check": check.name, "summary": check.summary })).collect();
    text(&json!({ "checks": checks }))
}
