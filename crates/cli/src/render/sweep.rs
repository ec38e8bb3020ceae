//! The answers of `sweep`, as text and as JSON.

use engine::circuit::Circuit;
use engine::document::{Document, InState, Interlock, Network, Part, sentence};
use engine::solve::{Action, Verdict};
use engine::sweep::{Component, Explored, Outcome, Proof, Sweep, words};
use serde_json::{Value, json};

use super::json::text as reply;
use super::layout::wrapped;

/// An interlock and what came out for it.
pub struct Ruled {
    /// The interlock.
    pub interlock: Interlock,
    /// Where it comes from, when it is a usual one and not the job's own.
    pub source: Option<&'static str>,
    /// Whether it holds.
    pub proof: Proof,
}

/// What a set of switches and donor circuits comes to, in a sentence.
fn counted(explored: &Explored) -> String {
    let (seen, of) = (explored.n_seen, explored.n_combinations);
    let states = match explored.nodes.len() {
        1 => "one state".to_owned(),
        n => format!("{n} states"),
    };
    match explored.is_complete {
        true => format!("all {of} combinations of positions, {states}"),
        false => format!("not finished: {seen} of {of} combinations of positions, {states} so far"),
    }
}

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, sweep: &Sweep, ruled: &[Ruled]) -> String {
    let network = &document.network;
    let mut out = String::new();
    out.push_str("Sets of switches and donor circuits that decide something alone\n");
    for component in &sweep.components {
        let explored = &component.explored;
        let names = words::inputs(circuit, component);
        let names = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
        out.push('\n');
        wrapped(&mut out, "", &format!("{names}: {}", counted(explored)));
        let decided = words::decided(circuit, component);
        if !decided.is_empty() {
            wrapped(&mut out, "  decides   ", &decided.join(", "));
        }
        troubles(&mut out, network, explored);
    }
    if !ruled.is_empty() {
        out.push_str("\nInterlocks\n");
        for one in ruled {
            out.push('\n');
            wrapped(&mut out, "  ", &sentence::print(&one.interlock, network));
            wrapped(&mut out, "    ", &outcome(network, &one.proof));
            if let Some(source) = one.source {
                wrapped(&mut out, "    usual: ", source);
            }
            if !one.interlock.reason.is_empty() {
                wrapped(&mut out, "    because: ", &one.interlock.reason);
            }
        }
    }
    out.push_str("\nCalculated, not measured.\n");
    out
}

/// What does not come to rest, and what remembers: of several alike the one with the fewest actions.
fn troubles(out: &mut String, network: &Network, explored: &Explored) {
    let mut told: Vec<(Verdict, &[usize], usize)> = Vec::new();
    for (index, trouble) in explored.troubles.iter().enumerate() {
        let alike = |(verdict, restless, _): &(Verdict, &[usize], usize)| {
            *verdict == trouble.verdict && *restless == &trouble.restless[..]
        };
        if told.iter().any(alike) {
            continue;
        }
        told.push((trouble.verdict, &trouble.restless, index));
        let others = explored.troubles[index + 1..]
            .iter()
            .filter(|other| other.verdict == trouble.verdict && other.restless == trouble.restless)
            .count();
        let more = match others {
            0 => String::new(),
            1 => " The same in one other combination of positions.".to_owned(),
            n => format!(" The same in {n} other combinations of positions."),
        };
        let after = words::after(network, &explored.actions_of(trouble.before));
        wrapped(
            out,
            &format!("  {:<10}", trouble.verdict.word()),
            &format!("{after}. {}{more}", trouble.verdict.meaning()),
        );
    }
    let situations = explored.situations();
    let remembering: Vec<_> =
        situations.iter().filter(|situation| situation.verdict == Verdict::History).collect();
    if let Some(first) = remembering.first() {
        let ways: Vec<String> =
            first.nodes.iter().map(|node| words::after(network, &explored.actions(*node))).collect();
        let more = match remembering.len() {
            1 => String::new(),
            n => format!("; {n} combinations of positions remember"),
        };
        wrapped(out, "  history   ", &format!("one state {}{more}", ways.join(", another ")));
    }
}

