//! Loads that work when they must not, or do not work when they must.

use crate::check::Context;
use crate::document::sentence::print;
use crate::document::{Interlock, Rule};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Role};
use crate::solve::Action;
use crate::subject::Subject;
use crate::sweep::{Outcome, Proof, Question, Usual, prove, usual, words};

declare_check! {
    /// Finds states of the switches and donor circuits in which a load works although it must not, or does not work
    /// although it must.
    ///
    /// # What it checks
    ///
    /// The interlocks of the job, and those that are usual for the function of new lamps: driving lamps only with main
    /// beam, reversing lamps only with reverse gear, fog lamps only with the position lamps, a switch of its own for
    /// driving lamps, a tell-tale for work lamps.
    /// Every state that working the switches and donor circuits one at a time can lead to is looked at, as far as they
    /// have a say in the load or in the condition; `reduced` and pulsed light of a module is not `on`.
    /// A proof covers all of them; where there are too many, it says how many were looked at.
    /// An interlock `any time` waives what is usual.
    ///
    /// # Why it matters
    ///
    /// A driving lamp that burns without main beam dazzles, and is against the law in most places. The local rule decides.
    ///
    /// # Example
    ///
    /// The relay of the driving lamps takes its signal from the dipped beam.
    ///
    /// # What to do
    ///
    /// Work the switches in the order that is listed and see what feeds the load; take the trigger from the right wire,
    /// or say that the rule does not hold for this load.
    name: "interlock-broken",
    summary: "a load works when it must not",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "unconnected-terminal", "unfused-run", "load-never-lit", "tap-without-signal", "coil-will-not-pull-in", "switched-earth-donor"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    for interlock in context.interlocks {
        let proof = proved(context, interlock);
        let rule = print(interlock, &context.circuit.resolved.network);
        let told = |works: &str| format!("the rule “{rule}” does not hold: {works}");
        findings.extend(finding(
            context,
            interlock,
            &proof,
            told,
            Severity::Stop,
            "the interlocks of this job",
        ));
    }
    let (usual, questions) = usual(context.survey.sweeper(), context.interlocks);
    let mut broken: Vec<Finding> = Vec::new();
    for Usual { interlock, signal, source } in &usual {
        let proof = proved(context, interlock);
        // What has no solution is told of by itself.
        if proof.outcome == Outcome::NotFinished && proof.n_unsolved > 0 {
            continue;
        }
        // Without such a donor in the job nobody can say that the right one was missed.
        let severity = if interlock.any_of.is_empty() { Severity::Look } else { Severity::Stop };
        let told = |works: &str| format!("{works} without {signal}");
        if let Some(new) = finding(context, interlock, &proof, told, severity, source) {
            together(&mut broken, new, "for the same reason");
        }
    }
    findings.extend(broken);
    for finding in findings.iter_mut().filter(|finding| finding.check == CHECK.name) {
        let is_it = |(branch, _): &(usize, _)| context.circuit.subject(*branch) == finding.subject;
        for (load, _) in context.circuit.loads().filter(is_it) {
            let mut deciders = context.deciders_of(load);
            deciders.extend(context.fuse_ends_at(&deciders));
            finding.touches.extend(context.loose_ends_at(&deciders));
            finding
                .touches
                .extend(deciders.into_iter().filter(|decider| matches!(decider, Subject::Part(_))));
            finding.touches.extend(context.second_feeds_of(load));
        }
    }
    ask(context, &questions, findings);
    own_switch(context, findings);
    telltales(context, findings);
}

fn proved(context: &Context<'_>, interlock: &Interlock) -> Proof {
    prove(context.survey.sweeper(), interlock, &mut context.survey.budget())
}

/// Puts a finding under an earlier one that is reached by the same actions.
fn together(known: &mut Vec<Finding>, new: Finding, why: &str) {
    let same = |other: &&mut Finding| {
        other.severity == new.severity
            && other.source == new.source
            && other.touches.iter().skip(1).eq(new.touches.iter().skip(1))
    };
    match known.iter_mut().find(same) {
        Some(first) => first.because.push(Label { subject: new.subject, text: why.to_owned() }),
        None => known.push(new),
    }
}

