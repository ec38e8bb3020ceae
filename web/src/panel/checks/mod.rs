//! The list of findings: what is wrong, where, and what to do about it.

mod manual;
mod mark;

use engine::answer::Told;
use engine::finding::Severity;
use engine::subject::Subject;
use leptos::prelude::*;

use crate::panel::focus;
use crate::shell;
use crate::state::desk::{Desk, Side, Stop, Topic};
use manual::Manual;
use mark::{Good, Mark};

/// The findings of the job, the worst first.
#[component]
pub fn Checks(desk: Desk) -> impl IntoView {
    // An entry keeps its place in the page while its text is the same, with its manual open or not.
    let findings = Memo::new(move |_| {
        desk.read(&[Topic::Answer], |state| {
            state
                .answer
                .as_ref()
                .map(|answer| (answer.findings.clone(), answer.verdict_words.clone(), answer.opening.clone()))
        })
    });
    let list = move || {
        let Some((findings, verdict, opening)) = findings.get() else { return waiting(desk).into_any() };
        let empty = desk.look(|state| state.session.document().network.parts.is_empty());
        let restless = (!verdict.is_empty()).then(|| view! { <p class="verdict" dir="auto">{verdict}</p> });
        let opening: Vec<_> = opening
            .into_iter()
            .map(|(_, words)| view! { <p class="verdict" dir="auto">{words}</p> })
            .collect();
        let body = if empty {
            view! { <p>"There is nothing to check yet."</p> }.into_any()
        } else if findings.is_empty() {
            view! { <p class="good"><Good/> <strong>"Good"</strong> " – the checks found nothing to report."</p> }
                .into_any()
        } else {
            let entries: Vec<_> =
                (1..).zip(findings).map(|(number, finding)| entry(desk, number, finding)).collect();
            view! { <ol class="findings">{entries}</ol> }.into_any()
        };
        view! { {restless} {opening} {body} }.into_any()
    };
    view! {
        <div class="checks" id="checks">
            <h2 id="drawer-title" tabindex="-1">"Checks"</h2>
            <p class="counts">{move || counts(desk)}</p>
            {list}
        </div>
    }
}

fn waiting(desk: Desk) -> impl IntoView {
    let failure = desk.look(|state| state.failure.clone());
    if failure.is_empty() {
        view! { <p>"Reading…"</p> }.into_any()
    } else {
        view! {
            <p role="alert">"The calculation broke down, so nothing is known about this job as it stands. Change something to try again."</p>
            <pre class="unreadable">{failure}</pre>
        }
        .into_any()
    }
}

fn count(desk: Desk, severity: Severity) -> usize {
    desk.read(&[Topic::Answer], |state| {
        let findings = state.answer.as_ref().map(|answer| answer.findings.as_slice()).unwrap_or_default();
        findings.iter().filter(|finding| finding.severity == severity).count()
    })
}

/// How many there are of each severity, in words, because a number alone needs its color to be read.
fn counts(desk: Desk) -> String {
    Severity::ALL.map(|severity| format!("{} {}", count(desk, severity), severity.word())).join(" · ")
}

/// The worst there is, in one word and number; empty when there is nothing.
pub fn brief(desk: Desk) -> String {
    let all = Severity::ALL.map(|severity| (count(desk, severity), severity));
    all.into_iter()
        .find(|(n, _)| *n > 0)
        .map_or_else(String::new, |(n, severity)| format!("({n} {})", severity.word()))
}

/// What the checks say about one thing, short, each leading to its entry.
pub fn about(desk: Desk, subject: &Subject) -> Option<impl IntoView + use<>> {
    let found: Vec<(usize, Severity, String)> = desk.read(&[Topic::Answer], |state| {
        let findings = state.fresh().map(|answer| answer.findings.as_slice()).unwrap_or_default();
        let concerns = |finding: &Told| match (&finding.subject, subject) {
            (Subject::Terminal(terminal) | Subject::Net(terminal), Subject::Part(part)) => {
                terminal.part == *part
            }
            (one, other) => one == other,
        };
        (1..)
            .zip(findings)
            .filter(|(_, finding)| concerns(finding))
            .map(|(number, finding)| (number, finding.severity, sentence(&finding.message)))
            .collect()
    });
    (!found.is_empty()).then(|| {
        let lines: Vec<_> = found
            .into_iter()
            .map(|(number, severity, message)| {
                let class = format!("finding-line finding-{}", severity.word().to_ascii_lowercase());
                view! {
                    <button type="button" class=class on:click=move |_| open(desk, number as u32)>
                        <Mark severity/>
                        <span dir="auto"><strong class="severity">{severity.word()}</strong> " " {message}</span>
                    </button>
                }
            })
            .collect();
        view! { <div class="finding-lines">{lines}</div> }
    })
}

/// Opens the entry of a finding, and shows on the drawing where it is.
pub fn open(desk: Desk, number: u32) {
    let subject = desk.look(|state| {
        let findings = &state.fresh()?.findings;
        findings.get((number as usize).checked_sub(1)?).map(|finding| finding.subject.clone())
    });
    if let Some(subject) = subject {
        shell::show(desk, &subject);
    }
    desk.act(|state| {
        state.side = Side::Checks;
        if state.stop == Stop::Peek {
            state.stop = Stop::Half;
        }
    });
    request_animation_frame(move || focus(&format!("finding-{number}")));
}

/// One finding, under the number that marks it in the drawing.
fn entry(desk: Desk, number: u32, finding: Told) -> impl IntoView + use<> {
    let class = format!("finding finding-{}", finding.severity.word().to_ascii_lowercase());
    let because: Vec<_> = finding
        .because
        .iter()
        .map(|(_, title, text)| view! { <li dir="auto"><b>{title.clone()}</b> ": " {text.clone()}</li> })
        .collect();
    let help: Vec<_> = finding.help.iter().map(|help| view! { <li dir="auto">{help.clone()}</li> }).collect();
    let subject = finding.subject.clone();
    let show = move |_| {
        shell::show(desk, &subject);
        desk.act(|state| state.side = Side::Checks);
    };
    view! {
        <li class=class id=format!("finding-{number}") tabindex="-1">
            <p class="finding-head">
                <Mark severity=finding.severity/>
                <strong class="severity">{finding.severity.word()} " " {number}</strong>
                <span class="subject" dir="auto">{finding.title}</span>
                <button type="button" class="where" on:click=show>"Show where"</button>
            </p>
            <p class="message" dir="auto">{sentence(&finding.message)}</p>
            {finding.limits.map(|limits| view! { <p class="limits">{limits}</p> })}
            {(!because.is_empty()).then(|| view! { <ul class="because" aria-label="Because">{because}</ul> })}
            <p class="do">"What to do"</p>
            <ul class="help">{help}</ul>
            <p class="source">"Source: " {finding.source}</p>
            <Manual desk name=finding.check/>
        </li>
    }
}

/// A message of the engine, which starts small and has no full stop, as a sentence on its own.
pub fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    match letters.next() {
        Some(first) => format!("{}{}.", first.to_ascii_uppercase(), letters.as_str()),
        None => String::new(),
    }
}
