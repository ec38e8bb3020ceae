//! The list of findings: what is wrong, where, and what to do about it.

mod manual;
mod mark;

use engine::document::Document;
use engine::finding::{Finding, Severity};
use leptos::prelude::*;

use crate::state::derived::{self, Derived};
use manual::Manual;
use mark::{Good, Mark};

/// The findings of the job, the worst first.
#[component]
pub fn Checks(derived: Derived) -> impl IntoView {
    let list = move || {
        let findings = derived.findings.get();
        let Ok(document) = derived.document.get() else { return ().into_any() };
        if findings.is_empty() {
            return view! {
                <p class="good"><Good/> <strong>"Good"</strong> " – the checks found nothing to report."</p>
            }
            .into_any();
        }
        let entries: Vec<_> =
            (1..).zip(findings).map(|(number, finding)| entry(&document, number, finding)).collect();
        view! { <ol class="findings">{entries}</ol> }.into_any()
    };
    view! {
        <section class="panel checks" id="checks" tabindex="-1" aria-labelledby="checks-title">
            <h2 id="checks-title">"Checks"</h2>
            <p class="counts">{move || counts(&derived.findings.get())}</p>
            {list}
        </section>
    }
}

/// How many there are of each severity, in words, because a number alone needs its color to be read.
fn counts(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    Severity::ALL.map(|severity| format!("{} {}", count(severity), severity.word())).join(" · ")
}

/// One finding, under the number that marks it in the drawing.
fn entry(document: &Document, number: usize, finding: Finding) -> impl IntoView + use<> {
    let network = &document.network;
    let class = format!("finding finding-{}", finding.severity.word().to_ascii_lowercase());
    let because: Vec<_> = finding
        .because
        .iter()
        .map(|label| {
            view! { <li dir="auto"><b>{label.subject.title(network)}</b> ": " {label.text.clone()}</li> }
        })
        .collect();
    let limits = match (finding.measured, finding.allowed) {
        (Some(measured), Some(allowed)) => Some(format!("found {measured}, allowed {allowed}")),
        (Some(measured), None) => Some(format!("found {measured}")),
        (None, Some(allowed)) => Some(format!("allowed {allowed}")),
        (None, None) => None,
    };
    let help: Vec<_> =
        finding.help.iter().map(|help| view! { <li dir="auto">{help.text.clone()}</li> }).collect();
    view! {
        <li class=class>
            <p class="finding-head">
                <Mark severity=finding.severity/>
                <strong class="severity">{finding.severity.word()} " " {number}</strong>
                <span class="subject" dir="auto">{finding.subject.title(network)}</span>
            </p>
            <p class="message" dir="auto">{sentence(&finding.message)}</p>
            {limits.map(|limits| view! { <p class="limits">{limits}</p> })}
            {(!because.is_empty()).then(|| view! { <ul class="because" aria-label="Because">{because}</ul> })}
            <p class="do">"What to do"</p>
            <ul class="help">{help}</ul>
            <details>
                <summary>"Why?"</summary>
                <p class="source">"Source: " {finding.source}</p>
                <Manual text=derived::manual(finding.check)/>
            </details>
        </li>
    }
}

/// A message of the engine, which starts small and has no full stop, as a sentence on its own.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    match letters.next() {
        Some(first) => format!("{}{}.", first.to_ascii_uppercase(), letters.as_str()),
        None => String::new(),
    }
}