fn finding(
    context: &Context<'_>,
    interlock: &Interlock,
    proof: &Proof,
    told: impl Fn(&str) -> String,
    severity: Severity,
    source: &'static str,
) -> Option<Finding> {
    let network = &context.circuit.resolved.network;
    let subject = Subject::Part(interlock.load.clone());
    let title = match interlock.name.as_str() {
        "" => subject.title(network),
        name => format!("the {name} of {}", subject.title(network)),
    };
    let mut finding = Finding {
        check: CHECK.name,
        severity,
        message: String::new(),
        subject: subject.clone(),
        because: Vec::new(),
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(
            "work the switches in this order and follow the current path of the load; take its trigger from the right wire, or write a rule that it may work “any time”",
        )],
        source: source.to_owned(),
        working: Vec::new(),
        touches: vec![subject],
    };
    match &proof.outcome {
        Outcome::Proved | Outcome::Waived | Outcome::NotKnown(_) => return None,
        Outcome::Broken { actions, lasts, .. } => {
            let works = match (interlock.rule, lasts) {
                (Rule::AlwaysWith, true) => "does not work",
                (Rule::AlwaysWith, false) => "fails again and again",
                (_, true) => "works",
                (_, false) => "works again and again",
            };
            finding.message =
                format!("{}, {}", told(&format!("{title} {works}")), words::after(network, actions));
            finding.because = steps(context, actions);
            finding.touches.extend(finding.because.iter().map(|step| step.subject.clone()));
        }
        Outcome::NotFinished => {
            let (seen, of) = (proof.n_seen, proof.n_combinations);
            let (why, help) = match proof.n_unsolved {
                0 => (
                    format!("{seen} of {of} combinations of positions were looked at"),
                    "sweep the whole job on the command line, which takes longer",
                ),
                n => (
                    format!("{n} of {} states have no solution or a shorted supply", proof.n_states),
                    "mend what is told of those first",
                ),
            };
            finding.severity = Severity::Note;
            finding.message =
                format!("whether the rule “{}” holds is not known: {why}", print(interlock, network));
            finding.help = vec![Help::words(help.to_owned())];
        }
    }
    Some(finding)
}

/// The actions as what else contributed, in order.
pub(super) fn steps(context: &Context<'_>, actions: &[Action]) -> Vec<Label> {
    let network = &context.circuit.resolved.network;
    let step = |(number, action): (usize, &Action)| Label {
        subject: Subject::Part(network.parts[action.0].id.clone()),
        text: format!("step {}: {}", number + 1, words::at(network, *action)),
    };
    actions.iter().enumerate().map(step).collect()
}

/// Asks what the donors are on which a lamp hangs that is usually bound to a signal; once for each donor.
fn ask(context: &Context<'_>, questions: &[Question], findings: &mut Vec<Finding>) {
    let network = &context.circuit.resolved.network;
    let mut asked: Vec<&Question> = Vec::new();
    for question in questions {
        let subject = Subject::Part(question.donor.clone());
        if asked.iter().any(|one| one.donor == question.donor) {
            continue;
        }
        asked.push(question);
        let lamp = Subject::Part(question.load.clone()).title(network);
        findings.push(Finding {
            check: CHECK.name,
            severity: Severity::Note,
            message: format!(
                "which signal {} is has not been said, so whether {lamp} works only with {} cannot be told",
                subject.title(network),
                question.signal
            ),
            subject: subject.clone(),
            because: Vec::new(),
            measured: None,
            basis: Basis::Entered,
            allowed: None,
            help: vec![Help::words(format!("say which signal {} is", subject.title(network)))],
            source: "common practice, local rule decides".to_owned(),
            working: Vec::new(),
            touches: vec![subject],
        });
    }
}

