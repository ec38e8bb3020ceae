//! What is done when everything is in its place: proving, fuses, the battery, and tidying up.

use super::{Does, Item, Stage, Step, Work, item, part_subject, says, step};
use crate::document::{AT_REST, Part, Status};
use crate::given::Given;
use crate::kind::{Class, Value};
use crate::quantity::{Quantity, Unit};

pub(super) fn add(work: &Work<'_>, steps: &mut Vec<Step>) {
    let fuses: Vec<&Part> =
        work.parts(Status::New).filter(|part| part.kind.class == Class::Protection).collect();
    steps.push(step(Stage::FusesOut, "See that no fuse is in", fuses_out(&fuses)));
    steps.push(step(Stage::ProveDead, "Prove it without supply", prove_dead(work)));
    steps.push(step(Stage::FusesIn, "Fuses in, one at a time", fuses_in(work, &fuses)));
    steps.push(step(Stage::BatteryOn, "Put the battery on, positive first, negative last", battery_on(work)));
    steps.push(step(Stage::ProveLive, "Prove it under load", prove_live(work)));
    steps.push(step(
        Stage::Tidy,
        "Tidy up",
        vec![
            says("Nothing hangs, nothing rubs: clips, ties and covers on, wires clear of heat and of what moves"),
            says("Earth points and joints in the wet protected; labels on; the drawing stays with the vehicle"),
        ],
    ));
}

fn fuses_out(fuses: &[&Part]) -> Vec<Item> {
    if fuses.is_empty() {
        return Vec::new();
    }
    let each: Vec<&str> = fuses.iter().map(|part| part.title()).collect();
    let subjects = fuses.iter().map(|part| part_subject(part)).collect();
    vec![item(format!("Out: {}", each.join(", ")), Does::Says, subjects)]
}

fn prove_dead(work: &Work<'_>) -> Vec<Item> {
    let network = &work.document.network;
    let mut items =
        vec![says("Each new wire from end to end: the meter shows no more than its own leads and the wire")];
    let earths: Vec<&Part> = work.parts(Status::New).filter(|part| part.kind.class == Class::Earth).collect();
    if !earths.is_empty() {
        let each: Vec<&str> = earths.iter().map(|part| part.title()).collect();
        let subjects = earths.iter().map(|part| part_subject(part)).collect();
        let text =
            format!("{} to the battery's negative lead, held to its place: next to nothing", each.join(", "));
        items.push(item(text, Does::Says, subjects));
    }
    if network.parts.iter().any(|part| part.kind.class == Class::Battery) {
        items.push(says("Battery positive lead to bare metal: no short circuit"));
    }
    items
}

/// The fuses from the source on: those on wires of a battery first, the others in the order of the job.
fn fuses_in(work: &Work<'_>, fuses: &[&Part]) -> Vec<Item> {
    let network = &work.document.network;
    let is_at_battery = |part: &&&Part| {
        network.wires.iter().any(|wire| {
            let ends = [&wire.from.part, &wire.to.part];
            let is_battery = |id: &&crate::ids::PartId| {
                network.part(id).is_some_and(|part| part.kind.class == Class::Battery)
            };
            ends.contains(&&part.id) && ends.iter().any(is_battery)
        })
    };
    let (last, first): (Vec<&Part>, Vec<&Part>) = fuses.iter().partition(|part| is_at_battery(part));
    // The fuse at the battery comes last: until then what is behind it has no way to the supply.
    let one = |part: &Part| {
        let subject = part_subject(part);
        let rating = match part.values.get("rating_a") {
            Given::Known(Value::Number(amps)) => Quantity::new(amps, Unit::Ampere).map(|q| q.to_string()),
            Given::Between(..) | Given::NotKnown | Given::Known(_) => None,
        };
        let rating = rating.unwrap_or_else(|| "rating not known".to_owned());
        let text = format!(
            "{}{}, {rating}: first see that its outlet is no short circuit to bare metal",
            work.title(&subject),
            work.at_place(part)
        );
        item(text, Does::Fits, vec![subject])
    };
    first.into_iter().chain(last).map(one).collect()
}

fn battery_on(work: &Work<'_>) -> Vec<Item> {
    let network = &work.document.network;
    let is_there = |part: &&Part| part.kind.class == Class::Battery && part.status != Status::Remove;
    let one = |part: &Part| {
        let subject = part_subject(part);
        let (does, fitted) = match part.status {
            Status::New => (Does::Fits, "put in its place and held down; "),
            _ => (Does::Says, ""),
        };
        let text = format!(
            "{}{}: {fitted}its positive first, with the new leads, then its negative",
            work.title(&subject),
            work.at_place(part)
        );
        item(text, does, vec![subject])
    };
    let mut items: Vec<Item> = network.parts.iter().filter(is_there).map(one).collect();
    if items.is_empty() {
        items.push(says("No battery is drawn in this job: the vehicle's own, positive first, negative last"));
    }
    items
}

fn prove_live(work: &Work<'_>) -> Vec<Item> {
    let mut items =
        vec![says("Everything off: what new equipment draws is next to nothing, nothing gets warm")];
    for situation in work.document.situations.iter().filter(|situation| situation.name != AT_REST) {
        items.push(says(&format!("{}: the loads that should work do, and no others", situation.name)));
    }
    items.push(says(
        "With everything on: volts at each new load against volts at the battery, and every joint by hand",
    ));
    items
}
