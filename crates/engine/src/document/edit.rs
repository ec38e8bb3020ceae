//! Changes of a document: what can be done to one, and doing it.
//!
//! An edit gives a new document and leaves the old one as it was.
//! The parts of the document that it does not touch stay pointer-equal, so that moving a symbol,
//! for one, computes nothing electrical anew.
//! What comes out violates nothing in [`crate::document::validate`], stays within the limits of
//! the job file, and so reads back as it was written.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

use crate::arrange;
use crate::document::interlock::{Interlock, keep_possible};
use crate::document::limits;
use crate::document::network::{MOST_PARTS_AND_WIRES, next_free};
use crate::document::validate::{Violation, violations};
use crate::document::{Accepted, Card, Document, Part, Plan, Pose, Record, Settings, Situation, Wire};
use crate::given::Given;
use crate::ids::{PartId, PlaceId, TerminalRef, WireId};
use crate::kind::Value;

/// One change of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Adds parts, wires and poses. The ids must be free; [`fresh_ids`] gives such.
    ///
    /// [`fresh_ids`]: crate::document::Network::fresh_ids
    Add {
        /// New parts.
        parts: Vec<Part>,
        /// New wires.
        wires: Vec<Wire>,
        /// Poses, of new parts or of old ones.
        poses: Vec<Pose>,
    },
    /// Removes parts and wires, and with a part its wires, its poses, its positions in situations, what names it in
    /// interlocks and accepted findings, and the values of other parts that name it.
    Remove {
        /// Parts to remove.
        parts: Vec<PartId>,
        /// Wires to remove.
        wires: Vec<WireId>,
    },
    /// Puts a part in the place of the one with the same id, which is of the same kind. It loses
    /// the poses of symbols, the positions in situations and the states in interlocks that it does not have any more.
    ChangePart(Part),
    /// Puts a wire in the place of the one with the same id.
    ChangeWire(Wire),
    /// Poses symbols: these poses are the whole placement.
    Place(Vec<Pose>),
    /// Replaces the vehicle plan. What sits at a place that it does not have sits nowhere then, and no wire is led by it.
    Plan(Plan),
    /// Replaces the title data.
    Card(Card),
    /// Replaces what holds for the whole job.
    Settings(Settings),
    /// Replaces the named situations.
    Situations(Vec<Situation>),
    /// Replaces the rules that must hold in every situation.
    Interlocks(Vec<Interlock>),
    /// Replaces the accepted findings.
    Accepted(Vec<Accepted>),
    /// Replaces the records.
    Records(Vec<Record>),
}

/// Why an edit does not apply.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// Something has this id already.
    IdTaken(String),
    /// There is no such part.
    NoSuchPart(PartId),
    /// There is no such wire.
    NoSuchWire(WireId),
    /// A part cannot become one of another kind.
    OtherKind(String),
    /// A wire ends on a terminal that the part would not have any more; terminal and wire as a
    /// person names them.
    TerminalInUse(String, String),
    /// The job would have more parts and wires than a file may.
    TooMany,
    /// Something is beyond its limits; what and which.
    Beyond(String),
    /// The result would break this invariant.
    Broken(Violation),
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditError::IdTaken(id) => write!(f, "there is a “{id}” already"),
            EditError::NoSuchPart(id) => write!(f, "there is no part “{id}”"),
            EditError::NoSuchWire(id) => write!(f, "there is no wire “{id}”"),
            EditError::OtherKind(title) => write!(f, "{title} cannot become a part of another kind"),
            EditError::TerminalInUse(terminal, wire) => {
                write!(f, "wire {wire} still ends on {terminal}")
            }
            EditError::TooMany => {
                write!(f, "a job has at most {MOST_PARTS_AND_WIRES} parts and wires together")
            }
            EditError::Beyond(what) => f.write_str(what),
            EditError::Broken(violation) => violation.fmt(f),
        }
    }
}

impl std::error::Error for EditError {}

impl From<Violation> for EditError {
    fn from(violation: Violation) -> EditError {
        EditError::Broken(violation)
    }
}

