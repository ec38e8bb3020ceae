//! Stored jobs, and how to begin: empty, from a ready circuit, from a demonstration, from a file.

use std::sync::Arc;

use editor::Session;
use engine::document::Document;
use engine::file;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;

use super::{close, head};
use crate::host;
use crate::state::desk::{Desk, Kept, Side, Stop};
use crate::state::jobs::{self, Carried};

/// A job in the list.
#[derive(Clone, PartialEq)]
struct Stored {
    id: String,
    title: String,
    updated: String,
}

/// The list, and the ways to begin.
#[component]
pub fn Jobs(desk: Desk) -> impl IntoView {
    let stored: RwSignal<Option<Result<Vec<Stored>, String>>> = RwSignal::new(None);
    let refused = RwSignal::new(String::new());
    let list = move || {
        spawn_local(async move {
            stored.set(Some(
                host::list_jobs().await.map(|all| stored_of(&all)).map_err(|error| host::reason(&error)),
            ));
        });
    };
    list();
    let rows = move || match stored.get() {
        None => view! { <p>"Looking…"</p> }.into_any(),
        Some(Err(why)) => {
            view! { <p role="alert">{format!("The browser does not let jobs be kept here: {why}")}</p> }
                .into_any()
        }
        Some(Ok(all)) if all.is_empty() => {
            view! { <p class="hint">"None yet. What you draw is kept here by itself."</p> }.into_any()
        }
        Some(Ok(all)) => {
            let rows: Vec<_> = all.into_iter().map(|job| stored_row(desk, job, refused, list)).collect();
            view! { <ul class="plain jobs">{rows}</ul> }.into_any()
        }
    };
    let (starts, demonstrations) = jobs::shelf();
    let carried = move |all: Vec<Carried>| -> Vec<_> {
        all.into_iter()
            .map(|job| {
                let caption = job.title.clone();
                let open = move |_| open_carried(desk, job.path.clone(), refused);
                view! { <button type="button" dir="auto" on:click=open>{caption}</button> }
            })
            .collect()
    };
    view! {
        {head(desk, "Jobs")}
        <p class="refused" role="alert">{refused}</p>
        <h3>"Begin"</h3>
        <div class="choices">
            <button type="button" class="main" on:click=move |_| begin(desk, Document::default(), None)>"Empty job"</button>
            <button type="button" on:click=move |_| open_file(desk, refused)>"Open a file"</button>
        </div>
        <h3>"Begin from a ready circuit"</h3>
        <div class="choices">{carried(starts)}</div>
        <h3>"On this device"</h3>
        {rows}
        <h3>"Demonstration jobs"</h3>
        <p class="hint">"An invented beekeeper's vehicles, to look around in. Change them as you like: a copy is opened."</p>
        <div class="choices">{carried(demonstrations)}</div>
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

fn stored_row(
    desk: Desk,
    job: Stored,
    refused: RwSignal<String>,
    list: impl Fn() + Copy + 'static,
) -> impl IntoView {
    let id = StoredValue::new(job.id);
    let sure = RwSignal::new(false);
    let open = move |_| {
        spawn_local(async move {
            let opened = open_stored(desk, &id.get_value()).await;
            refused.set(opened.err().unwrap_or_default());
        });
    };
    // A first press asks, a second one does it: what is forgotten cannot be brought back.
    let forget = move |_| {
        if !sure.get_untracked() {
            return sure.set(true);
        }
        spawn_local(async move {
            if let Err(error) = host::forget_job(&id.get_value()).await {
                refused.set(host::reason(&error));
            }
            list();
        });
    };
    view! {
        <li class="job">
            <button type="button" class="open" on:click=open>
                <strong dir="auto">{job.title}</strong>
                <span>{job.updated}</span>
            </button>
            <button type="button" on:click=forget>
                {move || if sure.get() { "Really delete it" } else { "Delete" }}
            </button>
        </li>
    }
}

/// Opens a job that is kept on this device.
pub async fn open_stored(desk: Desk, id: &str) -> Result<(), String> {
    let record = host::load_job(id).await.map_err(|error| host::reason(&error))?;
    let text = host::text_of(&record, "text");
    if text.is_empty() {
        return Err("The job is no longer kept on this device.".to_owned());
    }
    let document =
        file::read_json(&text).map_err(|error| format!("The kept job cannot be read:\n{error}"))?;
    let revision = host::number_of(&record, "revision").unwrap_or_default();
    begin(desk, document, Some((id.to_owned(), revision)));
    Ok(())
}

fn open_carried(desk: Desk, path: String, refused: RwSignal<String>) {
    spawn_local(async move {
        let text = host::fetch_text(&path).await.map_err(|error| host::reason(&error));
        let opened = text.and_then(|text| {
            file::read_json(&text.as_string().unwrap_or_default()).map_err(|error| error.to_string())
        });
        match opened {
            Ok(document) => begin(desk, document, None),
            Err(why) => refused.set(why),
        }
    });
}

fn open_file(desk: Desk, refused: RwSignal<String>) {
    spawn_local(async move {
        let picked = match host::pick_file().await {
            Ok(picked) if picked.is_null() => return,
            Ok(picked) => picked,
            Err(error) => return refused.set(host::reason(&error)),
        };
        let bytes = js_sys::Reflect::get(&picked, &JsValue::from_str("bytes")).unwrap_or_default();
        let bytes = js_sys::Uint8Array::new(&bytes).to_vec();
        match file::read(&bytes) {
            Ok(document) => begin(desk, document, None),
            Err(error) => refused.set(format!(
                "{} is not opened, and nothing was changed.\n{error}",
                host::text_of(&picked, "name")
            )),
        }
    });
}

/// Sets a job on the desk: one that is kept, with its name and revision, or a new one.
pub fn begin(desk: Desk, document: Document, kept: Option<(String, f64)>) {
    let is_new = kept.is_none();
    let (id, revision) = kept.unwrap_or_else(|| (host::new_job_id(), 0.0));
    host::begin_job(&id, revision);
    let has_parts = !document.network.parts.is_empty();
    desk.act(|state| {
        let mut session = Session::new(document);
        // The new session stands in the same window as the old one.
        session.take_window(&state.session);
        session.show_all();
        state.session = session;
        state.sitting += 1;
        state.kept = if is_new { Kept::Untouched } else { Kept::Here };
        state.said.clear();
        state.answer = None;
        state.side = Side::Checks;
        state.stop = Stop::Peek;
        state.dialog = None;
    });
    if is_new && has_parts {
        // A job that came from somewhere is kept from the start, not only after its first change.
        let text: Arc<str> = crate::shell::job_text(desk);
        host::keep_job(&desk.look(|state| state.session.document().card.title.clone()), &text);
    }
    close(desk);
}
