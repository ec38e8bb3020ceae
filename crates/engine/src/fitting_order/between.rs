//! Fitting: earths, holes, parts, wires and their ends.

use std::collections::BTreeSet;

use super::{Does, Item, Stage, Step, Work, item, part_subject, says, step, wire_subject, wire_words};
use crate::arrange;
use crate::document::{Joint, Part, RouteKind, Status, Wire};
use crate::ids::TerminalRef;
use crate::kind::{Class, Role};
use crate::laid::{build_order, pieces};
use crate::quantity::{Quantity, Unit};
use crate::route::length_of;
use crate::subject::Subject;

pub(super) fn add(work: &Work<'_>, steps: &mut Vec<Step>) {
    steps.push(step(Stage::Earths, "Make the earth points", earths(work)));
    steps.push(step(Stage::Holes, "Make the holes and set the grommets", holes(work)));
    steps.push(step(Stage::Parts, "Put the parts in their places", parts(work)));
    steps.push(step(Stage::Runs, "Lay the wires", runs(work)));
    steps.push(step(Stage::Ends, "Make the ends and joints, pull each by hand", ends(work)));
    steps.push(step(Stage::Relays, "Fit the relay bases and plug the relays in", relays(work)));
}

fn earths(work: &Work<'_>) -> Vec<Item> {
    let earth = |part: &Part| {
        let subject = part_subject(part);
        let wires: Vec<String> = work
            .wires(Status::New)
            .filter(|(_, wire)| wire.from.part == part.id || wire.to.part == part.id)
            .map(|(_, wire)| wire.title().to_owned())
            .collect();
        let surface = match part.values.word_or("surface", "") {
            "" => "surface not known: bare metal, cleaned and protected after".to_owned(),
            "painted" => "painted: bare the metal".to_owned(),
            surface => surface.to_owned(),
        };
        let takes = if wires.is_empty() { String::new() } else { format!(", for {}", wires.join(", ")) };
        item(
            format!("{}{}: {surface}{takes}", work.title(&subject), work.at_place(part)),
            Does::Fits,
            vec![subject],
        )
    };
    work.parts(Status::New).filter(|part| part.kind.class == Class::Earth).map(earth).collect()
}

fn millimetres(mm: f64) -> String {
    Quantity::new(mm, Unit::Millimetre).map_or_else(|| "size not known".to_owned(), |q| q.to_string())
}

/// The routes through sheet metal that new wires take, and the grommets of wires that are led along none.
fn holes(work: &Work<'_>) -> Vec<Item> {
    let (document, resolved) = (work.document, &work.circuit.resolved);
    let plan = &document.plan;
    let new: BTreeSet<usize> = arrange::set_of(work.wires(Status::New).map(|(index, _)| index));
    let mut items = Vec::new();
    for piece in pieces(work.circuit, &document.situations) {
        let route = &plan.routes[piece.route];
        let wires: BTreeSet<usize> =
            arrange::set_of(piece.wires.iter().copied().filter(|wire| new.contains(wire)));
        if route.kind != RouteKind::ThroughBulkhead || wires.is_empty() {
            continue;
        }
        let hole = piece.grommet.map_or_else(
            || "size not known".to_owned(),
            |grommet| format!("{} for bare wires", millimetres(grommet.hole_mm)),
        );
        let text = format!("Hole at {}: {hole}, for {}", plan.route_title(route), titles(work, &wires));
        items.push(item(text, Does::Says, subjects(work, &wires)));
    }
    for (index, wire) in work.wires(Status::New) {
        let is_on_plan = resolved.ways.of(index).is_some_and(|way| !way.pieces.is_empty());
        if !is_on_plan && wire.grommet == Some(true) {
            let text =
                format!("Grommet for {}: where it leads through and how large is not known", wire.title());
            items.push(item(text, Does::Says, vec![wire_subject(wire)]));
        }
    }
    if !items.is_empty() {
        items.insert(
            0,
            says("Look behind the sheet before drilling; bare edges painted, grommet in before any wire"),
        );
    }
    items
}

