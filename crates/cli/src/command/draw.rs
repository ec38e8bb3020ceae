//! `draw`: the job as a picture that can be opened again.

use std::path::Path;

use anyhow::{Context, bail};
use drawing::overlay::Overlay;
use engine::answer::{Prepared, Request};
use engine::{check, file, laid};

use super::{Answer, keep_job, load, situation};
use crate::args::Draw;

/// Draws the job with the marks of its findings and, where a situation is named, its readings.
pub fn run(args: &Draw) -> anyhow::Result<Answer> {
    let shown = args.output.display();
    if args.output.as_os_str() != "-" {
        check_output(&args.file, &args.output)?;
    }
    let document = load(&args.file)?;
    let circuit = laid::circuit(&document);
    let findings = check::run_all(&circuit, &document.situations, &document.interlocks);
    let mut overlay = Overlay::of_findings(&findings);
    if args.when.is_said() {
        let situation = situation(&document, &args.when)?;
        let name = situation.name.clone();
        let request = Request { revision: 0, situation, load: None };
        let answer = Prepared::new(&document).at_once(&request);
        overlay = overlay.with_readings(&name, &document.network, &answer);
    }
    let picture = drawing::annotated_picture(&document, &overlay, file::job_element(&document));
    if args.output.as_os_str() == "-" {
        return Ok(Answer::well(picture));
    }
    std::fs::write(&args.output, picture).with_context(|| format!("cannot write `{shown}`"))?;
    let marks = match findings.len() {
        0 => "no findings".to_owned(),
        1 => "the mark of one finding".to_owned(),
        n => format!("the marks of {n} findings"),
    };
    let done = format!("wrote `{shown}`: the drawing with {marks}, and the job inside");
    Ok(Answer { done, ..Answer::well(String::new()) })
}

/// Refuses to write where the drawing would destroy the job or be mistaken for another sort of file.
pub(super) fn check_output(job: &Path, output: &Path) -> anyhow::Result<()> {
    keep_job(job, output, "the drawing")?;
    let shown = output.display();
    let ending = output.extension().unwrap_or_default();
    if !ending.eq_ignore_ascii_case("svg") {
        bail!("`{shown}` does not end in .svg; a drawing is an SVG picture, nothing else");
    }
    Ok(())
}
