//! The list of findings: what is wrong, where, and what to do about it.

mod mark;

use engine::answer::{Answer, Told};
use engine::document::Accepted;
use engine::finding::Severity;
use engine::subject::Subject;
use leptos::prelude::{AnyView, Get, Memo};

use mark::{good, mark};

use crate::panel::title;
use crate::piece::{Tag, button, focus, plain_button, region, report_under, several, soon, styled, tag};
use crate::shell;
use crate::state::desk::{Desk, Side, State, Stop, Topic};

/// The findings of the job, the worst first.
pub fn checks(desk: Desk) -> Tag {
    // An entry keeps its place in the page while what is told is the same, with its manual open or not.
    let told = Memo::new(move |_| {
        desk.read(&[Topic::Answer], |state| {
            let told = state.answers.last().map(|answer| {
                (
                    answer.findings.clone(),
                    state.answers.listed(),
                    answer.verdict_words.clone(),
                    answer.opening.clone(),
                    answer.unjudged.clone(),
                    answer.rests_on(),
                )
            });
            let accepted = std::sync::Arc::clone(&state.session.document().accepted);
            (
                told,
                accepted,
                state.answers.failure().to_owned(),
                state.session.document().network.parts.is_empty(),
            )
        })
    });
    // What the list says of an earlier state of the job stays meanwhile; that all is well does not, see the style.
    let is_waiting = move || {
        desk.read(&[Topic::Answer], |state| state.answers.last().is_some() && state.checked().is_none())
    };
    tag("div")
        .live("class", move || Some(if is_waiting() { "checks waiting" } else { "checks" }.to_owned()))
        .set("id", "checks")
        .add(title().text("Checks"))
        .add(styled("p", "counts").says(move || counts(desk)))
        .add(styled("p", "checking").text("Checking…"))
        .child(soon(move || {
            region(move || {
                told.get();
                desk.look(|state| several(list(desk, state)))
            })
        }))
}

fn list(desk: Desk, state: &State) -> Vec<AnyView> {
    let Some(answer) = state.answers.last() else { return waiting(state.answers.failure()) };
    let mut views = Vec::new();
    let opening = answer.opening.iter().map(|(_, words)| words);
    for words in std::iter::once(&answer.verdict_words).chain(opening).filter(|words| !words.is_empty()) {
        views.push(styled("p", "verdict").set("dir", "auto").text(sentence(words)).end());
    }
    let body = if state.session.document().network.parts.is_empty() {
        tag("p").text("There is nothing to check yet.")
    } else if !state.answers.listed() {
        // There is nothing to list until the checks have told for the first time.
        return views;
    } else if answer.findings.is_empty() && !(answer.unjudged.is_empty() && answer.opening.is_empty()) {
        tag("p").text("The checks found nothing to report in what they could judge. That is not to say that all is well.")
    } else if answer.findings.is_empty() {
        let words = tag("span").add(tag("strong").text("Good")).text(good_words(answer.rests_on()));
        styled("p", "good").add(good()).add(words)
    } else {
        tag("div")
            .all(Severity::ALL.into_iter().filter_map(|severity| section(desk, state, answer, severity)))
    };
    views.push(body.end());
    views.extend(unjudged(desk, answer).map(Tag::end));
    views.push(report_under("Inspect what is there", "inspect").end());
    views.push(report_under("Sizes of wires and fuses", "sizes").end());
    views
}

/// What the checks could not judge for want of a value, each leading to where it is filled in.
fn unjudged(desk: Desk, answer: &Answer) -> Option<Tag> {
    if answer.unjudged.is_empty() {
        return None;
    }
    let network = desk.look(|state| std::sync::Arc::clone(&state.session.document().network));
    let entries = answer.unjudged.iter().map(|(subject, value)| {
        let caption = format!("{}: {value}", subject.title(&network));
        let subject = subject.clone();
        let fill_in = move || {
            shell::show(desk, &subject);
            desk.act(|state| state.side = Side::Selected);
        };
        tag("li").add(button(caption, fill_in).set("dir", "auto"))
    });
    let heading = format!("Not checked ({}): a value is missing", answer.unjudged.len());
    let section = styled("section", "severity-section").add(tag("h3").text(heading));
    Some(section.add(styled("ul", "unjudged").all(entries)))
}

