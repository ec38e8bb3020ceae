//! Loads between two batteries in series, and batteries of different voltage on one feed.

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, NetIndex};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Law, Role};

declare_check! {
    /// Finds loads on the mid-point of two batteries in series, and joined feeds of 12 V and 24 V.
    ///
    /// # What it checks
    ///
    /// Whether a new load hangs on the point where one battery's positive pole is joined to another's negative; and
    /// whether the positive poles of batteries of clearly different voltage are joined in any situation looked at.
    ///
    /// # Why it matters
    ///
    /// The lower battery is drained while the upper one is overcharged; both are ruined within weeks. Joined feeds of
    /// different voltage drive hundreds of amperes.
    ///
    /// # Example
    ///
    /// A 12 V radio on the lower battery of a 24 V truck.
    ///
    /// # What to do
    ///
    /// Take 12 V from a converter or an equaliser.
    name: "series-batteries-tapped",
    summary: "a load hangs on the mid-point of two batteries, or two voltages are joined",
    harm: Harm::Fire,
    explained_by: &["supply-shorted"],
    run: run,
}

const SOURCE: &str = "common practice, no source: two batteries in series are charged and drained together";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let batteries: Vec<usize> = circuit
        .sources()
        .filter(|source| context.part_of(*source).is_some_and(|(_, part)| part.kind.class == Class::Battery))
        .collect();
    let at_rest = circuit.rest();
    let joined = |start: NetIndex| -> Vec<NetIndex> {
        let met = walk(circuit, &[start], |index, near| {
            let branch = &circuit.branches[index];
            circuit.closed(index, &at_rest)
                && near != CHASSIS
                && matches!(branch.role, Role::Path | Role::Protection(_))
        });
        met.into_iter().map(|(net, _)| net).filter(|net| *net != CHASSIS).collect()
    };
    let of = |branch: usize| &circuit.branches[branch];
    for lower in &batteries {
        let middle = joined(of(*lower).from);
        let Some(upper) = batteries.iter().find(|upper| *upper != lower && middle.contains(&of(**upper).to))
        else {
            continue;
        };
        for (load, _) in circuit.loads() {
            let is_new = context.part_of(load).is_some_and(|(_, part)| part.status == Status::New);
            let ends = [of(load).from, of(load).to];
            let hangs =
                ends.iter().any(|net| middle.contains(net)) && !ends.iter().all(|net| middle.contains(net));
            if !is_new || !hangs || !context.is_judged(load) {
                continue;
            }
            let network = &circuit.resolved.network;
            let [subject, lower, upper] = [load, *lower, *upper].map(|branch| circuit.subject(branch));
            let message = format!(
                "{} hangs between {} and {}, which are in series",
                subject.title(network),
                lower.title(network),
                upper.title(network)
            );
            findings.push(Finding {
                because: [lower, upper]
                    .map(|battery| Label { subject: battery, text: "is one of the two".to_owned() })
                    .into(),
                help: vec![Help::words("take its voltage from a converter or an equaliser")],
                ..Finding::of(CHECK.name, Severity::Stop, subject, message, SOURCE)
            });
        }
    }
    joined_voltages(context, &batteries, findings);
}

/// Batteries of different voltage whose positive poles are joined.
fn joined_voltages(context: &Context<'_>, batteries: &[usize], findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let emf = |branch: usize| match circuit.branches[branch].law {
        Some(Law::Source { emf, .. }) => emf.get(),
        _ => 0.0,
    };
    for (number, one) in batteries.iter().enumerate() {
        for other in &batteries[number + 1..] {
            let (low, high) = if emf(*one) <= emf(*other) { (*one, *other) } else { (*other, *one) };
            // Batteries of one system differ by their charge, never by half.
            if emf(high) < 1.5 * emf(low) {
                continue;
            }
            let meet = context.survey.situations.iter().find(|surveyed| {
                surveyed.solution.shown().is_some_and(|rest| {
                    let nets = crate::check::survey::joined(circuit, rest, &[circuit.branches[high].from]);
                    nets.contains(&circuit.branches[low].from) && rest.steady.amps(low).abs() > 1.0
                })
            });
            let Some(surveyed) = meet else { continue };
            let network = &circuit.resolved.network;
            let (subject, other) = (circuit.subject(low), circuit.subject(high));
            let message = format!(
                "{} the positive poles of {} and {} are joined, and their voltages differ",
                surveyed.when,
                subject.title(network),
                other.title(network)
            );
            findings.push(Finding {
                because: vec![Label { subject: other.clone(), text: "has the higher voltage".to_owned() }],
                help: vec![Help::words("part them: 12 V and 24 V share nothing but the earth")],
                touches: vec![subject.clone(), other],
                ..Finding::of(CHECK.name, Severity::Stop, subject, message, SOURCE)
            });
        }
    }
}
