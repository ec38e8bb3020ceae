//! Changes whose end depends on which relay is quicker.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::swept::is_of_this_job;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::solve::Verdict;
use crate::subject::Subject;
use crate::sweep::words;

declare_check! {
    /// Finds changes of a switch or donor circuit after which it depends on the speed of the relays what works.
    ///
    /// # What it checks
    ///
    /// Every change of every state that working the switches and donor circuits one at a time can lead to.
    /// All orders in which the relays may move are followed; when they end in different states, it is a race.
    ///
    /// # Why it matters
    ///
    /// Two relays of one type differ by milliseconds, and by more once they are warm or worn: it works on the bench and
    /// fails on the road.
    ///
    /// # Example
    ///
    /// Two relays, each fed through the break contact of the other, on one switch.
    ///
    /// # What to do
    ///
    /// Let one relay follow the other instead of both following the switch.
    name: "race",
    summary: "what works depends on which relay is quicker",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "chatter", "unconnected-terminal", "strap-overloaded"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let mut told: Vec<Vec<usize>> = Vec::new();
    for component in &context.survey.sweep().components {
        for trouble in &component.explored.troubles {
            let of_job = |device: &usize| is_of_this_job(context, circuit.devices[*device].branch);
            if trouble.verdict != Verdict::Race
                || told.contains(&trouble.restless)
                || !trouble.restless.iter().any(of_job)
            {
                continue;
            }
            told.push(trouble.restless.clone());
            let subjects: Vec<Subject> = trouble
                .restless
                .iter()
                .map(|device| circuit.subject(circuit.devices[*device].branch))
                .collect();
            let Some(first) = subjects.first() else { continue };
            let actions = component.explored.actions_of(trouble.before);
            let mut because = steps(context, &actions);
            because.extend(
                subjects[1..].iter().map(|other| Label {
                    subject: other.clone(),
                    text: "may be quicker, or slower".to_owned(),
                }),
            );
            findings.push(Finding {
                check: CHECK.name,
                severity: Severity::Look,
                message: format!(
                    "which of {} stays on depends on which is quicker, {}",
                    listed(&subjects.iter().map(|subject| subject.title(network)).collect::<Vec<_>>()),
                    words::after(network, &actions)
                ),
                subject: first.clone(),
                because,
                measured: None,
                basis: Basis::Calculated,
                allowed: None,
                help: vec![Help::words("let one of them follow the other, or lock one over a break contact")],
                source: "computed: the orders in which they may move end in different states".to_owned(),
                working: Vec::new(),
                touches: subjects,
            });
        }
    }
}

/// `a, b and c`.
pub(super) fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
