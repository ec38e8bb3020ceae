//! Stored jobs, and how to begin: empty, from a ready circuit, from a demonstration, from a file.

use std::pin::Pin;

use editor::Session;
use leptos::prelude::{AnyView, Get, GetUntracked, RwSignal, Set};
use wasm_bindgen::JsValue;

use super::{close, head};
use crate::host::{self, Laid};
use crate::piece::{Tag, button, later, plain_button, region, several, styled, tag};
use crate::state::desk::{Desk, Kept, Side, State, Stop};
use crate::state::jobs::{self, Carried};

/// A job in the list.
#[derive(Clone, PartialEq)]
struct Stored {
    id: String,
    title: String,
    updated: String,
}

/// What the browser told of the jobs it keeps; nothing yet while it is asked.
type Told = Option<Result<Vec<Stored>, String>>;

/// Why a visit begins with the list of jobs.
pub const NOT_OPENED: &str = "The program stopped last time over the job that was open, so it begins with an empty \
                              one. The job is still on this device: open it from the list. If the program stops \
                              over it again, “Save a copy of the job” in the notice gives you the job as it was kept.";

/// What is being opened from the dialog: only what was picked last, and nothing once the dialog is closed.
#[derive(Clone, Copy)]
struct Opening {
    desk: Desk,
    /// How often something was picked. It goes with the dialog.
    picked: RwSignal<u32>,
    /// Why what was picked last cannot be opened.
    refused: RwSignal<String>,
    /// The jobs that are kept.
    stored: RwSignal<Told>,
}

/// A job on its way, or none when the user thought better of it.
type Brought = Pin<Box<dyn Future<Output = Result<Option<(Laid, Origin)>, String>>>>;

impl Opening {
    /// Opens what is brought. The desk stays as it is when that comes too late: it may have been worked on since.
    fn open(self, brought: Brought) {
        let Opening { desk, picked, refused, stored } = self;
        let number = picked.get_untracked() + 1;
        picked.set(number);
        later(async move {
            let brought = brought.await;
            if picked.try_get_untracked() != Some(number) {
                return;
            }
            match brought {
                Ok(Some((laid, from))) => begin_and_close(desk, laid, from),
                Ok(None) => {}
                Err(why) => {
                    refused.set(why);
                    // A file of many jobs may have brought some.
                    look(stored);
                }
            }
        });
    }
}

/// The list, and the ways to begin; above them `notice`.
pub fn jobs(desk: Desk, notice: &str) -> AnyView {
    let stored: RwSignal<Told> = RwSignal::new(None);
    let refused = RwSignal::new(notice.to_owned());
    let opening = Opening { desk, picked: RwSignal::new(0), refused, stored };
    look(stored);
    let (starts, demonstrations) = jobs::shelf();
    let carried = move |all: Vec<Carried>, from: Origin| {
        styled("div", "choices").all(all.into_iter().map(move |job| {
            let from = from.clone();
            let open = move || opening.open(Box::pin(carried_job(job.path.clone(), from.clone())));
            button(job.title, open).set("dir", "auto")
        }))
    };
    let empty = move || begin_and_close(desk, Laid::default(), Origin::Nothing);
    let begins = styled("div", "choices")
        .add(button("Empty job", empty).set("class", "main").set("data-page", "new-job"))
        .add(button("Open a file", move || opening.open(Box::pin(picked_job()))));
    several(vec![
        head(desk, "Jobs").end(),
        styled("p", "refused").set("role", "alert").says(move || refused.get()).end(),
        tag("h3").text("Begin").end(),
        begins.end(),
        tag("h3").text("Begin from a ready circuit").end(),
        carried(starts, Origin::Brought).end(),
        tag("h3").text("On this device").end(),
        region(move || rows(opening, stored).end()),
        styled("div", "choices").add(page("versions", "Versions of the open job")).add(page("save-everything", "Save everything")).end(),
        tag("h3").text("Demonstration jobs").end(),
        styled("p", "hint")
            .text("An invented beekeeper's vehicles, to look around in. Change them as you like: a copy is kept from your first change on.")
            .end(),
        carried(demonstrations, Origin::Shown).end(),
    ])
}

/// A button that the script of the page listens to; see `web/host/touch.js`.
fn page(name: &str, caption: &str) -> Tag {
    tag("button").set("type", "button").set("data-page", name).text(caption)
}

/// Asks the browser which jobs it keeps.
fn look(stored: RwSignal<Told>) {
    later(async move {
        stored.set(Some(
            host::list_jobs().await.map(|all| stored_of(&all)).map_err(|error| host::reason(&error)),
        ));
    });
}

fn rows(opening: Opening, stored: RwSignal<Told>) -> Tag {
    match stored.get() {
        None => tag("p").text("Looking…"),
        Some(Err(why)) => {
            tag("p").set("role", "alert").text(format!("The browser does not let jobs be kept here: {why}"))
        }
        Some(Ok(all)) if all.is_empty() => {
            styled("p", "hint").text("None yet. What you draw is kept here by itself.")
        }
        Some(Ok(all)) => {
            let rows = all.into_iter().map(|job| stored_row(opening, job, stored));
            styled("ul", "plain jobs").all(rows)
        }
    }
}

