//! `sit`: the places on the vehicle plan at which parts need the least copper and nothing new is found.

use anyhow::Context;
use engine::ids::PartId;
use engine::sitting::{Most, sit};
use engine::{file, laid};

use super::{Answer, check_output, load, part};
use crate::args::{Format, Sit};
use crate::render::sit;

/// Finds the best places for the parts named, and writes the job with them moved there where asked to.
pub fn run(args: &Sit) -> anyhow::Result<Answer> {
    if let Some(output) = &args.output {
        check_output("sit", &args.input.file, output)?;
    }
    let document = load(&args.input.file)?;
    let mut parts: Vec<PartId> = Vec::new();
    for name in &args.part {
        parts.push(part(&document, name)?.id.clone());
    }
    let sitting = sit(&document, &parts, Most::default());
    // The answer rests on what is assumed of the job as it comes out.
    let after = sitting.as_ref().map_or(&document, |sitting| &sitting.document);
    let circuit = laid::circuit(after);
    let text = match args.input.format {
        Format::Text => sit::text(&document, &circuit, &sitting),
        Format::Json => sit::json(&document, &circuit, &sitting),
    };
    let mut done = String::new();
    if let (Some(output), Ok(sitting)) = (&args.output, &sitting) {
        let shown = output.display();
        std::fs::write(output, file::write_json(&sitting.document))
            .with_context(|| format!("cannot write `{shown}`"))?;
        done = format!("wrote `{shown}`: the job with the parts at the best places");
    }
    Ok(Answer { done, code: u8::from(sitting.is_err()), ..Answer::well(text) })
}
