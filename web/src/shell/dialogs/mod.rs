//! Dialogs over the page. Each is an element `dialog`, which keeps the focus and closes with Escape.

mod help;
mod save;

pub use help::first_steps;

use leptos::prelude::{AnyView, Get, Memo};

use crate::piece::{Tag, after_this, button, by_id, nothing, styled, tag};
use crate::state::desk::{Desk, Dialog, Topic};

/// The dialog that is open, if one is.
pub fn dialogs(desk: Desk) -> Tag {
    let open = Memo::new(move |_| {
        desk.read(&[Topic::Panel], |state| state.dialog.map_or(0, |dialog| 1 + dialog as u32))
    });
    let content = move || {
        // A memo that is only tracked and never read does not look at what it depends on.
        open.get();
        let dialog = desk.look(|state| state.dialog);
        // One that is asked for before its content is here opens with it.
        let shown = dialog.zip(desk.rest());
        after_this(move || follow(shown.is_some()));
        shown.map_or_else(nothing, |(dialog, rest)| (rest.dialog)(desk, dialog))
    };
    tag("dialog")
        .set("id", "dialog")
        .set("aria-labelledby", "dialog-title")
        .on("close", move |_| close(desk))
        .region(content)
}

/// What a dialog shows.
pub fn content(desk: Desk, dialog: Dialog) -> AnyView {
    match dialog {
        Dialog::Save => save::save(desk),
        Dialog::Help => help::help(desk),
    }
}

/// Opens or closes the element, unless it already is.
fn follow(open: bool) {
    let Some(element) = by_id::<web_sys::HtmlDialogElement>("dialog") else { return };
    match (open, element.open()) {
        // It is only asked for while it is closed, so it cannot be refused.
        (true, false) => drop(element.show_modal()),
        (false, true) => element.close(),
        _ => {}
    }
}

/// Closes the dialog that is open.
pub fn close(desk: Desk) {
    desk.act(|state| state.dialog = None);
}

/// The head of a dialog: its title and the button that closes it.
fn head(desk: Desk, title: &'static str) -> Tag {
    styled("div", "dialog-head")
        .add(tag("h2").set("id", "dialog-title").text(title))
        .add(button("Close", move || close(desk)))
}