fn stored_of(all: &JsValue) -> Vec<Stored> {
    js_sys::Array::from(all)
        .iter()
        .map(|job| {
            let updated = host::number_of(&job, "updated").unwrap_or_default();
            let date = js_sys::Date::new(&JsValue::from_f64(updated));
            let title = host::text_of(&job, "title");
            Stored {
                id: host::text_of(&job, "id"),
                title: if title.trim().is_empty() { "Job without a title".to_owned() } else { title },
                updated: String::from(date.to_locale_string("default", &JsValue::UNDEFINED)),
            }
        })
        .collect()
}

fn stored_row(opening: Opening, job: Stored, stored: RwSignal<Told>) -> Tag {
    let sure = RwSignal::new(false);
    let (kept, gone) = (job.id.clone(), job.id);
    let open = plain_button(move || {
        let id = kept.clone();
        opening.open(Box::pin(async move { stored_job(id).await.map(Some) }));
    });
    // A first press asks, a second one does it: what is forgotten cannot be brought back.
    let forget = plain_button(move || {
        if !sure.get_untracked() {
            return sure.set(true);
        }
        let id = gone.clone();
        later(async move {
            if let Err(error) = host::forget_job(&id).await {
                opening.refused.set(host::reason(&error));
            }
            look(stored);
        });
    });
    styled("li", "job")
        .add(
            open.set("class", "open")
                .add(tag("strong").set("dir", "auto").text(job.title))
                .add(tag("span").text(job.updated)),
        )
        .add(forget.says(move || if sure.get() { "Really delete it" } else { "Delete" }.to_owned()))
}

/// Opens the job of the last visit, or an empty one where that is not possible, unless another was begun meanwhile.
pub fn open_last(desk: Desk, id: String) {
    later(async move {
        let opened = stored_job(id).await;
        if desk.look(State::has_begun) {
            return;
        }
        match opened {
            Ok((laid, from)) => begin(desk, laid, from),
            Err(why) => {
                begin(desk, Laid::default(), Origin::Nothing);
                desk.act(|state| state.said = why);
            }
        }
    });
}

/// A job that is kept on this device.
async fn stored_job(id: String) -> Result<(Laid, Origin), String> {
    let record = host::load_job(&id).await.map_err(|error| host::reason(&error))?;
    let text = host::text_of(&record, "text");
    if text.is_empty() {
        return Err("The job is no longer kept on this device.".to_owned());
    }
    let laid = host::read_job(text.as_bytes()).await;
    let laid = laid.map_err(|why| format!("The kept job cannot be read:\n{why}"))?;
    Ok((laid, Origin::Kept(id, host::number_of(&record, "revision").unwrap_or_default())))
}

/// A job that comes with the app.
async fn carried_job(path: String, from: Origin) -> Result<Option<(Laid, Origin)>, String> {
    let text = host::fetch_text(&path).await.map_err(|error| host::reason(&error))?;
    let laid = host::read_job(text.as_string().unwrap_or_default().as_bytes()).await?;
    Ok(Some((laid, from)))
}

/// The job of a file that the user picks; none when none is picked.
async fn picked_job() -> Result<Option<(Laid, Origin)>, String> {
    let picked = host::pick_file().await.map_err(|error| host::reason(&error))?;
    if picked.is_null() {
        return Ok(None);
    }
    let said = host::text_of(&picked, "said");
    if !said.is_empty() {
        return Err(said);
    }
    let bytes = js_sys::Reflect::get(&picked, &JsValue::from_str("bytes")).unwrap_or_default();
    match host::read_job(&js_sys::Uint8Array::new(&bytes).to_vec()).await {
        Ok(laid) => Ok(Some((laid, Origin::Brought))),
        Err(why) => {
            Err(format!("{} is not opened, and nothing was changed.\n{why}", host::text_of(&picked, "name")))
        }
    }
}

/// Where a job comes from that is set on the desk.
#[derive(Clone)]
pub enum Origin {
    /// It is empty.
    Nothing,
    /// It is kept on this device under this name, at this revision.
    Kept(String, f64),
    /// The user brought it, or began it from something ready: it is kept from the start.
    Brought,
    /// It is shown to look around in, and kept only once it is changed.
    Shown,
}

/// Sets a job on the desk.
pub fn begin(desk: Desk, Laid { document, standing }: Laid, from: Origin) {
    let (id, revision) = match &from {
        Origin::Kept(id, revision) => (id.clone(), *revision),
        _ => (host::new_job_id(), 0.0),
    };
    host::begin_job(&id, revision);
    desk.act(|state| {
        let mut session = Session::laid_out(document, &standing);
        // The new session stands in the same window as the old one.
        session.take_window(&state.session);
        session.show_all();
        state.session = session;
        state.sitting += 1;
        state.kept = if matches!(from, Origin::Kept(..)) { Kept::Here } else { Kept::Untouched };
        state.said.clear();
        state.answers.begin();
        state.side = Side::Checks;
        state.stop = Stop::Peek;
    });
}

/// Sets a job on the desk that was picked in the dialog.
fn begin_and_close(desk: Desk, laid: Laid, from: Origin) {
    let is_brought = matches!(from, Origin::Brought);
    begin(desk, laid, from);
    if is_brought {
        // Nobody should have to find out later that what they brought was never kept.
        desk.look(State::keep);
    }
    close(desk);
}
