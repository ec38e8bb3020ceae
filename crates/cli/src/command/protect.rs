//! `protect`: how fuses and wires go together.

use engine::check::Context;
use engine::laid;
use engine::protection::ledger::Ledger;

use super::{Answer, load};
use crate::args::{Format, Protect};
use crate::render::protect as render;

/// Lists the protection of the job, fuse by fuse and wire by wire.
pub fn run(args: &Protect) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let circuit = laid::circuit(&document);
    let context = Context::new(&circuit, &document.situations, &document.interlocks);
    let ledger = Ledger::new(&circuit, context.zones(), context.prospects());
    Ok(Answer::well(match args.input.format {
        Format::Text => render::text(&document, &circuit, &ledger),
        Format::Json => render::json(&document, &circuit, &ledger),
    }))
}