/// The document that `edit` makes of `document`.
///
/// # Errors
///
/// An edit that names what does not exist, says what is beyond its limits, or would break an
/// invariant does not apply, and then nothing of it does.
pub fn apply(document: &Document, edit: &Edit) -> Result<Document, EditError> {
    let mut next = document.clone();
    match edit {
        Edit::Add { parts, wires, poses } => add(&mut next, parts, wires, poses)?,
        Edit::Remove { parts, wires } => remove(&mut next, parts, wires)?,
        Edit::ChangePart(part) => change_part(&mut next, part)?,
        Edit::ChangeWire(wire) => change_wire(&mut next, wire)?,
        Edit::Place(poses) => place(&mut next, poses.clone())?,
        Edit::Plan(plan) => replace_plan(&mut next, plan)?,
        Edit::Card(card) => replace(&mut next.card, card),
        Edit::Settings(settings) => {
            limits::settings(settings).map_err(EditError::Beyond)?;
            replace(&mut next.settings, settings);
        }
        Edit::Situations(situations) => {
            limits::situations(situations).map_err(EditError::Beyond)?;
            replace(&mut next.situations, situations);
        }
        Edit::Interlocks(interlocks) => {
            limits::interlocks(interlocks).map_err(EditError::Beyond)?;
            replace(&mut next.interlocks, interlocks);
        }
        Edit::Accepted(accepted) => {
            limits::accepted(accepted).map_err(EditError::Beyond)?;
            replace(&mut next.accepted, accepted);
        }
        Edit::Records(records) => {
            limits::records(records).map_err(EditError::Beyond)?;
            replace(&mut next.records, records);
        }
    }
    match violations(&next).into_iter().next() {
        Some(violation) => Err(EditError::Broken(violation)),
        None => Ok(next),
    }
}

/// Replaces a shared part of the document, unless it says the same.
fn replace<T: Clone + PartialEq>(shared: &mut Arc<T>, value: &T) {
    if **shared != *value {
        *shared = Arc::new(value.clone());
    }
}

fn add(next: &mut Document, parts: &[Part], wires: &[Wire], poses: &[Pose]) -> Result<(), EditError> {
    if !parts.is_empty() || !wires.is_empty() {
        let network = Arc::make_mut(&mut next.network);
        let mut taken: BTreeSet<&str> = arrange::set_of(network.parts.iter().map(|part| part.id.as_str()));
        taken.extend(network.wires.iter().map(|wire| wire.id.as_str()));
        let new = parts.iter().map(|part| part.id.as_str()).chain(wires.iter().map(|wire| wire.id.as_str()));
        for id in new {
            if !taken.insert(id) {
                return Err(EditError::IdTaken(id.to_owned()));
            }
        }
        for part in parts {
            limits::part(part).map_err(EditError::Beyond)?;
        }
        for wire in wires {
            limits::wire(wire).map_err(EditError::Beyond)?;
        }
        network.parts.extend_from_slice(parts);
        network.wires.extend_from_slice(wires);
        if network.parts.len() + network.wires.len() > MOST_PARTS_AND_WIRES {
            return Err(EditError::TooMany);
        }
        network.next_id = network.next_id.max(next_free(parts, wires));
    }
    if !poses.is_empty() {
        place(next, [&next.placement.poses[..], poses].concat())?;
    }
    Ok(())
}

/// Makes `poses` the whole placement, in the order in which a file keeps them.
fn place(next: &mut Document, mut poses: Vec<Pose>) -> Result<(), EditError> {
    let order: BTreeMap<&PartId, usize> =
        arrange::map_of(next.network.parts.iter().map(|part| &part.id).zip(0..));
    for pose in &poses {
        limits::pose(pose).map_err(EditError::Beyond)?;
        if !order.contains_key(&pose.part) {
            return Err(EditError::NoSuchPart(pose.part.clone()));
        }
    }
    arrange::sort_by_key(&mut poses, |pose| order.get(&pose.part).copied());
    if next.placement.poses != poses {
        Arc::make_mut(&mut next.placement).poses = poses;
    }
    Ok(())
}

fn replace_plan(next: &mut Document, plan: &Plan) -> Result<(), EditError> {
    limits::plan(plan).map_err(EditError::Beyond)?;
    let known: BTreeSet<&PlaceId> = arrange::set_of(plan.places.iter().map(|place| &place.id));
    let lost = |place: &PlaceId| !known.contains(place);
    let sits = |part: &Part| part.place.as_ref().is_some_and(lost);
    if next.network.parts.iter().any(sits) || next.network.wires.iter().any(|wire| wire.via.iter().any(lost))
    {
        let network = Arc::make_mut(&mut next.network);
        for part in network.parts.iter_mut().filter(|part| sits(part)) {
            part.place = None;
        }
        for wire in &mut network.wires {
            wire.via.retain(|place| !lost(place));
        }
    }
    replace(&mut next.plan, plan);
    Ok(())
}

