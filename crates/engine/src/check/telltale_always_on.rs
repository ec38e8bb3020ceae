//! Tell-tales that light while everything is off.

use crate::check::{Context, remedy};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::ids::TerminalRef;
use crate::kind::Class;
use crate::subject::Subject;
use crate::sweep::works;

declare_check! {
    /// Finds switches whose tell-tale lights while everything is off.
    ///
    /// # What it checks
    ///
    /// With every switch off and every signal absent: the tell-tale lamps of new switches.
    ///
    /// # Why it matters
    ///
    /// A lamp that is always lit tells nothing, and draws from the battery for ever.
    ///
    /// # Example
    ///
    /// Input and output of a lighted switch exchanged: the load works as it should, and the lamp in the switch burns on.
    ///
    /// # What to do
    ///
    /// Exchange the two wires, so that the tell-tale is fed by the output.
    name: "telltale-always-on",
    summary: "a tell-tale lights while everything is off",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "unconnected-terminal", "works-upside-down"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let Some(rest) = context.survey.situations.first().and_then(|surveyed| surveyed.rests().next()) else {
        return;
    };
    for (branch, load) in circuit.loads() {
        let Some((_, part)) = context.part_of(branch) else { continue };
        let is_new_switch = part.status == Status::New && part.kind.class == Class::Contact;
        if load.name != "telltale" || !is_new_switch || !works(circuit, rest, branch, load) {
            continue;
        }
        let subject = Subject::Part(part.id.clone());
        let message = format!("the tell-tale of {} lights while everything is off", subject.title(network));
        let end = |name: &str| TerminalRef::new(&part.id, name);
        let exchanged = remedy::exchanged(network, &end("in"), &end("out"));
        findings.push(Finding {
            help: vec![Help::words("exchange the wires on its input and its output").with_fix(exchanged)],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "computed with everything at rest")
        });
    }
}
