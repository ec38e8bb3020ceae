//! Mistakes with fuses.

use engine::document::Wire;
use engine::given::Given;
use engine::ids::WireId;
use engine::kind::{self, Class, Value, Values};
use engine::quantity::Metres;

use super::{Bed, end, fresh, part_of, wire_of};

/// Ratings that are made, in amperes (ISO 8820-3:2015 types C, E and F, from memory).
const RATINGS: [f64; 18] =
    [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0];

pub(super) fn plant(bed: &mut Bed<'_>) {
    for fuse in bed.parts_of(Class::Protection) {
        let id = fuse.id.to_string();
        let wires: Vec<String> = bed.wires_of(&fuse.id).map(|wire| wire.id.to_string()).collect();
        let near = || std::iter::once(id.clone()).chain(wires.iter().cloned());
        removed(bed, &fuse.id, near().collect());
        let Given::Known(Value::Number(rating)) = fuse.values.get("rating_a") else { continue };
        let set = |rating: f64| {
            let id = fuse.id.clone();
            move |network: &mut engine::document::Network| {
                part_of(network, &id).values.set("rating_a", Given::Known(Value::Number(rating)));
            }
        };
        for (steps, kind) in [
            (1, "fuse one size too large"),
            (2, "fuse two sizes too large"),
            (4, "fuse four sizes too large"),
        ] {
            if let Some(larger) = RATINGS.iter().filter(|other| **other > rating).nth(steps - 1) {
                bed.plant(kind, format!("{id}: {rating} A to {larger} A"), near(), set(*larger));
            }
        }
        let largest = bed.judged.largest_a.get(&id).copied().unwrap_or(0.0);
        if let Some(smaller) = RATINGS.iter().rev().find(|other| **other < largest) {
            let kind = "fuse smaller than its load";
            bed.plant(kind, format!("{id}: {smaller} A for {largest:.1} A"), near(), set(*smaller));
        }
        let leads: Vec<&Wire> = bed
            .wires_of(&fuse.id)
            .filter(|wire| {
                [&wire.from, &wire.to].iter().any(|at| at.part == fuse.id && at.terminal.as_str() == "1")
            })
            .collect();
        for lead in leads {
            let lead = lead.id.clone();
            let places = [id.clone(), lead.to_string()];
            bed.plant("fuse far from its source", format!("{lead}: 2.5 m, bare"), places, |network| {
                let wire = wire_of(network, &lead);
                wire.length = Given::Known(Metres::new(2.5).expect("a length is finite"));
                wire.sleeve = None;
            });
        }
    }
    crossed(bed);
}

/// The fuse gone and its wires joined.
fn removed(bed: &mut Bed<'_>, fuse: &engine::ids::PartId, places: Vec<String>) {
    bed.plant("fuse left out", format!("{fuse}: joined straight through"), places, |network| {
        let seat = part_of(network, fuse).values.seat("seat").map(|(at, _)| at.clone());
        let part = part_of(network, fuse);
        part.kind = kind::by_name("splice").expect("a splice is a kind");
        part.values = Values::default();
        part.values.set("ways", Given::Known(Value::Number(2.0)));
        if let Some(fuse_box) = seat {
            let load_side = end(fuse, "2");
            let like =
                network.wires.iter().find(|wire| wire.from == load_side || wire.to == load_side).cloned();
            let id = WireId::new(&fresh(network, "w")).expect("a letter and a number are an id");
            let mut link = Wire::new(id, end(&fuse_box, "feed"), end(fuse, "1"));
            if let Some(like) = like {
                link = Wire { id: link.id, label: String::new(), from: link.from, to: link.to, ..like };
            }
            link.length = Given::Known(Metres::new(0.05).expect("a length is finite"));
            network.wires.push(link);
        }
    });
}

/// The load sides of two fuses that stand side by side, exchanged.
fn crossed(bed: &mut Bed<'_>) {
    let fuses: Vec<_> = bed.parts_of(Class::Protection).collect();
    for pair in fuses.windows(2) {
        let (a, b) = (end(&pair[0].id, "2"), end(&pair[1].id, "2"));
        let places = [&pair[0].id, &pair[1].id].into_iter().flat_map(|fuse| {
            let wires = bed.wires_of(fuse).map(|wire| wire.id.to_string());
            std::iter::once(fuse.to_string()).chain(wires).collect::<Vec<_>>()
        });
        let places: Vec<String> = places.collect();
        let what = format!("{a} and {b}");
        bed.plant("wires of two fuses exchanged", what, places, |network| super::swap_ends(network, &a, &b));
    }
}
