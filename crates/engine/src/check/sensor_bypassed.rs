//! Earths at the post of a battery whose sensor sits on it.

use crate::check::Context;
use crate::document::{Status, Use};
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::Class;
use crate::subject::Subject;

declare_check! {
    /// Finds earths of new equipment at the negative post of a battery with a sensor on that post.
    ///
    /// # What it checks
    ///
    /// Batteries that are said to be monitored: new wires on their negative pole other than starter cables.
    ///
    /// # Why it matters
    ///
    /// The sensor counts what flows through it; current past it makes the vehicle think its battery fuller than it is.
    ///
    /// # Example
    ///
    /// The earth of an inverter on the post of a battery with a charge sensor.
    ///
    /// # What to do
    ///
    /// Take the earth to the body, on the far side of the sensor.
    name: "sensor-bypassed",
    summary: "an earth is taken to the battery post behind its sensor",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    for (index, part) in network.parts.iter().enumerate() {
        let Some(used) = &context.circuit.resolved.parts[index] else { continue };
        if part.kind.class != Class::Battery || !used.flag("monitored") {
            continue;
        }
        let negative = part.terminals().pop().map(|terminal| terminal.name);
        let past: Vec<Subject> = network
            .wires
            .iter()
            .filter(|wire| wire.status == Status::New && wire.used_for != Some(Use::StarterCable))
            .filter(|wire| {
                [&wire.from, &wire.to]
                    .iter()
                    .any(|end| end.part == part.id && Some(&end.terminal) == negative.as_ref())
            })
            .map(|wire| Subject::Wire(wire.id.clone()))
            .collect();
        let [first, others @ ..] = &past[..] else { continue };
        let title = Subject::Part(part.id.clone()).title(network);
        let message = format!("{} goes to the post of {title} past its sensor", first.title(network));
        findings.push(Finding {
            because: others
                .iter()
                .map(|other| Label { subject: other.clone(), text: "goes there too".to_owned() })
                .collect(),
            help: vec![Help::words("take the earth to the body, on the far side of the sensor")],
            touches: past.clone(),
            ..Finding::of(CHECK.name, Severity::Look, first.clone(), message, "common practice, no source")
        });
    }
}
