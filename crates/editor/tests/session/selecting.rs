//! What a tap means, and what stays selected.

use editor::{Action, Selection, Tool};

use crate::bench::Bench;

const THREE: &str = "put battery 0,0; put lamp 30,0; put fuse 60,0; tap p1.+; tap p2.1; key escape";

#[test]
fn taps_select_a_symbol_a_wire_or_nothing() {
    let mut bench = Bench::after(THREE);
    bench.run("tap p2");
    assert_eq!(bench.selected(), ["E1"]);
    bench.run("tap 15,-4");
    assert_eq!(bench.selected(), ["W1"]);
    bench.run("tap 15,20");
    assert!(bench.selected().is_empty());
}

#[test]
fn shift_and_the_button_add_to_the_selection_and_take_away() {
    let mut bench = Bench::after(THREE);
    bench.run("tap p1; shift-tap p3; shift-tap 15,-4; shift-tap p1");
    assert_eq!(bench.selected(), ["F1", "W1"]);
    bench.run("shift-tap 15,20");
    assert_eq!(bench.selected(), ["F1", "W1"]);
    bench.session.act(Action::MoreSelect).unwrap();
    bench.run("tap p2; tap p3");
    assert_eq!(bench.selected(), ["E1", "W1"]);
    // Near a terminal too, a tap that adds is no beginning of a wire.
    bench.run("tap p3.1");
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.selected(), ["E1", "F1", "W1"]);
}

#[test]
fn a_symbol_seen_small_is_meant_before_its_terminals() {
    let mut bench = Bench::after(THREE);
    bench.session.show_all();
    bench.run("tap p1.+");
    assert!(matches!(bench.session.tool(), Tool::Wire { from: Some(_) }));
    bench.run("key escape");
    while bench.session.view().scale * 15.0 > 40.0 {
        bench.session.zoom(0.9);
    }
    bench.run("tap p1.+");
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.selected(), ["G1"]);
}

/// A battery and a fuse so near that every tap on the wire between them is near a terminal.
const NEAR: &str = "put battery 0,0; put fuse 0,-14; drag p2 0,-8; tap p1.+; tap p2.2; key escape; tap 30,30";

#[test]
fn a_tap_near_the_middle_of_a_wire_selects_it_however_short() {
    for zoom in [1.0, 0.9, 0.8] {
        let mut bench = Bench::after(NEAR);
        bench.session.zoom(zoom);
        let (from, to) = (bench.screen("p1.+"), bench.screen("p2.2"));
        assert!(from.distance(to) < 44.0, "the terminals are within reach of one another: {from:?} {to:?}");
        for (aside, share) in [(0.0, 0.5), (8.0, 0.5), (-13.0, 0.5), (3.0, 0.35), (0.0, 0.7)] {
            let at = editor::Screen { x: from.x + aside, y: from.y + (to.y - from.y) * share };
            bench.tap_at(at);
            assert_eq!(*bench.session.tool(), Tool::Select, "{zoom} {aside} {share}");
            assert_eq!(bench.selected(), ["W1"], "{zoom} {aside} {share}");
        }
        // At its ends the terminals are meant as before.
        bench.run("tap p1.+");
        assert!(matches!(bench.session.tool(), Tool::Wire { from: Some(_) }));
    }
}

