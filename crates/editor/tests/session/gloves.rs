//! Gloves, which hit less exactly, and what touches the screen without being a finger.

use editor::{Hands, Phase, Pointer, PointerKind, Screen, Tool};

use crate::bench::Bench;

/// A script after which a fuse stands alone and another one was taken back.
const FUSE: &str = "put fuse 10,10; put fuse 40,10; key ctrl+z; tap 60,60";

fn beside(at: Screen, by: f64) -> Screen {
    Screen { x: at.x + by, y: at.y }
}

/// A touch of one finger from one point to another that lasts so long.
fn touch(bench: &mut Bench, from: Screen, to: Screen, lasts_ms: f64) {
    let mut send = |phase, at, after_ms| {
        bench.clock_ms += after_ms;
        let kind = PointerKind::Finger;
        bench.session.pointer(Pointer { id: 7, phase, kind, at, shift: false, time_ms: bench.clock_ms });
    };
    send(Phase::Down, from, 500.0);
    send(Phase::Move, to, lasts_ms / 2.0);
    send(Phase::Up, to, lasts_ms / 2.0);
}

#[test]
fn what_touches_for_a_moment_only_taps_nothing() {
    let mut bench = Bench::after(FUSE);
    let at = bench.screen("p1");
    touch(&mut bench, at, at, 39.0);
    assert!(bench.selected().is_empty());
    touch(&mut bench, at, at, 41.0);
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn what_runs_over_the_screen_in_a_moment_moves_nothing() {
    let mut bench = Bench::after(FUSE);
    let (text, view, at) = (bench.text(), bench.session.view(), bench.screen("p1"));
    touch(&mut bench, at, beside(at, 80.0), 39.0);
    assert_eq!(bench.text(), text);
    assert!(bench.session.preview().moved.is_empty());
    let ground = bench.screen("60,60");
    touch(&mut bench, ground, beside(ground, 80.0), 39.0);
    assert_eq!(bench.session.view(), view, "nor does it scroll");
    touch(&mut bench, at, beside(at, 80.0), 120.0);
    assert_eq!(bench.session.undo_label(), Some("move F1"));
}

#[test]
fn a_mouse_may_be_as_quick_as_it_likes() {
    let mut bench = Bench::after(FUSE);
    let at = bench.screen("p1");
    for phase in [Phase::Down, Phase::Up] {
        bench.clock_ms += 1.0;
        let kind = PointerKind::Mouse;
        bench.session.pointer(Pointer { id: 1, phase, kind, at, shift: false, time_ms: bench.clock_ms });
    }
    assert_eq!(bench.selected(), ["F1"]);
}

#[test]
fn a_palm_or_water_beside_two_fingers_takes_no_step_back() {
    for contacts in [2, 3, 4, 5] {
        let mut bench = Bench::after("put fuse 10,10; put fuse 40,10");
        let places: Vec<_> =
            (0..contacts).map(|n| (n, Screen { x: 500.0 + 90.0 * f64::from(n), y: 800.0 })).collect();
        for phase in [Phase::Down, Phase::Up] {
            for (id, at) in &places {
                // All of them lie on the screen for longer than a drop, and shorter than a hand.
                bench.clock_ms += if phase == Phase::Up && *id == 0 { 45.0 } else { 0.0 };
                let kind = PointerKind::Finger;
                let pointer =
                    Pointer { id: *id, phase, kind, at: *at, shift: false, time_ms: bench.clock_ms };
                bench.session.pointer(pointer);
            }
        }
        let left: &[&str] = if contacts == 2 { &["F1"] } else { &["F1", "F2"] };
        assert_eq!(bench.labels(), left, "{contacts} contacts");
    }
}

#[test]
fn a_drop_beside_a_finger_takes_no_step_back() {
    let mut bench = Bench::after("put fuse 10,10; put fuse 40,10");
    let (finger, drop) = (Screen { x: 500.0, y: 800.0 }, Screen { x: 700.0, y: 800.0 });
    for (id, phase, at, after_ms) in [
        (1, Phase::Down, finger, 500.0),
        (2, Phase::Down, drop, 60.0),
        (2, Phase::Up, drop, 20.0),
        (1, Phase::Up, finger, 60.0),
    ] {
        bench.clock_ms += after_ms;
        let kind = PointerKind::Finger;
        bench.session.pointer(Pointer { id, phase, kind, at, shift: false, time_ms: bench.clock_ms });
    }
    assert_eq!(bench.labels(), ["F1", "F2"]);
}

#[test]
fn a_glove_may_stray_further_and_still_tap() {
    for (hands, by, is_tap) in [
        (Hands::Bare, 9.0, true),
        (Hands::Bare, 12.0, false),
        (Hands::Gloved, 15.0, true),
        (Hands::Gloved, 17.0, false),
    ] {
        let mut bench = Bench::after(FUSE);
        bench.session.set_hands(hands);
        let at = bench.screen("p1");
        touch(&mut bench, at, beside(at, by), 100.0);
        let moved = bench.session.undo_label() == Some("move F1");
        assert_eq!((bench.selected() == ["F1"] && !moved, moved), (is_tap, !is_tap), "{hands:?} by {by}");
    }
}

#[test]
fn a_glove_reaches_further_for_a_terminal() {
    for (hands, off, starts) in [
        (Hands::Bare, 27.0, true),
        (Hands::Bare, 30.0, false),
        (Hands::Gloved, 39.0, true),
        (Hands::Gloved, 42.0, false),
    ] {
        let mut bench = Bench::after("put lamp 30,30; tool wire");
        bench.session.set_hands(hands);
        let at = bench.screen("p1.1");
        let above = Screen { x: at.x, y: at.y - off };
        bench.tap_at(above);
        let is_started = matches!(bench.session.tool(), Tool::Wire { from: Some(_) });
        assert_eq!(is_started, starts, "{hands:?}, {off} pixels off");
    }
}

#[test]
fn gloves_stay_on_when_another_job_is_opened_and_when_a_gesture_is_given_up() {
    let mut bench = Bench::after("put lamp 30,30");
    bench.session.set_hands(Hands::Gloved);
    bench.session.abort();
    let mut other = Bench::after("put lamp 30,30; tool wire");
    other.session.take_window(&bench.session);
    let at = other.screen("p1.1");
    other.tap_at(Screen { x: at.x, y: at.y - 38.0 });
    assert!(matches!(other.session.tool(), Tool::Wire { from: Some(_) }));
}
