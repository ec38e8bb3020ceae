//! Wires through sheet metal without a grommet.

use crate::check::{Context, remedy};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};

declare_check! {
    /// Finds wires that are said to pass sheet metal without a grommet.
    ///
    /// # What it checks
    ///
    /// New wires, and existing ones that something new is joined to, of which it was said that no grommet protects them
    /// where they pass sheet metal.
    ///
    /// # Why it matters
    ///
    /// The edge of a hole saws through the insulation as the vehicle shakes, and the wire then lies on the body.
    ///
    /// # Example
    ///
    /// A lamp feed through the bulkhead in a bare hole.
    ///
    /// # What to do
    ///
    /// Fit a grommet, or lead the wire through one that is there.
    name: "no-grommet",
    summary: "a wire passes sheet metal without a grommet",
    harm: Harm::Fire,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for (branch, wire, used) in context.wires() {
        let is_ours = wire.status == Status::New || context.touches_new(branch);
        if used.grommet != Some(false) || !is_ours {
            continue;
        }
        let subject = context.circuit.subject(branch);
        let network = &context.circuit.resolved.network;
        let title = subject.title(network);
        let message = format!("no grommet protects {title} where it passes sheet metal");
        findings.push(Finding {
            help: vec![
                Help::words("fit a grommet, or lead the wire through one that is there")
                    .with_fix(remedy::changed(network, &wire.id, |wire| wire.grommet = Some(true))),
            ],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
}
