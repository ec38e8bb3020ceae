//! Wrong parts, wrong values of parts, and wires too many.

use engine::document::{Insulation, Network, Part, Size, Surroundings, Wire};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{Class, Value};
use engine::quantity::{Metres, SquareMillimetres};

use super::{Bed, end, fresh, part_of};

pub(super) fn plant(bed: &mut Bed<'_>) {
    for part in &bed.network().parts {
        match part.kind.class {
            Class::Earth => set(bed, part, "earth joint of half an ohm", &[("joint_ohm", 0.5)]),
            Class::Generator => {
                if let Given::Known(Value::Number(amps)) = part.values.get("limit_a") {
                    set(bed, part, "alternator three times as large", &[("limit_a", 3.0 * amps)]);
                }
            }
            Class::Battery => set(bed, part, "battery strap of a tenth of an ohm", &[("strap_ohm", 0.1)]),
            Class::Donor => other_side(bed, part),
            _ => {}
        }
    }
    for part in bed.parts() {
        of_the_other_system(bed, part);
        rated_too_low(bed, part);
        twice_as_large(bed, part);
        if part.kind.name == "splice" {
            left_out(bed, &part.id);
        }
        if part.kind.name == "switch" && part.positions().len() == 2 {
            let (from, to) = (end(&part.id, "in"), end(&part.id, "out"));
            link(bed, "wire across a switch", &from, &to, part.id.to_string());
        }
    }
    second_feeds(bed);
}