fn titles(work: &Work<'_>, wires: &BTreeSet<usize>) -> String {
    let title = |wire: &usize| work.document.network.wires[*wire].title();
    wires.iter().map(title).collect::<Vec<_>>().join(", ")
}

fn subjects(work: &Work<'_>, wires: &BTreeSet<usize>) -> Vec<Subject> {
    wires.iter().map(|wire| wire_subject(&work.document.network.wires[*wire])).collect()
}

/// Whether a part goes into its base after the wires: it has a coil.
fn is_relay(work: &Work<'_>, part: &Part) -> bool {
    let index = work.document.network.parts.iter().position(|one| one.id == part.id);
    index.is_some_and(|index| {
        work.circuit.branches_of_part(index).any(|(_, branch)| matches!(branch.role, Role::Coil { .. }))
    })
}

/// What is mounted before wires are laid: all but earth points, what is made on the wires, relays, fuses and batteries.
fn parts(work: &Work<'_>) -> Vec<Item> {
    let is_mounted = |part: &&Part| {
        let later = matches!(part.kind.class, Class::Earth | Class::Battery | Class::Protection);
        !later && !is_joint_of_wires(part) && !is_relay(work, part)
    };
    let mut items: Vec<Item> = work
        .parts(Status::New)
        .filter(is_mounted)
        .map(|part| {
            let subject = part_subject(part);
            let at = work.at_place(part);
            let at = if at.is_empty() && work.has_plan() { ", place not known".to_owned() } else { at };
            item(format!("{}{at}", work.title(&subject)), Does::Fits, vec![subject])
        })
        .collect();
    let holders: Vec<&Part> = work
        .parts(Status::New)
        .filter(|part| part.kind.class == Class::Protection && part.holder().is_none())
        .collect();
    if !holders.is_empty() {
        let each: Vec<String> =
            holders.iter().map(|part| format!("{}{}", part.title(), work.at_place(part))).collect();
        let subjects = holders.iter().map(|part| part_subject(part)).collect();
        items.push(item(format!("Holders, empty, of {}", each.join(", ")), Does::Says, subjects));
    }
    items
}

/// Whether a part is made on the wires themselves, like a splice.
fn is_joint_of_wires(part: &Part) -> bool {
    part.kind == crate::kind::joint_of_wires()
}

/// The wires by route, in the order of laying; behind them those that are led along none, the longest first.
fn runs(work: &Work<'_>) -> Vec<Item> {
    let plan = &work.document.plan;
    let network = &work.document.network;
    let all = pieces(work.circuit, &work.document.situations);
    let mut laid: BTreeSet<usize> = BTreeSet::new();
    let mut items = Vec::new();
    for laying in build_order(work.circuit) {
        let route = &plan.routes[laying.route];
        let wires: BTreeSet<usize> = arrange::set_of(laying.wires.iter().copied());
        let begin: BTreeSet<usize> = arrange::set_of(wires.difference(&laid).copied());
        let go_on: BTreeSet<usize> = arrange::set_of(wires.intersection(&laid).copied());
        let what = if laying.is_trunk { "Trunk" } else { "Branch" };
        let mut text = format!("{what} {}, {}", plan.route_title(route), length_of(plan, laying.route));
        if let Some(piece) = all.iter().find(|piece| piece.route == laying.route) {
            if let Some(nominal) =
                piece.conduit.and_then(|conduit| conduit.nominal_mm).filter(|_| route.sleeve.is_some())
            {
                text.push_str(&format!(", tubing {}", millimetres(nominal)));
            }
            if let Some(clips) = piece.n_clips.filter(|clips| *clips > 0) {
                text.push_str(&format!(", {clips} {}", if clips == 1 { "clip" } else { "clips" }));
            }
        }
        if !go_on.is_empty() {
            text.push_str(&format!("; goes on: {}", titles(work, &go_on)));
        }
        let (does, subjects) = match begin.is_empty() {
            true => (Does::Says, subjects(work, &go_on)),
            false => (Does::Fits, subjects(work, &begin)),
        };
        if !begin.is_empty() {
            let each = begin.iter().map(|wire| wire_in_full(work, *wire, &network.wires[*wire]));
            text.push_str(&format!("; begins: {}", each.collect::<Vec<_>>().join("; ")));
        }
        items.push(item(text, does, subjects));
        laid.extend(wires);
    }
    let length =
        |wire: usize| work.circuit.resolved.wires[wire].as_ref().map_or(0.0, |used| used.length.high.get());
    let mut others: Vec<(usize, &Wire)> =
        work.wires(Status::New).filter(|(wire, _)| !laid.contains(wire)).collect();
    arrange::sort_by(&mut others, |one, other| length(other.0).total_cmp(&length(one.0)));
    for (index, wire) in others {
        items.push(item(wire_in_full(work, index, wire), Does::Fits, vec![wire_subject(wire)]));
    }
    items
}

