//! What follows from a survey: the donor as a part of the job, and the wires between it, a switch and the coil of a relay.
//!
//! The wires are changed as little as does it, and what comes out is tried before it is offered: every check is run on the
//! job, and the relay must follow the lamp and the switch.

mod wiring;

use super::candidate::{Feed, Nature};
use super::fit::{Survey, Verdict};
use super::world::Side;
use super::{Drive, Readings};
use crate::check::{Context, run_each};
use crate::circuit::{Circuit, Origin};
use crate::document::edit::apply;
use crate::document::{Document, Edit, EditError, Labels, Part, Status};
use crate::finding::Finding;
use crate::given::Given;
use crate::ids::PartId;
use crate::kind::{Class, Form, Role, Value, by_name};
use crate::laid;
use crate::solve::Solver;
use wiring::Wiring;

/// Why nothing is offered.
#[derive(Clone, Debug, PartialEq)]
pub enum NotOffered {
    /// The readings do not tell what it takes.
    NotTold,
    /// A module drives the lamp, or none is ruled out.
    ByModule,
    /// These are not the wires of the lamp.
    NotThese,
    /// A part has not what it takes, is not there, or is wired to something else; lowercase, no full stop.
    Unfit(String),
    /// An edit does not apply.
    Refused(EditError),
    /// It would bring this finding, whichever size the wires had.
    Finds(Box<Finding>),
    /// The relay would not follow the lamp and the switch.
    DoesNotFollow,
}

impl NotOffered {
    /// The reason, in words: lowercase, no full stop.
    pub fn in_words(&self) -> String {
        match self {
            NotOffered::NotTold => "the readings do not tell enough yet".to_owned(),
            NotOffered::ByModule => {
                "a module drives the lamp, or may: use a trigger input, or another donor".to_owned()
            }
            NotOffered::NotThese => "these are not the wires of the lamp".to_owned(),
            NotOffered::Unfit(what) => what.clone(),
            NotOffered::Refused(error) => error.to_string(),
            NotOffered::Finds(finding) => format!("then {}", finding.message),
            NotOffered::DoesNotFollow => "the relay would not follow the lamp and the switch".to_owned(),
        }
    }
}

impl From<EditError> for NotOffered {
    fn from(error: EditError) -> NotOffered {
        NotOffered::Refused(error)
    }
}

/// A change of the job that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// The job with it.
    pub document: Document,
    /// What it does, piece by piece, in words; none when the job is so already.
    pub does: Vec<String>,
}

/// The job with the donor as the survey found it: the one named, or a new one that was there before, with its id.
///
/// What the readings do not tell is left as not known.
///
/// # Errors
///
/// When the readings do not tell on which side the lamp is switched, and not that a module drives it either.
pub fn donor_after(
    document: &Document,
    survey: &Survey,
    readings: &Readings,
    donor: Option<&PartId>,
    signal: &str,
) -> Result<(Offered, PartId), NotOffered> {
    let is_module = survey.natures() == [Nature::Module];
    // That a module drives it is worth saying whichever side that is on.
    let side = match side(survey) {
        Err(NotOffered::NotTold) if is_module => None,
        side => Some(side?),
    };
    let network = &document.network;
    let before = donor.and_then(|id| network.part(id)).filter(|part| part.kind.class == Class::Donor);
    let mut part = match (before, donor) {
        (Some(part), _) => part.clone(),
        (None, Some(_)) => return Err(NotOffered::Unfit("there is no such donor circuit".to_owned())),
        (None, None) => {
            let kind = by_name("donor").ok_or(NotOffered::NotTold)?;
            let label = Labels::of(network).part(kind.letter);
            Part { status: Status::Existing, ..Part::new(network.fresh_part_id(), kind, label) }
        }
    };
    let feeds = |wanted: bool| survey.fits.iter().all(|one| (one.feed == Feed::PERMANENT) == wanted);
    let common_feed = match side {
        Some(Side::Earth) if feeds(true) => Some("permanent"),
        Some(Side::Earth) if feeds(false) => Some("switched"),
        _ => None,
    };
    let drive = match (is_module, readings.drive) {
        (true, _) => Some("module"),
        (_, Some(Drive::Contact)) => Some("contact"),
        _ => None,
    };
    let switching = side.map(|side| match side {
        Side::Positive => "positive",
        Side::Earth => "earth",
    });
    let mut does = Vec::new();
    let said = [("switching", switching), ("common_feed", common_feed), ("drive", drive)];
    let signal = Some(signal).filter(|signal| !signal.is_empty()).map(|signal| ("signal", Some(signal)));
    for (name, word) in said.into_iter().chain(signal) {
        set_word(&mut part, name, word);
        let spec = part.kind.value(name);
        if let (Some(spec), true) =
            (spec, before.is_none_or(|before| before.values.get(name) != part.values.get(name)))
        {
            let becomes = word.unwrap_or("not known");
            // What nobody said and nobody says is no change.
            if word.is_some() || before.is_some_and(|before| before.values.said(name).is_some()) {
                does.push(format!("{}: {becomes}", spec.meaning));
            }
        }
    }
    let id = part.id.clone();
    let document = match before {
        Some(_) => apply(document, &Edit::ChangePart(part))?,
        None => {
            does.insert(0, format!("donor circuit {} is added, as already there", part.title()));
            apply(document, &Edit::Add { parts: vec![part], wires: Vec::new(), poses: Vec::new() })?
        }
    };
    Ok((Offered { document, does }, id))
}