/// What came out for an interlock, in a sentence.
fn outcome(network: &Network, proof: &Proof) -> String {
    match &proof.outcome {
        Outcome::Proved => format!(
            "proved: it holds in all {} states of {} combinations of positions",
            proof.n_states, proof.n_combinations
        ),
        Outcome::Broken { actions, lasts, .. } => {
            let again = if *lasts { "" } else { ", again and again" };
            format!("broken {}{again}", words::after(network, actions))
        }
        Outcome::NotFinished => format!(
            "not finished: it holds in {} states of {} of {} combinations of positions; nothing is known of {} states",
            proof.n_states - proof.n_unsolved,
            proof.n_seen,
            proof.n_combinations,
            proof.n_unsolved
        ),
        Outcome::NotKnown(part) => {
            let title = network.part(part).map_or(part.as_str(), Part::title);
            format!("not known: what decides it has not been said of {title}")
        }
        Outcome::Waived => "waived".to_owned(),
    }
}

/// Answer of `sweep --reach` for people.
pub fn reach_text(document: &Document, wanted: &[InState], proof: &Proof) -> String {
    let network = &document.network;
    let states: Vec<String> = wanted.iter().map(|one| sentence::print_state(one, network)).collect();
    let mut out = String::new();
    wrapped(&mut out, "State      ", &states.join(" and "));
    let told = match &proof.outcome {
        Outcome::Broken { actions, .. } => format!("reached {}", words::after(network, actions)),
        Outcome::Proved => format!(
            "never reached: looked at all {} states of {} combinations of positions",
            proof.n_states, proof.n_combinations
        ),
        _ => format!("not reached: {}", outcome(network, proof)),
    };
    wrapped(&mut out, "Sweep      ", &told);
    out.push_str("\nCalculated, not measured.\n");
    out
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

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, sweep: &Sweep, ruled: &[Ruled]) -> String {
    let components: Vec<Value> =
        sweep.components.iter().map(|component| self::component(document, circuit, component)).collect();
    let interlocks: Vec<Value> = ruled
        .iter()
        .map(|one| {
            let mut told = proof(document, &one.proof);
            told["interlock"] = json!(sentence::print(&one.interlock, &document.network));
            told["load"] = json!(one.interlock.load.as_str());
            if !one.interlock.reason.is_empty() {
                told["reason"] = json!(one.interlock.reason);
            }
            if let Some(source) = one.source {
                told["source"] = json!(source);
            }
            told
        })
        .collect();
    reply(&json!({
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
            let mut told = json!({
                "set": away(document, situation.positions),
                "verdict": situation.verdict.word(),
                "states": states,
            });
            if let Some(trouble) = situation.trouble {
                told["after"] = actions(document, &explored.actions_of(trouble.before));
                let restless: Vec<String> =
                    trouble.restless.iter().map(|device| id(circuit.devices[*device].branch)).collect();
                told["restless"] = json!(restless);
            }
            told
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
    let mut told = json!({
        "outcome": outcome,
        "states": proof.n_states,
        "unsolved": proof.n_unsolved,
        "combinations": proof.n_combinations,
        "seen": proof.n_seen,
    });
    match &proof.outcome {
        Outcome::Broken { actions: way, positions, lasts } => {
            told["after"] = actions(document, way);
            told["set"] = away(document, positions);
            told["lasts"] = json!(lasts);
        }
        Outcome::NotKnown(part) => told["part"] = json!(part.as_str()),
        _ => {}
    }
    told
}

/// Answer of `sweep --reach` for programs.
pub fn reach_json(document: &Document, wanted: &[InState], found: &Proof) -> String {
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
    let mut told = proof(document, found);
    told["outcome"] = json!(match &found.outcome {
        Outcome::Broken { .. } => "reached",
        Outcome::Proved => "never",
        Outcome::NotKnown(_) => "not known",
        _ => "not finished",
    });
    told["wanted"] = Value::Array(states);
    reply(&told)
}
