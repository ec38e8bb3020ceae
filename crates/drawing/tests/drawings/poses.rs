//! What the user put stays where it is; what has no place finds one nearby.

use std::collections::BTreeMap;

use crate::support::{bodies, contacts, sensible, wire_paths};
use drawing::draw::draw;
use drawing::layout::lay_out;
use drawing::scene::{Change, ElementId, diff};
use engine::document::{Network, Placement, Pose};
use engine::ids::PartId;
use engine::notation;

/// A relay-driven pair of driving lamps with its donor.
const DRIVING_LAMPS: &str = "
    battery G1
    fuse F1 rating_a=15
    fuse F2 rating_a=3
    relay K1 suppression=diode
    switch S1
    donor E1 lamp_w=55
    splice X1
    lamp E2 watts=55
    lamp E3 watts=55
    earth X2
    wire w1 G1.+ F1.1 mm2=2.5 m=0.3
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 X1.1 mm2=2.5 m=2
    wire w4 X1.2 E2.1 mm2=1.5 m=0.5
    wire w5 X1.3 E3.1 mm2=1.5 m=0.5
    wire w6 E2.2 X2.1 mm2=1.5 m=0.5
    wire w7 E3.2 X2.1 mm2=1.5 m=0.5
    wire w8 E1.feed F2.1 mm2=1 m=0.5
    wire w9 F2.2 S1.in mm2=1 m=2
    wire w10 S1.out K1.86 mm2=1 m=2
    wire w11 K1.85 X2.1 mm2=1 m=1
";

fn network(text: &str) -> Network {
    (*notation::network(text).unwrap()).clone()
}

fn pose(part: &str, view: &str, x: i32, y: i32) -> Pose {
    Pose {
        part: PartId::new(part).unwrap(),
        view: view.to_owned(),
        x,
        y,
        turn: 0,
        mirrored: false,
        pinned: false,
    }
}

/// Where each symbol stands: by part and view, the first one.
fn places(network: &Network, placement: &Placement) -> BTreeMap<(String, String), (i32, i32)> {
    lay_out(network, placement)
        .symbols
        .iter()
        .rev()
        .map(|symbol| {
            let part = network.parts[symbol.part].id.to_string();
            ((part, symbol.view.name.to_owned()), (symbol.at.x, symbol.at.y))
        })
        .collect()
}

#[test]
fn the_supply_is_at_the_top_and_the_current_goes_down() {
    let places = places(&network(DRIVING_LAMPS), &Placement::default());
    let y = |part: &str, view: &str| places[&(part.to_owned(), view.to_owned())].1;
    let power = [y("F1", "main"), y("K1", "contact"), y("X1", "main"), y("E2", "main"), y("X2", "main")];
    assert!(power.is_sorted_by(|a, b| a < b), "{power:?}");
    let control = [y("E1", "main"), y("F2", "main"), y("S1", "main"), y("K1", "coil"), y("X2", "main")];
    assert!(control.is_sorted_by(|a, b| a < b), "{control:?}");
    assert_eq!(y("G1", "main"), power[0]);
}

#[test]
fn one_current_path_is_one_column() {
    let places = places(&network(DRIVING_LAMPS), &Placement::default());
    let x = |part: &str, view: &str| places[&(part.to_owned(), view.to_owned())].0;
    assert_eq!(x("F1", "main"), x("K1", "contact"));
    assert_eq!(x("F2", "main"), x("S1", "main"));
    assert_eq!(x("S1", "main"), x("K1", "coil"));
}

#[test]
fn an_earth_point_stands_under_everything_it_serves() {
    let network = network(DRIVING_LAMPS);
    let layout = lay_out(&network, &Placement::default());
    let n = layout.symbols.iter().filter(|symbol| network.parts[symbol.part].id.as_str() == "X2").count();
    assert_eq!(n, 3);
    let scene = draw(&network, &Placement::default());
    for (element, points) in wire_paths(&scene) {
        if ["w6", "w7", "w11"].iter().any(|id| element.id.name() == format!("wire.{id}")) {
            assert_eq!(points.len(), 2, "{} goes straight down", element.id.name());
        }
    }
}

#[test]
fn a_part_fed_from_its_lower_terminal_is_turned() {
    let upside_down = DRIVING_LAMPS.replace("F1.2 K1.30", "F1.2 K1.87").replace("K1.87 X1.1", "K1.30 X1.1");
    let network = network(&upside_down);
    let layout = lay_out(&network, &Placement::default());
    let contact = layout.symbols.iter().find(|symbol| symbol.view.name == "contact").unwrap();
    assert_eq!(contact.turn.quarters, 2);
}

