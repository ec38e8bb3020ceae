//! What is selected: what it reads, what can be said about it, and what it is joined to.

mod part;
mod wire;

use editor::Selection;
use leptos::prelude::*;

use crate::state::desk::{Desk, Topic};
use part::OnePart;
use wire::OneWire;

/// The side of the drawer for the selection.
#[component]
pub fn Selected(desk: Desk) -> impl IntoView {
    let selection =
        Memo::new(move |_| desk.read(&[Topic::Selection], |state| state.session.selection().clone()));
    move || match selection.get() {
        Selection { parts, wires } if parts.len() == 1 && wires.is_empty() => {
            view! { <OnePart desk id=parts[0].clone()/> }.into_any()
        }
        Selection { parts, wires } if wires.len() == 1 && parts.is_empty() => {
            view! { <OneWire desk id=wires[0].clone()/> }.into_any()
        }
        Selection { parts, wires } if parts.is_empty() && wires.is_empty() => view! {
            <h2 id="drawer-title" tabindex="-1">"Nothing is selected"</h2>
            <p>"Tap a part or a wire on the drawing. Tap a terminal to start a wire there."</p>
        }
        .into_any(),
        Selection { parts, wires } => view! {
            <h2 id="drawer-title" tabindex="-1">{count(parts.len(), wires.len())}</h2>
            <p>"They are moved, turned, copied and deleted together."</p>
        }
        .into_any(),
    }
}

fn count(n_parts: usize, n_wires: usize) -> String {
    let some = |n: usize, what: &str| match n {
        0 => None,
        1 => Some(format!("1 {what}")),
        n => Some(format!("{n} {what}s")),
    };
    [some(n_parts, "part"), some(n_wires, "wire")].into_iter().flatten().collect::<Vec<_>>().join(" and ")
}

/// Readings in one line; `≈` where they rest on something assumed.
fn reading_line(words: &[Option<String>], assumed: bool) -> String {
    let known: Vec<&str> = words.iter().flatten().map(String::as_str).collect();
    let mark = if assumed && !known.is_empty() { "≈ " } else { "" };
    format!("{mark}{}", known.join(" · "))
}

/// The line that stands for readings while there are none.
fn no_reading(desk: Desk) -> String {
    desk.look(|state| {
        if !state.failure.is_empty() {
            "Cannot read: the calculation broke down.".to_owned()
        } else if state.fresh().is_none() {
            "Reading…".to_owned()
        } else {
            String::new()
        }
    })
}
