//! Memory that nobody asked for.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::race::listed;
use crate::check::swept::is_of_this_job;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::solve::Verdict;
use crate::subject::Subject;
use crate::sweep::{Component, Reachable, words};

declare_check! {
    /// Finds positions of the switches and donor circuits in which it depends on what was done before what works.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to; where two of them have the same
    /// positions and both last, the circuit remembers.
    /// Where a push button has a say, memory is what it is for, and nothing is told.
    ///
    /// # Why it matters
    ///
    /// A relay that holds itself stays on when its switch goes off; an electronic lamp that starts at one voltage and
    /// stays on at a lower one burns or stays dark as it happens.
    ///
    /// # Example
    ///
    /// The output of a relay runs back to its own coil behind the switch.
    ///
    /// # What to do
    ///
    /// Take the way out that feeds the coil from its own contact, or put a diode into it.
    name: "latches",
    summary: "what works depends on what was done before",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "volt-drop", "chatter", "race"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut told: Vec<Vec<usize>> = Vec::new();
    for component in &context.survey.sweep().components {
        if has_button(context, component) {
            continue;
        }
        for situation in component.explored.situations() {
            let nodes = |index: &usize| &component.explored.nodes[*index];
            let sound = situation.nodes.iter().map(nodes).all(|node| node.lasts && node.is_solved);
            if situation.verdict == Verdict::History && sound {
                let devices = differing(&situation, component);
                let of_job =
                    |device: &usize| is_of_this_job(context, context.circuit.devices[*device].branch);
                if !told.contains(&devices) && devices.iter().any(of_job) {
                    findings.extend(finding(context, component, &situation, &devices));
                    told.push(devices);
                }
            }
        }
    }
}

/// A push button is there to be remembered.
fn has_button(context: &Context<'_>, component: &Component) -> bool {
    let circuit = context.circuit;
    component.explored.inputs.iter().any(|input| {
        let part = &circuit.resolved.network.parts[circuit.inputs[*input].part];
        part.positions().contains(&"pressed")
    })
}

fn differing(situation: &Reachable<'_>, component: &Component) -> Vec<usize> {
    let states: Vec<&[bool]> =
        situation.nodes.iter().map(|node| &component.explored.nodes[*node].state.devices[..]).collect();
    (0..states[0].len())
        .filter(|device| states.iter().any(|state| state[*device] != states[0][*device]))
        .collect()
}

fn finding(
    context: &Context<'_>,
    component: &Component,
    situation: &Reachable<'_>,
    devices: &[usize],
) -> Option<Finding> {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subjects: Vec<Subject> =
        devices.iter().map(|device| circuit.subject(circuit.devices[*device].branch)).collect();
    let first = subjects.first()?.clone();
    let actions = |node: usize| component.explored.actions(situation.nodes[node]);
    let is_on = |node: usize| component.explored.nodes[situation.nodes[node]].state.devices[devices[0]];
    let other = (1..situation.nodes.len()).find(|node| is_on(*node) != is_on(0))?;
    let state = |node: usize| if is_on(node) { "on" } else { "off" };
    let mut because = steps(context, &actions(other));
    because
        .extend(subjects[1..].iter().map(|one| Label { subject: one.clone(), text: "with it".to_owned() }));
    Some(Finding {
        check: CHECK.name,
        severity: Severity::Look,
        message: format!(
            "{} what was done before: in the same positions {} is {} {}, and {} {}",
            if subjects.len() > 1 {
                format!(
                    "{} remember",
                    listed(&subjects.iter().map(|one| one.title(network)).collect::<Vec<_>>())
                )
            } else {
                format!("{} remembers", first.title(network))
            },
            first.title(network),
            state(0),
            words::after(network, &actions(0)),
            state(other),
            words::after(network, &actions(other)),
        ),
        subject: first,
        because,
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(
            "if it is not meant to hold itself, find the way from its own contact to its coil and take it out, or put a diode into it",
        )],
        source: "computed: both states last in the same positions".to_owned(),
        working: Vec::new(),
        touches: subjects,
    })
}