/// What goes with "Good": it is only as good as what it rests on.
fn good_words(n_assumed: usize) -> String {
    let found = " – the checks found nothing to report.";
    match n_assumed {
        0 => found.to_owned(),
        1 => format!("{found} That rests on 1 assumed value, which Job lists."),
        n => format!("{found} That rests on {n} assumed values, which Job lists."),
    }
}

/// The findings of one severity under a heading that says what it means and how many there are.
fn section(desk: Desk, state: &State, answer: &Answer, severity: Severity) -> Option<Tag> {
    // The numbers run through all of them, because the marks on the drawing carry them.
    let of_it: Vec<(u32, &Told)> =
        (1..).zip(&answer.findings).filter(|(_, finding)| finding.severity == severity).collect();
    if of_it.is_empty() {
        return None;
    }
    let n_accepted = of_it.iter().filter(|(_, finding)| accepted(state, finding).is_some()).count();
    let apart = if n_accepted == 0 { String::new() } else { format!(" and {n_accepted} accepted") };
    let heading =
        format!("{} ({}{apart}): {}", severity.word(), of_it.len() - n_accepted, severity.meaning());
    let entries = of_it.into_iter().map(|(number, finding)| {
        entry(desk, number, finding, accepted(state, finding).map(Accepted::in_words))
    });
    let section = styled("section", "severity-section").add(tag("h3").text(heading));
    Some(section.add(styled("ol", "findings").all(entries)))
}

/// Who accepted a finding, if somebody did.
fn accepted<'s>(state: &'s State, finding: &Told) -> Option<&'s Accepted> {
    finding.accepted(&state.session.document().accepted)
}

fn waiting(failure: &str) -> Vec<AnyView> {
    if failure.is_empty() {
        return vec![tag("p").text("Reading…").end()];
    }
    let text = "The calculation broke down, so nothing is known about this job as it stands. Change something to try \
                again.";
    vec![tag("p").set("role", "alert").text(text).end(), styled("pre", "unreadable").text(failure).end()]
}

/// How many findings there are of a severity; without one, how many of all are accepted, which are counted apart.
fn count(desk: Desk, severity: Option<Severity>) -> usize {
    desk.read(&[Topic::Answer, Topic::Document], |state| {
        let findings = state.answers.last().map(|answer| answer.findings.as_slice()).unwrap_or_default();
        let counts = |finding: &&Told| match accepted(state, finding) {
            Some(_) => severity.is_none(),
            None => severity == Some(finding.severity),
        };
        findings.iter().filter(counts).count()
    })
}

/// How many there are of each severity, in words, because a number alone needs its color to be read.
pub fn counts(desk: Desk) -> String {
    let open = Severity::ALL.map(|severity| format!("{} {}", count(desk, Some(severity)), severity.word()));
    match count(desk, None) {
        0 => open.join(" · "),
        n => format!("{} · {n} accepted", open.join(" · ")),
    }
}

/// The worst there is, and how many more, or that something could not be judged; empty when there is nothing.
pub fn brief(desk: Desk) -> String {
    let all = Severity::ALL.map(|severity| (count(desk, Some(severity)), severity));
    let total: usize = all.iter().map(|(n, _)| n).sum();
    match all.into_iter().find(|(n, _)| *n > 0) {
        None => match desk.look(|state| state.answers.last().map_or(0, |answer| answer.unjudged.len())) {
            0 => String::new(),
            n => format!("{n} not checked"),
        },
        Some((n, severity)) if n == total => format!("{n} {}", severity.word()),
        Some((n, severity)) => format!("{n} {} + {}", severity.word(), total - n),
    }
}