/// The side on which the lamp is switched, where everything that fits agrees.
fn side(survey: &Survey) -> Result<Side, NotOffered> {
    let natures = survey.natures();
    if matches!(survey.verdict, Verdict::NoReadings) || natures.is_empty() {
        return Err(NotOffered::NotTold);
    }
    if natures == [Nature::NotThese] {
        return Err(NotOffered::NotThese);
    }
    let first = survey.fits[0].side;
    let agree = survey.fits.iter().all(|one| one.side == first) && survey.positive().is_some();
    if agree { Ok(first) } else { Err(NotOffered::NotTold) }
}

/// Says a word of a value, or takes back what was said.
fn set_word(part: &mut Part, name: &str, word: Option<&str>) {
    let Some(spec) = part.kind.value(name) else { return };
    let known = word.and_then(|word| match spec.form {
        Form::Word(words) => words.iter().find(|one| **one == word),
        _ => None,
    });
    part.values.set(spec.name, known.map_or(Given::NotKnown, |word| Given::Known(Value::Word(word))));
}

/// Sizes that the new leads on the lamp's wires are tried in, in square millimetres, the thinnest first.
const SIZES: [f64; 4] = [1.0, 1.5, 2.5, 4.0];

/// The job with the coil of a relay wired to a donor as the survey asks for, by way of a switch if one is named.
///
/// Wires that lead elsewhere are led to where they belong, and what is missing is added; the leads on the lamp's wires are
/// as thin as the checks let them be.
///
/// # Errors
///
/// Says why nothing is offered. Then nothing is changed.
pub fn offer(
    document: &Document,
    survey: &Survey,
    donor: &PartId,
    relay: &PartId,
    switch: Option<&PartId>,
) -> Result<Offered, NotOffered> {
    let natures = survey.natures();
    if survey.verdict != Verdict::NoReadings
        && natures.contains(&Nature::Module)
        && !natures.contains(&Nature::NotThese)
    {
        return Err(NotOffered::ByModule);
    }
    let side = side(survey)?;
    let before = found(document);
    let mut why = NotOffered::DoesNotFollow;
    for mm2 in SIZES {
        let mut wiring = Wiring::new(document.clone(), mm2);
        wiring.wire(side, donor, relay, switch)?;
        if !follows(&wiring.document, donor, relay, switch) {
            continue;
        }
        let is_known = |one: &Finding| {
            before.iter().any(|old| {
                old.check == one.check && old.subject == one.subject && old.severity <= one.severity
            })
        };
        match found(&wiring.document).into_iter().find(|one| !is_known(one)) {
            Some(new) => why = NotOffered::Finds(Box::new(new)),
            None => return Ok(Offered { document: wiring.document, does: wiring.does }),
        }
        if wiring.does_not_hang_on_size() {
            break;
        }
    }
    Err(why)
}

/// What each check finds by itself.
fn found(document: &Document) -> Vec<Finding> {
    let circuit = laid::circuit(document);
    run_each(&Context::new(&circuit, &document.situations, &document.interlocks))
}

/// Whether the relay is on when the lamp and the switch are, and never without either.
fn follows(document: &Document, donor: &PartId, relay: &PartId, switch: Option<&PartId>) -> bool {
    let circuit = laid::circuit(document);
    let solver = Solver::new(&circuit);
    let cases = [(false, false), (true, false), (false, true), (true, true)];
    cases.into_iter().filter(|(_, is_on)| switch.is_some() || *is_on).all(|(lamp, is_on)| {
        let parts = &circuit.resolved.network.parts;
        let at = |part: &Part| (lamp && part.id == *donor) || (is_on && Some(&part.id) == switch);
        let positions = parts.iter().map(|part| u8::from(at(part))).collect();
        is_pulled_in(&circuit, &solver, positions, relay) == Some(lamp && is_on)
    })
}

fn is_pulled_in(circuit: &Circuit, solver: &Solver<'_>, positions: Vec<u8>, relay: &PartId) -> Option<bool> {
    let settled = solver.enter(positions);
    let rest = settled.shown()?;
    let is_its = |branch: usize| match circuit.branches[branch].origin {
        Origin::Part(part, _) => circuit.resolved.network.parts[part].id == *relay,
        Origin::Wire(_) => false,
    };
    let device = circuit.devices.iter().position(|device| device.relay && is_its(device.branch))?;
    Some(rest.state.devices[device])
}

/// The relays and switches that a coil can be wired with, by what they are: parts with a coil, and parts with an inlet and
/// an outlet that a hand works.
pub fn eligible(document: &Document) -> (Vec<PartId>, Vec<PartId>) {
    let circuit = laid::circuit(document);
    let network = &document.network;
    let mut relays = Vec::new();
    let mut switches = Vec::new();
    for (index, part) in network.parts.iter().enumerate() {
        if part.kind.class != Class::Contact || part.status == Status::Remove {
            continue;
        }
        let has_coil =
            circuit.branches_of_part(index).any(|(_, branch)| matches!(branch.role, Role::Coil { .. }));
        if has_coil { relays.push(part.id.clone()) } else { switches.push(part.id.clone()) }
    }
    (relays, switches)
}

#[cfg(test)]
mod tests;
