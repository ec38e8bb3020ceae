//! Relays whose suppression diode is the wrong way round for how they are wired.

use crate::check::Context;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::kind::Role;
use crate::quantity::Amps;
use crate::solve::working::of_branch;

declare_check! {
    /// Finds relays with a suppression diode that are wired with plus on 85.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, whether current flows through the diode across a coil: its cathode is at 86, so 86
    /// must be the positive side.
    ///
    /// # Why it matters
    ///
    /// The diode then shorts what works the relay: the fuse blows, or the switch or the diode burns out.
    ///
    /// # Example
    ///
    /// A relay in a socket where 86 goes to earth and 85 to the switch.
    ///
    /// # What to do
    ///
    /// Swap the wires at 86 and 85, or use a relay with a resistor instead of the diode.
    name: "suppression-reversed",
    summary: "the diode across a coil conducts instead of the coil",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

/// Current from which on the diode counts as conducting, in amperes: more than any leak.
const CONDUCTS_A: f64 = 0.01;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, branch) in circuit.branches.iter().enumerate() {
        if branch.role != Role::Suppression {
            continue;
        }
        let conducts = context.survey.situations.iter().find_map(|surveyed| {
            let rest = surveyed.solution.shown()?;
            (rest.steady.amps(index).abs() > CONDUCTS_A).then_some((surveyed, rest))
        });
        let Some((surveyed, rest)) = conducts else { continue };
        let subject = circuit.subject(index);
        let title = subject.title(&circuit.resolved.network);
        let amps = Amps::new(rest.steady.amps(index).abs()).expect("a solved current is finite");
        let message = format!(
            "{} the diode across the coil of {title} conducts {amps} instead of the coil: 86 must be its positive side",
            surveyed.when
        );
        findings.push(Finding {
            measured: Some(amps.into()),
            help: vec![
                Help::words("swap the wires at 86 and 85, or use a relay with a resistor instead")
                    .with_fix(context.turned_round(index)),
            ],
            working: of_branch(circuit, rest, index, &format!("the diode across the coil of {title}")),
            ..Finding::of(
                CHECK.name,
                Severity::Stop,
                subject,
                message,
                "first principles: a diode conducts one way",
            )
        });
    }
}
