//! Ways of wires along the plan, against a general graph library, and what a change of one route changes.

use std::sync::Arc;

use engine::document::{Document, Network, Part, Plan, Route, Settings, VehiclePlace, Wire};
use engine::given::Given;
use engine::ids::{PartId, PlaceId, RouteId, TerminalRef, WireId};
use engine::kind::{Value, by_name};
use engine::quantity::Metres;
use engine::route::{Way, Ways, ways};
use serde_json::Value as Json;
use suite::chance::Chance;
use suite::demonstration;

fn stored() -> Vec<Json> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/reference/ways.json");
    let text = std::fs::read_to_string(path).expect("the output is on file");
    serde_json::from_str(&text).expect("it is a list")
}

/// Neither ends nor slack, so that a wire is as long as its way.
fn bare() -> Settings {
    let mut settings = Settings::of(12.0);
    for name in ["end_m", "slack_percent"] {
        settings.said.set(name, Given::Known(Value::Number(0.0)));
    }
    settings
}

fn number(value: &Json) -> usize {
    value.as_u64().and_then(|number| usize::try_from(number).ok()).expect("a whole number")
}

fn place_id(index: usize) -> PlaceId {
    PlaceId::new(&format!("l{index}")).expect("a letter and a number are an id")
}

/// The job of a stored plan: a part at each place, and wires between them.
fn job(entry: &Json) -> Document {
    let n_places = number(&entry["places"]);
    let list = |key: &str| entry[key].as_array().expect("a list").iter();
    let routes = list("routes").enumerate().map(|(index, route)| {
        let id = RouteId::new(&format!("r{index}")).expect("a letter and a number are an id");
        let metres = Metres::new(number(&route[2]) as f64 / 1000.0).expect("a length is finite");
        let (from, to) = (place_id(number(&route[0])), place_id(number(&route[1])));
        Route { length: Given::Known(metres), ..Route::new(id, from, to) }
    });
    let plan = Plan {
        outline: None,
        places: (0..n_places).map(|index| VehiclePlace::new(place_id(index), 0, 0)).collect(),
        routes: routes.collect(),
    };
    let part = |index: usize| PartId::new(&format!("p{index}")).expect("a letter and a number are an id");
    let kind = by_name("resistor").expect("the kind is there");
    let parts = (0..n_places)
        .map(|index| Part { place: Some(place_id(index)), ..Part::new(part(index), kind, String::new()) });
    let wires = list("wires").enumerate().map(|(index, wire)| {
        let stops: Vec<usize> = wire["stops"].as_array().expect("a list").iter().map(number).collect();
        let id = WireId::new(&format!("w{index}")).expect("a letter and a number are an id");
        let from = TerminalRef::new(&part(stops[0]), "1");
        let to = TerminalRef::new(&part(stops[stops.len() - 1]), "2");
        Wire {
            via: stops[1..stops.len() - 1].iter().map(|stop| place_id(*stop)).collect(),
            ..Wire::new(id, from, to)
        }
    });
    Document {
        network: Arc::new(Network { parts: parts.collect(), wires: wires.collect(), next_id: 100 }),
        settings: Arc::new(bare()),
        plan: Arc::new(plan),
        ..Document::default()
    }
}

fn ways_of(document: &Document) -> Ways {
    ways(&document.network, &document.plan, &bare())
}

/// Whether the engine's way is the stored one; gives whether there was a way.
fn same(name: &str, document: &Document, found: Option<&Way>, wanted: &Json) -> bool {
    let (Some(way), false) = (found, wanted.is_null()) else {
        assert_eq!(found.is_some(), !wanted.is_null(), "{name}");
        return false;
    };
    let millimetres = way.length.high.get() * 1000.0;
    assert!((millimetres - number(&wanted["mm"]) as f64).abs() < 1e-6, "{name}: {millimetres} mm");
    if let Some(routes) = wanted["routes"].as_array() {
        assert_eq!(way.pieces, routes.iter().map(number).collect::<Vec<_>>(), "{name}");
    }
    // Whichever of several it is, it leads from place to place.
    for (piece, ends) in way.pieces.iter().zip(way.places.windows(2)) {
        let plan = &document.plan;
        let beyond = plan.routes[*piece].beyond(&plan.places[ends[0]].id);
        assert_eq!(beyond, Some(&plan.places[ends[1]].id), "{name}");
    }
    true
}

