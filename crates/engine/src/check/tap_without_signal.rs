//! Wires tapped where the signal of a donor circuit has no say.

use std::collections::BTreeSet;

use crate::check::Context;
use crate::check::swept::uses;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::ids::TerminalRef;
use crate::kind::{Class, Role};
use crate::subject::Subject;

declare_check! {
    /// Finds taps on a donor circuit that do not carry its signal: what hangs on them does not follow it.
    ///
    /// # What it checks
    ///
    /// Each new wire on a lamp of the vehicle, and the new loads and coils it leads to over wires, fuses and contacts: the
    /// donor circuit must have a say in at least one of them. The wire of an earth-switched lamp that comes from the
    /// battery is always live, and the earth wire of a lamp switched on its positive side is always earth.
    ///
    /// # Why it matters
    ///
    /// The relay is on for ever and flattens the battery, or never pulls in; measured with the lamp on, the wire looks
    /// right.
    ///
    /// # Example
    ///
    /// A coil between the positive wire of a lamp that is switched on its earth side, and earth.
    ///
    /// # What to do
    ///
    /// Measure the wire with the lamp on and off; take the one that changes, or put the coil across the lamp's two wires.
    name: "tap-without-signal",
    summary: "a wire is tapped from a lamp where its signal has no say",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "unconnected-terminal"],
    run: run,
}

const SOURCE: &str =
    "computed: no contact of the donor circuit lies between the wire and the supply or the earth";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    for (index, part) in network.parts.iter().enumerate() {
        let Some(input) = circuit.inputs.iter().position(|input| input.part == index) else { continue };
        if part.kind.class != Class::Donor {
            continue;
        }
        for terminal in part.terminals() {
            let at = TerminalRef { part: part.id.clone(), terminal: terminal.name };
            let wires: Vec<Subject> = network
                .wires_at(&at)
                .filter(|wire| wire.status == Status::New)
                .map(|wire| Subject::Wire(wire.id.clone()))
                .collect();
            let influence = context.survey.solver().influence();
            // What hangs on the supply or the earth without a contact between has no region.
            let fixed = circuit.net_of(&at).filter(|net| influence.region(*net).is_none());
            let users = fixed.map_or_else(Vec::new, |net| users(context, index, net));
            let follows = |user: &usize| influence.on_branch(circuit, *user).inputs.contains(&input);
            if wires.is_empty() || users.is_empty() || users.iter().any(follows) {
                continue;
            }
            findings.push(finding(context, &at, &wires, &users));
            break;
        }
    }
}

/// The new loads and coils that a terminal of a donor leads to, not through the donor itself.
fn users(context: &Context<'_>, donor: usize, net: NetIndex) -> Vec<usize> {
    let circuit = context.circuit;
    let is_own = |index: usize| circuit.branches[index].origin.part() == Some(donor);
    let ends = joined(circuit, &[net], is_own);
    let is_user = |index: &usize| {
        let branch = &circuit.branches[*index];
        let is_new = context.part_of(*index).is_some_and(|(_, part)| part.status == Status::New);
        is_new
            && !is_own(*index)
            && uses(branch.role)
            && branch.law.is_some()
            && (ends.contains(&branch.from) || ends.contains(&branch.to))
    };
    (0..circuit.branches.len()).filter(is_user).collect()
}

/// What some nets are joined with over wires, fuses and contacts, but for those left out; not the body, nor beyond a pole.
fn joined(circuit: &Circuit, nets: &[NetIndex], left_out: impl Fn(usize) -> bool) -> BTreeSet<NetIndex> {
    let is_pole = |net: NetIndex| {
        circuit
            .sources()
            .any(|source| [circuit.branches[source].from, circuit.branches[source].to].contains(&net))
    };
    let met = walk(circuit, nets, |index, near| {
        let joins = matches!(circuit.branches[index].role, Role::Path | Role::Protection(_));
        joins
            && circuit.branches[index].law.is_some()
            && near != CHASSIS
            && !is_pole(near)
            && !left_out(index)
    });
    met.into_iter().map(|(net, _)| net).filter(|net| *net != CHASSIS).collect()
}

fn finding(context: &Context<'_>, at: &TerminalRef, wires: &[Subject], users: &[usize]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let donor = Subject::Part(at.part.clone());
    let subjects: Vec<Subject> = users.iter().map(|user| circuit.subject(*user)).collect();
    let net = circuit.net_of(at).unwrap_or(CHASSIS);
    let always = if context.supplied[net] { "always live" } else { "always earth" };
    let message = format!(
        "{} is tapped at {} of {}, which is {always}: {} does not follow its signal",
        wires[0].title(network),
        at.terminal,
        donor.title(network),
        subjects[0].title(network)
    );
    let mut because: Vec<Label> = Vec::new();
    for subject in &subjects {
        if because.iter().all(|told| told.subject != *subject) {
            because.push(Label { subject: subject.clone(), text: "does not follow the signal".to_owned() });
        }
    }
    // What a relay's contacts join does not follow the signal either.
    let contacts = circuit.branches.iter().filter(|branch| match branch.gate {
        Gate::Device(device, _) => users.contains(&circuit.devices[device].branch),
        _ => false,
    });
    let ends: Vec<NetIndex> = contacts.flat_map(|contact| [contact.from, contact.to]).collect();
    let behind = joined(circuit, &ends, |_| false);
    let is_behind = |index: &usize| {
        let branch = &circuit.branches[*index];
        matches!(branch.role, Role::Load(_) | Role::Source)
            && (behind.contains(&branch.from) || behind.contains(&branch.to))
    };
    let moved = (0..circuit.branches.len()).filter(is_behind);
    let deciders: Vec<Subject> = users.iter().flat_map(|user| context.deciders_of(*user)).collect();
    let mut touches = vec![donor.clone()];
    touches.extend(wires.iter().cloned());
    touches.extend(subjects);
    touches.extend(moved.map(|index| circuit.subject(index)));
    touches.extend(context.loose_ends_at(&deciders));
    Finding {
        because,
        help: vec![Help::words(
            "take the wire that the lamp's signal is on, or put the coil across the lamp's own two wires",
        )],
        touches,
        ..Finding::of(CHECK.name, Severity::Stop, donor, message, SOURCE)
    }
}
