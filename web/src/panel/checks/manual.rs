//! The manual of a check or a kind of part, fetched when it is opened.
//!
//! The manuals are our own and use three things of Markdown: headings, paragraphs and code in
//! backticks. That is all this reads; anything else shows as it is written.

use leptos::prelude::*;

use crate::state::desk::{Desk, Topic};

/// A manual that opens in place.
#[component]
pub fn Manual(desk: Desk, name: String) -> impl IntoView {
    let name = StoredValue::new(name);
    let text =
        move || desk.read(&[Topic::Manual], |state| name.with_value(|name| state.manuals.get(name).cloned()));
    let fetch = move |_| name.with_value(|name| desk.act(|state| state.want_manual(name)));
    view! {
        <details on:toggle=fetch>
            <summary>"Why?"</summary>
            {move || match text() {
                Some(text) => blocks(&text).into_any(),
                None => view! { <p>"Fetching…"</p> }.into_any(),
            }}
        </details>
    }
}

fn blocks(text: &str) -> impl IntoView + use<> {
    let blocks: Vec<_> = text
        .split("\n\n")
        .map(str::trim)
        .filter(|block| !block.is_empty())
        .map(|block| match block.trim_start_matches('#') {
            heading if heading.len() < block.len() => {
                view! { <h3>{heading.trim().to_owned()}</h3> }.into_any()
            }
            _ => view! { <p>{pieces(block)}</p> }.into_any(),
        })
        .collect();
    view! { <div class="manual">{blocks}</div> }
}

/// Text and code, which take turns at each backtick.
fn pieces(block: &str) -> Vec<AnyView> {
    block
        .split('`')
        .enumerate()
        .map(|(number, piece)| {
            let piece = piece.to_owned();
            if number % 2 == 0 { piece.into_any() } else { view! { <code>{piece}</code> }.into_any() }
        })
        .collect()
}
