//! `check`: what is dangerous, does not work or is outside good practice.

use engine::{check, circuit};

use super::{Answer, load};
use crate::args::{Check, Format};
use crate::render::{json, text};

/// Runs every check on the job.
pub fn run(args: &Check) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let circuit = circuit::build(&document.network, &document.settings);
    let findings = check::run_all(&circuit, &document.situations, &document.interlocks);
    let limit = args.fail_on.severity();
    let text = match args.input.format {
        Format::Text => text::check(&document, &circuit, &findings),
        Format::Json => json::check(&document, &circuit, &findings),
    };
    // Severities are ordered with the worst first.
    let failed = findings.iter().any(|finding| finding.severity <= limit);
    Ok(Answer { code: u8::from(failed), ..Answer::well(text) })
}
