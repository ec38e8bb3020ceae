//! Relays that never come to rest.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::swept::is_of_this_job;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::solve::Verdict;
use crate::subject::Subject;
use crate::sweep::words;

declare_check! {
    /// Finds positions of the switches and donor circuits in which a relay pulls in and drops out again and again, or an
    /// electronic load turns on and off.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to.
    /// From each change on all orders in which relays may move are followed; when none of them ends, it chatters.
    /// Electronic loads that turn on and off in the situations that every check looks at are told of by `volt-drop`.
    ///
    /// # Why it matters
    ///
    /// A relay that chatters burns its contacts within minutes and may weld them.
    ///
    /// # Example
    ///
    /// A coil fed through its own break contact.
    ///
    /// # What to do
    ///
    /// Take the coil's feed from before the contact, or the signal from another wire.
    name: "chatter",
    summary: "a relay that pulls in and drops out for ever",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "switched-earth-donor", "volt-drop"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let mut told: Vec<usize> = Vec::new();
    // What the check of the voltage drop has seen for itself.
    for surveyed in &context.survey.situations {
        if matches!(surveyed.solution.verdict, Verdict::Flashing | Verdict::Collapse) {
            let electronic = |device: &usize| !circuit.devices[*device].relay;
            told.extend(surveyed.solution.restless.iter().copied().filter(electronic));
        }
    }
    for component in &context.survey.sweep().components {
        for trouble in &component.explored.troubles {
            let is_it = matches!(trouble.verdict, Verdict::Chatter | Verdict::Flashing | Verdict::Collapse);
            let new: Vec<usize> =
                trouble.restless.iter().copied().filter(|device| !told.contains(device)).collect();
            let of_job = |device: &usize| is_of_this_job(context, circuit.devices[*device].branch);
            if !is_it
                || !new.iter().any(of_job)
                || trouble.restless.iter().any(|device| told.contains(device))
            {
                continue;
            }
            told.extend(&new);
            let subjects: Vec<Subject> =
                new.iter().map(|device| circuit.subject(circuit.devices[*device].branch)).collect();
            let actions = component.explored.actions_of(trouble.before);
            let does = match trouble.verdict {
                Verdict::Collapse => "gets less the more it draws, and never works",
                Verdict::Flashing => "turns on and off again and again",
                _ => "pulls in and drops out again and again",
            };
            let mut because = steps(context, &actions);
            because.extend(
                subjects[1..]
                    .iter()
                    .map(|other| Label { subject: other.clone(), text: "with it".to_owned() }),
            );
            findings.push(Finding {
                check: CHECK.name,
                severity: Severity::Stop,
                message: format!(
                    "{} {does}, {}",
                    subjects[0].title(network),
                    words::after(network, &actions)
                ),
                subject: subjects[0].clone(),
                because,
                measured: None,
                basis: Basis::Calculated,
                allowed: None,
                help: vec![Help::words("follow the current path of its coil: it must not lead over its own contact, nor depend on what the contact feeds")],
                source: "computed: no state of the relays lasts".to_owned(),
                working: Vec::new(),
                touches: subjects,
            });
        }
    }
}
