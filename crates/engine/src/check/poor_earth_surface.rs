//! Earth points on paint, or bolted through a sheet.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::given::Given;
use crate::kind::{Class, Value};
use crate::subject::Subject;

declare_check! {
    /// Finds earth points that are made on paint, or through a part that is only bolted on.
    ///
    /// # What it checks
    ///
    /// What is said of the surface of each earth point that carries a new wire: bare metal is right.
    ///
    /// # Why it matters
    ///
    /// Paint does not conduct, and a bolted joint rusts: the lamps earthed there dim, flicker, or find another way back.
    ///
    /// # Example
    ///
    /// A lamp earthed under the painted bolt of its own bracket.
    ///
    /// # What to do
    ///
    /// Scrape to bare metal on the body itself, use a toothed washer, and protect the joint afterwards.
    name: "poor-earth-surface",
    summary: "an earth point is made on paint or through a bolted part",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    for part in network.parts.iter().filter(|part| part.kind.class == Class::Earth) {
        let carries_new = part.status == Status::New
            || network.wires.iter().any(|wire| {
                wire.status == Status::New && (wire.from.part == part.id || wire.to.part == part.id)
            });
        if part.status == Status::Remove || !carries_new {
            continue;
        }
        let on = match part.values.get("surface") {
            Given::Known(Value::Word("painted")) => "on paint",
            Given::Known(Value::Word("bolted through")) => "through a part that is only bolted to the body",
            _ => continue,
        };
        let subject = Subject::Part(part.id.clone());
        let message = format!("{} is made {on}", subject.title(network));
        findings.push(Finding {
            help: vec![Help::words(
                "scrape to bare metal on the body itself, and protect the joint afterwards",
            )],
            ..Finding::of(CHECK.name, Severity::Look, subject, message, "common practice, no source")
        });
    }
}
