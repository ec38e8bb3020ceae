//! The page as a whole: what it shows first, and where everything sits.

use editor::Action;
use leptos::prelude::{AnyView, Get, Memo};
use wasm_bindgen::prelude::Closure;

use crate::canvas::worktop;
use crate::host::{self, Laid};
use crate::panel::drawer::drawer;
use crate::panel::tray::tray;
use crate::piece::{Tag, nothing, several, styled, tag};
use crate::rest;
use crate::shell::dialogs::{dialogs, first_steps};
use crate::shell::{action_button, edge, jobs_button, question, selection_bar, status, thumb_bar};
use crate::state::desk::{Desk, Kept, State, Stop, Topic};
use crate::state::jobs::{self, Origin};

/// The whole page.
pub fn app() -> AnyView {
    let desk = Desk::new();
    listen(desk);
    first_job(desk);
    let empty = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Tool], |state| {
            state.has_begun()
                && state.session.document().network.parts.is_empty()
                && matches!(state.session.tool(), editor::Tool::Select)
        })
    });
    let begun = Memo::new(move |_| desk.read(&[Topic::Document], State::has_begun));
    let table = styled("div", "table")
        .add(worktop(desk))
        .region(move || if empty.get() { welcome().end() } else { nothing() })
        .add(styled("p", "opening").text("The last job is being opened.").hidden(move || begun.get()))
        .add(
            styled("div", "tidy")
                .add(action_button(desk, Action::Tidy).hidden(move || empty.get()))
                // What it opens is fetched by the script of the page; see `web/host/wire-list.js`.
                .add(
                    tag("button")
                        .set("type", "button")
                        .set("id", "wires")
                        .set("title", "F2")
                        .text("Wire list"),
                ),
        )
        .add(status(desk))
        .add(selection_bar(desk))
        .add(question(desk));
    several(vec![
        styled("a", "skip").set("href", "#drawing").text("Skip to the drawing").end(),
        edge(desk).end(),
        // What would be drawn before the last job is there would be lost under it.
        tag("main")
            .live("class", move || Some(bench(desk)))
            .live("inert", move || (!begun.get()).then(String::new))
            .add(tray(desk))
            .add(table)
            .add(drawer(desk))
            .end(),
        thumb_bar(desk).end(),
        dialogs(desk).end(),
    ])
}

/// The style of everything between the strips, which gives way to the details. It is said here and not found out by the style
/// from the details: the browser would look at the whole drawing at every change of anything.
fn bench(desk: Desk) -> String {
    let further = match desk.read(&[Topic::Panel], |state| state.stop) {
        Stop::Peek => "",
        Stop::Half => " half-open",
        Stop::Full => " wide-open",
    };
    format!("bench{further}")
}

/// What an empty drawing says.
fn welcome() -> Tag {
    let caution = "Results are calculated, not measured. Take the battery off before you touch a cable; the Job side of \
                   the details has all cautions.";
    styled("div", "welcome")
        .add(jobs_button("starts", "Begin from a ready circuit"))
        .add(tag("h2").text("Or draw: what to tap first"))
        .add(first_steps())
        .add(styled("p", "hint").text(caution))
}

/// Hears what the worker has to say.
pub fn listen_to_worker(desk: Desk) {
    let answer = Closure::<dyn FnMut(Vec<u8>)>::new(move |bytes: Vec<u8>| desk.answered(&bytes));
    let failure = Closure::<dyn FnMut(String)>::new(move |why: String| desk.not_answered(&why));
    host::on_answer(&answer, &failure);
    let wanted = Closure::<dyn FnMut(String) -> Vec<u8>>::new(move |words| desk.inquiry(words));
    let taken = Closure::<dyn FnMut(Vec<u8>) -> String>::new(move |bytes: Vec<u8>| desk.reported(&bytes));
    host::on_report(&wanted, &taken);
    crate::shell::heard::tell_findings(desk);
    jobs::listen(desk);
    // They are called for as long as the page is open.
    wanted.forget();
    taken.forget();
    answer.forget();
    failure.forget();
}

/// Hears what becomes of keeping the job.
fn listen(desk: Desk) {
    let kept = Closure::<dyn FnMut(String, String)>::new(move |state: String, why: String| {
        desk.act(|desk| {
            desk.kept = match state.as_str() {
                "kept" => Kept::Here,
                "refused" => Kept::Refused(why),
                "elsewhere" => Kept::Elsewhere,
                "forgotten" => Kept::Untouched,
                "behind" => Kept::Behind,
                _ => Kept::Keeping,
            };
        });
    });
    host::on_kept(&kept);
    // It is called for as long as the page is open.
    kept.forget();
}

/// The job that was open last; an empty one on the first visit, and where the program stopped over the last.
fn first_job(desk: Desk) {
    let stopped = host::stopped_over();
    let last = host::last_job();
    if last.is_none() {
        jobs::begin(desk, Laid::default(), Origin::Nothing);
    }
    if let Some(id) = stopped {
        host::tell_stopped(&id);
    }
    rest::fetch(desk, last);
}
