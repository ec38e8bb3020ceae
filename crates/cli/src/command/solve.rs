//! `solve`: the voltages and currents of one situation.

use engine::{laid, reading, solve};

use super::{Answer, load, situation};
use crate::args::{Format, Solve};
use crate::render::{json, text};

/// Solves the situation and takes its readings.
pub fn run(args: &Solve) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let situation = situation(&document, &args.when)?;
    let circuit = laid::circuit(&document);
    let solution = solve::solve(&circuit, &situation);
    let readings = reading::readings(&circuit, &situation, &solution);
    Ok(Answer::well(match args.input.format {
        Format::Text => text::solve(&circuit, &situation, &solution, &readings),
        Format::Json => json::solve(&circuit, &situation, &solution, &readings),
    }))
}
