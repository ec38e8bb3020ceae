//! Questions the session asks, and the line that says what was done.

use std::time::Duration;

use editor::Tool;
use editor::offer::described;
use leptos::prelude::{AnyView, GetValue, StoredValue, UpdateValue, set_timeout};

use crate::piece::{Tag, button, focus, follow, nothing, styled, tag};
use crate::state::desk::{Desk, Topic};

/// A question with its answers as buttons, over the lower edge of the drawing.
pub fn question(desk: Desk) -> Tag {
    let content = move || desk.rest().map_or_else(nothing, |rest| (rest.question)(desk));
    styled("div", "question-place").region(content).on("keydown", move |event| {
        use wasm_bindgen::JsCast;
        if event.dyn_ref::<web_sys::KeyboardEvent>().is_some_and(|event| event.key() == "Escape") {
            desk.act(|state| state.session.dismiss());
            focus("drawing");
        }
    })
}

/// The question that is open, if one is.
pub fn open_question(desk: Desk) -> AnyView {
    let open = desk.read(&[Topic::Offer], |state| {
        let network = &state.session.document().network;
        state.session.offer().map(|offer| (offer.text(network), offer.choices(network)))
    });
    let Some((text, choices)) = open else { return nothing() };
    let answers = choices.into_iter().enumerate().map(|(number, choice)| {
        let answer = button(choice, move || {
            desk.act(|state| state.session.accept(number));
            focus("drawing");
        });
        answer.set("dir", "auto").set("id", format!("answer-{number}"))
    });
    // Whoever works by keyboard answers at once; Escape leaves the question.
    focus("answer-0");
    styled("div", "question")
        .set("role", "group")
        .set("aria-label", text.as_str())
        .add(tag("p").set("dir", "auto").text(text))
        .add(styled("div", "answers").all(answers))
        .end()
}

/// How long it is told what was done last.
const TOLD: Duration = Duration::from_secs(8);

/// Forgets after a while what was done last, unless something else was done since.
fn forget_in_time(desk: Desk) {
    let turn = StoredValue::new(0_u32);
    follow(move || {
        let is_told =
            desk.read(&[Topic::Notice], |state| state.session.notice().is_some() || !state.said.is_empty());
        turn.update_value(|turn| *turn = turn.wrapping_add(1));
        let now = turn.get_value();
        if is_told {
            let forget = move || {
                if turn.get_value() == now {
                    desk.act(|state| {
                        state.session.forget_notice();
                        state.said.clear();
                    });
                }
            };
            set_timeout(forget, TOLD);
        }
    });
}

/// What was done last, for those who look and for those who listen.
pub fn status(desk: Desk) -> Tag {
    forget_in_time(desk);
    let text = move || {
        desk.read(&[Topic::Notice, Topic::Tool], |state| {
            if !state.said.is_empty() {
                return state.said.clone();
            }
            let hint = match state.session.tool() {
                Tool::Put { kind, at } => {
                    let network = &state.session.document().network;
                    let wire = state.session.wire_for(kind).filter(|_| at.is_none());
                    let keys = match wire.and_then(|wire| network.wire(&wire)) {
                        Some(wire) => format!("Enter puts it into {}; arrows move it first.", wire.title()),
                        None => "arrows, then Enter.".to_owned(),
                    };
                    format!("Tap where the {} should stand. With keys: {keys}", kind.noun)
                }
                Tool::Wire { from: Some(from) } => {
                    let network = &state.session.document().network;
                    format!(
                        "From {}. Tap the terminal where the wire ends, or a wire to join it.",
                        described(network, from)
                    )
                }
                Tool::Wire { from: None } => "Tap the terminal where the wire starts.".to_owned(),
                Tool::Try => {
                    "Tap a switch or a donor circuit to work it, a load to see its current path.".to_owned()
                }
                Tool::Select => String::new(),
            };
            match state.session.notice() {
                None => hint,
                Some(notice) if hint.is_empty() => notice.to_owned(),
                Some(notice) => format!("{notice}. {hint}"),
            }
        })
    };
    styled("p", "status").set("role", "status").set("dir", "auto").says(text)
}
