//! `diagnose`: from a complaint to its cause.

use std::path::Path;

use anyhow::{anyhow, bail};
use engine::diagnose::{Case, End, Walk};
use engine::document::{Document, Observations, Purpose, Situation};
use engine::{file, laid};

use super::{Answer, load, text};
use crate::args::{Diagnose, Format};
use crate::render::diagnose::{self as render, Told};

/// The observations of a file.
fn read(path: &Path, document: &Document) -> anyhow::Result<Observations> {
    let shown = path.display();
    let seen = file::read_observations(&text(path)?, document)
        .map_err(|error| anyhow!("cannot use `{shown}`:\n{error}"))?;
    if seen.complaints.is_empty() && seen.readings.is_empty() {
        bail!("cannot use `{shown}`:\nit says nothing: neither what is complained of nor what was read");
    }
    Ok(seen)
}

/// What the last fault walk of the job has; one that goes on counts before one that has ended.
fn kept(document: &Document) -> anyhow::Result<Observations> {
    let walks = || document.records.iter().rev().filter(|one| one.purpose == Purpose::Fault);
    let Some(record) = walks().find(|one| one.answer.is_empty()).or_else(|| walks().next()) else {
        bail!("the job keeps no fault walk: say what is complained of with --observations");
    };
    Ok(Observations {
        complaints: record.complaints.clone(),
        readings: record.readings.clone(),
        minutes: record.minutes.clone(),
    })
}

/// Tells the likely causes of what is complained of, and which reading to take next.
pub fn run(args: &Diagnose) -> anyhow::Result<Answer> {
    let is_stdin = |path: &Path| path.as_os_str() == "-";
    if is_stdin(&args.input.file) && args.observations.as_deref().is_some_and(is_stdin) {
        bail!("job and observations cannot both come from standard input");
    }
    let document = load(&args.input.file)?;
    let seen = match &args.observations {
        Some(path) => read(path, &document)?,
        None => kept(&document)?,
    };
    let circuit = laid::circuit(&document);
    let mut situations: Vec<Situation> = document.situations.to_vec();
    let taken = seen.complaints.iter().map(|one| &one.situation);
    for situation in taken.chain(seen.readings.iter().map(|one| &one.situation)) {
        if situations.iter().all(|known| known.set != situation.set) {
            situations.push(situation.clone());
        }
    }
    let case = Case::new(&circuit, &situations);
    let walk =
        Walk { case: &case, complaints: &seen.complaints, readings: &seen.readings, minutes: &seen.minutes };
    let standing = walk.stand();
    let remade = walk.remade(&standing, &document.situations, &document.interlocks);
    let told = Told { document: &document, walk: &walk, standing: &standing, remade: &remade };
    let text = match args.input.format {
        Format::Text => render::text(&told),
        Format::Json => render::json(&told),
    };
    Ok(Answer { code: u8::from(standing.end == Some(End::NothingTells)), ..Answer::well(text) })
}