/// Other numbers for a part.
fn set(bed: &mut Bed<'_>, part: &Part, kind: &'static str, values: &[(&'static str, f64)]) {
    let mut places = vec![part.id.to_string()];
    places.extend(bed.wires_of(&part.id).map(|wire| wire.id.to_string()));
    bed.plant(kind, format!("{}: {values:?}", part.id), places, |network| {
        for (name, number) in values {
            part_of(network, &part.id).values.set(name, Given::Known(Value::Number(*number)));
        }
    });
}

/// The vehicle switches the other side of its lamp than the survey said.
fn other_side(bed: &mut Bed<'_>, part: &Part) {
    let other = match part.values.word_or("switching", "positive") {
        "earth" => "positive",
        _ => "earth",
    };
    let mut places = vec![part.id.to_string()];
    places.extend(bed.wires_of(&part.id).map(|wire| wire.id.to_string()));
    bed.plant("donor switched on its other side", format!("{}: {other}", part.id), places, |network| {
        part_of(network, &part.id).values.set("switching", Given::Known(Value::Word(other)));
    });
}

/// A part made for 12 V in a 24 V job and the other way round.
fn of_the_other_system(bed: &mut Bed<'_>, part: &Part) {
    let to_24 = bed.document.settings.nominal_v < 18.0;
    let pick = |at_12: f64, at_24: f64| if to_24 { at_24 } else { at_12 };
    let values: Vec<(&'static str, f64)> = match part.kind.name {
        "lamp" => vec![("at_v", pick(12.0, 24.0))],
        "motor" => vec![("at_v", pick(12.0, 24.0))],
        "led-lamp" => vec![("off_below_v", pick(9.0, 18.0)), ("on_above_v", pick(10.5, 21.0))],
        "relay" => {
            vec![
                ("coil_ohm", pick(90.0, 320.0)),
                ("pull_in_v", pick(7.2, 14.4)),
                ("drop_out_v", pick(1.2, 2.4)),
            ]
        }
        _ => return,
    };
    let kind = match (part.kind.name, to_24) {
        ("relay", true) => "24 V relay in a 12 V job",
        ("relay", false) => "12 V relay in a 24 V job",
        ("led-lamp", false) => "12 V electronic lamp in a 24 V job",
        (_, true) => "24 V load in a 12 V job",
        (_, false) => "12 V load in a 24 V job",
    };
    set(bed, part, kind, &values);
}

/// A load that takes twice what was planned for.
fn twice_as_large(bed: &mut Bed<'_>, part: &Part) {
    for name in ["watts", "run_a", "drawn_a"] {
        if let Given::Known(Value::Number(number)) = part.values.get(name) {
            set(bed, part, "load twice as large", &[(name, 2.0 * number)]);
        }
    }
}

/// A contact, connector or diode rated below what it carries.
fn rated_too_low(bed: &mut Bed<'_>, part: &Part) {
    let largest = bed.judged.largest_a.get(part.id.as_str()).copied().unwrap_or(0.0);
    let name = match part.kind.class {
        Class::Contact if part.kind.value("contact_a").is_some() => "contact_a",
        Class::Contact | Class::Valve => "rating_a",
        Class::Joint if part.kind.value("contact_ohm").is_some() => "rating_a",
        _ => return,
    };
    if largest > 0.05 {
        set(bed, part, "contact rated below its current", &[(name, 0.7 * largest)]);
    }
}

/// The splice gone and its wires hanging in the air.
fn left_out(bed: &mut Bed<'_>, splice: &PartId) {
    let mut places = vec![splice.to_string()];
    places.extend(bed.wires_of(splice).map(|wire| wire.id.to_string()));
    for wire in bed.wires_of(splice) {
        places.extend([wire.from.part.to_string(), wire.to.part.to_string()]);
    }
    bed.plant("splice left out", splice.to_string(), places, |network| {
        let like = network.part(splice).expect("the splice is there").clone();
        let mut first = true;
        for index in 0..network.wires.len() {
            for is_from in [true, false] {
                let wire = &network.wires[index];
                let at = if is_from { &wire.from } else { &wire.to };
                if at.part != *splice {
                    continue;
                }
                // The first wire keeps the splice, every other gets one of its own.
                if first {
                    first = false;
                    continue;
                }
                let id = PartId::new(&fresh(network, "x")).expect("a letter and a number are an id");
                network.parts.push(Part { id: id.clone(), label: String::new(), ..like.clone() });
                let wire = &mut network.wires[index];
                *(if is_from { &mut wire.from } else { &mut wire.to }) = end(&id, "1");
            }
        }
    });
}

/// Three metres of 1.5 mm2 in the cabin.
fn spare_wire(network: &mut Network, from: &TerminalRef, to: &TerminalRef) -> Wire {
    let id = WireId::new(&fresh(network, "w")).expect("a letter and a number are an id");
    let mut wire = Wire::new(id, from.clone(), to.clone());
    wire.size = Given::Known(Size::Metric(SquareMillimetres::new(1.5).expect("a size is finite")));
    wire.length = Given::Known(Metres::new(3.0).expect("a length is finite"));
    wire.insulation = Some(Insulation::Class('B'));
    wire.surroundings = Some(Surroundings::Cabin);
    wire.bundle = Some(1);
    wire
}

fn link(bed: &mut Bed<'_>, kind: &'static str, from: &TerminalRef, to: &TerminalRef, also: String) {
    let mut network = bed.network().clone();
    let wire = spare_wire(&mut network, from, to);
    let places = [wire.id.to_string(), from.part.to_string(), to.part.to_string(), also];
    bed.plant(kind, format!("{from} to {to}"), places, |network| network.wires.push(wire));
}

/// A second feed for each load: straight from the battery, and from the next fuse that is not its own.
fn second_feeds(bed: &mut Bed<'_>) {
    let network = bed.network();
    let Some(battery) = network.parts.iter().find(|part| part.kind.class == Class::Battery) else { return };
    let fuses: Vec<&Part> = bed.parts_of(Class::Protection).collect();
    let loads: Vec<&Part> = bed.parts_of(Class::Load).collect();
    for (index, load) in loads.iter().enumerate() {
        let at = end(&load.id, load.terminals()[0].name.as_str());
        let post = end(&battery.id, "+");
        link(bed, "second feed without a fuse", &post, &at, load.id.to_string());
        if let Some(fuse) = fuses.get(index % fuses.len().max(1)) {
            let fuse = end(&fuse.id, "2");
            link(bed, "second feed from a fuse", &fuse, &at, load.id.to_string());
        }
    }
}
