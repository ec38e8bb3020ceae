//! New parts: on free ground, by keys, and into wires.

use drawing::geometry::Cell;
use editor::{Preview, Tool};
use engine::document::Document;
use engine::kind;

use crate::bench::Bench;

#[test]
fn a_tap_puts_one_part_on_the_grid_and_lays_the_tool_down() {
    let bench = Bench::after("put fuse 12.3,8.4");
    assert_eq!(bench.labels(), ["F1"]);
    assert_eq!(bench.at("F1"), Cell::new(12, 8));
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.selected(), ["F1"]);
    assert_eq!(bench.session.undo_label(), Some("add fuse"));
    assert_eq!(bench.notice(), "F1 added");
}

#[test]
fn labels_count_up_by_letter() {
    let bench = Bench::after("put fuse 0,0; put fuse 20,0; put lamp 40,0; put breaker 60,0");
    assert_eq!(bench.labels(), ["F1", "F2", "E1", "F3"]);
}

#[test]
fn parts_put_onto_one_another_find_room_beside() {
    let bench = Bench::after("put relay 0,0; put relay 1,1; put battery 0,0; put fuse 2,0; put lamp 8,0");
    let bodies: Vec<_> = bench.session.scene().elements().iter().filter_map(|element| element.body).collect();
    assert_eq!(bodies.len(), 7);
    for (index, body) in bodies.iter().enumerate() {
        assert!(bodies[..index].iter().all(|other| !other.overlaps(body)), "{bodies:?}");
    }
}

#[test]
fn a_relay_comes_with_its_coil_and_its_contact_side_by_side() {
    let bench = Bench::after("put relay 10,10");
    let relay = bench.part("K1").id.clone();
    let poses: Vec<_> = bench.document().placement.of(&relay).map(|p| (p.view.as_str(), p.y)).collect();
    assert_eq!(poses, [("coil", 10), ("contact", 10)]);
}

#[test]
fn the_cursor_of_the_keyboard_puts_without_a_pointer() {
    let mut bench = Bench::empty();
    bench.run("tool put lamp; key right; key shift+right; key down; key enter");
    let ghost_from = Cell::new(53, 40);
    assert_eq!(bench.at("E1"), Cell::new(ghost_from.x + 5, ghost_from.y + 1));
    assert_eq!(bench.selected(), ["E1"]);
    assert_eq!(bench.session.preview(), Preview::default());
}

#[test]
fn enter_puts_into_the_selected_wire_as_a_tap_on_it_does() {
    const WIRED: &str = "put battery 0,0; put lamp 40,0; tap p1.+; tap p2.1; tap 20,-4";
    let mut tapped = Bench::after(WIRED);
    assert_eq!(tapped.selected(), ["W1"]);
    tapped.run("tool put fuse; tap 20,-4");
    let keyed = Bench::after(&format!("{WIRED}; tool put fuse; key enter"));
    assert_eq!(keyed.wires(), tapped.wires());
    assert_eq!(keyed.wires().len(), 2);
    assert_eq!(keyed.notice(), tapped.notice());
    // The cursor begins on the wire; beside it the part stands by itself.
    let along = Bench::after(&format!("{WIRED}; tool put fuse; key right; key right; key enter"));
    assert_eq!(along.wires().len(), 2);
    let beside = Bench::after(&format!("{WIRED}; tool put fuse; key shift+down; key enter"));
    assert_eq!(beside.wires(), ["W1 G1:+ E1:1"]);
    assert_eq!(beside.labels(), ["G1", "E1", "F1"]);
    let asked = Bench::after(WIRED);
    let wire_for = |name| asked.session.wire_for(kind::by_name(name).unwrap()).map(|id| id.to_string());
    assert_eq!(wire_for("fuse"), Some(asked.wire("W1").id.to_string()));
    // What ends a current path goes into no wire.
    assert_eq!(wire_for("earth"), None);
    let earth = Bench::after(&format!("{WIRED}; tool put earth; key enter"));
    assert_eq!(earth.labels(), ["G1", "E1"]);
}

#[test]
fn enter_without_a_cursor_puts_nothing() {
    let bench = Bench::after("tool put lamp; key enter");
    assert!(bench.labels().is_empty());
}

#[test]
fn the_part_to_be_put_is_seen_below_a_mouse() {
    let mut bench = Bench::empty();
    bench.run("tool put fuse; hover 7.4,3");
    assert_eq!(bench.session.preview().ghost, Some((kind::by_name("fuse").unwrap(), Cell::new(7, 3))));
    bench.run("key escape");
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.session.preview().ghost, None);
}

