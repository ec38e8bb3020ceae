//! `charge`: what alternators and batteries give in each situation, and how long a battery lasts.

use engine::charge::budgets;
use engine::document::Situation;
use engine::laid;

use super::{Answer, load, situation};
use crate::args::{Charge, Format};
use crate::render::charge as render;

/// Adds up the supply of the situation asked for, or of every one the job has.
pub fn run(args: &Charge) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let circuit = laid::circuit(&document);
    let situations = match args.when.is_said() {
        true => vec![situation(&document, &args.when)?],
        false => std::iter::once(Situation::at_rest()).chain(document.situations.iter().cloned()).collect(),
    };
    let budgets = budgets(&circuit, &situations);
    Ok(Answer::well(match args.input.format {
        Format::Text => render::text(&document, &circuit, &budgets),
        Format::Json => render::json(&document, &circuit, &budgets),
    }))
}
