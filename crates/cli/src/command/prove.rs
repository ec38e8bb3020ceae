//! `prove`: the readings that show the work to be right.

use engine::check::run_all;
use engine::diagnose::{Case, Minutes, prove, proving_situations, ruled};
use engine::laid;

use super::{Answer, load};
use crate::args::{Format, Input};
use crate::render::prove as render;

/// Makes the proving sheet.
pub fn run(input: &Input) -> anyhow::Result<Answer> {
    let document = load(&input.file)?;
    let circuit = laid::circuit(&document);
    let ruled = ruled(&circuit, &document.interlocks);
    let case = Case::new(&circuit, &proving_situations(&document.situations, &ruled));
    let proof = prove(&case, &ruled, &Minutes::new());
    let findings = run_all(&circuit, &document.situations, &document.interlocks);
    let n_stops = findings.iter().filter(|finding| finding.is_open_stop(&document.accepted)).count();
    Ok(Answer::well(match input.format {
        Format::Text => render::text(&document, &case, &proof, n_stops),
        Format::Json => render::json(&document, &case, &proof, n_stops),
    }))
}
