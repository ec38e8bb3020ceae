//! The job as a whole: title data, what it rests on, and the cautions.

use editor::form::{card_fields, changed_card, changed_settings, settings_fields};
use engine::document::edit::Edit;
use leptos::prelude::AnyView;

use crate::panel::cautions::cautions;
use crate::panel::form::{Source, form};
use crate::panel::title;
use crate::piece::{nothing, several, styled, tag};
use crate::state::desk::{Desk, Topic};

/// The job.
pub fn job(desk: Desk) -> AnyView {
    let fields = move || {
        desk.read(&[Topic::Document], |state| {
            let document = state.session.document();
            let mut fields = card_fields(&document.card);
            fields.extend(settings_fields(document));
            fields
        })
    };
    let enter = move |name: &str, text: &str, _: &str| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let edit = match name {
                "nominal_v" => changed_settings(&document.settings, name, text).map(Edit::Settings),
                _ => changed_card(&document.card, name, text).map(Edit::Card),
            };
            result = edit.and_then(|edit| {
                let label = format!("change {}", name.replace('_', " "));
                state.session.edit(&label, edit).map_err(|error| error.to_string())
            });
        });
        result
    };
    let assumptions = tag("div").region(move || {
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
    });
    several(vec![
        title().text("Job").end(),
        form(Source { fields: Box::new(fields), enter: Box::new(enter) }).end(),
        assumptions.end(),
        cautions().end(),
    ])
}
