//! The strip along the upper edge: the app, the job, where it is kept, and what is not needed often.

use super::jobs_button;
use crate::piece::{Tag, button, styled, tag};
use crate::state::desk::{Desk, Dialog, Kept, Topic};

/// The strip.
pub fn edge(desk: Desk) -> Tag {
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
            Kept::Behind => "Open in another window: only shown here".to_owned(),
        })
    };
    let worry = move || {
        desk.read(&[Topic::Kept], |state| match state.kept {
            Kept::Refused(_) | Kept::Elsewhere | Kept::Behind => "kept worry",
            _ => "kept",
        })
    };
    let card = styled("div", "edge-card")
        .add(tag("h1").set("dir", "auto").says(title))
        .add(tag("p").live("class", move || Some(worry().to_owned())).set("role", "status").says(kept));
    let opener = |dialog: Dialog, caption: &'static str| {
        button(caption, move || desk.act(|state| state.dialog = Some(dialog)))
    };
    // What they open is fetched by the script of the page; see `web/host/shelf-page.js`, `web/host/handover.js` and
    // `web/host/workshop.js`.
    let page = |id: &str, caption: &str| tag("button").set("type", "button").set("id", id).text(caption);
    let openers = [
        jobs_button("jobs", "Jobs"),
        opener(Dialog::Save, "Save"),
        page("handover", "Handover"),
        page("workshop", "Workshop"),
        opener(Dialog::Help, "Help"),
    ];
    styled("header", "edge")
        .add(styled("p", "edge-name").text("Loomwright"))
        .add(card)
        .add(styled("div", "edge-buttons").all(openers))
}
