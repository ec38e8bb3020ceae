//! Interlocks: what must hold whatever the switches do, written by choosing, and proved or broken.

use std::rc::Rc;

use engine::document::edit::apply;
use engine::document::interlock::workings;
use engine::document::{Edit, InState, Interlock, Part, Rule};
use engine::ids::PartId;
use engine::kind::Class;
use engine::post::{Change, Report};
use engine::quantity::capital;
use engine::solve::Solver;
use engine::sweep::{Outcome, Progress, Sweeper, Usual, prove, usual, words};

use super::markup::Markup;
use super::sweep::{all_states, state_of, steps, unfinished};
use super::{Asked, in_full, plural, state_words};

/// The rules of the job and those that are usual for its lamps, each with what came out, and a form for another.
pub fn page(asked: &Asked<'_>, progress: Progress<'_>) -> String {
    let circuit = asked.prepared.circuit();
    let sweeper = Sweeper::new(Rc::new(Solver::new(circuit)));
    let own = &asked.document.interlocks;
    let (usual, questions) = usual(&sweeper, own);
    let mut page = Markup::new();
    if own.is_empty() && usual.is_empty() && questions.is_empty() {
        page.line(
            "p",
            "hint",
            "No rule yet. Lamps whose function is said bring the rule that is usual for them.",
        );
    }
    for (number, interlock) in own.iter().enumerate() {
        rule(&mut page, asked, &sweeper, interlock, progress, |page| {
            let caption =
                if interlock.rule == Rule::AnyTime { "No longer waive it" } else { "Delete this rule" };
            page.element("div", &[("class", "row")], |row| {
                row.button(caption, &format!("rule-delete {number}"));
            });
        });
    }
    for (number, one) in usual.iter().enumerate() {
        rule(&mut page, asked, &sweeper, &one.interlock, progress, |page| {
            page.line("p", "source", &format!("Usual, unless it is waived. {}.", capital(one.source)));
            waiving(page, number);
        });
    }
    for question in questions {
        let network = &asked.document.network;
        let title = |id: &PartId| network.part(id).map_or_else(|| id.to_string(), in_full);
        page.element("section", &[("class", "working")], |page| {
            page.paragraph(&format!(
                "{} goes with {}, but what signal {} gives is not said, so nothing can be proved.",
                title(&question.load),
                question.signal,
                title(&question.donor)
            ));
            page.element("div", &[("class", "row")], |row| {
                row.button(&format!("Show {}", title(&question.donor)), &format!("show {}", question.donor));
            });
        });
    }
    form(&mut page, asked);
    page.done()
}

/// One rule with what came out for it, and below that what `more` adds.
fn rule(
    page: &mut Markup,
    asked: &Asked<'_>,
    sweeper: &Sweeper<'_>,
    interlock: &Interlock,
    progress: Progress<'_>,
    more: impl FnOnce(&mut Markup),
) {
    let circuit = asked.prepared.circuit();
    let network = &asked.document.network;
    let proof = prove(sweeper, interlock, progress);
    page.element("section", &[("class", "working")], |page| {
        page.heading(&sentence(asked, interlock));
        match &proof.outcome {
            Outcome::Proved => page.strong(
                "Proved",
                &format!(
                    ": it holds in {} of {} of positions.",
                    match proof.n_states {
                        1 => "the one state".to_owned(),
                        n => format!("all {n} states"),
                    },
                    plural(proof.n_combinations, "combination"),
                ),
            ),
            Outcome::Broken { actions, lasts, .. } => {
                let again = if *lasts { "" } else { ", again and again" };
                page.strong("Broken", &format!(" {}{again}. Step by step:", words::after(network, actions)));
                steps(page, circuit, actions);
            }
            Outcome::Waived => {
                let why = match interlock.reason.as_str() {
                    "" => ".".to_owned(),
                    reason => format!(": {reason}"),
                };
                page.strong("Waived", &why);
            }
            _ => page.paragraph(&unfinished(asked, &proof)),
        }
        more(page);
    });
}

/// A rule as a sentence; one that is usual may want a signal that no donor of the job gives.
fn sentence(asked: &Asked<'_>, interlock: &Interlock) -> String {
    let network = &asked.document.network;
    let title = |id: &PartId| network.part(id).map_or_else(|| id.to_string(), in_full);
    let all = |all: &Vec<InState>| {
        let each = all.iter().map(|one| format!("{} {}", title(&one.part), state_words(one)));
        each.collect::<Vec<_>>().join(" and ")
    };
    let condition: Vec<String> = interlock.any_of.iter().map(all).collect();
    let condition = match interlock.rule {
        Rule::AnyTime => String::new(),
        _ if condition.is_empty() => "a signal that no donor circuit of this job gives".to_owned(),
        _ => condition.join(" or "),
    };
    let load = format!("{} {}", title(&interlock.load), interlock.name);
    format!("{} {} {condition}", load.trim_end(), interlock.rule.words()).trim_end().to_owned()
}

fn waiving(page: &mut Markup, number: usize) {
    page.element("div", &[("class", "row")], |row| {
        row.button("Make it a rule of this job", &format!("rule-adopt {number}"));
        row.field(&format!("reason-{number}"), "Waive it, because", "");
        row.button("Waive", &format!("rule-waive {number}"));
    });
}

