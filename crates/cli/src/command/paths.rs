//! `paths`: the ways the current takes through one load.

use anyhow::bail;
use engine::kind::Role;
use engine::path::{CurrentPath, current_paths};
use engine::{laid, solve};

use super::{Answer, load, part, situation};
use crate::args::{Format, Paths};
use crate::render::{json, text};

/// Follows the current through every load of the part; a relay's coil counts as one.
pub fn run(args: &Paths) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let part = part(&document, &args.load)?;
    let situation = situation(&document, &args.when)?;
    let circuit = laid::circuit(&document);
    let Some(index) = document.network.parts.iter().position(|other| other.id == part.id) else {
        bail!("there is no part `{}`", args.load);
    };
    let loads: Vec<usize> = circuit
        .branches_of_part(index)
        .filter(|(_, branch)| matches!(branch.role, Role::Load(_) | Role::Coil { .. }))
        .map(|(branch, _)| branch)
        .collect();
    if loads.is_empty() {
        bail!("the {} `{}` is no load of the circuit", part.kind.noun, args.load);
    }
    let solution = solve::solve(&circuit, &situation);
    let paths: Vec<CurrentPath> = match solution.shown() {
        Some(rest) => loads.iter().flat_map(|load| current_paths(&circuit, rest, *load)).collect(),
        None => Vec::new(),
    };
    Ok(Answer::well(match args.input.format {
        Format::Text => text::paths(&circuit, part, &situation, &solution, &paths),
        Format::Json => json::paths(&circuit, part, &situation, &paths),
    }))
}
