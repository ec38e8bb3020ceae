//! Relays that a lamp switched on its earth side holds in while it is off.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::swept::is_of_this_job;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::{Class, Role};
use crate::quantity::{Quantity, Unit};
use crate::subject::Subject;
use crate::sweep::words;
use crate::working::Working;

declare_check! {
    /// Finds relays that pull in through the lamp of a donor circuit while that is off.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to, in which a relay is on, a
    /// donor circuit is off, and at least half of the coil's current goes through the donor's own lamp.
    ///
    /// # Why it matters
    ///
    /// The relay works upside down, or always, and drains the battery for ever: a lamp whose earth side is switched
    /// stands at battery voltage on both its wires while it is off.
    ///
    /// # Example
    ///
    /// A coil between the switched wire of such a lamp and earth: 11 V with the lamp off, nothing with it on.
    ///
    /// # What to do
    ///
    /// Put the coil across the lamp's own two wires: 86 to its positive wire, with the cab switch in that lead, and 85 to
    /// the wire that is switched to earth. This is right whatever feeds the lamp.
    name: "switched-earth-donor",
    summary: "a relay pulls in through a lamp that is off",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "tap-without-signal"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let lamps: Vec<(usize, usize)> = circuit
        .loads()
        .filter_map(|(branch, _)| {
            let (part, of) = context.part_of(branch)?;
            (of.kind.class == Class::Donor).then_some((part, branch))
        })
        .collect();
    let mut told: Vec<usize> = Vec::new();
    for state in context.survey.states() {
        for (index, device) in circuit.devices.iter().enumerate() {
            let on = state.rest.state.devices[index];
            let is_coil = matches!(circuit.branches[device.branch].role, Role::Coil { .. });
            if !on || !is_coil || told.contains(&index) || !is_of_this_job(context, device.branch) {
                continue;
            }
            let coil_a = state.rest.steady.amps(device.branch).abs();
            let through = lamps.iter().find(|(part, lamp)| {
                let is_off = state.rest.state.positions[*part] == 0;
                is_off
                    && state.rest.steady.amps(*lamp).abs() >= 0.5 * coil_a
                    && !state.is_direct(circuit, device.branch)
            });
            let Some((donor, _)) = through else { continue };
            told.push(index);
            let subject = circuit.subject(device.branch);
            let donor = Subject::Part(network.parts[*donor].id.clone());
            let actions = state.actions(&context.survey);
            findings.push(Finding {
                check: CHECK.name,
                severity: Severity::Stop,
                message: format!(
                    "{} is on through the lamp of {} while that is off, {}",
                    subject.title(network),
                    donor.title(network),
                    words::after(network, &actions)
                ),
                subject: subject.clone(),
                because: steps(context, &actions),
                measured: Quantity::new(coil_a, Unit::Ampere),
                basis: Basis::Calculated,
                allowed: None,
                help: vec![Help::words("put the coil across the lamp's own two wires: 86 with the cab switch on its positive wire, 85 on the wire that is switched to earth")],
                source: "computed: the coil's current goes through the lamp".to_owned(),
                working: Working::of_network("current of the coil", coil_a, Unit::Ampere, "Kirchhoff's current law")
                    .into_iter()
                    .collect(),
                touches: vec![subject, donor],
            });
        }
    }
}
