//! Fingers, pens and mice: what is meant by them, and what is given up.

use drawing::geometry::{Point, Rect};
use editor::{Inset, Phase, PointerKind, Screen, Tool};

use crate::bench::Bench;

fn screen(x: f64, y: f64) -> Screen {
    Screen { x, y }
}

const FUSE: &str = "put fuse 10,10; put fuse 40,10; key ctrl+z";

#[test]
fn a_second_finger_takes_over_and_what_the_first_began_is_given_up() {
    let mut bench = Bench::after(FUSE);
    let text = bench.text();
    let at = bench.screen("p1");
    bench.finger(1, Phase::Down, at);
    bench.finger(1, Phase::Move, screen(at.x + 40.0, at.y));
    assert!(!bench.session.preview().moved.is_empty());
    bench.finger(2, Phase::Down, screen(at.x + 200.0, at.y));
    assert!(bench.session.preview().moved.is_empty());
    bench.finger(1, Phase::Up, screen(at.x + 90.0, at.y));
    bench.finger(2, Phase::Up, screen(at.x + 200.0, at.y));
    assert_eq!(bench.text(), text);
    assert_eq!(bench.session.redo_label(), Some("add fuse"), "redo is untouched");
}

#[test]
fn what_lies_between_two_fingers_stays_between_them() {
    let mut bench = Bench::after(FUSE);
    let view = bench.session.view();
    let [a, b] = [screen(300.0, 400.0), screen(500.0, 420.0)];
    let held = view.to_drawing(a.middle(b));
    bench.finger(1, Phase::Down, a);
    bench.finger(2, Phase::Down, b);
    for step in 1..=30 {
        let by = f64::from(step) * 5.0;
        bench.finger(1, Phase::Move, screen(a.x - by, a.y + by));
        bench.finger(2, Phase::Move, screen(b.x + by, b.y - by / 2.0));
    }
    let [a2, b2] = [screen(150.0, 550.0), screen(650.0, 345.0)];
    let now = bench.session.view().to_screen(held);
    assert!(now.distance(a2.middle(b2)) < 1.0, "{now:?}");
    assert!((bench.session.view().scale / view.scale - a2.distance(b2) / a.distance(b)).abs() < 1e-9);
    // Out and back again is where it began, to the last bit: nothing adds up from move to move.
    bench.finger(1, Phase::Move, a);
    bench.finger(2, Phase::Move, b);
    assert_eq!(bench.session.view().to_screen(held), view.to_screen(held));
    assert_eq!(bench.session.view().scale, view.scale);
    bench.finger(1, Phase::Up, a);
    bench.finger(2, Phase::Move, screen(900.0, 900.0));
    assert_eq!(bench.session.view().scale, view.scale, "one finger of two moves nothing");
}

#[test]
fn each_pinch_and_each_drag_begins_where_the_last_one_ended() {
    let mut bench = Bench::after(FUSE);
    let scale = bench.session.view().scale;
    let pinch = |bench: &mut Bench| {
        for (id, x) in [(1, 300.0), (2, 700.0)] {
            bench.finger(id, Phase::Down, screen(x, 700.0));
        }
        for (id, x) in [(1, 400.0), (2, 600.0)] {
            bench.finger(id, Phase::Move, screen(x, 700.0));
        }
        for (id, x) in [(1, 400.0), (2, 600.0)] {
            bench.finger(id, Phase::Up, screen(x, 700.0));
        }
    };
    pinch(&mut bench);
    pinch(&mut bench);
    assert!((bench.session.view().scale - scale / 4.0).abs() < 1e-9, "{}", bench.session.view().scale);
    let before = bench.session.view();
    bench.finger(1, Phase::Down, screen(900.0, 900.0));
    bench.finger(1, Phase::Move, screen(850.0, 900.0));
    bench.finger(1, Phase::Up, screen(850.0, 900.0));
    assert_eq!(bench.session.view(), before.panned(screen(900.0, 900.0), screen(850.0, 900.0)));
}

