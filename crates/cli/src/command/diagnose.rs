//! `diagnose`: from a complaint to its cause.

use anyhow::{anyhow, bail};
use engine::diagnose::{Case, End, Walk, remade};
use engine::document::Situation;
use engine::{file, laid};

use super::{Answer, bytes, load};
use crate::args::{Diagnose, Format};
use crate::render::diagnose::{self as render, Told};

/// Tells the likely causes of what is complained of, and which reading to take next.
pub fn run(args: &Diagnose) -> anyhow::Result<Answer> {
    let shown = args.observations.display();
    if args.input.file.as_os_str() == "-" && args.observations.as_os_str() == "-" {
        bail!("job and observations cannot both come from standard input");
    }
    let document = load(&args.input.file)?;
    let text = String::from_utf8(bytes(&args.observations)?)
        .map_err(|_| anyhow!("cannot use `{shown}`:\nthe file is not UTF-8 text"))?;
    let seen = file::read_observations(&text, &document)
        .map_err(|error| anyhow!("cannot use `{shown}`:\n{error}"))?;
    if seen.complaints.is_empty() && seen.readings.is_empty() {
        bail!("cannot use `{shown}`:\nit says nothing: neither what is complained of nor what was read");
    }
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
    // Only where the vehicle is as it is drawn is the drawing what is wrong.
    let is_as_drawn = standing.end.is_some()
        && standing
            .group
            .first()
            .is_some_and(|place| case.causes[standing.causes[*place].cause].fault().is_none());
    let remade = match is_as_drawn {
        true => remade(&case, &seen.complaints, &document.situations, &document.interlocks),
        false => Vec::new(),
    };
    let told = Told { document: &document, walk: &walk, standing: &standing, remade: &remade };
    let text = match args.input.format {
        Format::Text => render::text(&told),
        Format::Json => render::json(&told),
    };
    Ok(Answer { code: u8::from(standing.end == Some(End::NothingTells)), ..Answer::well(text) })
}
