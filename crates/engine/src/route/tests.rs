use super::*;
use crate::document::Document;
use crate::file::read_json;

/// A job with a part at each of the places named, wires from the first part to each of the others, and these places and
/// routes.
fn job(settings: &str, at: &[&str], places: &str, routes: &str) -> Document {
    let parts = at.iter().enumerate().map(|(index, place)| {
        let place = if place.is_empty() { String::new() } else { format!(r#", "place": "{place}""#) };
        format!(r#"{{ "id": "p{index}", "kind": "resistor"{place} }}"#)
    });
    let wires = (1..at.len()).map(|to| format!(r#"{{ "id": "w{to}", "from": "p0.1", "to": "p{to}.1" }}"#));
    let text = format!(
        r#"{{ "format": "loomwright-job", "version": 7, "settings": {{ "nominal_v": 12{settings} }},
        "parts": [{}], "wires": [{}], "situations": [],
        "plan": {{ "places": [{places}], "routes": [{routes}] }} }}"#,
        parts.collect::<Vec<_>>().join(","),
        wires.collect::<Vec<_>>().join(","),
    );
    read_json(&text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn place(id: &str, more: &str) -> String {
    format!(r#"{{ "id": "{id}", "x_cm": 0, "y_cm": 0{more} }}"#)
}

fn route(id: &str, from: &str, to: &str, more: &str) -> String {
    format!(r#"{{ "id": "{id}", "from": "{from}", "to": "{to}"{more} }}"#)
}

fn ways_of(document: &Document) -> Ways {
    ways(&document.network, &document.plan, &document.settings)
}

/// The routes that a wire takes, by their ids.
fn ids(document: &Document, way: &Way) -> String {
    way.pieces.iter().map(|piece| document.plan.routes[*piece].id.as_str()).collect::<Vec<_>>().join(" ")
}

const SQUARE: [(&str, &str, &str, &str); 5] = [
    ("r1", "a", "b", r#", "length_m": 1"#),
    ("r2", "b", "c", r#", "length_m": 1.5"#),
    ("r3", "a", "d", r#", "length_m": 2"#),
    ("r4", "d", "c", r#", "length_m": 0.6"#),
    ("r5", "b", "d", r#", "length_m": 0.3"#),
];

fn square(settings: &str, at: &[&str]) -> Document {
    let places = ["a", "b", "c", "d", "far"].map(|id| place(id, "")).join(",");
    let routes = SQUARE.map(|(id, from, to, more)| route(id, from, to, more)).join(",");
    job(settings, at, &places, &routes)
}

#[test]
fn a_wire_takes_the_shortest_way_and_is_as_long_as_that_with_slack_and_ends() {
    let document = square("", &["a", "c", "b", "a"]);
    let ways = ways_of(&document);
    let way = ways.of(0).unwrap();
    assert_eq!(ids(&document, way), "r1 r5 r4");
    // 1.9 m with 5 % slack, and 0.1 m at each end.
    assert!((way.length.high.get() - (1.9 * 1.05 + 0.2)).abs() < 1e-12);
    assert_eq!(way.length.low, way.length.high);
    assert_eq!(ids(&document, ways.of(1).unwrap()), "r1");
    // Both ends at one place.
    assert_eq!(ids(&document, ways.of(2).unwrap()), "");
    assert!((ways.of(2).unwrap().length.high.get() - 0.2).abs() < 1e-12);
    let other = square(r#", "end_m": 0.25, "slack_percent": 0"#, &["a", "b"]);
    assert!((ways_of(&other).of(0).unwrap().length.high.get() - 1.5).abs() < 1e-12);
}

#[test]
fn without_a_place_or_a_route_there_is_no_way() {
    let ways = ways_of(&square("", &["a", "", "far"]));
    assert_eq!(ways.wires, [Err(NoWay::NoPlace), Err(NoWay::NotJoined)]);
    let mut document = square("", &["a", "c"]);
    std::sync::Arc::make_mut(&mut document.network).wires[0].status = Status::Remove;
    assert_eq!(ways_of(&document).of(0), None);
}

#[test]
fn a_wire_that_is_led_by_places_comes_by_them_in_their_order() {
    let led = |via: &[&str]| {
        let mut document = square("", &["a", "c"]);
        let ids = via.iter().map(|id| crate::ids::PlaceId::new(id).unwrap());
        std::sync::Arc::make_mut(&mut document.network).wires[0].via = ids.collect();
        ways_of(&document).wires[0].clone().map(|way| ids_of(&document, &way))
    };
    fn ids_of(document: &Document, way: &Way) -> String {
        ids(document, way)
    }
    assert_eq!(led(&["d"]).unwrap(), "r1 r5 r4");
    assert_eq!(led(&["b"]).unwrap(), "r1 r5 r4");
    assert_eq!(led(&["d", "b"]).unwrap(), "r1 r5 r5 r5 r4", "to d, back to b, and to c");
    assert_eq!(led(&["far"]), Err(NoWay::NotJoined));
}

#[test]
fn of_equal_ways_the_one_over_fewer_routes_counts_and_then_the_first() {
    let places = ["a", "b", "c", "d"].map(|id| place(id, "")).join(",");
    let metre = r#", "length_m": 1"#;
    let routes = [
        route("r1", "a", "b", metre),
        route("r2", "b", "c", metre),
        route("r3", "a", "d", metre),
        route("r4", "d", "c", metre),
    ];
    let document = job("", &["a", "c"], &places, &routes.join(","));
    assert_eq!(ids(&document, ways_of(&document).of(0).unwrap()), "r1 r2");
    let direct = [routes.join(","), route("r5", "a", "c", r#", "length_m": 2"#)].join(",");
    let document = job("", &["a", "c"], &places, &direct);
    assert_eq!(ids(&document, ways_of(&document).of(0).unwrap()), "r5");
}

#[test]
fn routes_without_length_are_measured_off_the_plan_and_nought_is_a_length() {
    let places = [
        r#"{ "id": "a", "x_cm": 0, "y_cm": 0 }"#,
        r#"{ "id": "b", "x_cm": 300, "y_cm": 400 }"#,
        r#"{ "id": "c", "x_cm": 300, "y_cm": 400 }"#,
    ];
    let routes = [route("r1", "a", "b", ""), route("r2", "b", "c", r#", "length_m": 0"#)].join(",");
    let document = job(r#", "slack_percent": 0"#, &["a", "b", "c"], &places.join(","), &routes);
    let ways = ways_of(&document);
    assert!(ways.of(0).unwrap().is_off_plan);
    assert!((ways.of(0).unwrap().length.high.get() - 5.2).abs() < 1e-12);
    assert_eq!(ids(&document, ways.of(1).unwrap()), "r1 r2");
}

#[test]
fn ranges_and_loops_count_as_length() {
    let places = ["a", "b"].map(|id| place(id, "")).join(",");
    let ranged = route("r1", "a", "b", r#", "length_m": { "between": [1, 2] }, "slack_m": 0.15"#);
    let document = job(r#", "slack_percent": 10"#, &["a", "b"], &places, &ranged);
    let length = ways_of(&document).of(0).unwrap().length;
    assert!((length.low.get() - (1.1 + 0.15 + 0.2)).abs() < 1e-12);
    assert!((length.high.get() - (2.2 + 0.15 + 0.2)).abs() < 1e-12);
}

#[test]
fn the_hottest_of_the_way_is_told_with_where_it_is() {
    let places = [
        place("a", r#", "surroundings": "cabin""#),
        place("b", r#", "surroundings": "outside", "name": "step""#),
        place("c", ""),
    ];
    let routes =
        [route("r1", "a", "b", ""), route("r2", "b", "c", r#", "surroundings": { "ambient_c": 95 }"#)];
    let document = job("", &["a", "b", "c"], &places.join(","), &routes.join(","));
    let ways = ways_of(&document);
    let of = |wire: usize| {
        let way = ways.of(wire).unwrap();
        let hottest = way.hottest.unwrap();
        (hottest.air.get(), hottest.at.title(&document.plan), way.is_told)
    };
    assert_eq!(of(0), (50.0, "a".to_owned(), true));
    assert_eq!(of(1), (95.0, "step to c".to_owned(), false));
}

#[test]
fn a_grommet_is_known_only_when_it_is_of_every_bulkhead() {
    let of = |said: [&str; 2]| {
        let places = ["a", "b", "c"].map(|id| place(id, "")).join(",");
        let through = |id, from, to, grommet| {
            route(id, from, to, &format!(r#", "kind": "through a bulkhead"{grommet}"#))
        };
        let routes = [through("r1", "a", "b", said[0]), through("r2", "b", "c", said[1])].join(",");
        let document = job("", &["a", "c"], &places, &routes);
        let way = ways_of(&document).of(0).unwrap().clone();
        assert_eq!(way.n_bulkheads(&document.plan), 2);
        way.grommet
    };
    let (yes, no) = (r#", "grommet": true"#, r#", "grommet": false"#);
    assert_eq!(of([yes, yes]), Some(true));
    assert_eq!(of([yes, ""]), None);
    assert_eq!(of(["", no]), Some(false));
    assert_eq!(of([yes, no]), Some(false));
}

#[test]
fn a_fuse_in_a_box_sits_where_the_box_does() {
    let text = r#"{ "format": "loomwright-job", "version": 7, "settings": { "nominal_v": 12 },
        "parts": [
            { "id": "box", "kind": "fuse-box", "place": "a", "values": { "ways": 2 } },
            { "id": "f", "kind": "fuse", "values": { "seat": { "box": "box", "way": 1 } } },
            { "id": "e", "kind": "lamp", "place": "b" } ],
        "wires": [ { "id": "w", "from": "f.2", "to": "e.1" } ], "situations": [],
        "plan": { "places": [ { "id": "a", "x_cm": 0, "y_cm": 0, "surroundings": "engine bay" },
            { "id": "b", "x_cm": 100, "y_cm": 0 } ], "routes": [ { "id": "r", "from": "a", "to": "b" } ] } }"#;
    let document = read_json(text).unwrap();
    assert!((ways_of(&document).of(0).unwrap().length.high.get() - 1.25).abs() < 1e-12);
    let fuse = &document.network.parts[1];
    assert_eq!(surroundings_of(&document.network, &document.plan, fuse), Some(Surroundings::EngineBay));
    assert_eq!(is_wet(&document.network, &document.plan, fuse), Some(true));
}

#[test]
fn a_way_is_sleeved_when_all_of_it_is_and_little_is_bare_at_its_ends() {
    let sleeved = |length: &str, end: &str| {
        let places = ["a", "b"].map(|id| place(id, end)).join(",");
        let along = route("r1", "a", "b", &format!(r#", "length_m": {length}, "sleeve": "braid""#));
        ways_of(&job("", &["a", "b"], &places, &along)).of(0).unwrap().is_sleeved
    };
    assert!(sleeved("1", ""));
    assert!(!sleeved("0", ""), "there is nothing to sleeve");
    assert!(!sleeved("1", r#", "end_m": 0.15"#), "0.3 m are bare");
}

#[test]
fn what_is_said_of_the_wet_counts_more_than_what_follows_from_the_air() {
    let mut document = job("", &["a"], &place("a", r#", "wet": true, "surroundings": "cabin""#), "");
    let wet = |document: &Document| is_wet(&document.network, &document.plan, &document.network.parts[0]);
    assert_eq!(wet(&document), Some(true));
    std::sync::Arc::make_mut(&mut document.network).parts[0].surroundings = Some(Surroundings::Ambient(60.0));
    assert_eq!(wet(&document), Some(true));
}