#[test]
fn a_short_tap_of_two_fingers_takes_the_last_step_back() {
    let mut bench = Bench::after("put fuse 10,10; put fuse 40,10");
    let both = [(1, screen(700.0, 700.0)), (2, screen(800.0, 700.0))];
    for phase in [Phase::Down, Phase::Up] {
        for (id, at) in both {
            bench.finger(id, phase, at);
        }
    }
    assert_eq!(bench.labels(), ["F1"]);
    assert_eq!(bench.notice(), "Undone: add fuse");
    // Slowly it is a hand put down and lifted again.
    for (id, at) in both {
        bench.finger(id, Phase::Down, at);
    }
    bench.clock_ms += 300.0;
    for (id, at) in both {
        bench.finger(id, Phase::Up, at);
    }
    assert_eq!(bench.labels(), ["F1"]);
}

#[test]
fn a_two_finger_tap_that_strays_undoes_nothing() {
    let mut bench = Bench::after("put fuse 10,10");
    bench.finger(1, Phase::Down, screen(700.0, 700.0));
    bench.finger(2, Phase::Down, screen(800.0, 700.0));
    bench.finger(2, Phase::Move, screen(811.0, 700.0));
    bench.finger(1, Phase::Up, screen(700.0, 700.0));
    bench.finger(2, Phase::Up, screen(811.0, 700.0));
    assert_eq!(bench.labels(), ["F1"]);
}

#[test]
fn fingers_are_not_heeded_while_a_pen_is_down() {
    let mut bench = Bench::after(FUSE);
    let at = bench.screen("p1");
    bench.pointer(9, PointerKind::Pen, Phase::Down, at);
    bench.finger(1, Phase::Down, screen(600.0, 700.0));
    bench.finger(2, Phase::Down, screen(700.0, 700.0));
    let view = bench.session.view();
    bench.finger(1, Phase::Move, screen(500.0, 500.0));
    assert_eq!(bench.session.view(), view);
    bench.pointer(9, PointerKind::Pen, Phase::Move, screen(at.x + 60.0, at.y));
    bench.finger(1, Phase::Up, screen(500.0, 500.0));
    bench.pointer(9, PointerKind::Pen, Phase::Up, screen(at.x + 60.0, at.y));
    assert_eq!(bench.session.undo_label(), Some("move F1"));
}

