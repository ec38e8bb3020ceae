//! The job as a whole: title data, what it rests on, and the cautions.

use editor::form::{card_fields, changed_card, changed_settings, settings_fields};
use engine::document::edit::Edit;
use leptos::prelude::*;

use crate::panel::cautions::Cautions;
use crate::panel::form::{Form, enter};
use crate::state::desk::{Desk, Topic};

/// The job.
#[component]
pub fn Job(desk: Desk) -> impl IntoView {
    let fields = Memo::new(move |_| {
        desk.read(&[Topic::Document], |state| {
            let document = state.session.document();
            let mut fields = card_fields(&document.card);
            fields.extend(settings_fields(document));
            fields
        })
    });
    let enter = enter(move |name, text, _| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let edit = match name {
                "nominal_v" => changed_settings(&document.settings, name, text).map(Edit::Settings),
                _ => changed_card(&document.card, name, text).map(Edit::Card),
            };
            result = edit.and_then(|edit| {
                state
                    .session
                    .edit(&format!("change {}", name.replace('_', " ")), edit)
                    .map_err(|error| error.to_string())
            });
        });
        result
    });
    let assumptions = move || {
        desk.read(&[Topic::Answer], |state| {
            let answer = state.fresh()?;
            let network = &state.session.document().network;
            let lines: Vec<_> = answer
                .assumptions
                .iter()
                .map(|(subject, text)| {
                    view! { <li dir="auto"><b>{subject.title(network)}</b> ": " {text.clone()}</li> }
                })
                .collect();
            let n = lines.len();
            Some(view! {
                <details class="assumptions">
                    <summary>{format!("{n} values are assumed")}</summary>
                    <ul class="plain">{lines}</ul>
                </details>
            })
        })
    };
    view! {
        <h2 id="drawer-title" tabindex="-1">"Job"</h2>
        <Form fields enter/>
        {assumptions}
        <Cautions/>
    }
}
