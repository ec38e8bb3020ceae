//! `size`: the least copper and the smallest fuses that pass every check.

use anyhow::{Context, bail};
use engine::document::Document;
use engine::ids::WireId;
use engine::{file, laid, sizing};

use super::{Answer, check_output, load};
use crate::args::{Format, Size};
use crate::render::size;

/// Sizes the new wires and fuses of the job, or the wires named alone, and writes the job with them where asked to.
pub fn run(args: &Size) -> anyhow::Result<Answer> {
    if let Some(output) = &args.output {
        check_output("size", &args.input.file, output)?;
    }
    let document = load(&args.input.file)?;
    let mut chosen = Vec::new();
    for name in &args.wire {
        chosen.push(wire(&document, name)?);
    }
    let sized = sizing::size(&document, (!chosen.is_empty()).then_some(&chosen[..]));
    // The answer rests on what is assumed of the job as it comes out.
    let after = sized.as_ref().map_or(&document, |sizing| &sizing.document);
    let circuit = laid::circuit(after);
    let text = match args.input.format {
        Format::Text => size::text(&document, &circuit, &sized),
        Format::Json => size::json(&document, &circuit, &sized),
    };
    let mut done = String::new();
    if let (Some(output), Ok(sizing)) = (&args.output, &sized) {
        let shown = output.display();
        std::fs::write(output, file::write_json(&sizing.document))
            .with_context(|| format!("cannot write `{shown}`"))?;
        done = format!("wrote `{shown}`: the job with the sizes and ratings needed");
    }
    Ok(Answer { done, code: u8::from(sized.is_err()), ..Answer::well(text) })
}

/// The one wire that an argument names.
fn wire(document: &Document, name: &str) -> anyhow::Result<WireId> {
    match document.network.wires_called(name)[..] {
        [wire] => Ok(wire.id.clone()),
        [] => bail!("there is no wire `{name}`"),
        ref several => {
            let candidates: Vec<&str> = several.iter().map(|wire| wire.id.as_str()).collect();
            bail!("`{name}` may mean {}; name it by its id", candidates.join(", "))
        }
    }
}
