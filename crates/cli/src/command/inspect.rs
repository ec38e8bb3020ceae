//! `inspect`: what is or may be dangerous in a layout drawn as it was found, and what to do before it is driven.

use engine::inspect::inspect;

use super::{Answer, load};
use crate::args::{Format, Inspect};
use crate::render::inspect as render;

/// Inspects the job; what is possible counts for the exit code like what is sure.
pub fn run(args: &Inspect) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let inspection = inspect(&document, &mut |_, _| ());
    let text = match args.input.format {
        Format::Text => render::text(&document, &inspection),
        Format::Json => render::json(&document, &inspection),
    };
    let limit = args.fail_on.severity();
    // Severities are ordered with the worst first.
    let failed = inspection.items.iter().any(|item| item.severity <= limit);
    Ok(Answer { code: u8::from(failed), ..Answer::well(text) })
}
