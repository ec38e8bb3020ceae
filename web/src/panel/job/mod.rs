//! The job as a whole: title data, what it rests on, and the cautions.

use editor::form::{card_fields, changed_card, changed_settings, settings_fields};
use engine::document::edit::Edit;
use leptos::prelude::AnyView;

use crate::panel::cautions::cautions;
use crate::panel::form::{Source, form};
use crate::panel::title;
use crate::piece::{Tag, nothing, several, soon, styled, tag};
use crate::state::desk::{Desk, Topic};

/// The job.
pub fn job(desk: Desk) -> AnyView {
    let settings = move || desk.read(&[Topic::Document], |state| settings_fields(state.session.document()));
    // The first setting is the system voltage, which every job asks for.
    let first = move || {
        let mut fields = desk.read(&[Topic::Document], |state| card_fields(&state.session.document().card));
        fields.extend(settings().into_iter().take(1));
        fields
    };
    let others = move || settings().split_off(1);
    let enter = move |name: &str, text: &str, _: &str| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let is_of_card = card_fields(&document.card).iter().any(|field| field.name == name);
            let edit = match is_of_card {
                true => changed_card(&document.card, name, text).map(Edit::Card),
                false => changed_settings(&document.settings, name, text).map(Edit::Settings),
            };
            result = edit.and_then(|edit| {
                let label = format!("change {}", name.replace('_', " "));
                state.session.edit(&label, edit).map_err(|error| error.to_string())
            });
        });
        result
    };
    several(vec![
        title().text("Job").end(),
        soon(move || form(Source { fields: Box::new(first), enter: Box::new(enter) }).end()),
        soon(move || {
            tag("details")
                .add(tag("summary").text("Settings: what the checks go by"))
                .add(form(Source { fields: Box::new(others), enter: Box::new(enter) }))
                .end()
        }),
        soon(move || several(vec![assumptions(desk).end(), cautions().end()])),
    ])
}

/// What the readings and findings assume, once they are known.
fn assumptions(desk: Desk) -> Tag {
    tag("div").region(move || {
        desk.read(&[Topic::Answer], |state| {
            let Some(answer) = state.fresh() else { return nothing() };
            let network = &state.session.document().network;
            let lines = answer.assumptions.iter().map(|(subject, text)| {
                tag("li")
                    .set("dir", "auto")
                    .add(tag("b").text(subject.title(network)))
                    .text(format!(": {text}"))
            });
            styled("details", "assumptions")
                .add(tag("summary").text(match answer.rests_on() {
                    1 => "1 value is assumed".to_owned(),
                    n => format!("{n} values are assumed"),
                }))
                .add(styled("ul", "plain").all(lines))
                .end()
        })
    })
}