fn wire_in_full(work: &Work<'_>, index: usize, wire: &Wire) -> String {
    let network = &work.document.network;
    let sleeve = match wire.sleeve.as_ref().map(|text| text.trim()).filter(|text| !text.is_empty()) {
        Some(sleeve) => format!(", in {sleeve}"),
        None => String::new(),
    };
    let (from, to) = (network.terminal_title(&wire.from), network.terminal_title(&wire.to));
    format!("{} ({}, {}{sleeve}) from {from} to {to}", wire.title(), wire_words(wire), work.length(index))
}

/// The ends of each new wire, and what is made on the wires.
fn ends(work: &Work<'_>) -> Vec<Item> {
    let network = &work.document.network;
    let is_battery =
        |at: &TerminalRef| network.part(&at.part).is_some_and(|part| part.kind.class == Class::Battery);
    let mut items: Vec<Item> = work
        .wires(Status::New)
        .map(|(_, wire)| {
            let end = |at: &TerminalRef, joint: Option<&Joint>| {
                let left = if is_battery(at) { ", left off until the battery comes on" } else { "" };
                format!("{} {}{left}", network.terminal_title(at), joint_words(joint))
            };
            let ends = [end(&wire.from, wire.joint_from.as_ref()), end(&wire.to, wire.joint_to.as_ref())];
            let size = wire.size.known().map_or_else(|| "size not known".to_owned(), |size| size.title());
            item(
                format!("{} ({size}): {}", wire.title(), ends.join("; ")),
                Does::Says,
                vec![wire_subject(wire)],
            )
        })
        .collect();
    for part in work.parts(Status::New).filter(|part| is_joint_of_wires(part)) {
        let subject = part_subject(part);
        let wires: Vec<&str> = network
            .wires
            .iter()
            .filter(|wire| wire.from.part == part.id || wire.to.part == part.id)
            .map(|wire| wire.title())
            .collect();
        let text = format!("{}{} of {}", work.title(&subject), work.at_place(part), wires.join(", "));
        items.push(item(text, Does::Fits, vec![subject]));
    }
    items
}

fn joint_words(joint: Option<&Joint>) -> String {
    let Some(joint) = joint else { return "joint not known".to_owned() };
    let by = joint.by.trim();
    let by = if by.is_empty() { "joint not known" } else { by };
    joint.stud_mm.map_or_else(|| by.to_owned(), |mm| format!("{by}, stud {}", millimetres(mm)))
}

fn relays(work: &Work<'_>) -> Vec<Item> {
    let relay = |part: &Part| {
        let subject = part_subject(part);
        item(format!("{}{}", work.title(&subject), work.at_place(part)), Does::Fits, vec![subject])
    };
    work.parts(Status::New).filter(|part| is_relay(work, part)).map(relay).collect()
}
