//! `mistakes`: what every single mistake would do, in every situation that is worth a look.

use std::ops::ControlFlow;

use engine::laid;
use engine::mistakes::table;

use super::{Answer, load};
use crate::args::{Format, Input};
use crate::render::mistakes as render;

/// Tries every mistake. That mistakes do harm is no failure, so it always goes well.
pub fn run(input: &Input) -> anyhow::Result<Answer> {
    let document = load(&input.file)?;
    let circuit = laid::circuit(&document);
    let table =
        table(&circuit, &document.situations, &document.interlocks, &mut |_, _| ControlFlow::Continue(()));
    Ok(Answer::well(match input.format {
        Format::Text => render::text(&document, &circuit, &table),
        Format::Json => render::json(&document, &circuit, &table),
    }))
}
