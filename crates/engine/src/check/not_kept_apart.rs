//! Wires beside loads that are to be kept apart from them.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};

declare_check! {
    /// Finds wires that are to be kept apart from loads and share a route with one.
    ///
    /// # What it checks
    ///
    /// Wires of which it was said that they are to be kept apart, on routes that they share with a wire that carries more
    /// than 30 % of what it can carry alone in one of the situations looked at.
    ///
    /// # Why it matters
    ///
    /// Loaded wires get warm, and switching them disturbs signals beside them.
    ///
    /// # Example
    ///
    /// The wire of a temperature sensor in one conduit with the feed of a socket.
    ///
    /// # What to do
    ///
    /// Lead one of them by another place.
    name: "not-kept-apart",
    summary: "a wire that is to be kept apart from loads shares a route with one",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    let plan = &context.circuit.resolved.plan;
    let apart = context.wires().filter(|(_, wire, _)| wire.keep_apart);
    for (branch, wire, _) in apart {
        let Some(way) = context.way_of(branch) else { continue };
        let beside = context.wires().find_map(|(other, load, used)| {
            let shared = way.pieces.iter().find(|piece| {
                other != branch && context.way_of(other).is_some_and(|way| way.pieces.contains(piece))
            })?;
            let is_ours = [wire, load].iter().any(|wire| wire.status == Status::New);
            let (amps, _, surveyed) = context.survey.greatest_amps(other, |_| true)?;
            (is_ours && amps > used.counts_above()).then_some((other, *shared, amps, surveyed))
        });
        let Some((load, route, amps, surveyed)) = beside else { continue };
        let subject = context.circuit.subject(branch);
        let load = context.circuit.subject(load);
        let route = plan.route_title(&plan.routes[route]);
        let title = subject.title(network);
        let message = format!(
            "{title} is to be kept apart from loads and shares the route {route} with {}",
            load.title(network)
        );
        let amps = crate::quantity::Amps::new(amps).map_or_else(String::new, |amps| amps.to_string());
        findings.push(Finding {
            because: vec![Label { subject: load, text: format!("carries {amps} {}", surveyed.when) }],
            help: vec![Help::words("lead one of them by another place")],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "asked for in this job")
        });
    }
}
