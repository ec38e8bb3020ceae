//! Wires on the wrong terminal.

use engine::document::Part;
use engine::given::Given;
use engine::ids::TerminalRef;
use engine::kind::{Class, Value};

use super::{Bed, end, is_wired, part_of, swap_ends, wire_of};

pub(super) fn plant(bed: &mut Bed<'_>) {
    moved(bed);
    exchanged(bed);
    wrong_donor(bed);
    loads_crossed(bed);
}

/// A kind of mistake by the sort of part it is made at.
fn by_part(part: &Part, names: [&'static str; 5]) -> &'static str {
    let [relay, switch, donor, battery, other] = names;
    match (part.kind.class, part.kind.name) {
        (Class::Contact, "relay") => relay,
        (Class::Contact, _) => switch,
        (Class::Donor, _) => donor,
        (Class::Battery, _) => battery,
        _ => other,
    }
}

/// Each wire end on each other terminal of its part.
fn moved(bed: &mut Bed<'_>) {
    for wire in bed.wires() {
        for (is_from, at) in [(true, &wire.from), (false, &wire.to)] {
            let Some(part) = bed.network().part(&at.part) else { continue };
            // Any way of a splice or bar is as good as any other, and a fuse works both ways round.
            if matches!(part.kind.class, Class::Joint | Class::Protection | Class::Earth) {
                continue;
            }
            let kind = by_part(
                part,
                [
                    "wire on another relay terminal",
                    "wire on another switch terminal",
                    "tap on the donor's other wire",
                    "wire on the battery's other pole",
                    "wire on the load's other terminal",
                ],
            );
            let other_end = if is_from { &wire.to } else { &wire.from };
            for terminal in part.terminals() {
                let there = TerminalRef { part: part.id.clone(), terminal: terminal.name };
                if there == *at || there == *other_end {
                    continue;
                }
                let places = [wire.id.to_string(), part.id.to_string()];
                bed.plant(kind, format!("{}: {at} to {there}", wire.id), places, |network| {
                    let wire = wire_of(network, &wire.id);
                    *(if is_from { &mut wire.from } else { &mut wire.to }) = there.clone();
                });
            }
        }
    }
}

/// All wires of two terminals of a part, exchanged.
fn exchanged(bed: &mut Bed<'_>) {
    for part in bed.parts() {
        if matches!(part.kind.class, Class::Joint | Class::Protection | Class::Earth) {
            continue;
        }
        let terminals = part.terminals();
        let mut places = vec![part.id.to_string()];
        places.extend(bed.wires_of(&part.id).map(|wire| wire.id.to_string()));
        for (i, one) in terminals.iter().enumerate() {
            for other in &terminals[i + 1..] {
                let a = end(&part.id, one.name.as_str());
                let b = end(&part.id, other.name.as_str());
                if !is_wired(bed.network(), &a) && !is_wired(bed.network(), &b) {
                    continue;
                }
                let kind = match part.kind.name {
                    "diode" => "diode reversed",
                    "led-lamp" => "electronic lamp reversed",
                    _ => by_part(
                        part,
                        [
                            "relay terminals exchanged",
                            "switch terminals exchanged",
                            "donor wires exchanged",
                            "battery reversed",
                            "another load reversed",
                        ],
                    ),
                };
                let what = format!("{a} and {b}");
                bed.plant(kind, what, places.clone(), |network| swap_ends(network, &a, &b));
            }
        }
        if part.kind.value("suppression").is_some() {
            let (plus, minus) = (end(&part.id, "86"), end(&part.id, "85"));
            let kind = "relay with a diode, coil reversed";
            bed.plant(kind, part.id.to_string(), places.clone(), |network| {
                part_of(network, &part.id).values.set("suppression", Given::Known(Value::Word("diode")));
                swap_ends(network, &plus, &minus);
            });
        }
    }
}

/// A tap on the wire of another donor.
fn wrong_donor(bed: &mut Bed<'_>) {
    let donors: Vec<&Part> =
        bed.network().parts.iter().filter(|part| part.kind.class == Class::Donor).collect();
    for wire in bed.wires() {
        let Some(own) = donors.iter().find(|donor| donor.id == wire.from.part) else { continue };
        for other in donors.iter().filter(|other| other.id != own.id) {
            let there = TerminalRef { part: other.id.clone(), terminal: wire.from.terminal.clone() };
            let places = [wire.id.to_string(), own.id.to_string(), other.id.to_string()];
            bed.plant("tap on another donor", format!("{}: {there}", wire.id), places, |network| {
                wire_of(network, &wire.id).from = there.clone();
            });
        }
    }
}

/// The supply sides of two loads that stand side by side, exchanged.
fn loads_crossed(bed: &mut Bed<'_>) {
    let loads: Vec<&Part> = bed.parts_of(Class::Load).collect();
    for pair in loads.windows(2) {
        let first = |part: &Part| end(&part.id, part.terminals()[0].name.as_str());
        let (a, b) = (first(pair[0]), first(pair[1]));
        let mut places = vec![pair[0].id.to_string(), pair[1].id.to_string()];
        let at = |wire: &&engine::document::Wire| {
            [&wire.from, &wire.to].iter().any(|end| **end == a || **end == b)
        };
        places.extend(bed.wires().filter(at).map(|wire| wire.id.to_string()));
        bed.plant("feeds of two loads exchanged", format!("{a} and {b}"), places, |network| {
            swap_ends(network, &a, &b);
        });
    }
}
