//! The manual of a check or a kind of part, fetched when it is opened.
//!
//! The manuals are our own and use three things of Markdown: headings, paragraphs and code in
//! backticks. That is all this reads; anything else shows as it is written.

use crate::piece::{Tag, region, styled, tag};
use crate::state::desk::{Desk, Topic};

/// A manual that opens in place under `caption`.
pub fn manual(desk: Desk, name: &str, caption: &str) -> Tag {
    let (wanted, shown) = (name.to_owned(), name.to_owned());
    tag("details")
        .on("toggle", move |_| desk.act(|state| state.want_manual(&wanted)))
        .add(tag("summary").text(caption))
        .child(region(move || {
            let text = desk.read(&[Topic::Manual], |state| state.answers.manual(&shown).map(str::to_owned));
            text.map_or_else(|| tag("p").text("Fetching…"), |text| blocks(&text)).end()
        }))
}

fn blocks(text: &str) -> Tag {
    let blocks = text.split("\n\n").map(str::trim).filter(|block| !block.is_empty());
    styled("div", "manual").all(blocks.map(|block| match block.trim_start_matches('#') {
        heading if heading.len() < block.len() => tag("h3").text(heading.trim()),
        _ => pieces(block),
    }))
}

/// Text and code, which take turns at each backtick.
fn pieces(block: &str) -> Tag {
    let mut paragraph = tag("p");
    for (number, piece) in block.split('`').enumerate() {
        paragraph =
            if number % 2 == 0 { paragraph.text(piece) } else { paragraph.add(tag("code").text(piece)) };
    }
    paragraph
}