fn remove(next: &mut Document, parts: &[PartId], wires: &[WireId]) -> Result<(), EditError> {
    if let Some(unknown) = parts.iter().find(|id| next.network.part(id).is_none()) {
        return Err(EditError::NoSuchPart(unknown.clone()));
    }
    if let Some(unknown) = wires.iter().find(|id| next.network.wire(id).is_none()) {
        return Err(EditError::NoSuchWire(unknown.clone()));
    }
    if parts.is_empty() && wires.is_empty() {
        return Ok(());
    }
    let gone = |id: &PartId| parts.contains(id);
    let network = Arc::make_mut(&mut next.network);
    network.wires.retain(|wire| !(wires.contains(&wire.id) || gone(&wire.from.part) || gone(&wire.to.part)));
    network.parts.retain(|part| !gone(&part.id));
    for part in &mut network.parts {
        let names_it = |given: &Given<Value>| match given {
            Given::Known(Value::Part(id) | Value::Seat(id, _)) => gone(id),
            _ => false,
        };
        let pointless: Vec<&'static str> =
            part.values.iter().filter(|(_, given)| names_it(given)).map(|(name, _)| name).collect();
        for name in pointless {
            part.values.set(name, Given::NotKnown);
        }
    }
    if next.placement.poses.iter().any(|pose| gone(&pose.part)) {
        Arc::make_mut(&mut next.placement).poses.retain(|pose| !gone(&pose.part));
    }
    if next.situations.iter().any(|situation| situation.set.keys().any(gone)) {
        for situation in Arc::make_mut(&mut next.situations) {
            situation.set.retain(|id, _| !gone(id));
        }
    }
    keep_named(next);
    Ok(())
}

fn change_part(next: &mut Document, part: &Part) -> Result<(), EditError> {
    let Some(index) = next.network.parts.iter().position(|old| old.id == part.id) else {
        return Err(EditError::NoSuchPart(part.id.clone()));
    };
    let old = &next.network.parts[index];
    if old == part {
        return Ok(());
    }
    if old.kind != part.kind {
        return Err(EditError::OtherKind(old.title().to_owned()));
    }
    limits::part(part).map_err(EditError::Beyond)?;
    let lost = |end: &&TerminalRef| end.part == part.id && !part.has_terminal(&end.terminal);
    for wire in &next.network.wires {
        if let Some(end) = [&wire.from, &wire.to].into_iter().find(lost) {
            let terminal = next.network.terminal_in_full(end);
            return Err(EditError::TerminalInUse(terminal, wire.title().to_owned()));
        }
    }
    let views = (part.kind.views)(&part.values);
    let stays = |pose: &Pose| pose.part != part.id || views.iter().any(|view| view.name == pose.view);
    if !next.placement.poses.iter().all(stays) {
        Arc::make_mut(&mut next.placement).poses.retain(stays);
    }
    let possible = |id: &PartId, position: &str| *id != part.id || part.positions().contains(&position);
    let fits = |situation: &Situation| situation.set.iter().all(|(id, position)| possible(id, position));
    if !next.situations.iter().all(fits) {
        for situation in Arc::make_mut(&mut next.situations) {
            situation.set.retain(|id, position| possible(id, position));
        }
    }
    Arc::make_mut(&mut next.network).parts[index] = part.clone();
    keep_named(next);
    Ok(())
}

/// Takes out of the interlocks and the accepted findings what the network no longer has.
fn keep_named(next: &mut Document) {
    if !next.interlocks.is_empty() {
        let mut kept = (*next.interlocks).clone();
        keep_possible(&mut kept, &next.network);
        replace(&mut next.interlocks, &kept);
    }
    let network = &next.network;
    if !next.accepted.iter().all(|one| one.subject.is_in(network)) {
        let kept = next.accepted.iter().filter(|one| one.subject.is_in(network)).cloned().collect();
        next.accepted = Arc::new(kept);
    }
}

fn change_wire(next: &mut Document, wire: &Wire) -> Result<(), EditError> {
    let Some(index) = next.network.wires.iter().position(|old| old.id == wire.id) else {
        return Err(EditError::NoSuchWire(wire.id.clone()));
    };
    if next.network.wires[index] == *wire {
        return Ok(());
    }
    limits::wire(wire).map_err(EditError::Beyond)?;
    Arc::make_mut(&mut next.network).wires[index] = wire.clone();
    Ok(())
}
