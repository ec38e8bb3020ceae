//! Tell-tales that light while everything, or their own switch, is off.

use crate::check::survey::joined;
use crate::check::{Context, remedy};
use crate::circuit::NetIndex;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::ids::TerminalRef;
use crate::kind::{Class, Load, Role};
use crate::solve::Rest;
use crate::subject::Subject;
use crate::sweep::works;

declare_check! {
    /// Finds switches whose tell-tale lights while everything is off, or while the switch is.
    ///
    /// # What it checks
    ///
    /// With every switch off and every signal absent: the tell-tale lamps of new switches.
    /// In every situation: those that light while their switch is open, where its input is never live by itself. A
    /// second feed of what the switch feeds lights its tell-tale too, and is not meant.
    ///
    /// # Why it matters
    ///
    /// A lamp that is always lit tells nothing, and draws from the battery for ever; one that lights with the signal
    /// behind a switch that is off tells the wrong thing.
    ///
    /// # Example
    ///
    /// Input and output of a lighted switch exchanged: the load works as it should, and the lamp in the switch burns on.
    ///
    /// # What to do
    ///
    /// Exchange the two wires, so that the tell-tale is fed by the output.
    name: "telltale-always-on",
    summary: "a tell-tale lights while everything, or its own switch, is off",
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
        let Some((index, part)) = context.part_of(branch) else { continue };
        let is_new_switch = part.status == Status::New && part.kind.class == Class::Contact;
        if load.name != "telltale" || !is_new_switch {
            continue;
        }
        let when = match works(circuit, rest, branch, load) {
            true => "while everything is off".to_owned(),
            false => match from_behind(context, index, branch, load) {
                Some(when) => format!("while the switch is off, {when}"),
                None => continue,
            },
        };
        let subject = Subject::Part(part.id.clone());
        let message = format!("the tell-tale of {} lights {when}", subject.title(network));
        let end = |name: &str| TerminalRef::new(&part.id, name);
        let exchanged = remedy::exchanged(network, &end("in"), &end("out"));
        findings.push(Finding {
            help: vec![Help::words("exchange the wires on its input and its output").with_fix(exchanged)],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "computed in every situation")
        });
    }
}

/// A situation in which a tell-tale lights although the contact that should feed it is open, when the other side of
/// that contact is live in no situation without it: the feed is on the output.
fn from_behind(context: &Context<'_>, part: usize, telltale: usize, load: &Load) -> Option<String> {
    let circuit = context.circuit;
    let output = circuit.branches[telltale].from;
    let contacts: Vec<(usize, NetIndex)> = circuit
        .branches_of_part(part)
        .filter(|(_, branch)| branch.role == Role::Path && [branch.from, branch.to].contains(&output))
        .map(|(contact, branch)| (contact, branch.from + branch.to - output))
        .collect();
    let poles: Vec<NetIndex> = circuit.sources().map(|source| circuit.branches[source].from).collect();
    let is_open = |rest: &Rest| contacts.iter().all(|(contact, _)| !rest.steady.conducting(*contact));
    let open = || context.survey.rests().filter(|(_, rest)| is_open(rest));
    let (lit, _) = open().find(|(_, rest)| works(circuit, rest, telltale, load))?;
    let is_fed = |rest: &Rest| {
        let live = joined(circuit, rest, &poles);
        contacts.iter().any(|(_, input)| live.contains(input))
    };
    (!contacts.is_empty() && !open().any(|(_, rest)| is_fed(rest))).then(|| lit.when.clone())
}