#[test]
fn where_a_wire_starts_its_part_is_what_is_dealt_with() {
    let mut bench = Bench::after(THREE);
    bench.run("tap 15,-4; tap p3.1");
    assert!(matches!(bench.session.tool(), Tool::Wire { from: Some(_) }));
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn what_is_deleted_is_no_longer_selected_and_comes_back_selected() {
    let mut bench = Bench::after(THREE);
    bench.run("tap p1; shift-tap p2; key delete");
    assert_eq!(bench.labels(), ["F1"]);
    assert!(bench.wires().is_empty());
    assert_eq!(bench.session.undo_label(), Some("delete 2 parts"));
    assert!(bench.selected().is_empty());
    bench.run("key ctrl+z");
    assert_eq!(bench.selected(), ["G1", "E1"]);
    assert_eq!(bench.notice(), "Undone: delete 2 parts");
    bench.run("key ctrl+y");
    assert_eq!(bench.labels(), ["F1"]);
}

#[test]
fn selecting_what_does_not_exist_selects_the_rest() {
    let mut bench = Bench::after(THREE);
    let missing = engine::ids::PartId::new("p99").unwrap();
    let fuse = bench.part("F1").id.clone();
    bench.session.select(Selection { parts: vec![missing, fuse], wires: Vec::new() });
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn the_try_tool_works_what_has_positions_and_edits_nothing() {
    let mut bench = Bench::after("put switch 0,0; put lamp 30,0; tap p1.out; tap p2.1; tool try");
    let text = bench.text();
    bench.run("tap p1");
    assert_eq!(bench.notice(), "S1: on");
    assert_eq!(bench.session.situation().set.len(), 1);
    assert_eq!(bench.session.situation().name, "as set");
    bench.run("tap p2");
    assert_eq!(bench.selected(), ["E1"]);
    bench.run("tap p1; drag p2 10,10; tap p2.1");
    assert_eq!(bench.session.situation().name, "at rest");
    assert_eq!(bench.text(), text);
    assert_eq!(*bench.session.tool(), Tool::Try);
}

#[test]
fn what_was_worked_is_told_until_the_next_act() {
    let mut bench = Bench::after("put switch 0,0; put lamp 30,0; tap p1; key p");
    assert_eq!(bench.notice(), "S1: on");
    bench.run("key right");
    assert_eq!(bench.notice(), "");
    let switch = bench.part("S1").id.clone();
    bench.run("key left; key p");
    assert_eq!(bench.notice(), "S1: off");
    assert!(bench.session.set_position(&switch, "on"));
    assert_eq!(bench.notice(), "");
    bench.run("key p");
    bench.session.set_situation(&engine::document::Situation::at_rest());
    assert_eq!(bench.notice(), "");
}

#[test]
fn a_situation_bears_the_name_of_the_one_that_sets_the_same() {
    let mut bench = Bench::demonstration("apiary-flatbed");
    let named = bench.document().situations[0].clone();
    bench.session.set_situation(&named);
    assert_eq!(bench.session.situation().name, named.name);
    let part = named.set.keys().next().unwrap().clone();
    assert!(bench.session.work(&part));
    assert_ne!(bench.session.situation().name, named.name);
    assert!(!bench.session.set_position(&part, "sideways"));
    let relay = bench.part("K1").id.clone();
    assert!(!bench.session.work(&relay));
    assert_eq!(bench.session.revision(), 0);
}

#[test]
fn positions_of_what_is_deleted_are_forgotten() {
    let mut bench = Bench::after("put switch 0,0; key p");
    assert_eq!(bench.session.situation().set.len(), 1);
    bench.run("key delete");
    assert!(bench.session.situation().set.is_empty());
    assert_eq!(bench.session.situation().name, "at rest");
}

#[test]
fn a_press_without_a_place_does_what_a_tap_on_the_symbol_does() {
    let mut bench = Bench::after("put switch 0,0; put lamp 30,0; put splice 60,0; tool select");
    let press = |bench: &mut Bench, label: &str| {
        let part = bench.part(label).id.clone();
        bench.session.press(&part);
    };
    press(&mut bench, "E1");
    assert_eq!(bench.selected(), ["E1"]);
    bench.run("tool try");
    press(&mut bench, "S1");
    assert_eq!(bench.session.positions().len(), 1);
    press(&mut bench, "X1");
    assert_eq!(bench.selected(), ["X1"]);
    bench.run("tool wire");
    press(&mut bench, "X1");
    press(&mut bench, "E1");
    assert!(bench.session.offer().is_some(), "of two terminals it is asked which");
    bench.run("choose 0");
    assert_eq!(bench.wires(), ["W1 X1:1 E1:1"]);
}
