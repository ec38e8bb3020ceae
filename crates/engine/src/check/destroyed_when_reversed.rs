//! Electronic loads that do not survive being connected the wrong way round, and are.

use crate::check::Context;
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Severity};
use crate::kind::{Law, Role};
use crate::quantity::Volts;

declare_check! {
    /// Finds electronic lamps without protection that get their voltage the wrong way round.
    ///
    /// # What it checks
    ///
    /// In every situation looked at, the voltage across new electronic loads of which it was said that nothing protects
    /// them when they are connected the wrong way round.
    ///
    /// # Why it matters
    ///
    /// The lamp is destroyed the first time it is switched on.
    ///
    /// # Example
    ///
    /// A bare light bar with its red and black wires swapped.
    ///
    /// # What to do
    ///
    /// Swap its two wires before anything is switched on.
    name: "destroyed-when-reversed",
    summary: "a lamp that does not stand it is connected the wrong way round",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

/// Volts the wrong way round from which on it counts.
const COUNTS_V: f64 = 1.0;

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, branch) in circuit.branches.iter().enumerate() {
        let (Role::Load(load), Some(Law::Electronic { .. })) = (branch.role, branch.law) else { continue };
        let Some((at, part)) = context.part_of(index) else { continue };
        let Some(used) = &circuit.resolved.parts[at] else { continue };
        let key = if load.name.is_empty() { "reverse".to_owned() } else { format!("{}.reverse", load.name) };
        if part.status != Status::New || used.word(&key) != Some("none") {
            continue;
        }
        let worst = context
            .survey
            .situations
            .iter()
            .flat_map(|surveyed| surveyed.solution.shown().map(|rest| (surveyed, rest)))
            .filter_map(|(surveyed, rest)| Some((surveyed, rest.steady.between(branch.to, branch.from)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((surveyed, volts)) = worst.filter(|(_, volts)| *volts > COUNTS_V) else { continue };
        let subject = circuit.subject(index);
        let volts = Volts::new(volts).expect("a solved voltage is finite");
        let message = format!(
            "{} gets {volts} the wrong way round {}, and nothing protects it",
            subject.title(&circuit.resolved.network),
            surveyed.when
        );
        findings.push(Finding {
            help: vec![
                Help::words("swap its two wires before anything is switched on")
                    .with_fix(context.turned_round(index)),
            ],
            ..Finding::of(
                CHECK.name,
                Severity::Stop,
                subject,
                message,
                "entered: it has no protection against reversal",
            )
        });
    }
}
