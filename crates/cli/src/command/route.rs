//! `route`: the way and the length of each wire along the vehicle plan, and what lies on each route.

use engine::laid::{self, build_order, cut_list, pieces};

use super::{Answer, load};
use crate::args::{Format, Route};
use crate::render::route::{self as render, Laid};

/// Leads every wire of the job along its plan.
pub fn run(args: &Route) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let circuit = laid::circuit(&document);
    let laid = Laid {
        pieces: pieces(&circuit, &document.situations),
        lots: cut_list(&circuit),
        order: build_order(&circuit),
        document: &document,
        circuit: &circuit,
    };
    Ok(Answer::well(match args.input.format {
        Format::Text => render::text(&laid),
        Format::Json => render::json(&laid),
    }))
}
