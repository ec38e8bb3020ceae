//! Earth points that lose too much voltage or carry too many wires.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::{Class, Role};
use crate::quantity::{Amps, Unit, Volts};
use crate::subject::Subject;
use crate::working::Working;

declare_check! {
    /// Finds earth points whose joint loses more than 0.1 V, and studs with more lugs than they hold.
    ///
    /// # What it checks
    ///
    /// The computed voltage across the joint of each earth point that a new wire ends on, in the situation in which it is
    /// greatest; and how many wires end on its stud.
    ///
    /// # Why it matters
    ///
    /// What is lost at a shared earth lifts everything that hangs on it: lamps dim together, and find ways back through
    /// one another.
    ///
    /// # Example
    ///
    /// Two 55 W lamps on an earth point of 0.3 ohm: 2.5 V are lost with both on.
    ///
    /// # What to do
    ///
    /// Clean the joint, spread the loads over several earth points, or take the return to the battery.
    name: "earth-overloaded",
    summary: "an earth point loses too much voltage, or its stud carries too many lugs",
    harm: Harm::Failure,
    explained_by: &["poor-earth-surface"],
    run: run,
}

/// Most volts across an earth joint.
const MOST_V: f64 = 0.1;

const SOURCE: &str = "voltage drop tests of the trade, read in two places: up to 0.1 V over an earth path";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    for (index, part) in network.parts.iter().enumerate() {
        let carries_new = network
            .wires
            .iter()
            .any(|wire| wire.status == Status::New && (wire.from.part == part.id || wire.to.part == part.id));
        if part.kind.class != Class::Earth || circuit.resolved.parts[index].is_none() || !carries_new {
            continue;
        }
        let subject = Subject::Part(part.id.clone());
        let title = subject.title(network);
        let joint = circuit.branches_of_part(index).find(|(_, branch)| branch.role == Role::Path);
        if let Some((branch, _)) = joint
            && let Some(finding) = lost(context, branch, &subject, &title)
        {
            findings.push(finding);
            continue;
        }
        let crowded = part.terminals().into_iter().find_map(|terminal| {
            let at = crate::ids::TerminalRef { part: part.id.clone(), terminal: terminal.name };
            let n_wires = context.ends_at(&at);
            (n_wires > terminal.holds as usize).then_some((n_wires, terminal.holds))
        });
        if let Some((n_wires, holds)) = crowded {
            let message = format!("{n_wires} wires end on the stud of {title}; it holds {holds} lugs well");
            findings.push(Finding {
                help: vec![Help::words(
                    "spread them over several earth points, or lead them together in splices",
                )],
                ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
            });
        }
    }
}

fn lost(context: &Context<'_>, branch: usize, subject: &Subject, title: &str) -> Option<Finding> {
    let circuit = context.circuit;
    let ends = &circuit.branches[branch];
    let rests = context.survey.rests();
    let (surveyed, volts, amps) = rests
        .filter_map(|(surveyed, rest)| {
            let volts = rest.steady.between(ends.from, ends.to)?.abs();
            Some((surveyed, volts, rest.steady.amps(branch).abs()))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    if volts <= MOST_V {
        return None;
    }
    let (shown, most) = (Volts::new(volts)?, Volts::new(MOST_V)?);
    let message = format!(
        "{} are lost at {title} {}: {} flow through its joint",
        shown,
        surveyed.when,
        Amps::new(amps)?
    );
    let ohm = volts / amps;
    let is_said = context.part_of(branch).is_some_and(|(_, part)| part.values.said("joint_ohm").is_some());
    let working =
        Working::of(format!("voltage lost at {title}"), "U = I * R", volts, Unit::Volt, "Ohm's law")?
            .with("I", "current through the joint", amps, Unit::Ampere, Basis::Calculated)
            .with("R", "resistance of the joint", ohm, Unit::Ohm, Basis::said(is_said));
    let limit = Working::of("most that may be lost", "U_max = U_rule", MOST_V, Unit::Volt, SOURCE)?.with(
        "U_rule",
        "limit for an earth path",
        MOST_V,
        Unit::Volt,
        Basis::Tabled,
    );
    Some(Finding {
        measured: Some(shown.into()),
        allowed: Some(most.into()),
        help: vec![Help::words(
            "clean the joint, spread the loads over several earth points, or take the return to the battery",
        )],
        working: vec![working, limit],
        ..Finding::of(CHECK.name, Severity::Look, subject.clone(), message, SOURCE)
    })
}
