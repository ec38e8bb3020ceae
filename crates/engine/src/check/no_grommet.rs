//! Wires through sheet metal without a grommet.

use crate::check::{Context, remedy};
use crate::document::{Edit, Status};
use crate::finding::{Finding, Harm, Help, Severity};

declare_check! {
    /// Finds wires that are said to pass sheet metal without a grommet.
    ///
    /// # What it checks
    ///
    /// New wires, and existing ones that something new is joined to, of which it was said that no grommet protects them
    /// where they pass sheet metal; of a wire of which nothing was said, the routes of its way through sheet metal.
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
    for (branch, wire, _) in context.wires() {
        let is_ours = wire.status == Status::New || context.touches_new(branch);
        if wire.grommet != Some(false) || !is_ours {
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
    let plan = &context.circuit.resolved.plan;
    for (route, wires) in context.on_routes() {
        let is_through = route.grommet == Some(false);
        let wires = wires.filter(|(branch, wire, _)| {
            wire.grommet.is_none() && (wire.status == Status::New || context.touches_new(*branch))
        });
        let subjects = wires.map(|(branch, ..)| context.circuit.subject(branch));
        let mut subjects = subjects.collect::<Vec<_>>().into_iter();
        let Some(subject) = subjects.next().filter(|_| is_through) else { continue };
        let title = subject.title(&context.circuit.resolved.network);
        let others = match subjects.len() {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        let message = format!("no grommet protects {title}{others} on the route {}", plan.route_title(route));
        let mut mended = (**plan).clone();
        for one in mended.routes.iter_mut().filter(|one| one.id == route.id) {
            one.grommet = Some(true);
        }
        findings.push(Finding {
            help: vec![
                Help::words("fit a grommet, or lead the wires through one that is there")
                    .with_fix(vec![Edit::Plan(mended)]),
            ],
            touches: subjects.collect(),
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
}