/// Driving lamps that no switch turns off while their donor circuits are on.
fn own_switch(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut found: Vec<Finding> = Vec::new();
    for (subject, branch) in lamps(context, "driving") {
        let circuit = context.circuit;
        let network = &circuit.resolved.network;
        let explored = context
            .survey
            .sweeper()
            .over(&context.survey.sweeper().say(branch), &mut context.survey.budget());
        let is_lit = explored.first(|node| node.lit.contains(&branch)).is_some();
        let turns_off = |input: &usize| {
            let input = &circuit.inputs[*input];
            let part = &network.parts[input.part];
            part.kind.class == Class::Contact
                && (0..input.positions).any(|position| {
                    explored
                        .first(|node| {
                            node.state.positions[input.part] == position && node.lit.contains(&branch)
                        })
                        .is_none()
                })
        };
        if !is_lit || !explored.is_complete || explored.inputs.iter().any(turns_off) {
            continue;
        }
        let new = Finding {
            message: format!("no switch turns {} off by itself", subject.title(network)),
            help: vec![Help::words("put a switch of its own into its trigger")],
            source: "driving lamps have an off switch of their own: common practice, local rule decides; ADR 13/00 clause 7.3 (from memory)".to_owned(),
            working: Vec::new(),
            ..looked(subject.clone())
        };
        // A lamp that works when it must not is told of already.
        let is_known = |one: &&mut Finding| {
            one.check == CHECK.name && one.subject == subject && one.severity != Severity::Note
        };
        match findings.iter_mut().find(is_known) {
            Some(known) => known.because.push(Label { subject, text: new.message }),
            None => together(&mut found, new, "has none either"),
        }
    }
    findings.extend(found);
}

/// Work lamps that no tell-tale shows to be on.
fn telltales(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut found: Vec<Finding> = Vec::new();
    let circuit = context.circuit;
    let telltales: Vec<usize> =
        circuit.loads().filter(|(_, load)| load.name == "telltale").map(|(branch, _)| branch).collect();
    for (subject, branch) in lamps(context, "work") {
        let network = &circuit.resolved.network;
        let shown = |telltale: &usize| {
            let sweeper = context.survey.sweeper();
            let (mut say, its) = (sweeper.say(branch), sweeper.say(*telltale));
            // One that nothing of the lamp has a say in tells of something else.
            if its.is_disjoint(&say) {
                return false;
            }
            say.extend(its);
            let explored = sweeper.over(&say, &mut context.survey.budget());
            let unseen =
                |node: &crate::sweep::Node| node.lit.contains(&branch) && !node.lit.contains(telltale);
            explored.first(unseen).is_none()
        };
        let is_lit = context.survey.lit().branches.contains(&branch);
        if !is_lit || telltales.iter().any(shown) {
            continue;
        }
        let new = Finding {
            severity: Severity::Note,
            message: format!(
                "no tell-tale shows that {} is on; one that faces the rear needs it",
                subject.title(network)
            ),
            help: vec![Help::words("take a switch with a tell-tale, if the lamp can dazzle those behind")],
            source: "a tell-tale for rear work lamps: common practice, local rule decides".to_owned(),
            working: Vec::new(),
            ..looked(subject.clone())
        };
        together(&mut found, new, "has none either");
    }
    findings.extend(found);
}

/// The loads of new lamps of a function that no interlock waives.
fn lamps(context: &Context<'_>, function: &str) -> Vec<(Subject, usize)> {
    let circuit = context.circuit;
    let waived = |id: &crate::ids::PartId, name: &str| {
        context.interlocks.iter().any(|one| one.load == *id && one.name == name && one.rule == Rule::AnyTime)
    };
    let mut found = Vec::new();
    for (id, name, its) in crate::sweep::lamps(&circuit.resolved.network) {
        let of_it = |branch: usize| circuit.subject(branch).part() == Some(id);
        for (branch, at) in circuit.branches.iter().enumerate() {
            if its == function
                && !waived(id, name)
                && of_it(branch)
                && at.law.is_some()
                && matches!(at.role, Role::Load(load) if load.name == name)
            {
                found.push((Subject::Part(id.clone()), branch));
            }
        }
    }
    found
}

fn looked(subject: Subject) -> Finding {
    Finding {
        check: CHECK.name,
        severity: Severity::Look,
        message: String::new(),
        subject: subject.clone(),
        because: Vec::new(),
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: Vec::new(),
        source: "".to_owned(),
        working: Vec::new(),
        touches: vec![subject],
    }
}
