//! The drawing by keyboard alone.

use drawing::geometry::Cell;
use editor::Tool;

use crate::bench::{Bench, key};

const CROSS: &str = "put fuse 40,40; put lamp 80,40; put motor 40,80; put switch 0,42; put diode 44,0";

#[test]
fn arrows_rove_to_the_neighbor_in_their_direction() {
    let mut bench = Bench::after(&format!("{CROSS}; tap p1"));
    for (keys, reached) in [
        ("key right", "E1"),
        ("key left", "F1"),
        ("key down", "M1"),
        ("key up", "F1"),
        ("key left", "S1"),
        ("key right", "F1"),
        ("key up", "R1"),
        ("key up", "R1"),
    ] {
        bench.run(keys);
        assert_eq!(bench.selected(), [reached], "{keys}");
    }
}

#[test]
fn an_arrow_with_nothing_selected_takes_the_part_in_the_middle() {
    let mut bench = Bench::after(&format!("{CROSS}; key escape"));
    assert!(bench.selected().is_empty());
    assert!(bench.session.key(key("right")));
    assert_eq!(bench.selected().len(), 1);
    assert!(!Bench::empty().session.key(key("right")));
}

#[test]
fn steps_by_shift_and_arrows_are_one_step_to_undo() {
    let mut bench =
        Bench::after(&format!("{CROSS}; tap p1; key shift+right; key shift+right; key shift+down"));
    assert_eq!(bench.at("F1"), Cell::new(42, 41));
    assert_eq!(bench.session.undo_label(), Some("move F1"));
    bench.run("key ctrl+z");
    assert_eq!(bench.at("F1"), Cell::new(40, 40));
    assert_eq!(bench.session.undo_label(), Some("add diode"));
    // Something else in between begins a new step.
    bench.run("key shift+right; key right; key left; key shift+right; key ctrl+z");
    assert_eq!(bench.at("F1"), Cell::new(41, 40));
}

#[test]
fn keys_that_mean_nothing_here_are_left_to_the_page() {
    let mut bench = Bench::empty();
    for keys in ["enter", "escape", "w", "p", "r", "delete", "ctrl+z", "ctrl+w", "ctrl+left", "x", "left"] {
        assert!(!bench.session.key(key(keys)), "{keys}");
    }
    assert!(bench.session.key(key("0")));
}

#[test]
fn a_whole_circuit_is_drawn_without_a_pointer() {
    let mut bench = Bench::empty();
    bench.run("tool put battery; key down; key enter");
    bench.run("tool put fuse; key shift+right; key shift+right; key shift+right; key shift+right; key enter");
    bench.run("tool put lamp; key shift+right; key shift+right; key shift+right; key shift+right; key shift+right; key shift+right; key shift+right; key shift+right; key enter");
    bench.run("key left; key w; choose 1; key right; key w; choose 0");
    bench.run("tool select");
    let fuse = bench.part("F1").id.clone();
    bench.session.select(editor::Selection::part(fuse));
    bench.run("key left; key w; choose 0; key right; key w; choose 0");
    assert_eq!(bench.wires(), ["W1 F1:2 E1:1", "W2 G1:+ F1:1"]);
    assert_eq!(*bench.session.tool(), Tool::Select);
}
