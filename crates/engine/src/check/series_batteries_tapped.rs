//! Loads between two batteries in series.

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, NetIndex};
use crate::document::Status;
use crate::finding::{Finding, Harm, Help, Label, Severity};
use crate::kind::Role;

declare_check! {
    /// Finds loads on the mid-point of two batteries in series.
    ///
    /// # What it checks
    ///
    /// Whether a new load hangs on the point where one battery's positive pole is joined to another's negative.
    ///
    /// # Why it matters
    ///
    /// The lower battery is drained while the upper one is overcharged; both are ruined within weeks.
    ///
    /// # Example
    ///
    /// A 12 V radio on the lower battery of a 24 V truck.
    ///
    /// # What to do
    ///
    /// Take 12 V from a converter or an equaliser.
    name: "series-batteries-tapped",
    summary: "a load hangs on the mid-point of two batteries in series",
    harm: Harm::Fire,
    explained_by: &["supply-shorted"],
    run: run,
}

const SOURCE: &str = "common practice, no source: two batteries in series are charged and drained together";

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let batteries: Vec<usize> = context.batteries().collect();
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
}
