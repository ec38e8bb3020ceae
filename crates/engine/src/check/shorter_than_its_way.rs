//! Typed lengths that do not reach.

use crate::check::{Context, remedy};
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::given::Given;

declare_check! {
    /// Finds wires whose typed length is less than their way.
    ///
    /// # What it checks
    ///
    /// New wires with a typed length, against the routes of their way and what both ends need, without slack. Of ranges
    /// the ends count that fit best.
    ///
    /// # Why it matters
    ///
    /// A wire that is cut to that length does not reach, and everything calculated with it is too good.
    ///
    /// # Example
    ///
    /// A lamp was moved to the rear, and the length of its feed is still the old one.
    ///
    /// # What to do
    ///
    /// Take the typed length away, so that it follows from the plan, or lead the wire another way.
    name: "shorter-than-its-way",
    summary: "a typed length is less than the way of the wire",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for (branch, wire, used) in context.wires() {
        let Some(way) = context.way_of(branch) else { continue };
        let is_typed = wire.length.is_said() && wire.status == Status::New;
        // To the millimetre: lengths are typed no finer.
        if !is_typed || used.length.high.get() >= way.reach.get() - 0.001 {
            continue;
        }
        let subject = context.circuit.subject(branch);
        let title = subject.title(&context.circuit.resolved.network);
        let message = format!("{title} is to be {} long, and its way needs {}", used.length.high, way.reach);
        let follows = remedy::changed(&context.circuit.resolved.network, &wire.id, |wire| {
            wire.length = Given::NotKnown;
        });
        findings.push(Finding {
            measured: Some(used.length.high.into()),
            allowed: Some(way.reach.into()),
            basis: Basis::Entered,
            working: way.shortfall_workings(&title, used.length.high),
            help: vec![
                Help::words("take the typed length away, so that it follows from the plan").with_fix(follows),
                Help::words("lead the wire another way"),
            ],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "the vehicle plan of this job")
        });
    }
}
