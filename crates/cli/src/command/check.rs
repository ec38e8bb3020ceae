//! `check`: what is dangerous, does not work or is outside good practice.

use std::path::Path;

use anyhow::Context;
use engine::document::Document;
use engine::{check, file, laid, mend};

use super::{Answer, keep_job, load};
use crate::args::{Check, Format};
use crate::render::{json, text};

/// Runs every check on the job, and writes it mended where that is asked for.
pub fn run(args: &Check) -> anyhow::Result<Answer> {
    let mut document = load(&args.input.file)?;
    let mut done = String::new();
    if let Some(output) = &args.fix {
        let (mended, fixed) = mend::mend_all(&document);
        write(&args.input.file, output, &mended.document)?;
        done = told(output, &fixed);
        document = mended.document;
    }
    let circuit = laid::circuit(&document);
    let findings = check::run_all(&circuit, &document.situations, &document.interlocks);
    let limit = args.fail_on.severity();
    let text = match args.input.format {
        Format::Text => text::check(&document, &circuit, &findings),
        Format::Json => json::check(&document, &circuit, &findings),
    };
    // Severities are ordered with the worst first.
    let failed = findings.iter().any(|finding| finding.severity <= limit);
    Ok(Answer { code: u8::from(failed), done, ..Answer::well(text) })
}

/// Writes the mended job beside the one that was read, never over it: what was drawn stays.
fn write(job: &Path, output: &Path, mended: &Document) -> anyhow::Result<()> {
    let shown = output.display();
    keep_job(job, output, "the mended one")?;
    std::fs::write(output, file::write_json(mended)).with_context(|| format!("cannot write `{shown}`"))
}

/// What was done, for standard error.
fn told(output: &Path, fixed: &[String]) -> String {
    let shown = output.display();
    let mut lines = vec![match fixed.len() {
        0 => format!("wrote `{shown}` as it was: no finding has a fix that helps"),
        1 => format!("wrote `{shown}` with one change"),
        n => format!("wrote `{shown}` with {n} changes"),
    }];
    lines.extend(fixed.iter().map(|change| format!("  {change}")));
    lines.join("\n")
}
