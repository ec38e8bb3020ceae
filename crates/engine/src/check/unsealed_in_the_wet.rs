//! Parts that let water in where it is wet.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::given::Given;
use crate::kind::Value;
use crate::subject::Subject;

declare_check! {
    /// Finds parts that are said to let water in and to sit where it is wet.
    ///
    /// # What it checks
    ///
    /// New parts outside, under the body or in the engine bay that are said not to keep water out. Of a part of which
    /// nothing is said nothing is found.
    ///
    /// # Why it matters
    ///
    /// Water between contacts corrodes them, and with it the joint heats up or opens.
    ///
    /// # Example
    ///
    /// An open blade-fuse holder under the body.
    ///
    /// # What to do
    ///
    /// Use a sealed part, or move it to where it is dry.
    name: "unsealed-in-the-wet",
    summary: "a part that lets water in sits where it is wet",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    for part in network.parts.iter().filter(|part| part.status == Status::New) {
        let lets_in = part.values.get("sealed") == Given::Known(Value::Flag(false));
        let is_wet = context.circuit.resolved.is_wet(part);
        if !lets_in || is_wet != Some(true) {
            continue;
        }
        let subject = Subject::Part(part.id.clone());
        let resolved = &context.circuit.resolved;
        let place = network.place_of(part).and_then(|id| resolved.plan.place(id));
        let place = place.map_or(String::new(), |place| format!(": {}", place.title()));
        let message = format!("{} lets water in and sits where it is wet{place}", subject.title(network));
        findings.push(Finding {
            help: vec![Help::words("use a sealed part, or move it to where it is dry")],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
}
