//! The manual of a check as elements of the page.
//!
//! The manuals are our own and use three things of Markdown: headings, paragraphs and code in
//! backticks. That is all this reads; anything else shows as it is written.

use leptos::prelude::*;

/// A manual.
#[component]
pub fn Manual(text: String) -> impl IntoView {
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
