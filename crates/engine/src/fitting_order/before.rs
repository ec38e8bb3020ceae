//! What is done before anything is fitted: donors read, supply off, old parts out.

use super::{Does, Item, Stage, Step, Work, item, part_subject, says, step, wire_subject};
use crate::document::{Part, Status};
use crate::kind::Class;

pub(super) fn add(work: &Work<'_>, steps: &mut Vec<Step>) {
    steps.push(step(Stage::Survey, "Survey the donors, while the battery is still on", survey(work)));
    steps.push(step(Stage::BatteryOff, "Take the battery off, negative first", battery_off(work)));
    steps.push(step(Stage::TakeOut, "Take out what comes out", take_out(work)));
}

/// The donors that new wires are tapped from.
fn survey(work: &Work<'_>) -> Vec<Item> {
    let network = &work.document.network;
    let is_tapped = |part: &&Part| {
        part.kind.class == Class::Donor
            && part.status != Status::Remove
            && work.wires(Status::New).any(|(_, wire)| wire.from.part == part.id || wire.to.part == part.id)
    };
    let one = |part: &Part| {
        let wires: Vec<&str> = work
            .wires(Status::New)
            .filter(|(_, wire)| wire.from.part == part.id || wire.to.part == part.id)
            .map(|(_, wire)| wire.title())
            .collect();
        let text = format!(
            "{}{}: find its two wires with a meter, lights off and on, before {} is tapped from it",
            work.title(&part_subject(part)),
            work.at_place(part),
            wires.join(", ")
        );
        item(text, Does::Says, vec![part_subject(part)])
    };
    network.parts.iter().filter(is_tapped).map(one).collect()
}

/// Every source that there is before the work.
fn battery_off(work: &Work<'_>) -> Vec<Item> {
    let is_there = |part: &&Part, class: Class| part.kind.class == class && part.status != Status::New;
    let network = &work.document.network;
    let mut items = vec![says("Engine off, key out, every light and load off")];
    for part in network.parts.iter().filter(|part| is_there(part, Class::Battery)) {
        let title = work.title(&part_subject(part));
        let text = format!(
            "{title}{}: its negative off first and tied aside, then its positive",
            work.at_place(part)
        );
        items.push(item(text, Does::Says, vec![part_subject(part)]));
    }
    for part in network.parts.iter().filter(|part| is_there(part, Class::Generator)) {
        let text = format!("{}: gives nothing while the engine stands", work.title(&part_subject(part)));
        items.push(item(text, Does::Says, vec![part_subject(part)]));
    }
    items.push(says(
        "Any other battery, a charger on the mains and a solar panel off as well, if there is one",
    ));
    items.push(says("Meter from battery positive lead to bare metal: nothing is left"));
    items
}

/// Wires first, so that nothing hangs on them when its part is loosened.
fn take_out(work: &Work<'_>) -> Vec<Item> {
    let network = &work.document.network;
    let wires = work.wires(Status::Remove).map(|(_, wire)| {
        let subject = wire_subject(wire);
        let (from, to) = (network.terminal_title(&wire.from), network.terminal_title(&wire.to));
        item(format!("{}, from {from} to {to}", work.title(&subject)), Does::TakesOut, vec![subject])
    });
    let parts = work.parts(Status::Remove).map(|part| {
        let subject = part_subject(part);
        item(format!("{}{}", work.title(&subject), work.at_place(part)), Does::TakesOut, vec![subject])
    });
    wires.chain(parts).collect()
}
