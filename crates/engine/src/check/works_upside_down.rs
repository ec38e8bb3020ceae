//! Loads that work while everything is off.

use crate::check::{Context, remedy};
use crate::circuit::{Gate, Origin};
use crate::document::{Edit, Status};
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::Role;
use crate::path::{Step, current_paths};
use crate::sweep::works;

declare_check! {
    /// Finds loads that work through the break contact of a relay while everything is at rest.
    ///
    /// # What it checks
    ///
    /// With every switch off and every signal absent: new loads that work, and get their current through a contact that
    /// closes when its relay lets go.
    ///
    /// # Why it matters
    ///
    /// The load is on while the vehicle is parked and goes out when it is switched on: every voltage looks healthy, and
    /// the battery is flat in the morning.
    ///
    /// # Example
    ///
    /// Driving lamps on 87a instead of 87.
    ///
    /// # What to do
    ///
    /// Move the wire from the break contact to the make contact.
    name: "works-upside-down",
    summary: "a load works while everything is off and goes out when it is switched on",
    harm: Harm::Failure,
    explained_by: &["unconnected-terminal"],
    run: run,
}

/// What ends on the break contact of a relay moved to its make contact, which must be free.
fn to_make_contact(context: &Context<'_>, rests: usize) -> Vec<Edit> {
    let circuit = context.circuit;
    let is_make = |index: &usize| {
        let branch = &circuit.branches[*index];
        matches!(branch.gate, Gate::Device(_, true))
            && branch.origin.part() == circuit.branches[rests].origin.part()
    };
    let make = (0..circuit.branches.len()).find(is_make).and_then(|make| context.terminals_of(make));
    match (context.terminals_of(rests), make) {
        (Some([_, from]), Some([_, to])) if context.ends_at(&to) == 0 => {
            remedy::taken_over(&circuit.resolved.network, &from, &to)
        }
        _ => Vec::new(),
    }
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let Some(rest) = context.survey.situations.first().and_then(|surveyed| surveyed.rests().next()) else {
        return;
    };
    for (branch, load) in circuit.loads() {
        let is_new = context.part_of(branch).is_some_and(|(_, part)| part.status == Status::New);
        if !is_new || !context.is_judged(branch) || !works(circuit, rest, branch, load) {
            continue;
        }
        let Some(path) = current_paths(circuit, rest, branch).into_iter().next() else { continue };
        let on_path = |part: usize| {
            let id = &network.parts[part].id;
            path.steps.iter().any(|step| matches!(step, Step::Terminal(terminal) if terminal.part == *id))
        };
        let released = circuit.branches.iter().enumerate().find(|(index, contact)| {
            let Origin::Part(part, _) = contact.origin else { return false };
            matches!(contact.gate, Gate::Device(_, false))
                && contact.role == Role::Path
                && rest.steady.amps(*index).abs() > 0.0
                && on_path(part)
        });
        let Some((contact, _)) = released else { continue };
        let (subject, relay) = (circuit.subject(branch), circuit.subject(contact));
        let message = format!(
            "{} works while everything is off: its current comes through the break contact of {}",
            subject.title(network),
            relay.title(network)
        );
        findings.push(Finding {
            because: vec![Label { subject: relay.clone(), text: "lets it work while it is off".to_owned() }],
            help: vec![
                Help::words("move the wire from the break contact (87a) to the make contact (87)")
                    .with_fix(to_make_contact(context, contact)),
            ],
            touches: vec![subject.clone(), relay],
            ..Finding::of(CHECK.name, Severity::Stop, subject, message, "computed with everything at rest")
        });
    }
}
