//! `route`: the way and the length of each wire along the vehicle plan, and what lies on each route.

use anyhow::Context;
use drawing::plan::{PlanOptions, plan_picture};
use engine::laid::{self, build_order, cut_list, pieces};

use super::draw::check_output;
use super::{Answer, load};
use crate::args::{Format, Route};
use crate::render::route::{self as render, Laid};

/// Leads every wire of the job along its plan.
pub fn run(args: &Route) -> anyhow::Result<Answer> {
    if let Some(output) = &args.output {
        check_output(&args.input.file, output)?;
    }
    let document = load(&args.input.file)?;
    let circuit = laid::circuit(&document);
    let laid = Laid {
        pieces: pieces(&circuit, &document.situations),
        lots: cut_list(&circuit),
        order: build_order(&circuit),
        document: &document,
        circuit: &circuit,
    };
    let text = match args.input.format {
        Format::Text => render::text(&laid),
        Format::Json => render::json(&laid),
    };
    let mut done = String::new();
    if let Some(output) = &args.output {
        let shown = output.display();
        let picture = plan_picture(&document.plan, &document.network, &PlanOptions::default());
        std::fs::write(output, picture).with_context(|| format!("cannot write `{shown}`"))?;
        done = format!("wrote `{shown}`: the vehicle plan");
    }
    Ok(Answer { done, ..Answer::well(text) })
}