/// The form for another rule: what it is about, how, and with what.
fn form(page: &mut Markup, asked: &Asked<'_>) {
    let loads = loads(asked);
    if loads.is_empty() {
        return;
    }
    page.heading("Another rule");
    let states = all_states(asked);
    page.element("div", &[("class", "row")], |row| {
        let options: Vec<(&str, &str)> =
            loads.iter().map(|(value, title)| (value.as_str(), title.as_str())).collect();
        row.select("load", "What", &options, asked.field("load").unwrap_or_default());
        let rules: Vec<(&str, &str)> = [Rule::OnlyWith, Rule::NeverWith, Rule::AlwaysWith]
            .map(|rule| (rule.words(), rule.words()))
            .to_vec();
        row.select("rule", "works", &rules, asked.field("rule").unwrap_or_default());
        // What is worked by hand or comes from the vehicle is what rules are mostly about.
        let mut conditions: Vec<(&str, &str)> = Vec::new();
        for wanted in [true, false] {
            let of_it = states
                .iter()
                .filter(|(value, _, is_worked)| (*is_worked && !value.ends_with("|off")) == wanted);
            conditions.extend(of_it.map(|(value, title, _)| (value.as_str(), title.as_str())));
        }
        row.select("state", "condition", &conditions, asked.field("state").unwrap_or_default());
        row.select(
            "join",
            "more",
            &[("", "that is all"), ("and", "and"), ("or", "or")],
            asked.field("join").unwrap_or_default(),
        );
        row.select("also", "second condition, if any", &conditions, asked.field("also").unwrap_or_default());
        row.button("Add this rule", "rule-add");
    });
}

/// What can be ruled: every load, and every relay.
fn loads(asked: &Asked<'_>) -> Vec<(String, String)> {
    let is_ruled = |part: &&Part| matches!(part.kind.class, Class::Load | Class::Contact);
    let mut all = Vec::new();
    for part in asked.document.network.parts.iter().filter(is_ruled) {
        for name in workings(part) {
            let title = format!("{} {} {name}", part.kind.noun, part.title());
            all.push((format!("{}|{name}|", part.id), title.trim_end().to_owned()));
        }
    }
    // Loads come before relays and tell-tales.
    all.sort_by_key(|(value, _)| {
        let part = state_of(value)
            .and_then(|one| asked.document.network.part(&one.part).map(|part| part.kind.class));
        part != Some(Class::Load)
    });
    all
}

/// Adds the rule that was chosen.
pub fn add(asked: &Asked<'_>) -> Option<Report> {
    let load = state_of(asked.field("load")?)?;
    let (rule, _) = *Rule::WORDS.iter().find(|(_, words)| Some(*words) == asked.field("rule"))?;
    let state = state_of(asked.field("state")?)?;
    let also = || asked.field("also").and_then(state_of);
    let any_of = match asked.field("join")? {
        "and" => vec![vec![state, also()?]],
        "or" => vec![vec![state], vec![also()?]],
        _ => vec![vec![state]],
    };
    let interlock = Interlock { load: load.part, name: load.name, rule, any_of, reason: String::new() };
    let sentence = sentence(asked, &interlock);
    if asked.document.interlocks.contains(&interlock) {
        return Some(Report {
            said: format!("The job has this rule already: {sentence}"),
            ..Report::default()
        });
    }
    Some(changed(asked, &format!("add rule {sentence}"), &format!("Rule added: {sentence}"), |all| {
        all.push(interlock)
    }))
}

/// Deletes the rule of this number.
pub fn delete(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let sentence = sentence(asked, asked.document.interlocks.get(number)?);
    Some(changed(asked, &format!("delete rule {sentence}"), &format!("Rule deleted: {sentence}"), |all| {
        all.remove(number);
    }))
}

fn usual_of(asked: &Asked<'_>, number: usize) -> Option<Usual> {
    let sweeper = Sweeper::new(Rc::new(Solver::new(asked.prepared.circuit())));
    usual(&sweeper, &asked.document.interlocks).0.into_iter().nth(number)
}

/// Makes a usual rule one of the job.
pub fn adopt(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let interlock = usual_of(asked, number)?.interlock;
    if interlock.any_of.is_empty() {
        let said = "Put the donor circuit that gives this signal on the drawing first.".to_owned();
        return Some(Report { said, ..Report::default() });
    }
    let sentence = sentence(asked, &interlock);
    Some(changed(asked, &format!("add rule {sentence}"), &format!("Rule added: {sentence}"), |all| {
        all.push(interlock)
    }))
}

/// Waives a usual rule, for the reason that was filled in.
pub fn waive(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let reason = asked.field(&format!("reason-{number}")).unwrap_or_default().to_owned();
    if reason.is_empty() {
        return Some(Report { said: "Say first why the rule is waived.".to_owned(), ..Report::default() });
    }
    let usual = usual_of(asked, number)?.interlock;
    let sentence = sentence(asked, &usual);
    let waived = Interlock { rule: Rule::AnyTime, any_of: Vec::new(), reason, ..usual };
    Some(changed(asked, &format!("waive {sentence}"), &format!("Waived: {sentence}"), |all| all.push(waived)))
}

fn changed(asked: &Asked<'_>, label: &str, done: &str, change: impl FnOnce(&mut Vec<Interlock>)) -> Report {
    let mut all: Vec<Interlock> = (*asked.document.interlocks).clone();
    change(&mut all);
    match apply(asked.document, &Edit::Interlocks(all)) {
        Ok(after) => {
            let change = Change::between(label, asked.document, &after);
            Report { said: done.to_owned(), change: Some(change), ..Report::default() }
        }
        Err(error) => Report { said: error.to_string(), ..Report::default() },
    }
}
