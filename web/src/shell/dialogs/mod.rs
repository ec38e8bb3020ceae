//! Dialogs over the page. Each is an element `dialog`, which keeps the focus and closes with Escape.

mod help;
pub mod jobs;
mod print;
mod save;

use leptos::html::Dialog as DialogElement;
use leptos::prelude::*;

use crate::state::desk::{Desk, Dialog, Topic};
pub use help::FirstSteps;
use help::Help;
use jobs::Jobs;
use print::Print;
use save::Save;

/// The dialog that is open, if one is.
#[component]
pub fn Dialogs(desk: Desk) -> impl IntoView {
    let element: NodeRef<DialogElement> = NodeRef::new();
    let open =
        Memo::new(move |_| desk.read(&[Topic::Panel], |state| state.dialog.map(|dialog| dialog as u8)));
    Effect::new(move |_| {
        let Some(element) = element.get() else { return };
        match (open.get().is_some(), element.open()) {
            // It is only asked for while it is closed, so it cannot be refused.
            (true, false) => drop(element.show_modal()),
            (false, true) => element.close(),
            _ => {}
        }
    });
    let content = move || {
        open.get();
        match desk.look(|state| state.dialog) {
            None => ().into_any(),
            Some(Dialog::Jobs) => view! { <Jobs desk/> }.into_any(),
            Some(Dialog::Save) => view! { <Save desk/> }.into_any(),
            Some(Dialog::Print) => view! { <Print desk/> }.into_any(),
            Some(Dialog::Help) => view! { <Help desk/> }.into_any(),
        }
    };
    view! {
        <dialog node_ref=element aria-labelledby="dialog-title" on:close=move |_| close(desk)>
            {content}
        </dialog>
    }
}

/// Closes the dialog that is open.
pub fn close(desk: Desk) {
    desk.act(|state| state.dialog = None);
}

/// The head of a dialog: its title and the button that closes it.
fn head(desk: Desk, title: &'static str) -> impl IntoView {
    view! {
        <div class="dialog-head">
            <h2 id="dialog-title">{title}</h2>
            <button type="button" on:click=move |_| close(desk)>"Close"</button>
        </div>
    }
}
