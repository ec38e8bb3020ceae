//! Questions the session asks, and the line that says what was done.

use leptos::html::Div;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::state::desk::{Desk, Topic};

/// A question with its answers as buttons, over the lower edge of the drawing.
#[component]
pub fn Question(desk: Desk) -> impl IntoView {
    let offer = Memo::new(move |_| {
        desk.read(&[Topic::Offer], |state| {
            let network = &state.session.document().network;
            state.session.offer().map(|offer| (offer.text(network), offer.choices(network)))
        })
    });
    let place: NodeRef<Div> = NodeRef::new();
    // Whoever works by keyboard answers at once; Escape leaves the question.
    Effect::new(move |_| {
        if offer.get().is_some()
            && let Some(place) = place.get()
        {
            request_animation_frame(move || {
                let first = place.query_selector("button").ok().flatten();
                if let Some(first) = first.and_then(|first| first.dyn_into::<web_sys::HtmlElement>().ok()) {
                    let _ = first.focus();
                }
            });
        }
    });
    let leave = move |event: web_sys::KeyboardEvent| {
        if event.key() == "Escape" {
            desk.act(|state| state.session.dismiss());
            crate::panel::focus("drawing");
        }
    };
    let content = move || {
        offer.get().map(|(text, choices)| {
            let buttons: Vec<_> = choices
                .into_iter()
                .enumerate()
                .map(|(number, choice)| {
                    let answer = move |_| {
                        desk.act(|state| state.session.accept(number));
                        crate::panel::focus("drawing");
                    };
                    view! { <button type="button" dir="auto" on:click=answer>{choice}</button> }
                })
                .collect();
            let name = text.clone();
            view! {
                <div class="question" role="group" aria-label=name>
                    <p dir="auto">{text}</p>
                    <div class="answers">{buttons}</div>
                </div>
            }
        })
    };
    view! { <div class="question-place" node_ref=place on:keydown=leave>{content}</div> }
}

/// What was done last, for those who look and for those who listen.
#[component]
pub fn Status(desk: Desk) -> impl IntoView {
    let text = move || {
        desk.read(&[Topic::Notice, Topic::Tool], |state| {
            if !state.said.is_empty() {
                return state.said.clone();
            }
            match state.session.tool() {
                editor::Tool::Put { kind, .. } => {
                    format!("Tap where the {} should stand. With keys: arrows, then Enter.", kind.noun)
                }
                editor::Tool::Wire { from: Some(from) } => {
                    let network = &state.session.document().network;
                    let title = network.terminal_title(from);
                    let terminals = network.part(&from.part).map(|part| part.terminals()).unwrap_or_default();
                    let meaning = terminals.iter().find(|one| one.name == from.terminal).map_or("", |one| one.meaning);
                    format!("{title}: {meaning}. Tap the terminal where the wire ends, or a wire to join it.")
                }
                editor::Tool::Wire { from: None } => "Tap the terminal where the wire starts.".to_owned(),
                editor::Tool::Try => {
                    "Tap a switch or a donor circuit to work it, a load to see its current path.".to_owned()
                }
                editor::Tool::Select => state.session.notice().unwrap_or_default().to_owned(),
            }
        })
    };
    view! { <p class="status" role="status" dir="auto">{text}</p> }
}
