//! `explain`: the manual of a check.

use anyhow::Context;
use engine::check;

use super::Answer;
use crate::args::{Explain, Format};
use crate::render::{json, text};

/// Shows one manual, or the list of all checks.
pub fn run(args: &Explain) -> anyhow::Result<Answer> {
    let answer = match &args.check {
        Some(name) => {
            let found = check::by_name(name)
                .with_context(|| format!("there is no check `{name}`; `explain` alone lists all"))?;
            match args.format {
                Format::Text => text::manual(found),
                Format::Json => json::manual(found),
            }
        }
        None => match args.format {
            Format::Text => text::manuals(check::ALL),
            Format::Json => json::manuals(check::ALL),
        },
    };
    Ok(Answer::well(answer))
}
