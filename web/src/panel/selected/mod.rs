//! What is selected: what it reads, what can be said about it, and what it is joined to.

mod part;
mod several;
mod wire;

use engine::subject::Subject;
use leptos::prelude::*;

use crate::panel::drawer::to_the_top;
use crate::panel::title;
use crate::piece::{nothing, region, several, tag};
use crate::state::desk::{Desk, Topic};
use part::one_part;
use several::several_things;
use wire::one_wire;

/// What opens how the readings above it came about.
const WORKING: &str = "How these numbers come about";

/// The side of the drawer for the selection.
pub fn selected(desk: Desk) -> AnyView {
    // Made anew for another selection, not for every change of what is selected.
    let selection =
        Memo::new(move |_| desk.read(&[Topic::Selection], |state| state.session.selection().clone()));
    region(move || {
        to_the_top();
        let selection = selection.get();
        match selection.only() {
            Some(Subject::Part(part)) => one_part(desk, part),
            Some(Subject::Wire(wire)) => one_wire(desk, wire),
            _ if selection.is_empty() => several(vec![
                title().text("Nothing is selected").end(),
                tag("p")
                    .text("Tap a part or a wire on the drawing. Tap a terminal to start a wire there.")
                    .end(),
            ]),
            _ => several_things(desk, count(selection.parts.len(), selection.wires.len()), &selection),
        }
    })
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
        if !state.answers.failure().is_empty() {
            "Cannot read: the calculation broke down.".to_owned()
        } else if state.fresh().is_none() {
            "Reading…".to_owned()
        } else {
            String::new()
        }
    })
}

/// What the checks say about the selected thing, if anything.
fn findings(desk: Desk, subject: Subject) -> AnyView {
    region(move || crate::panel::checks::about(desk, &subject).map_or_else(nothing, |lines| lines.end()))
}
