//! Equipment that takes more than the alternator delivers.

use crate::charge::{Pace, idle_limit};
use crate::check::Context;
use crate::document::Status;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::{Class, Law};
use crate::quantity::{Amps, Unit};
use crate::solve::working::of_branch;
use crate::working::Working;

declare_check! {
    /// Finds situations in which the batteries run down although the engine runs.
    ///
    /// # What it checks
    ///
    /// With the engine running: whether the batteries together give current, in the situations looked at, with all that
    /// the alternator can deliver, and with what it delivers at idle (40 % of the most unless it was said). Without a
    /// limit for the alternator nothing is judged.
    ///
    /// # Why it matters
    ///
    /// The battery is flat in the evening, though the vehicle ran all day.
    ///
    /// # Example
    ///
    /// An inverter of 1.5 kW on an alternator that gives 30 A at idle.
    ///
    /// # What to do
    ///
    /// Fit a larger alternator, use less at once, or let the engine run faster meanwhile.
    name: "charge-exceeded",
    summary: "the batteries run down with the engine running",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

const SOURCE: &str = "computed: current of the batteries with the alternator at its limit; 40 % of it at idle: common practice, no source";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let alternators: Vec<usize> = circuit
        .sources()
        .filter(|source| {
            context.part_of(*source).is_some_and(|(_, part)| part.kind.class == Class::Generator)
        })
        .collect();
    let has_new_load = circuit
        .loads()
        .any(|(load, _)| context.part_of(load).is_some_and(|(_, part)| part.status == Status::New));
    if !has_new_load {
        return;
    }
    for alternator in alternators {
        let Some(Law::Source { limit: Some(limit), .. }) = circuit.branches[alternator].law else { continue };
        let Some(idle) = idle_limit(circuit, alternator) else { continue };
        let found = judged(context, alternator, limit, Severity::Look, Pace::Road)
            .or_else(|| judged(context, alternator, idle, Severity::Note, Pace::Idle));
        findings.extend(found);
    }
}

/// The situation in which the batteries give most with this much from the alternator, if they give any.
fn judged(
    context: &Context<'_>,
    alternator: usize,
    amps: Amps,
    severity: Severity,
    pace: Pace,
) -> Option<Finding> {
    let circuit = context.circuit;
    let limit = amps.get();
    let pace = pace.word();
    let solver = context.survey.solver().with_changed(|index, law| match law {
        Law::Source { emf, internal, one_way, .. } if index == alternator => {
            Some(Law::Source { emf, internal, limit: Some(amps), one_way })
        }
        _ => None,
    });
    let batteries: Vec<usize> = context.batteries().collect();
    // A short circuit empties every battery, and says only that.
    let situations = context.survey.situations.iter().filter(|surveyed| {
        surveyed.shorts.is_empty() && circuit.is_in_position(alternator, &surveyed.positions)
    });
    let given = situations.filter_map(|surveyed| {
        let solution = solver.enter(surveyed.positions.clone());
        let rest = solution.shown()?.clone();
        let amps: f64 = batteries.iter().map(|battery| -rest.steady.amps(*battery)).sum();
        Some((surveyed, rest, amps))
    });
    let (surveyed, rest, amps) = given.max_by(|a, b| a.2.total_cmp(&b.2))?;
    // Rounding and a full battery's trickle are no discharge.
    if amps < 0.1 {
        return None;
    }
    let subject = circuit.subject(alternator);
    let title = subject.title(&circuit.resolved.network);
    let message = format!(
        "{} the batteries give {} {pace}, though the engine runs: {title} delivers no more than {}",
        surveyed.when,
        Amps::new(amps)?,
        Amps::new(limit)?
    );
    let mut working: Vec<Working> =
        Working::of("most it delivers", "I_max = I_limit", limit, Unit::Ampere, SOURCE)
            .map(|working| {
                working.with(
                    "I_limit",
                    format!("limit of {title} {pace}"),
                    limit,
                    Unit::Ampere,
                    Basis::Calculated,
                )
            })
            .into_iter()
            .collect();
    for battery in &batteries {
        let title = circuit.subject(*battery).title(&circuit.resolved.network);
        working.extend(of_branch(circuit, &rest, *battery, &title));
    }
    Some(Finding {
        help: vec![Help::words(
            "fit a larger alternator, use less at once, or let the engine run faster meanwhile",
        )],
        working,
        ..Finding::of(CHECK.name, severity, subject, message, SOURCE)
    })
}