/// A battery over a lamp, with a wire from the battery's plus to the lamp.
fn wired() -> Bench {
    let mut bench = Bench::after("put battery 0,0; put lamp 30,30; tap p1.+; tap p2.1");
    let mut wire = bench.wire("W1").clone();
    wire.size = engine::given::Given::Known(engine::document::Size::Gauge(14));
    wire.color = Some(engine::document::Color { base: "RD", stripe: None });
    wire.length = engine::given::Given::Known(engine::quantity::Metres::new(2.0).unwrap());
    bench.session.edit("wire", engine::document::Edit::ChangeWire(wire)).unwrap();
    bench
}

/// A place on the wire of [`wired`], away from both its ends.
fn on_wire(bench: &Bench) -> String {
    let element = bench.session.scene().elements().iter().find(|element| element.color.is_some()).unwrap();
    let drawing::scene::Shape::Line(_, points) = &element.shapes[0] else { panic!("no line") };
    let longest =
        points.windows(2).max_by_key(|leg| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs());
    let leg = longest.unwrap();
    let steps = |a: i32, b: i32| f64::from(a + b) / 500.0;
    format!("{},{}", steps(leg[0].x, leg[1].x), steps(leg[0].y, leg[1].y))
}

#[test]
fn a_fuse_put_onto_a_wire_goes_into_it_with_its_feed_side_towards_the_supply() {
    let mut bench = wired();
    let place = on_wire(&bench);
    bench.run(&format!("put fuse {place}"));
    assert_eq!(bench.wires(), ["W1 G1:+ F1:1", "W2 F1:2 E1:1"]);
    for label in ["W1", "W2"] {
        let half = bench.wire(label);
        assert_eq!(half.size.known().unwrap().title(), "14 AWG");
        assert_eq!(half.color.unwrap().title(), "RD");
        assert!(!half.length.is_said(), "the length is not split by guess");
    }
    assert_eq!(bench.notice(), "F1 put into W1; the lengths of both halves are to be given");
    bench.run("key ctrl+z");
    assert_eq!(bench.wires(), ["W1 G1:+ E1:1"]);
}

#[test]
fn a_wire_drawn_towards_the_supply_takes_a_fuse_the_same_way_round() {
    let mut bench = Bench::after("put battery 0,0; put lamp 30,30; tap p2.1; tap p1.+");
    let wire = bench.document().network.wires[0].clone();
    bench
        .session
        .edit(
            "wire",
            engine::document::Edit::ChangeWire(engine::document::Wire {
                color: Some(engine::document::Color { base: "RD", stripe: None }),
                ..wire
            }),
        )
        .unwrap();
    let place = on_wire(&bench);
    bench.run(&format!("put diode {place}"));
    assert_eq!(bench.wires(), ["W1 E1:1 R1:K", "W2 R1:A G1:+"]);
}

#[test]
fn a_battery_is_put_beside_a_wire_and_not_into_it() {
    let mut bench = wired();
    let place = on_wire(&bench);
    bench.run(&format!("put battery {place}"));
    assert_eq!(bench.wires(), ["W1 G1:+ E1:1"]);
}

#[test]
fn putting_pins_what_had_no_place_in_the_same_step() {
    let mut bench = Bench::demonstration("apiary-flatbed");
    let before = bench.session.scene().clone();
    assert!(bench.document().placement.poses.is_empty());
    bench.session.put(kind::by_name("fuse").unwrap(), Cell::new(0, -60)).unwrap();
    bench.sweep("put");
    let bodies = |scene: &drawing::scene::Scene| {
        scene.elements().iter().filter_map(|e| Some((e.id.clone(), e.body?))).collect::<Vec<_>>()
    };
    let after = bodies(bench.session.scene());
    let moved = bodies(&before).into_iter().filter(|one| !after.contains(one)).count();
    assert_eq!(moved, 0);
    bench.run("key ctrl+z");
    assert!(bench.document().placement.poses.is_empty());
}

#[test]
fn nothing_is_put_by_a_press_alone() {
    let mut bench = Bench::empty();
    bench.run("tool put fuse");
    let at = bench.screen("3,3");
    bench.mouse(editor::Phase::Down, at);
    assert_eq!(*bench.document(), Document::default());
    bench.mouse(editor::Phase::Cancel, at);
    bench.mouse(editor::Phase::Up, at);
    assert_eq!(*bench.document(), Document::default());
}
