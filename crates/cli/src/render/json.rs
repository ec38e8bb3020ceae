//! Replies for programs: one object each, with ids and with units in the keys.

use engine::check::Check;
use engine::circuit::Circuit;
use engine::document::{Document, Edit, InState, Part, Situation, sentence};
use engine::file::escape_invisible;
use engine::finding::{Finding, Severity};
use engine::path::{CurrentPath, in_words};
use engine::protection::ledger::Ledger;
use engine::quantity::{Amps, Quantity};
use engine::reading::{Flow, PartReading, Readings};
use engine::solve::{Action, Solution};
use engine::subject::Subject;
use engine::sweep::{Component, Outcome, Proof, Sweep};
use engine::working::Working;
use serde_json::{Map, Value, json};

use crate::command::sweep::Ruled;

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

fn word(severity: Severity) -> String {
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
    let findings: Vec<Value> = findings.iter().map(finding).collect();
    text(&json!({
        "job": document.card.title,
        "findings": findings,
        "counts": counts,
        "assumed": assumed(circuit),
    }))
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
fn working(working: &Working) -> Value {
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

/// Reply of `protect`.
pub fn protect(document: &Document, circuit: &Circuit, ledger: &Ledger) -> String {
    let amps = |amps: Option<Amps>| amps.map(Amps::get);
    let fuses: Map<String, Value> = ledger
        .fuses
        .iter()
        .map(|row| {
            let told = json!({
                "rating_a": amps(row.rated),
                "fault_lowest_a": amps(row.fault_lowest),
                "fault_highest_a": amps(row.fault_highest),
                "opens_s": row.opens_s,
                "breaking_a": amps(row.breaks),
                "verdict": row.standing.word(),
            });
            (row.subject.id(), told)
        })
        .collect();
    let wires: Map<String, Value> = ledger
        .wires
        .iter()
        .map(|row| {
            let told = json!({
                "fuses": row.fuses.iter().map(Subject::id).collect::<Vec<_>>(),
                "rating_a": amps(row.rated),
                "ampacity_a": amps(row.stands),
                "may_pass_a": amps(row.may_pass),
                "fault_lowest_a": amps(row.fault_lowest),
                "fault_highest_a": amps(row.fault_highest),
                "slowest_at_a": amps(row.at),
                "opens_s": row.opens_s,
                "endures_s": row.endures_s,
                "verdict": row.standing.word(),
            });
            (row.subject.id(), told)
        })
        .collect();
    text(&json!({
        "job": document.card.title,
        "fuses": fuses,
        "wires": wires,
        "assumed": assumed(circuit),
    }))
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

/// Actions as objects with one key: the part, and the position it is put into.
fn actions(document: &Document, actions: &[Action]) -> Value {
    let parts = &document.network.parts;
    let one = |(part, position): &Action| {
        let part = &parts[*part];
        let position = part.positions().get(usize::from(*position)).copied().unwrap_or_default();
        json!({ part.id.as_str(): position })
    };
    Value::Array(actions.iter().map(one).collect())
}

/// Positions away from rest, by part.
fn away(document: &Document, positions: &[u8]) -> Value {
    let parts = document.network.parts.iter().zip(positions).filter(|(_, position)| **position != 0);
    let named = parts.filter_map(|(part, position)| {
        let name = part.positions().get(usize::from(*position))?;
        Some((part.id.to_string(), json!(name)))
    });
    Value::Object(named.collect())
}

/// Reply of `sweep`.
pub fn sweep(document: &Document, circuit: &Circuit, sweep: &Sweep, ruled: &[Ruled]) -> String {
    let components: Vec<Value> =
        sweep.components.iter().map(|component| self::component(document, circuit, component)).collect();
    let interlocks: Vec<Value> = ruled
        .iter()
        .map(|one| {
            let mut reply = proof(document, &one.proof);
            reply["interlock"] = json!(sentence::print(&one.interlock, &document.network));
            reply["load"] = json!(one.interlock.load.as_str());
            if !one.interlock.reason.is_empty() {
                reply["reason"] = json!(one.interlock.reason);
            }
            if let Some(source) = one.source {
                reply["source"] = json!(source);
            }
            reply
        })
        .collect();
    text(&json!({
        "job": document.card.title,
        "complete": sweep.is_complete(),
        "components": components,
        "interlocks": interlocks,
    }))
}

fn component(document: &Document, circuit: &Circuit, component: &Component) -> Value {
    let explored = &component.explored;
    let id = |branch: usize| circuit.subject(branch).id();
    let inputs: Vec<&str> = explored
        .inputs
        .iter()
        .map(|input| document.network.parts[circuit.inputs[*input].part].id.as_str())
        .collect();
    let devices: Vec<String> =
        component.devices.iter().map(|device| id(circuit.devices[*device].branch)).collect();
    let situations: Vec<Value> = explored
        .situations()
        .iter()
        .map(|situation| {
            let states: Vec<Value> = situation
                .nodes
                .iter()
                .map(|index| {
                    let node = &explored.nodes[*index];
                    let works = component.loads.iter().filter(|load| node.lit.contains(load));
                    let on = component.devices.iter().filter(|device| node.state.devices[**device]);
                    json!({
                        "after": actions(document, &explored.actions(*index)),
                        "lasts": node.lasts,
                        "on": on.map(|device| id(circuit.devices[*device].branch)).collect::<Vec<_>>(),
                        "works": works.map(|load| id(*load)).collect::<Vec<_>>(),
                    })
                })
                .collect();
            let mut reply = json!({
                "set": away(document, situation.positions),
                "verdict": situation.verdict.word(),
                "states": states,
            });
            if let Some(trouble) = situation.trouble {
                reply["after"] = actions(document, &explored.actions_of(trouble.before));
                let restless: Vec<String> =
                    trouble.restless.iter().map(|device| id(circuit.devices[*device].branch)).collect();
                reply["restless"] = json!(restless);
            }
            reply
        })
        .collect();
    json!({
        "inputs": inputs,
        "devices": devices,
        "loads": component.loads.iter().map(|load| id(*load)).collect::<Vec<_>>(),
        "complete": explored.is_complete,
        "combinations": explored.n_combinations,
        "seen": explored.n_seen,
        "situations": situations,
    })
}

fn proof(document: &Document, proof: &Proof) -> Value {
    let outcome = match &proof.outcome {
        Outcome::Proved => "proved",
        Outcome::Broken { .. } => "broken",
        Outcome::NotFinished => "not finished",
        Outcome::NotKnown(_) => "not known",
        Outcome::Waived => "waived",
    };
    let mut reply = json!({
        "outcome": outcome,
        "states": proof.n_states,
        "unsolved": proof.n_unsolved,
        "combinations": proof.n_combinations,
        "seen": proof.n_seen,
    });
    match &proof.outcome {
        Outcome::Broken { actions: way, positions, lasts } => {
            reply["after"] = actions(document, way);
            reply["set"] = away(document, positions);
            reply["lasts"] = json!(lasts);
        }
        Outcome::NotKnown(part) => reply["part"] = json!(part.as_str()),
        _ => {}
    }
    reply
}

/// Reply of `sweep --reach`.
pub fn reach(document: &Document, wanted: &[InState], found: &Proof) -> String {
    let states: Vec<Value> = wanted
        .iter()
        .map(|one| {
            let mut state = json!({ "part": one.part.as_str(), "is": one.is });
            if !one.name.is_empty() {
                state["name"] = json!(one.name);
            }
            state
        })
        .collect();
    let mut reply = proof(document, found);
    reply["outcome"] = json!(match &found.outcome {
        Outcome::Broken { .. } => "reached",
        Outcome::Proved => "never",
        Outcome::NotKnown(_) => "not known",
        _ => "not finished",
    });
    reply["wanted"] = Value::Array(states);
    text(&reply)
}
