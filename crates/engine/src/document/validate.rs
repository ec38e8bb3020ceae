//! Structural invariants of a document, as a list of what breaks them.
//!
//! A document that violates none of these can be resolved, solved, checked and drawn.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use crate::arrange;
use crate::document::interlock::impossible;
use crate::document::{Document, Part};
use crate::ids::{PartId, TerminalRef, WireId};
use crate::kind::{Form, Value};

/// One broken invariant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Violation {
    /// Two parts or two wires carry this id, or a part and a wire do.
    IdUsedTwice(String),
    /// A wire ends on a terminal that does not exist.
    NoSuchTerminal(WireId, TerminalRef),
    /// A wire joins a terminal to itself.
    BothEndsTheSame(WireId),
    /// A value of this part names a part that does not exist or cannot serve.
    NoSuchPart(PartId, String),
    /// A situation sets a part that does not exist or has no such position.
    NoSuchPosition(String),
    /// An interlock names a part, a load or a state that does not exist.
    NoSuchState(String),
    /// A pose names a part that does not exist or a symbol it does not have.
    NoSuchView(String),
    /// A part sits at a place, or a wire or a route leads by one, that the plan does not have; or a route leads nowhere.
    NoSuchPlace(String),
    /// An accepted finding is about something that does not exist.
    NoSuchSubject(String),
    /// The fuse-box way this part sits in is beyond the box or taken twice.
    SeatNotFree(PartId, String),
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Violation::IdUsedTwice(id) => write!(f, "the id `{id}` is used twice"),
            Violation::NoSuchTerminal(wire, terminal) => {
                write!(f, "wire `{wire}` ends on `{terminal}`, which does not exist")
            }
            Violation::BothEndsTheSame(wire) => write!(f, "wire `{wire}` has both ends on one terminal"),
            Violation::NoSuchPart(_, text)
            | Violation::NoSuchPosition(text)
            | Violation::NoSuchState(text)
            | Violation::NoSuchView(text)
            | Violation::NoSuchPlace(text)
            | Violation::NoSuchSubject(text)
            | Violation::SeatNotFree(_, text) => f.write_str(text),
        }
    }
}

/// Everything that is structurally wrong with `document`, in document order.
pub fn violations(document: &Document) -> Vec<Violation> {
    let mut found = Vec::new();
    let network = &document.network;
    // Of two parts with one id the first counts, as in `Network::part`.
    let parts: BTreeMap<&PartId, &Part> =
        arrange::map_of(network.parts.iter().rev().map(|part| (&part.id, part)));
    let mut ids = BTreeSet::new();
    let all_ids =
        network.parts.iter().map(|p| p.id.as_str()).chain(network.wires.iter().map(|w| w.id.as_str()));
    for id in all_ids {
        if !ids.insert(id) {
            found.push(Violation::IdUsedTwice(id.to_owned()));
        }
    }
    for wire in &network.wires {
        for end in [&wire.from, &wire.to] {
            if !parts.get(&end.part).is_some_and(|part| part.has_terminal(&end.terminal)) {
                found.push(Violation::NoSuchTerminal(wire.id.clone(), end.clone()));
            }
        }
        if wire.from == wire.to {
            found.push(Violation::BothEndsTheSame(wire.id.clone()));
        }
    }
    part_values(document, &parts, &mut found);
    places(document, &mut found);
    for situation in document.situations.iter() {
        for (id, position) in &situation.set {
            if !parts.get(id).is_some_and(|part| part.positions().contains(&position.as_str())) {
                found.push(Violation::NoSuchPosition(format!(
                    "situation `{}` sets `{id}` to `{position}`, which it cannot be",
                    situation.name
                )));
            }
        }
    }
    for interlock in document.interlocks.iter() {
        if let Some(why) = impossible(interlock, network) {
            found.push(Violation::NoSuchState(format!("interlock of `{}`: {why}", interlock.load)));
        }
    }
    for accepted in document.accepted.iter().filter(|one| !one.subject.is_in(network)) {
        let text = format!("an accepted finding is about {}, which does not exist", accepted.subject);
        found.push(Violation::NoSuchSubject(text));
    }
    for pose in &document.placement.poses {
        let known = parts
            .get(&pose.part)
            .is_some_and(|part| (part.kind.views)(&part.values).iter().any(|view| view.name == pose.view));
        if !known {
            found.push(Violation::NoSuchView(format!("`{}` has no symbol `{}`", pose.part, pose.view)));
        }
    }
    found
}

fn places(document: &Document, found: &mut Vec<Violation>) {
    let (network, plan) = (&document.network, &document.plan);
    let mut known = BTreeSet::new();
    for place in &plan.places {
        if !known.insert(&place.id) {
            found.push(Violation::IdUsedTwice(place.id.to_string()));
        }
    }
    let mut routes = BTreeSet::new();
    for route in &plan.routes {
        if !routes.insert(&route.id) {
            found.push(Violation::IdUsedTwice(route.id.to_string()));
        }
        if route.from == route.to {
            let text = format!("route `{}` has both ends at one place", route.id);
            found.push(Violation::NoSuchPlace(text));
        }
    }
    let ends = plan.routes.iter().flat_map(|route| [&route.from, &route.to]);
    let named = network.parts.iter().filter_map(|part| part.place.as_ref());
    let via = network.wires.iter().flat_map(|wire| &wire.via);
    for place in ends.chain(named).chain(via).filter(|place| !known.contains(place)) {
        found.push(Violation::NoSuchPlace(format!("there is no place `{place}`")));
    }
}

fn part_values(document: &Document, parts: &BTreeMap<&PartId, &Part>, found: &mut Vec<Violation>) {
    let mut seats = BTreeSet::new();
    for part in &document.network.parts {
        for spec in part.kind.values {
            let given = part.values.get(spec.name);
            match (spec.form, given) {
                (Form::Part, crate::given::Given::Known(Value::Part(id))) => {
                    let serves =
                        parts.get(&id).is_some_and(|other| other.kind.class == crate::kind::Class::Battery);
                    if !serves {
                        found.push(Violation::NoSuchPart(
                            part.id.clone(),
                            format!("`{}` names `{id}`, which is no battery", part.id),
                        ));
                    }
                }
                (Form::Seat, crate::given::Given::Known(Value::Seat(id, way))) => {
                    match parts.get(&id).and_then(|other| other.box_ways()) {
                        None => found.push(Violation::NoSuchPart(
                            part.id.clone(),
                            format!("`{}` sits in `{id}`, which is no fuse box", part.id),
                        )),
                        Some(ways) if way == 0 || way > ways => found.push(Violation::SeatNotFree(
                            part.id.clone(),
                            format!("`{}` sits in way {way} of `{id}`, which has {ways} ways", part.id),
                        )),
                        Some(_) if !seats.insert((id.clone(), way)) => {
                            found.push(Violation::SeatNotFree(
                                part.id.clone(),
                                format!("way {way} of `{id}` is taken twice, again by `{}`", part.id),
                            ));
                        }
                        Some(_) => {}
                    }
                }
                _ => {}
            }
        }
    }
}
