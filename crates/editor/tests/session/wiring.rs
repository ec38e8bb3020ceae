//! Wires: by taps, by drags, by keys; full terminals; splices.

use drawing::geometry::{Point, Rect, STEP};
use drawing::scene::{ElementId, Shape};
use editor::{Offer, Selection, Tool};
use engine::document::{Color, Edit, Size, Wire};
use engine::given::Given;
use engine::ids::{TerminalRef, WireId};
use engine::quantity::Metres;

use crate::bench::Bench;

const PAIR: &str = "put battery 0,0; put lamp 30,0";

fn terminal(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

#[test]
fn two_taps_make_a_wire_of_which_nothing_is_known_but_its_ends() {
    let bench = Bench::after(&format!("{PAIR}; tap p1.+; tap p2.1"));
    let wire = bench.wire("W1").clone();
    let bare =
        Wire { label: "W1".to_owned(), ..Wire::new(wire.id.clone(), terminal("p1.+"), terminal("p2.1")) };
    assert_eq!(wire, bare);
    assert_eq!(bench.selected(), ["W1"]);
    assert_eq!(*bench.session.tool(), Tool::Select);
    assert_eq!(bench.session.undo_label(), Some("wire G1:+ to E1:1"));
    assert_eq!(bench.notice(), "W1 added");
}

#[test]
fn a_drag_makes_the_same_document_as_two_taps() {
    let tapped = Bench::after(&format!("{PAIR}; tap p1.+; tap p2.1"));
    let dragged = Bench::after(&format!("{PAIR}; drag p1.+ p2.1"));
    assert_eq!(tapped.text(), dragged.text());
    let by_tool = Bench::after(&format!("{PAIR}; tool wire; drag p1.+ p2.1"));
    assert_eq!(tapped.text(), by_tool.text());
}

#[test]
fn lists_and_keys_make_the_same_document_as_taps() {
    let tapped = Bench::after(&format!("{PAIR}; tap p1.+; tap p2.1"));
    let mut listed = Bench::after(PAIR);
    listed.session.start_wire(&terminal("p1.+"));
    listed.session.land_wire(&terminal("p2.1"));
    assert_eq!(tapped.text(), listed.text());
    let keyed = Bench::after(&format!("{PAIR}; key left; key w; choose 0; key right; key w; choose 0"));
    assert_eq!(tapped.text(), keyed.text());
}

#[test]
fn a_tap_reaches_a_terminal_by_pixels_at_every_size() {
    for scale in [0.6, 1.0, 3.0] {
        for (off, lands) in [(25.0, true), (45.0, false)] {
            let mut bench = Bench::after(PAIR);
            bench.session.show_all();
            bench.session.zoom(scale);
            bench.run("tool wire; tap p1.+");
            let mut at = bench.screen("p2.1");
            at.y -= off;
            bench.finger(5, editor::Phase::Down, at);
            bench.finger(5, editor::Phase::Up, at);
            bench.sweep("tap beside");
            assert_eq!(bench.wires().len(), usize::from(lands), "{scale} {off}");
        }
    }
}

#[test]
fn a_tap_on_empty_ground_leaves_the_wire_that_was_started() {
    let mut bench = Bench::after(&format!("{PAIR}; tap p1.+; tap 15,-20"));
    assert_eq!(*bench.session.tool(), Tool::Select);
    bench.run("tap p2.1");
    assert!(bench.wires().is_empty());
    assert_eq!(*bench.session.tool(), Tool::Wire { from: Some(terminal("p2.1")) });
}

#[test]
fn the_wire_tool_stays_in_hand_until_it_is_laid_down() {
    let in_hand = Tool::Wire { from: None };
    let mut bench = Bench::after(&format!("{PAIR}; tool wire; tap p1.+; tap p2.1"));
    assert_eq!(*bench.session.tool(), in_hand);
    assert_eq!(bench.selected(), ["W1"]);
    bench.run("tap p1.-; tap p2.2");
    assert_eq!(bench.wires(), ["W1 G1:+ E1:1", "W2 G1:- E1:2"]);
    bench.run("drag p1.+ 15,-20");
    assert_eq!(*bench.session.tool(), in_hand, "a wire dragged into nothing is given up, not the tool");
    bench.run("tap p1.+; tap 15,-20");
    assert_eq!(*bench.session.tool(), in_hand);
    bench.run("tap p1.+; key escape");
    assert_eq!(*bench.session.tool(), in_hand, "Escape gives the wire up first");
    bench.run("key escape");
    assert_eq!(*bench.session.tool(), Tool::Select);
    // Without the tool in hand each wire is begun by itself.
    bench.run("key ctrl+z; tap p1.-; tap p2.2");
    assert_eq!(*bench.session.tool(), Tool::Select);
    bench.run("tool wire; tool select; key ctrl+z; drag p1.- p2.2");
    assert_eq!(*bench.session.tool(), Tool::Select);
}

#[test]
fn the_rubber_line_follows_and_snaps_to_the_terminal_it_would_take() {
    let mut bench = Bench::after(&format!("{PAIR}; tap p1.+; hover 15,-9"));
    let preview = bench.session.preview();
    assert_eq!(preview.target, None);
    let (from, to) = preview.rubber.unwrap();
    let view = bench.session.view();
    assert_eq!(view.to_screen(from), bench.screen("p1.+"));
    assert_eq!(view.to_screen(to), bench.screen("15,-9"));
    bench.run("hover 30.5,-3.5");
    let preview = bench.session.preview();
    assert_eq!(preview.target, Some(terminal("p2.1")));
    assert_eq!(view.to_screen(preview.rubber.unwrap().1), bench.screen("p2.1"));
}

#[test]
fn landing_where_it_started_or_where_a_wire_is_already_changes_nothing() {
    let mut bench = Bench::after(&format!("{PAIR}; tap p1.+; tap p2.1; tool wire; tap p1.+; tap p1.+"));
    assert_eq!(bench.notice(), "A wire needs another terminal to end on");
    let text = bench.text();
    bench.run("tap p2.1");
    assert_eq!(bench.notice(), "W1 joins battery G1:+ and lamp E1:1 already");
    bench.run("key escape; tool wire; tap p2.1; tap p1.+");
    assert_eq!(bench.text(), text);
}

#[test]
fn of_two_terminals_alike_near_it_is_asked_which() {
    let mut bench = Bench::after("put socket 0,0; put lamp 30,0");
    // The terminals of a connector of two ways lie a few steps apart; from afar they are close.
    bench.run("put twin-lamp 60,0; tool wire; tap p1.+");
    let part = bench.part("E2").clone();
    let names: Vec<String> = part.terminals().iter().map(|t| t.name.to_string()).collect();
    let [a, b] = ["beam", "position"].map(|name| bench.screen(&format!("{}.{name}", part.id)));
    assert!(names.contains(&"beam".to_owned()) && a.y == b.y, "both lie side by side");
    while bench.screen(&format!("{}.beam", part.id)).distance(bench.screen(&format!("{}.position", part.id)))
        > 20.0
    {
        bench.session.zoom(0.9);
    }
    let [a, b] = ["beam", "position"].map(|name| bench.screen(&format!("{}.{name}", part.id)));
    let middle = a.middle(b);
    bench.finger(7, editor::Phase::Down, middle);
    bench.finger(7, editor::Phase::Up, middle);
    let network = bench.document().network.clone();
    let offer = bench.session.offer().expect("a question").clone();
    assert_eq!(offer.text(&network), "Which terminal?");
    let choices = offer.choices(&network);
    assert!(choices.contains(&"twin lamp E2:beam, feed of the beam".to_owned()), "{choices:?}");
    assert!(bench.wires().is_empty());
    let which = choices.iter().position(|choice| choice.contains(" E2:position,")).unwrap();
    bench.session.accept(which);
    assert_eq!(bench.wires(), ["W1 X1:+ E2:position"]);
}

/// A lamp whose terminal 1 holds two wires already, the last of them red and sized.
const FULL: &str =
    "put lamp 0,0; put lamp 30,20; put lamp 60,20; put lamp 90,20; tap p2.1; tap p1.1; tap p3.1; tap p1.1";

fn full() -> Bench {
    let mut bench = Bench::after(FULL);
    let last = bench.wire("W2").clone();
    let last = Wire {
        size: Given::Known(Size::Gauge(10)),
        color: Some(Color { base: "RD", stripe: None }),
        length: Given::Known(Metres::new(3.0).unwrap()),
        ..last
    };
    bench.session.edit("wire", Edit::ChangeWire(last)).unwrap();
    bench
}

#[test]
fn a_full_terminal_offers_a_splice_where_a_wire_lands() {
    let mut bench = full();
    bench.run("tool wire; tap p4.1; tap p1.1");
    let network = bench.document().network.clone();
    let offer = bench.session.offer().unwrap();
    assert_eq!(*offer, Offer::Splice { terminal: terminal("p1.1"), landing: true });
    assert_eq!(offer.text(&network), "2 wires end on lamp E1:1 already");
    assert_eq!(offer.choices(&network), ["Put a splice", "Use the terminal anyway", "Leave it"]);
    let before = bench.text();
    bench.run("choose 0");
    assert_eq!(
        bench.wires(),
        ["W1 E2:1 E1:1", "W2 E3:1 X1:2", "W3 E1:1 X1:1", "W4 E4:1 X1:3"].map(|w| {
            // The terminal is on the upper side, so the splice stands above and its way 2 faces it.
            w.replace("X1:2", "X1:a").replace("X1:1", "X1:2").replace("X1:a", "X1:1")
        })
    );
    let link = bench.wire("W3");
    assert_eq!(link.size.known().unwrap().title(), "10 AWG");
    assert_eq!(link.color.unwrap().title(), "RD");
    assert!(!link.length.is_said());
    assert_eq!(bench.wire("W2").length.known().unwrap().get(), 3.0);
    assert_eq!(bench.selected(), ["W4"]);
    assert_eq!(bench.session.undo_label(), Some("wire E4:1 to X1"));
    bench.run("key ctrl+z");
    assert_eq!(bench.text(), before);
}

#[test]
fn a_full_terminal_offers_a_splice_where_a_wire_starts() {
    let mut bench = full();
    bench.run("tap p1.1; choose 0");
    assert_eq!(*bench.session.tool(), Tool::Wire { from: Some(TerminalRef::new(&bench.part("X1").id, "3")) });
    bench.run("tap p4.1");
    assert_eq!(bench.wires().last().unwrap(), "W4 X1:3 E4:1");
}

#[test]
fn a_drag_from_a_full_terminal_ends_where_it_was_dropped_once_the_question_is_settled() {
    let mut dragged = full();
    dragged.run("drag p1.1 p4.1; choose 0");
    let mut tapped = full();
    tapped.run("tap p1.1; choose 0; tap p4.1");
    assert_eq!(dragged.text(), tapped.text());
    let mut anyway = full();
    anyway.run("drag p1.1 p4.1; choose 1");
    assert_eq!(anyway.wires().last().unwrap(), "W3 E1:1 E4:1");
}

#[test]
fn a_full_terminal_takes_more_when_it_is_asked_to_and_nothing_when_it_is_left() {
    let mut bench = full();
    bench.run("tool wire; tap p4.1; tap p1.1; choose 1");
    assert_eq!(bench.wires().last().unwrap(), "W3 E4:1 E1:1");
    let mut bench = full();
    let text = bench.text();
    bench.run("tool wire; tap p4.1; tap p1.1; choose 2");
    assert_eq!(bench.text(), text);
    assert_eq!(bench.session.offer(), None);
}

#[test]
fn a_tap_beside_an_open_question_only_leaves_it() {
    let mut bench = full();
    let text = bench.text();
    bench.run("tool wire; tap p4.1; tap p1.1; tap p3.2");
    assert_eq!(bench.session.offer(), None);
    assert_eq!(bench.text(), text);
}

#[test]
fn a_question_left_by_drawing_elsewhere_draws_nothing_any_more() {
    // The drag asks about its start, and would go on to E4.
    const ASKED: &str = "tool wire; drag p1.1 p4.1";
    let mut bench = full();
    bench.run(ASKED);
    assert!(bench.session.offer().is_some());
    // Looking around leaves it open.
    bench.run("drag 15,-20 20,-20");
    assert!(bench.session.offer().is_some());
    bench.run("drag p2.2 p3.2");
    assert_eq!(bench.session.offer(), None);
    assert_eq!(bench.wires().last().unwrap(), "W3 E2:2 E3:2");

    let mut bench = full();
    bench.run(ASKED);
    bench.session.start_wire(&terminal("p2.2"));
    assert_eq!((bench.session.offer(), bench.wires().len()), (None, 2));
    bench.session.land_wire(&terminal("p3.2"));
    assert_eq!(bench.wires()[2..], ["W3 E2:2 E3:2"]);

    // A wire that lands behind the question leaves it too.
    let mut bench = full();
    bench.run("tool wire; tap p4.1; tap p1.1");
    assert!(bench.session.offer().is_some());
    bench.session.land_wire(&terminal("p3.2"));
    assert_eq!(bench.session.offer(), None);

    let mut bench = full();
    bench.run("put splice 40,60");
    bench.run(ASKED);
    let splice = bench.part("X1").id.clone();
    bench.session.select(Selection::part(splice));
    bench.run("key w");
    assert_eq!((bench.session.offer(), bench.wires().len()), (None, 2));
}

#[test]
fn wires_to_a_joint_take_its_free_ways_and_then_another_is_offered() {
    let mut bench = Bench::after(
        "put splice 0,0; put lamp 30,0; put lamp 60,0; put lamp 90,0; put lamp 120,0;
         tool wire; tap p2.1; tap p1.1; tool wire; tap p3.1; tap p1.1; tool wire; tap p4.1; tap p1.1",
    );
    assert_eq!(bench.wires(), ["W1 E1:1 X1:1", "W2 E2:1 X1:2", "W3 E3:1 X1:3"]);
    bench.run("tool wire; tap p5.1; tap p1");
    let network = bench.document().network.clone();
    assert_eq!(bench.session.offer().unwrap().text(&network), "X1 has no free way");
    bench.run("choose 0");
    assert_eq!(bench.wires().last().unwrap(), "W4 E4:1 X1:4");
    assert_eq!(bench.session.undo_label(), Some("wire E4:1 to X1:4"));
}

#[test]
fn a_tap_on_a_wire_puts_a_splice_into_it_and_lands_there() {
    let mut bench = Bench::after("put battery 0,0; put lamp 40,0; put lamp 20,30; tap p1.+; tap p2.1");
    bench.run("tool wire; tap p3.1; tap 20,-4");
    let wires = bench.wires();
    assert_eq!(wires.len(), 3, "{wires:?}");
    assert!(wires[0].starts_with("W1 G1:+ X1:"), "{wires:?}");
    assert!(wires[1].starts_with("W2 X1:") && wires[1].ends_with(" E1:1"), "{wires:?}");
    assert_eq!(wires[2], "W3 E2:1 X1:3");
    assert_eq!(bench.session.undo_label(), Some("wire E2:1 to X1"));
    bench.run("key ctrl+z");
    assert_eq!(bench.wires(), ["W1 G1:+ E1:1"]);
}

/// The course of a wire on the drawing.
fn course(bench: &Bench, wire: &WireId) -> Vec<Point> {
    let element = bench.session.scene().element(&ElementId::Wire(wire.clone())).unwrap();
    let line = element.shapes.iter().find_map(|shape| match shape {
        Shape::Line(_, points) => Some(points.clone()),
        _ => None,
    });
    line.unwrap()
}

fn is_on(course: &[Point], point: Point) -> bool {
    course.windows(2).any(|leg| {
        let leg = Rect::new(leg[0].x, leg[0].y, leg[1].x, leg[1].y);
        leg.holds(&Rect::new(point.x, point.y, point.x, point.y))
    })
}

#[test]
fn both_halves_of_a_wire_keep_to_its_course_when_something_is_put_into_it() {
    for name in ["apiary-flatbed", "honey-stall-trailer"] {
        for kind in ["splice", "fuse"] {
            let mut n = 0;
            for wire in Bench::demonstration(name).document().network.wires.clone() {
                let mut bench = Bench::demonstration(name);
                let before = course(&bench, &wire.id);
                let length = |leg: &[Point]| (leg[0].x - leg[1].x).abs() + (leg[0].y - leg[1].y).abs();
                let longest = before.windows(2).max_by_key(|leg| length(leg)).unwrap();
                // Shorter ones have no room for it.
                if length(longest) < 10 * STEP {
                    continue;
                }
                let middle = Point::new((longest[0].x + longest[1].x) / 2, (longest[0].y + longest[1].y) / 2);
                let at = bench.session.view().to_screen(middle);
                bench.run(if kind == "splice" { "tool wire" } else { "tool put fuse" });
                bench.tap_at(at);
                let after = &bench.document().network.wires;
                let old: Vec<&WireId> = bench.document().network.wires.iter().map(|wire| &wire.id).collect();
                assert_eq!(old.len(), Bench::demonstration(name).document().network.wires.len() + 1);
                for half in [&wire.id, &after.last().unwrap().id] {
                    let course = course(&bench, half);
                    assert!(
                        course.iter().all(|point| is_on(&before, *point)),
                        "{name}: {kind} in {}: {half} goes {course:?}, the wire went {before:?}",
                        wire.id
                    );
                }
                n += 1;
            }
            assert!(n > 5, "{n} wires of {name} were tried");
        }
    }
}

#[test]
fn with_a_symbol_seen_small_a_tap_on_it_in_the_wire_tool_asks_for_the_terminal() {
    let mut bench = Bench::after(PAIR);
    bench.run("tool wire; tap p1; choose 0; tap p2; choose 1");
    assert_eq!(bench.wires(), ["W1 G1:+ E1:2"]);
}

#[test]
fn undo_while_a_wire_is_started_leaves_the_tool_without_a_vanished_terminal() {
    let mut bench = Bench::after(&format!("{PAIR}; tool wire; tap p2.1; key ctrl+z"));
    assert_eq!(*bench.session.tool(), Tool::Wire { from: None });
    bench.run("tap p1.+");
    assert_eq!(*bench.session.tool(), Tool::Wire { from: Some(terminal("p1.+")) });
}

#[test]
fn a_wire_is_not_spliced_to_an_end_of_itself() {
    let mut bench = Bench::after("put battery 0,0; put lamp 40,0; tap p1.+; tap p2.1");
    let text = bench.text();
    bench.run("tool wire; tap p2.1; tap 20,-4");
    assert_eq!(bench.notice(), "W1 ends on lamp E1:1 already");
    assert_eq!(bench.text(), text);
}
