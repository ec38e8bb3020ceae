//! Labels that two things carry.

use std::collections::BTreeMap;

use crate::check::Context;
use crate::document::{Edit, Labels, Network, Part, Status, Wire};
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::subject::Subject;

declare_check! {
    /// Finds labels that several parts or several wires carry.
    ///
    /// # What it checks
    ///
    /// Each label among the parts, and each among the wires, that are not to be taken out.
    ///
    /// # Why it matters
    ///
    /// Lists, labels on the cable and instructions name things by their labels; with two of a name the wrong one is cut.
    ///
    /// # Example
    ///
    /// Two relays that are both called K1.
    ///
    /// # What to do
    ///
    /// Give one of them another label.
    name: "label-used-twice",
    summary: "several parts or wires carry the same label",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    let parts = network
        .parts
        .iter()
        .filter(|part| part.status != Status::Remove)
        .map(|part| (("parts", part.label.as_str()), Subject::Part(part.id.clone())));
    let wires = network
        .wires
        .iter()
        .filter(|wire| wire.status != Status::Remove)
        .map(|wire| (("wires", wire.label.as_str()), Subject::Wire(wire.id.clone())));
    let mut by_label: BTreeMap<(&str, &str), Vec<Subject>> = BTreeMap::new();
    for (label, subject) in parts.chain(wires).filter(|((_, label), _)| !label.is_empty()) {
        by_label.entry(label).or_default().push(subject);
    }
    for ((what, label), subjects) in by_label {
        let [first, others @ ..] = &subjects[..] else { continue };
        if others.is_empty() {
            continue;
        }
        let message = format!("{} {what} are called {label}", subjects.len());
        let because = others.iter().map(|other| Label {
            subject: other.clone(),
            text: format!("is the {} with this label", other.key()),
        });
        findings.push(Finding {
            because: because.collect(),
            help: vec![Help::words("give each a label of its own").with_fix(renamed(network, &subjects))],
            touches: subjects.clone(),
            ..Finding::of(CHECK.name, Severity::Look, first.clone(), message, "common practice, no source")
        });
    }
}

/// Every new part and wire but the first with the label, or all of them where something was there before, under the next
/// label like it that is free.
fn renamed(network: &Network, subjects: &[Subject]) -> Vec<Edit> {
    let is_old = |subject: &&Subject| match subject {
        Subject::Part(id) => network.part(id).is_some_and(|part| part.status != Status::New),
        Subject::Wire(id) => network.wire(id).is_some_and(|wire| wire.status != Status::New),
        _ => false,
    };
    let keeps = subjects.iter().find(is_old).or(subjects.first());
    let mut labels = Labels::of(network);
    let change = |subject: &Subject| match subject {
        Subject::Part(id) => {
            let part = network.part(id).filter(|part| part.status == Status::New)?;
            Some(Edit::ChangePart(Part { label: labels.part_like(&part.label), ..part.clone() }))
        }
        Subject::Wire(id) => {
            let wire = network.wire(id).filter(|wire| wire.status == Status::New)?;
            Some(Edit::ChangeWire(Wire { label: labels.wire_like(&wire.label), ..wire.clone() }))
        }
        _ => None,
    };
    subjects.iter().filter(|subject| Some(*subject) != keeps).filter_map(change).collect()
}