/// What the checks say about one thing, short, each leading to its entry.
pub fn about(desk: Desk, subject: &Subject) -> Option<Tag> {
    let lines: Vec<Tag> = desk.read(&[Topic::Answer], |state| {
        let findings = state.checked().map(|answer| answer.findings.as_slice()).unwrap_or_default();
        // What is about a terminal concerns its part.
        let concerns = |finding: &Told| match subject {
            Subject::Part(part) => finding.subject.part() == Some(part),
            other => finding.subject == *other,
        };
        let found = (1..).zip(findings).filter(|(_, finding)| concerns(finding));
        found.map(|(number, finding)| line(desk, number, finding)).collect()
    });
    (!lines.is_empty()).then(|| styled("div", "finding-lines").all(lines))
}

fn class_of(what: &str, severity: Severity) -> String {
    format!("{what} finding-{}", severity.word().to_ascii_lowercase())
}

fn line(desk: Desk, number: u32, finding: &Told) -> Tag {
    plain_button(move || open(desk, number))
        .set("class", class_of("finding-line", finding.severity))
        .add(mark(finding.severity))
        .add(
            tag("span")
                .set("dir", "auto")
                .add(styled("strong", "severity").text(finding.severity.word()))
                .text(format!(" {}", sentence(&finding.message))),
        )
}

/// Opens the entry of a finding, and shows on the drawing where it is.
pub fn open(desk: Desk, number: u32) {
    let subject = desk.look(|state| {
        let findings = &state.checked()?.findings;
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
    focus(format!("finding-{number}"));
}

/// One finding, under the number that marks it in the drawing.
fn entry(desk: Desk, number: u32, finding: &Told, accepted: Option<String>) -> Tag {
    let subject = finding.subject.clone();
    let show = button("Show where", move || {
        shell::show(desk, &subject);
        desk.act(|state| state.side = Side::Checks);
    });
    let head = styled("p", "finding-head")
        .add(mark(finding.severity))
        .add(styled("strong", "severity").text(format!("{} {number}", finding.severity.word())))
        .add(styled("span", "subject").set("dir", "auto").text(finding.title.as_str()))
        .add(show.set("class", "where"));
    let mut entry = tag("li")
        .set(
            "class",
            class_of(if accepted.is_some() { "finding accepted" } else { "finding" }, finding.severity),
        )
        .set("id", format!("finding-{number}"))
        .set("tabindex", "-1")
        .add(head)
        .add(styled("p", "message").set("dir", "auto").text(sentence(&finding.message)));
    if let Some(words) = accepted {
        entry = entry.add(styled("p", "accepted-by").set("dir", "auto").text(format!("Accepted {words}")));
    }
    if let Some(limits) = &finding.limits {
        entry = entry.add(styled("p", "limits").text(limits.as_str()));
    }
    if !finding.because.is_empty() {
        let because = finding.because.iter().map(|(_, title, text)| {
            tag("li").set("dir", "auto").add(tag("b").text(title.as_str())).text(format!(": {text}"))
        });
        entry = entry.add(styled("ul", "because").set("aria-label", "Because").all(because));
    }
    let help = (0..).zip(&finding.help).map(|(index, help)| {
        let fix = finding.fixes.iter().find(|(of, _)| *of == index);
        let fix = fix.map(|(_, does)| {
            let words = format!("fix {} {index}", number - 1);
            tag("button")
                .set("type", "button")
                .set("class", "fix")
                .set("data-ask", words)
                .text(format!("Do it: {does}"))
        });
        tag("li").set("dir", "auto").text(help.as_str()).all(fix)
    });
    if finding.has_working {
        entry = entry.add(report_under("How these numbers come about", format!("finding {}", number - 1)));
    }
    entry
        .add(styled("p", "do").text("What to do"))
        .add(styled("ul", "help").all(help))
        .add(styled("p", "source").text(format!("Source: {}", finding.source)))
        .add(report_under("Why?", format!("manual {}", finding.check)))
        .add(report_under("Accept: who and why", format!("accept {}", number - 1)))
}

/// A message of the engine, which starts small and has no full stop, as a sentence on its own.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    match letters.next() {
        Some(first) => format!("{}{}.", first.to_ascii_uppercase(), letters.as_str()),
        None => String::new(),
    }
}
