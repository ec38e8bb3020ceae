//! Bars, questions and dialogs around the drawing, and what several of them do alike.

pub mod dialogs;
mod edge;
pub mod heard;
mod question;
mod thumb_bar;

pub use edge::edge;
pub use question::{open_question, question, status};
pub use thumb_bar::{selection_bar, thumb_bar};

use editor::density::{rooms, space_of};
use editor::{Action, Density, Inset, Selection};
use engine::subject::Subject;

use crate::piece::{Tag, after_this, button, focus, tag};
use crate::rest;
use crate::state::desk::{Desk, State, Stop, Topic};

/// A button for an action of the editor; it stays where it is when the action makes no sense.
pub fn action_button(desk: Desk, action: Action) -> Tag {
    let entry = action.entry();
    let title = match entry.shortcut {
        "" => entry.name.to_owned(),
        keys => format!("{} ({keys})", entry.name),
    };
    button(entry.name, move || act(desk, action)).set("title", title).live("aria-disabled", move || {
        Some(
            if desk.read(&[Topic::Document, Topic::Selection], |state| state.session.can(action)) {
                "false"
            } else {
                "true"
            }
            .to_owned(),
        )
    })
}

/// A button to a place of the page “Jobs”, which the script of the page fetches; see `web/start.js`.
pub fn jobs_button(place: &str, caption: &str) -> Tag {
    tag("button").set("type", "button").set("data-jobs", place).text(caption)
}

/// Shows the whole drawing, with the readings and findings on it; there are none before the second half of the program.
pub fn show_all(desk: Desk) {
    match rest::fetched() {
        Some(rest) => (rest.show_all)(desk),
        None => desk.act(|state| state.session.show_all()),
    }
}

/// Shows the whole drawing with what is marked on it.
pub fn show_all_marked(desk: Desk) {
    desk.act(|state| {
        let marks = drawing::overlay::marks(state.session.scene(), &crate::canvas::overlay(state));
        let rooms = rooms(&marks, state.session.scene());
        // The further away, the more room the marks take, and that is known only once it is known how far.
        let mut density = Density::default();
        for _ in 0..2 {
            let space =
                marks.iter().zip(&rooms).map(|(mark, room)| space_of(mark, density.factor(room.most)));
            state.session.show_all_with(space.reduce(drawing::geometry::Rect::joined));
            density = Density::at(state.session.view().scale);
        }
    });
}

/// Does something, and says why when it cannot be done.
pub fn act(desk: Desk, action: Action) {
    rest::with(desk, |rest| (rest.act)(desk, action));
}

/// Copies the selected parts.
pub fn copy(desk: Desk) {
    rest::with(desk, |rest| (rest.copy)(desk));
}

/// Puts what was copied on the drawing.
pub fn paste(desk: Desk) {
    rest::with(desk, |rest| (rest.paste)(desk));
}

/// Does something, and says why when it cannot be done.
pub fn act_now(desk: Desk, action: Action) {
    desk.act(|state| {
        state.said.clear();
        if let Err(error) = state.session.act(action) {
            state.said = error.to_string();
        }
    });
    if action == Action::Tidy && desk.look(|state| state.session.can(action)) {
        // The worker has the layout; what it brings is one step.
        crate::host::ask_report("tidy");
    }
    if action == Action::ShowAll {
        // The session knows the drawing alone.
        show_all(desk);
    }
    if action == Action::Delete {
        // The button goes with what it deleted.
        focus("drawing");
    }
}

/// Copies the selected parts, and says so; what was copied before stays when there are none.
pub fn copy_now(desk: Desk) {
    desk.act(|state| match state.session.copy() {
        Some(clip) => {
            state.clip = Some(clip);
            state.said = "Copied. Paste it here or in another job.".to_owned();
        }
        None => {
            state.said = "Only parts are copied, with the wires between them. Select some first.".to_owned()
        }
    });
}

/// Puts what was copied on the drawing.
pub fn paste_now(desk: Desk) {
    desk.act(|state| {
        state.said.clear();
        match state.clip.take() {
            Some(clip) => {
                state.session.paste(&clip);
                state.clip = Some(clip);
            }
            None => state.said = "Nothing was copied yet".to_owned(),
        }
    });
}

/// What lies over the drawing at its edges: the line that says what was done, and the bar of the
/// selection unless the wide open details have taken its place.
pub fn covered(state: &State) -> Inset {
    /// Height of the line, in pixels.
    const STATUS: f64 = 44.0;
    /// Height of the bar, in pixels.
    const SELECTION_BAR: f64 = 64.0;
    let bottom = if state.stop == Stop::Full { 0.0 } else { SELECTION_BAR };
    Inset { top: STATUS, bottom, ..Inset::default() }
}

/// Shows where something is: selects it, and moves the drawing until it is seen in the middle.
pub fn show(desk: Desk, subject: &Subject) {
    let mut is_smaller = false;
    desk.act(|state| {
        let selection = match subject {
            Subject::Wire(id) => Selection::wire(id.clone()),
            other => other.part().cloned().map(Selection::part).unwrap_or_default(),
        };
        state.session.select(selection);
        // Wide open the details leave too little of the drawing to see anything there.
        is_smaller = state.stop == Stop::Full;
        if is_smaller {
            state.stop = Stop::Half;
        }
        let clear = covered(state);
        state.session.center(subject, clear);
    });
    if is_smaller {
        // The details take up less room only after this frame; then the middle is another one.
        let subject = subject.clone();
        let again = move || {
            desk.act(|state| {
                let clear = covered(state);
                state.session.center(&subject, clear);
            });
        };
        after_this(move || after_this(again));
    }
}

/// The job as the text of its file.
pub fn job_text(desk: Desk) -> String {
    desk.look(State::text)
}
