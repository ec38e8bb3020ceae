//! `changes`: what differs between two states of one job.

use engine::file::changes::changes;

use anyhow::bail;

use super::{Answer, load};
use crate::args::{Changes, Format};
use crate::render::changes as render;

/// Compares the two jobs.
pub fn run(args: &Changes) -> anyhow::Result<Answer> {
    if [&args.before, &args.input.file].iter().all(|path| path.as_os_str() == "-") {
        bail!("only one of the two jobs can be read from standard input");
    }
    let (before, after) = (load(&args.before)?, load(&args.input.file)?);
    let changes = changes(&before, &after);
    Ok(Answer::well(match args.input.format {
        Format::Text => render::text(&before, &after, &changes),
        Format::Json => render::json(&before, &after, &changes),
    }))
}
