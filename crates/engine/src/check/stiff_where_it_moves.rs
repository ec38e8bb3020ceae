//! Stiff conductors where they are bent again and again.

use crate::check::Context;
use crate::document::{Status, Strands};
use crate::finding::{Finding, Harm, Help, Severity};

declare_check! {
    /// Finds wires with a solid or coarsely stranded conductor on routes that move.
    ///
    /// # What it checks
    ///
    /// New wires of class 1 or 2 of IEC 60228 whose way leads over a hinge, or to a place that moves. Of a wire whose class
    /// was not said nothing is found; it is told as not judged.
    ///
    /// # Why it matters
    ///
    /// A stiff conductor that is bent again and again breaks inside its insulation, where nobody sees it.
    ///
    /// # Example
    ///
    /// A lamp on a tailgate fed with solid building wire.
    ///
    /// # What to do
    ///
    /// Use a wire of class 5 or 6, or lead it where nothing moves.
    name: "stiff-where-it-moves",
    summary: "a solid or coarsely stranded wire is bent again and again",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

const SOURCE: &str = "IEC 60228:2004 calls class 5 and 6 flexible (from memory); common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let plan = &context.circuit.resolved.plan;
    for (branch, wire, _) in context.wires() {
        let Some(strands) = wire.strands.filter(|strands| !strands.is_flexible()) else { continue };
        let moving = context.way_of(branch).and_then(|way| way.moving(plan).next());
        let Some(route) = moving.filter(|_| wire.status == Status::New) else { continue };
        let subject = context.circuit.subject(branch);
        let title = subject.title(&context.circuit.resolved.network);
        let made = if strands == Strands::Solid { "solid" } else { "coarsely stranded (class 2)" };
        let route = plan.route_title(route);
        let message = format!("{title} is {made} and is bent again and again on the route {route}");
        findings.push(Finding {
            help: vec![Help::words("use a wire of class 5 or 6, or lead it where nothing moves")],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, SOURCE)
        });
    }
}
