//! What the first picture does without, behind one door: the sides of the drawer, the dialogs, what is done by keys and
//! buttons of the bars, and the reading of answers and jobs.
//!
//! The build cuts the module of the page in two at [`load`]: everything that only [`Rest`] leads to is fetched once the
//! app runs, and shares memory and functions with the first half. So nothing outside of [`ALL`] may name what is in it,
//! or it is fetched at the first visit again; `cargo xtask build` prints what each half costs.

use std::sync::OnceLock;
use std::time::Duration;

use editor::{Action, Screen};
use leptos::prelude::{AnyView, set_timeout};
use wasm_split_helpers::{SplitLoaderError, wasm_split};

use crate::canvas::Picture;
use crate::canvas::events::Events;
use crate::piece::later;
use crate::shell::dialogs;
use crate::state::desk::{Desk, Dialog, Kept, Side, State};
use crate::state::jobs;
use crate::{app, outside, panel, shell};

/// The ways into the second half.
pub struct Rest {
    /// What a side of the drawer shows.
    pub side: fn(Desk, Side) -> AnyView,
    /// What a dialog shows.
    pub dialog: fn(Desk, Dialog) -> AnyView,
    /// Opens the job of the last visit.
    pub open_last: fn(Desk, String),
    /// Hears what the worker has to say.
    pub listen: fn(Desk),
    /// Asks the worker about the job.
    pub ask: fn(&mut State),
    /// Has the job kept.
    pub keep: fn(&State),
    /// What the question over the drawing shows.
    pub question: fn(Desk) -> AnyView,
    /// Shows readings and findings on the drawing.
    pub marks: fn(&mut Picture, Desk),
    /// Shows what is selected and lit.
    pub halos: fn(&mut Picture, Desk),
    /// The number of the finding whose mark lies there.
    pub finding_at: fn(&Events, Screen) -> Option<u32>,
    /// Shows the whole drawing with what is marked on it.
    pub show_all: fn(Desk),
    /// Opens the entry of a finding.
    pub open_finding: fn(Desk, u32),
    /// Does something of the table of actions.
    pub act: fn(Desk, Action),
    /// Copies the selected parts.
    pub copy: fn(Desk),
    /// Puts what was copied on the drawing.
    pub paste: fn(Desk),
    /// A key while the drawing has the focus.
    pub key: fn(&Events, &web_sys::KeyboardEvent),
    /// What asks the worker for a picture of the job in its reply.
    pub picture_of: fn(&[u8]) -> Option<Vec<u8>>,
    /// The markup of a reply.
    pub markup_of: fn(&[u8]) -> Option<String>,
}

static ALL: Rest = Rest {
    side: panel::side,
    dialog: dialogs::content,
    open_last: jobs::open_last,
    listen: app::listen_to_worker,
    ask: State::ask,
    keep: State::keep,
    question: shell::open_question,
    marks: Picture::show_marks,
    halos: Picture::show_halos,
    finding_at: Events::finding_at,
    show_all: shell::show_all_marked,
    open_finding: panel::checks::open,
    act: shell::act_now,
    copy: shell::copy_now,
    paste: shell::paste_now,
    key: Events::press_key,
    picture_of: outside::question_for_picture,
    markup_of: outside::markup_in,
};

static FETCHED: OnceLock<&'static Rest> = OnceLock::new();

/// How long after a failure it is tried again.
const AGAIN: Duration = Duration::from_secs(5);

#[wasm_split(rest, fallible)]
fn load() -> Result<&'static Rest, SplitLoaderError> {
    Ok(&ALL)
}

/// The second half, once it is here.
pub fn fetched() -> Option<&'static Rest> {
    FETCHED.get().copied()
}

/// Fetches the second half, however often that takes; then opens the job of the last visit if there is one.
pub fn fetch(desk: Desk, last_job: Option<String>) {
    later(async move {
        let Ok(rest) = load().await else {
            let why = "A part of the program could not be fetched. It is tried again until it is here.";
            desk.act(|state| {
                state.said = why.to_owned();
                if state.owes_keeping() {
                    state.kept = Kept::Refused("a part of the program is not here yet".to_owned());
                }
            });
            let again: Box<dyn FnOnce()> = Box::new(move || fetch(desk, last_job));
            return set_timeout(again, AGAIN);
        };
        let _ = FETCHED.set(rest);
        (rest.listen)(desk);
        desk.is_whole();
        if let Some(id) = last_job {
            (rest.open_last)(desk, id);
        }
    });
}

/// Does something that is in the second half, or says that it is not here yet.
pub fn with(desk: Desk, act: impl FnOnce(&'static Rest)) {
    match fetched() {
        Some(rest) => act(rest),
        None => desk.act(|state| {
            state.said = "The program is still being fetched. Try again in a moment.".to_owned()
        }),
    }
}
