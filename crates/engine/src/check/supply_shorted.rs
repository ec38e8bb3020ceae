//! Supplies whose poles are joined.

use crate::check::{Context, Short, Surveyed};
use crate::finding::{Finding, Help, Label, Severity};
use crate::kind::Role;
use crate::quantity::{Amps, Quantity};
use crate::subject::Subject;

declare_check! {
    /// Finds situations in which a source's positive pole is joined with its negative pole without a load between them.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, a walk from the positive pole over what conducts without using energy: wires,
    /// closed contacts, fuses, joints and diodes in their direction.
    /// Where it meets the negative pole, the supply is shorted.
    ///
    /// # Why it matters
    ///
    /// Hundreds of amperes flow; a fuse on the way blows, and without one the wire burns.
    ///
    /// # Example
    ///
    /// A switch wired from the feed to an earth point instead of to the lamp.
    ///
    /// # What to do
    ///
    /// Follow the path that is listed and take the wrong joint out.
    name: "supply-shorted",
    summary: "the supply is joined with earth without a load",
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut reported: Vec<Subject> = Vec::new();
    for surveyed in &context.survey.situations {
        for short in &surveyed.shorts {
            let finding = finding(context, surveyed, short);
            // Another switch beside it does not make it another short.
            if !reported.contains(&finding.subject) {
                reported.push(finding.subject.clone());
                findings.push(finding);
            }
        }
    }
}

fn finding(context: &Context<'_>, surveyed: &Surveyed, short: &Short) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let Short { source, path, root } = short;
    let amps = surveyed.solution.shown().map_or(0.0, |rest| rest.steady.amps(path[0]).abs());
    let amps = Amps::new(amps).expect("a solved current is finite");
    let fuse = path.iter().find_map(|branch| match circuit.branches[*branch].role {
        Role::Protection(rating) => Some((circuit.subject(*branch).title(network), rating)),
        _ => None,
    });
    let consequence = match &fuse {
        Some((title, Some(rating))) => format!("{title} ({rating}) would blow"),
        Some((title, None)) => format!("{title} would have to clear it"),
        None => "no fuse is in its way".to_owned(),
    };
    let mut touches: Vec<Subject> = path.iter().map(|branch| circuit.subject(*branch)).collect();
    touches.dedup();
    Finding {
        check: CHECK.name,
        severity: Severity::Stop,
        message: format!(
            "with `{}` the positive pole of {} is joined with its negative pole: {amps} would flow, {consequence}",
            surveyed.name,
            circuit.subject(*source).title(network)
        ),
        subject: circuit.subject(*root),
        because: touches
            .iter()
            .map(|subject| Label { subject: subject.clone(), text: "is on the way".to_owned() })
            .collect(),
        measured: Some(amps.into()),
        allowed: fuse.and_then(|(_, rating)| rating).map(Quantity::from),
        help: vec![Help { text: "follow the listed way and take the wrong joint out".to_owned() }],
        source: "first principles: nothing on the way limits the current",
        touches,
    }
}