#[test]
fn what_the_user_put_is_not_moved() {
    for seed in 0..12 {
        let network = sensible(seed, 30);
        let mut placement = Placement::default();
        for (i, part) in (0..).zip(&network.parts).filter(|(i, _)| i % 3 != 0) {
            for (k, view) in (0..).zip((part.kind.views)(&part.values)) {
                let (column, row) = (i % 6, i / 6);
                placement.poses.push(Pose {
                    part: part.id.clone(),
                    view: view.name.to_owned(),
                    x: column * 160 + k * 20,
                    y: row * 30,
                    turn: (i % 4) as u8,
                    mirrored: i % 5 == 0,
                    pinned: i % 7 == 0,
                });
            }
        }
        let layout = lay_out(&network, &placement);
        for pose in &placement.poses {
            let stands =
                layout.symbols.iter().any(|symbol| symbol.pose(&network.parts[symbol.part]) == *pose);
            assert!(stands, "{seed}: {pose:?}");
        }
        let scene = draw(&network, &placement);
        let contacts = contacts(&scene);
        for (element, points) in wire_paths(&scene) {
            let ElementId::Wire(id) = &element.id else { panic!("a path belongs to a wire") };
            let wire = network.wire(id).unwrap();
            assert!(!element.forced, "{seed}: {id} from {} to {}", wire.from, wire.to);
            assert!(contacts[&wire.from].contains(&points[0]), "{seed}: {id}");
        }
        // New symbols keep clear of those that stand.
        let bodies = bodies(&scene);
        let is_new = |id: &ElementId| match id {
            ElementId::Symbol(part, ..) => placement.of(part).next().is_none(),
            _ => false,
        };
        for (a, body_a) in bodies.iter().filter(|(symbol, _)| is_new(&symbol.id)) {
            for (b, body_b) in &bodies {
                assert!(a.id == b.id || !body_a.overlaps(body_b), "{seed}: {:?} on {:?}", a.id, b.id);
            }
        }
    }
}

#[test]
fn a_wire_goes_to_the_nearest_of_several_symbols_of_a_part() {
    let network = network(
        "
        lamp E1
        lamp E2
        earth X1
        wire w1 E1.2 X1.1 mm2=1
        wire w2 E2.2 X1.1 mm2=1
    ",
    );
    let poses = vec![
        pose("E1", "main", 0, 0),
        pose("E2", "main", 80, 0),
        pose("X1", "main", 0, 20),
        pose("X1", "main", 80, 20),
    ];
    let layout = lay_out(&network, &Placement { poses });
    let earth_of = |wire: usize| layout.symbols[layout.ends[wire].unwrap()[1].symbol].at.x;
    assert_eq!((earth_of(0), earth_of(1)), (0, 80));
}

#[test]
fn symbols_far_apart_and_on_top_of_one_another_are_drawn() {
    let network = network(DRIVING_LAMPS);
    let far = i32::MAX;
    let poses =
        vec![pose("G1", "main", -far, -far), pose("F1", "main", far, far), pose("E2", "main", far, far)];
    let scene = draw(&network, &Placement { poses });
    assert_eq!(wire_paths(&scene).len(), network.wires.len());
}

#[test]
fn a_wire_with_no_way_out_is_drawn_and_says_so() {
    let network = network(
        "
        fuse F1
        fuse F2
        lamp E1
        wire w1 F1.1 E1.1 mm2=1
    ",
    );
    // The second fuse lies over the first one's upper terminal.
    let poses = vec![pose("F1", "main", 0, 0), pose("F2", "main", 0, -4), pose("E1", "main", 30, 0)];
    let scene = draw(&network, &Placement { poses });
    let [(wire, points)] = wire_paths(&scene)[..] else { panic!("there is one wire") };
    assert!(wire.forced && points.len() >= 2);
}

#[test]
fn moving_a_symbol_changes_only_what_hangs_on_it() {
    let network = network(
        "
        lamp E1
        lamp E2
        lamp E3
        wire w1 E1.2 E2.1 mm2=1
        wire w2 E2.2 E3.1 mm2=1
    ",
    );
    let at = |x: i32| Placement {
        poses: vec![pose("E1", "main", 0, 0), pose("E2", "main", 0, 20), pose("E3", "main", x, 40)],
    };
    let (before, after) = (draw(&network, &at(0)), draw(&network, &at(10)));
    let changes = diff(&before, &after);
    let changed: Vec<String> = changes
        .iter()
        .map(|change| match change {
            Change::Changed(element) => element.id.name(),
            other => panic!("nothing comes or goes: {other:?}"),
        })
        .collect();
    assert!(changed.iter().all(|name| name.contains("E3") || name.ends_with("w2")), "{changed:?}");
    for name in ["symbol.E3.main.0", "wire.w2"] {
        assert!(changed.iter().any(|other| other == name), "{changed:?}");
    }
    assert_eq!(diff(&before, &before), []);
}
