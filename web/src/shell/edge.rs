//! The strip along the upper edge: the app, the job, where it is kept, and what is not needed often.

use leptos::prelude::*;

use crate::state::desk::{Desk, Dialog, Kept, Topic};

/// The strip.
#[component]
pub fn Edge(desk: Desk) -> impl IntoView {
    let title = move || {
        desk.read(&[Topic::Document], |state| {
            let title = state.session.document().card.title.trim().to_owned();
            if title.is_empty() { "New job".to_owned() } else { title }
        })
    };
    let kept = move || {
        desk.read(&[Topic::Kept], |state| match &state.kept {
            Kept::Untouched => String::new(),
            Kept::Keeping => "Keeping…".to_owned(),
            Kept::Here => "Kept on this device".to_owned(),
            Kept::Refused(why) => format!("Not kept: {why}. Save a copy."),
            Kept::Elsewhere => {
                "Not kept: another window changed this job. Save a copy here, or reload.".to_owned()
            }
        })
    };
    let worry =
        move || desk.read(&[Topic::Kept], |state| matches!(state.kept, Kept::Refused(_) | Kept::Elsewhere));
    let opener = move |dialog: Dialog, caption: &'static str| {
        view! { <button type="button" on:click=move |_| desk.act(|state| state.dialog = Some(dialog))>{caption}</button> }
    };
    view! {
        <header class="edge">
            <p class="edge-name">"Loomwright"</p>
            <div class="edge-card">
                <h1 dir="auto">{title}</h1>
                <p class="kept" class:worry=worry role="status">{kept}</p>
            </div>
            <div class="edge-buttons">
                {opener(Dialog::Jobs, "Jobs")}
                {opener(Dialog::Save, "Save")}
                {opener(Dialog::Print, "Print")}
                {opener(Dialog::Help, "Help")}
            </div>
        </header>
    }
}
