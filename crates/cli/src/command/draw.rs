//! `draw`: the job as a picture that can be opened again.

use anyhow::Context;
use drawing::overlay::Overlay;
use engine::{check, circuit, file, reading, solve};

use super::{Answer, load, situation};
use crate::args::Draw;

/// Draws the job with the marks of its findings and, where a situation is named, its readings.
pub fn run(args: &Draw) -> anyhow::Result<Answer> {
    let document = load(&args.file)?;
    let circuit = circuit::build(&document.network, &document.settings);
    let findings = check::run_all(&circuit, &document.situations);
    let mut overlay = Overlay::of_findings(&findings);
    if args.when.is_said() {
        let situation = situation(&document, &args.when)?;
        let solution = solve::solve(&circuit, &situation);
        overlay = overlay.with_readings(&reading::readings(&circuit, &situation, &solution));
    }
    let picture = drawing::annotated_picture(&document, &overlay, file::job_element(&document));
    if args.output.as_os_str() == "-" {
        return Ok(Answer::well(picture));
    }
    std::fs::write(&args.output, picture)
        .with_context(|| format!("cannot write `{}`", args.output.display()))?;
    Ok(Answer::well(String::new()))
}