#[test]
fn ways_over_random_plans_are_those_of_a_general_graph_library() {
    let (mut n_plans, mut n_ways, mut n_none) = (0, 0, 0);
    for (index, entry) in stored().iter().enumerate().filter(|(_, entry)| entry["job"].is_null()) {
        let document = job(entry);
        let found = ways_of(&document);
        for (wire, wanted) in entry["wires"].as_array().expect("a list").iter().enumerate() {
            let name = format!("plan {index}, wire {wire}");
            match same(&name, &document, found.of(wire), &wanted["way"]) {
                true => n_ways += 1,
                false => n_none += 1,
            }
        }
        n_plans += 1;
    }
    println!("{n_ways} ways over {n_plans} plans, and {n_none} that are not there");
    assert!(n_plans == 500 && n_ways > 1500 && n_none > 200, "{n_plans} {n_ways} {n_none}");
}

#[test]
fn ways_of_the_demonstration_jobs_are_those_of_a_general_graph_library() {
    let mut names = Vec::new();
    for entry in stored() {
        let Some(name) = entry["job"].as_str() else { continue };
        let mut document = demonstration(name);
        // What ends need is left out, so that a wire is as long as its way.
        for place in &mut Arc::make_mut(&mut document.plan).places {
            place.end = None;
        }
        let found = ways_of(&document);
        for (index, wire) in document.network.wires.iter().enumerate() {
            let wanted = &entry["ways"][wire.id.as_str()];
            assert!(same(&format!("{name}, {}", wire.id), &document, found.of(index), wanted));
        }
        names.push(name.to_owned());
    }
    assert_eq!(names, ["apiary-flatbed", "honey-stall-trailer"]);
}

#[test]
fn every_length_of_the_demonstration_jobs_follows_from_routes_with_typed_lengths() {
    for name in ["apiary-flatbed", "honey-stall-trailer"] {
        let circuit = engine::laid::circuit(&demonstration(name));
        for (wire, used) in circuit.resolved.network.wires.iter().zip(&circuit.resolved.wires) {
            let from = used.as_ref().map(|used| used.length_from);
            assert_eq!(from, Some(engine::resolve::LengthFrom::Way), "{name}, {}", wire.id);
        }
    }
}

fn changed(document: &Document, route: usize, by_m: f64) -> Document {
    let mut changed = document.clone();
    let length = &mut Arc::make_mut(&mut changed.plan).routes[route].length;
    let longer = length.known().and_then(|length| Metres::new(length.get() + by_m));
    *length = Given::Known(longer.expect("a length is finite"));
    changed
}

#[test]
fn another_length_of_one_route_changes_exactly_the_wires_that_use_it() {
    let (mut n_changed, mut n_same) = (0, 0);
    for (seed, entry) in stored().iter().enumerate().filter(|(_, entry)| entry["job"].is_null()) {
        let document = job(entry);
        let before = ways_of(&document);
        let route = Chance::new(seed as u64).below(document.plan.routes.len());
        // All lengths are whole decimetres: a centimetre less makes no other way the shortest but one over this route.
        let shorter = ways_of(&changed(&document, route, -0.01));
        let longer = ways_of(&changed(&document, route, 0.01));
        for wire in 0..document.network.wires.len() {
            let Some(way) = before.of(wire) else {
                assert_eq!((shorter.of(wire), longer.of(wire)), (None, None));
                continue;
            };
            let name = format!("plan {seed}, route {route}, wire {wire}");
            let times = |way: &Way| way.pieces.iter().filter(|piece| **piece == route).count();
            let off_m = |now: &Way| now.length.high.get() - way.length.high.get();
            let (less, more) = (shorter.of(wire).expect("a way"), longer.of(wire).expect("a way"));
            let wanted = -0.01 * times(less) as f64;
            assert!((off_m(less) - wanted).abs() < 1e-9, "{name}: {}", off_m(less));
            if times(way) == 0 {
                assert_eq!(more, way, "{name}");
                n_same += 1;
            } else if !entry["wires"][wire]["way"]["routes"].is_null() {
                assert!((off_m(more) - 0.01 * times(way) as f64).abs() < 1e-9, "{name}: {}", off_m(more));
                n_changed += 1;
            }
        }
    }
    println!("{n_changed} ways are longer by it, {n_same} as they were");
    assert!(n_changed > 200 && n_same > 800, "{n_changed} {n_same}");
}
