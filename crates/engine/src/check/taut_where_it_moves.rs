//! Routes that move without a loop.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::route::moves;

declare_check! {
    /// Finds routes that move and leave no loop for it.
    ///
    /// # What it checks
    ///
    /// Routes over a hinge, or to a place that moves, of which it was said that no loop is left, and that a new wire
    /// takes. Of a route of which nothing was said nothing is found; it is told as not judged.
    ///
    /// # Why it matters
    ///
    /// What moves pulls a taut wire out of its joint, or chafes it through.
    ///
    /// # Example
    ///
    /// A loom to a tailgate, clipped tight on both sides of the hinge.
    ///
    /// # What to do
    ///
    /// Leave a loop that is long enough in every position, and say how long it is: it counts as length.
    name: "taut-where-it-moves",
    summary: "a route that moves leaves no loop",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let resolved = &context.circuit.resolved;
    for (route, wires) in context.on_routes() {
        let is_taut = route.slack.is_some_and(|slack| slack.get() <= 0.0) && moves(&resolved.plan, route);
        let new = wires.filter(|(_, wire, _)| wire.status == Status::New);
        let mut subjects = new.map(|(branch, ..)| context.circuit.subject(branch));
        let Some(subject) = subjects.next().filter(|_| is_taut) else { continue };
        let title = subject.title(&resolved.network);
        let route = resolved.plan.route_title(route);
        let message = format!("{title} takes the route {route}, which moves and leaves no loop");
        let touches = subjects.collect();
        findings.push(Finding {
            help: vec![Help::words("leave a loop that is long enough in every position")],
            touches,
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
}