#[test]
fn a_pen_takes_over_from_the_palm_that_came_first() {
    let mut bench = Bench::after(FUSE);
    bench.finger(1, Phase::Down, screen(600.0, 700.0));
    let at = bench.screen("p1");
    bench.pointer(9, PointerKind::Pen, Phase::Down, at);
    bench.pointer(9, PointerKind::Pen, Phase::Up, at);
    bench.finger(1, Phase::Up, screen(600.0, 700.0));
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn a_drag_ends_without_effect_by_a_cancel_or_a_missed_release() {
    for phase in [Phase::Cancel, Phase::Hover] {
        let mut bench = Bench::after(FUSE);
        let text = bench.text();
        let at = bench.screen("p1");
        bench.mouse(Phase::Down, at);
        bench.mouse(Phase::Move, screen(at.x + 60.0, at.y));
        bench.mouse(phase, screen(at.x + 70.0, at.y));
        assert!(bench.session.preview().moved.is_empty(), "{phase:?}");
        bench.mouse(Phase::Up, screen(at.x + 70.0, at.y));
        assert_eq!(bench.text(), text, "{phase:?}");
        // The next tap is a tap again.
        bench.run("tap 60,60; tap p1");
        assert_eq!(bench.selected(), ["F1"], "{phase:?}");
    }
}

#[test]
fn escape_and_leaving_the_page_give_up_a_drag() {
    let mut bench = Bench::after(FUSE);
    let text = bench.text();
    let at = bench.screen("p1");
    for by_key in [true, false] {
        bench.mouse(Phase::Down, at);
        bench.mouse(Phase::Move, screen(at.x + 60.0, at.y));
        if by_key {
            bench.run("key escape");
        } else {
            bench.session.abort();
        }
        assert!(bench.session.preview().moved.is_empty());
        bench.mouse(Phase::Up, screen(at.x + 60.0, at.y));
        assert_eq!(bench.text(), text);
    }
}

#[test]
fn a_press_that_trembles_is_still_a_tap() {
    let mut bench = Bench::after(FUSE);
    bench.run("tap 60,60");
    let at = bench.screen("p1");
    bench.finger(1, Phase::Down, at);
    bench.finger(1, Phase::Move, screen(at.x + 7.0, at.y + 7.0));
    bench.finger(1, Phase::Up, screen(at.x + 7.0, at.y + 7.0));
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn one_finger_on_empty_ground_moves_the_view() {
    let mut bench = Bench::after(FUSE);
    let before = bench.screen("p1");
    let selected = bench.selected();
    bench.finger(1, Phase::Down, screen(900.0, 900.0));
    bench.finger(1, Phase::Move, screen(850.0, 880.0));
    bench.finger(1, Phase::Up, screen(800.0, 870.0));
    let after = bench.screen("p1");
    assert!((after.x - before.x + 100.0).abs() < 1e-9 && (after.y - before.y + 30.0).abs() < 1e-9);
    assert_eq!(bench.selected(), selected);
    // A second finger takes back what the first scrolled.
    let view = bench.session.view();
    bench.finger(1, Phase::Down, screen(900.0, 900.0));
    bench.finger(1, Phase::Move, screen(850.0, 880.0));
    bench.finger(2, Phase::Down, screen(300.0, 300.0));
    assert_eq!(bench.session.view(), view);
}

#[test]
fn the_wheel_zooms_about_the_pointer_or_scrolls() {
    let mut bench = Bench::after(FUSE);
    let at = bench.screen("p1");
    bench.session.wheel(at, 0.0, -300.0, true);
    assert!(bench.session.view().scale > 6.0);
    let now = bench.screen("p1");
    assert!(now.distance(at) < 1e-6, "{now:?}");
    bench.session.wheel(at, 10.0, 20.0, false);
    let now = bench.screen("p1");
    assert!(now.distance(screen(at.x - 10.0, at.y - 20.0)) < 1e-6);
}

#[test]
fn what_is_in_the_middle_stays_there_when_the_worktop_is_turned() {
    let mut bench = Bench::after(FUSE);
    let middle = bench.session.view().to_drawing(screen(800.0, 600.0));
    bench.session.resize(400.0, 900.0, Inset::default());
    assert_eq!(bench.session.view().to_drawing(screen(200.0, 450.0)), middle);
}

#[test]
fn the_whole_drawing_is_shown_with_what_is_laid_over_it() {
    let mut bench = Bench::after("put fuse 10,10; put lamp 30,10");
    bench.session.show_all();
    assert!(bench.session.shows_all());
    let all = bench.session.scene().bounds().unwrap();
    let mark = Rect::new(all.right + 3000, all.top - 2000, all.right + 90_000, all.top);
    bench.session.show_all_with(Some(mark));
    assert!(bench.session.shows_all());
    for corner in [Point::new(mark.right, mark.top), Point::new(all.left, all.bottom)] {
        let seen = bench.session.view().to_screen(corner);
        assert!((0.0..=1600.0).contains(&seen.x) && (0.0..=1200.0).contains(&seen.y), "{seen:?}");
    }
    bench.session.wheel(screen(100.0, 100.0), 10.0, 0.0, false);
    assert!(!bench.session.shows_all());
}

/// The details below the drawing open by half, wide, and close again.
const DETAILS: [f64; 4] = [700.0, 300.0, 700.0, 1200.0];

#[test]
fn details_that_open_and_close_bring_the_same_view_back() {
    let mut bench = Bench::after("put fuse 10,70; put lamp 30,5; put lamp 60,5");
    let open = |bench: &mut Bench, height: f64| bench.session.resize(1600.0, height, Inset::default());
    let first = bench.session.view();
    // Nothing is moved for what stays in sight.
    bench.run("tap p2");
    for height in DETAILS {
        open(&mut bench, height);
        assert_eq!(bench.session.view(), first, "{height}");
    }
    // What would be covered is brought into sight, and only for as long as there is no room for it.
    bench.run("tap p1");
    assert!(bench.screen("p1").y > 700.0);
    for height in DETAILS {
        open(&mut bench, height);
        assert!((0.0..height).contains(&bench.screen("p1").y), "{height}");
        assert_eq!(bench.session.view() == first, height > 1100.0, "{height}");
    }
    // Nor does it drift when something else is selected or changed meanwhile.
    open(&mut bench, 700.0);
    bench.run("key r; key escape");
    open(&mut bench, 1200.0);
    assert_eq!(bench.session.view(), first);
}

#[test]
fn a_view_that_was_moved_by_hand_while_the_details_are_open_stays() {
    let mut bench = Bench::after("put fuse 10,70");
    bench.session.resize(1600.0, 700.0, Inset::default());
    bench.session.wheel(screen(100.0, 100.0), 30.0, 40.0, false);
    let moved = bench.session.view();
    bench.session.resize(1600.0, 1200.0, Inset::default());
    assert_eq!(bench.session.view(), moved);
}

#[test]
fn what_was_out_of_sight_is_not_brought_back_by_the_details() {
    let mut bench = Bench::after("put fuse 10,70");
    bench.session.wheel(screen(100.0, 100.0), 0.0, 3000.0, false);
    let away = bench.session.view();
    bench.session.resize(1600.0, 700.0, Inset::default());
    assert_eq!(bench.session.view(), away);
}

#[test]
fn what_is_shown_stands_in_the_middle_and_can_be_read() {
    let mut bench = Bench::demonstration("apiary-flatbed");
    bench.session.resize(390.0, 700.0, Inset::default());
    bench.session.show_all();
    let covered = Inset { top: 44.0, bottom: 64.0, ..Inset::default() };
    for part in bench.document().network.parts.clone() {
        bench.session.center(&engine::subject::Subject::Part(part.id.clone()), covered);
        assert!(bench.session.view().scale >= 4.0, "{}", part.id);
        let symbols = bench.session.scene().elements().iter().filter(
            |element| matches!(&element.id, drawing::scene::ElementId::Symbol(id, ..) if *id == part.id),
        );
        let view = bench.session.view();
        let seen: Vec<_> = symbols.map(|symbol| view.to_screen(symbol.body.unwrap().center())).collect();
        let is_in_sight = |at: &Screen| (0.0..390.0).contains(&at.x) && (44.0..636.0).contains(&at.y);
        assert!(seen.iter().any(is_in_sight), "{} {seen:?}", part.id);
    }
    for wire in bench.document().network.wires.clone() {
        bench.session.center(&engine::subject::Subject::Wire(wire.id.clone()), covered);
        let view = bench.session.view();
        assert!(view.scale >= 4.0, "{} at {}", wire.id, view.scale);
        let middle = drawing::hit::middle(bench.session.scene(), &wire.id).unwrap();
        let seen = view.to_screen(middle);
        assert!((0.0..390.0).contains(&seen.x) && (44.0..636.0).contains(&seen.y), "{} {seen:?}", wire.id);
    }
}

#[test]
fn showing_all_and_revealing_bring_things_into_the_free_part() {
    let mut bench = Bench::demonstration("apiary-flatbed");
    bench.session.resize(390.0, 700.0, Inset::default());
    bench.session.show_all();
    let all = bench.session.scene().bounds().unwrap();
    let view = bench.session.view();
    for corner in [(all.left, all.top), (all.right, all.bottom)] {
        let seen = view.to_screen(Point::new(corner.0, corner.1));
        assert!(seen.x >= 0.0 && seen.x <= 390.0 && seen.y >= 0.0 && seen.y <= 700.0, "{seen:?}");
    }
    let covered = Inset { bottom: 350.0, ..Inset::default() };
    for _ in 0..8 {
        bench.session.zoom(1.3);
    }
    for part in bench.document().network.parts.clone() {
        bench.session.reveal(&engine::subject::Subject::Part(part.id.clone()), covered);
        let seen = bench.screen(part.id.as_str());
        assert!((0.0..=390.0).contains(&seen.x) && (0.0..=350.0).contains(&seen.y), "{} {seen:?}", part.id);
    }
}

#[test]
fn tools_are_left_by_escape_one_thing_at_a_time() {
    let mut bench = Bench::after(
        "put lamp 0,0; put lamp 30,0; put lamp 60,0; put lamp 90,0; tap p1.1; tap p2.1; tap p1.1; tap p3.1",
    );
    bench.run("tap p4; tool wire; tap p1.1");
    assert!(bench.session.offer().is_some());
    bench.run("key escape");
    assert!(bench.session.offer().is_none());
    assert_eq!(*bench.session.tool(), Tool::Wire { from: None });
    bench.run("key escape");
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.selected(), ["E4"]);
    bench.run("key escape");
    assert!(bench.selected().is_empty());
    assert!(!bench.session.key(crate::bench::key("escape")));
}
