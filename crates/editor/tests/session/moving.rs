//! Moving, turning, copying.

use std::sync::Arc;

use drawing::geometry::Cell;
use editor::{Action, Phase, Session};
use engine::document::Document;

use crate::bench::{Bench, demonstration};

#[test]
fn a_drag_of_many_moves_is_one_step_by_whole_steps() {
    let mut bench = Bench::after("put fuse 10,10");
    let network = bench.document().network.clone();
    let from = bench.screen("p1");
    bench.finger(3, Phase::Down, from);
    for i in 0..60 {
        let at = editor::Screen { x: from.x + f64::from(i) * 2.0, y: from.y - f64::from(i) };
        bench.finger(3, Phase::Move, at);
    }
    let preview = bench.session.preview();
    assert!(!preview.moved.is_empty() && preview.by.0 % 250 == 0 && preview.by != (0, 0), "{preview:?}");
    assert_eq!(bench.at("F1"), Cell::new(10, 10), "nothing is committed before the release");
    let scale = bench.session.view().scale * 2.5;
    bench.finger(3, Phase::Up, editor::Screen { x: from.x + 8.2 * scale, y: from.y - 3.9 * scale });
    assert_eq!(bench.at("F1"), Cell::new(18, 6));
    assert_eq!(bench.session.undo_label(), Some("move F1"));
    assert!(Arc::ptr_eq(&network, &bench.document().network), "moving never touches the network");
    assert!(bench.session.preview().moved.is_empty());
    bench.run("key ctrl+z");
    assert_eq!(bench.at("F1"), Cell::new(10, 10));
    assert_eq!(bench.session.undo_label(), Some("add fuse"));
}

#[test]
fn a_drag_back_to_where_it_began_is_no_step() {
    let mut bench = Bench::after("put fuse 10,10");
    let at = bench.screen("p1");
    bench.finger(3, Phase::Down, at);
    bench.finger(3, Phase::Move, editor::Screen { x: at.x + 90.0, y: at.y });
    bench.finger(3, Phase::Up, at);
    assert_eq!(bench.session.undo_label(), Some("add fuse"));
}

#[test]
fn of_several_selected_all_symbols_move_together() {
    let mut bench =
        Bench::after("put relay 0,0; put lamp 40,0; put fuse 70,0; tap p1; shift-tap p2; drag p2 42,5");
    let poses: Vec<_> = bench.document().placement.poses.iter().map(|p| (p.x, p.y)).collect();
    assert_eq!(bench.session.undo_label(), Some("move 2 parts"));
    assert_eq!((poses[0], poses[2], poses[3]), ((2, 5), (42, 5), (70, 0)));
    assert_eq!(poses[1].1, 5);
    // Coil and contact of a relay that is dragged by itself go their own ways.
    bench.run("tap 0,60; drag p1 2,25");
    let poses: Vec<_> = bench.document().placement.poses.iter().map(|p| p.y).collect();
    assert_eq!(poses[..2], [25, 5]);
}

#[test]
fn the_wires_of_what_is_dragged_follow_in_the_preview() {
    let mut bench = Bench::after("put battery 0,0; put lamp 30,0; tap p1.+; tap p2.1");
    let from = bench.screen("p2");
    bench.finger(3, Phase::Down, from);
    bench.finger(3, Phase::Move, editor::Screen { x: from.x + 150.0, y: from.y });
    let preview = bench.session.preview();
    assert_eq!(preview.by, (2500, 0));
    let (_, line) = &preview.wires[0];
    let terminal = bench.session.view().to_drawing(bench.screen("p2.1"));
    assert!(line.contains(&terminal.moved(2500, 0)), "{line:?}");
    assert!(preview.hidden.iter().any(|id| id.name() == "wire.w3"), "{:?}", preview.hidden);
}

#[test]
fn nothing_jumps_at_the_first_move_in_a_job_without_poses() {
    for name in ["apiary-flatbed", "honey-stall-trailer", "switched-earth-donor"] {
        let mut bench = Bench::demonstration(name);
        bench.session.show_all();
        let bodies = |session: &Session| {
            let elements = session.scene().elements().iter();
            elements.filter_map(|e| Some((e.id.clone(), e.body?))).collect::<Vec<_>>()
        };
        let before = bodies(&bench.session);
        let part = bench.document().network.parts[0].id.to_string();
        bench.run(&format!("drag {part} 0,-80"));
        let after = bodies(&bench.session);
        let moved: Vec<_> = before.iter().zip(&after).filter(|(a, b)| a != b).map(|(a, _)| &a.0).collect();
        assert_eq!(before.len(), after.len(), "{name}");
        assert_eq!(moved.len(), 1, "{name}: {moved:?}");
        bench.run("key ctrl+z");
        assert_eq!(*bench.document(), demonstration(name));
    }
}

#[test]
fn turning_goes_around_and_mirroring_twice_is_nothing() {
    let mut bench = Bench::after("put switch 0,0");
    let text = bench.text();
    bench.run("key r");
    assert_ne!(bench.text(), text);
    assert_eq!(bench.session.undo_label(), Some("turn S1"));
    bench.run("key m");
    let pose = bench.document().placement.poses[0].clone();
    assert_eq!((pose.turn, pose.mirrored), (3, true));
    bench.run("key m; key r; key r; key r");
    assert_eq!(bench.text(), text);
}

#[test]
fn a_duplicate_has_ids_and_labels_of_its_own_and_stands_beside() {
    let mut bench = Bench::after("put fuse 0,0; put lamp 0,20; tap p1.2; tap p2.1; key ctrl+a; key ctrl+d");
    assert_eq!(bench.labels(), ["F1", "E1", "F2", "E2"]);
    assert_eq!(bench.wires(), ["W1 F1:2 E1:1", "W2 F2:2 E2:1"]);
    assert_eq!(bench.selected(), ["F2", "E2", "W2"]);
    let (from, to) = (bench.at("F1"), bench.at("F2"));
    let (lamp, other) = (bench.at("E1"), bench.at("E2"));
    assert_eq!((to.x - from.x, to.y - from.y), (other.x - lamp.x, other.y - lamp.y));
    let bodies: Vec<_> = bench.session.scene().elements().iter().filter_map(|e| e.body).collect();
    for (index, body) in bodies.iter().enumerate() {
        assert!(bodies[..index].iter().all(|one| !one.overlaps(body)));
    }
    bench.run("key ctrl+z");
    assert_eq!(bench.labels(), ["F1", "E1"]);
}

#[test]
fn a_clip_goes_into_another_job() {
    let mut from = Bench::demonstration("apiary-flatbed");
    from.session.act(Action::SelectAll).unwrap();
    let clip = from.session.copy().unwrap();
    let mut to = Bench::after("put fuse 0,0");
    to.session.paste(&clip);
    to.sweep("paste");
    let n_parts = from.document().network.parts.len();
    assert_eq!(to.document().network.parts.len(), n_parts + 1);
    assert_eq!(to.document().network.wires.len(), from.document().network.wires.len());
    assert_eq!(to.session.undo_label(), Some(format!("paste {n_parts} parts").as_str()));
    // Seats in a box that came along are kept, and every label is there once.
    let seats = |document: &Document| {
        document.network.parts.iter().filter(|part| part.values.seat("seat").is_some()).count()
    };
    assert_eq!(seats(to.document()), seats(from.document()));
    let mut labels = to.labels();
    labels.sort();
    let n = labels.len();
    labels.dedup();
    assert_eq!(labels.len(), n);
    to.session.paste(&clip);
    to.sweep("paste again");
    to.run("key ctrl+z; key ctrl+z");
    assert_eq!(to.labels(), ["F1"]);
}

#[test]
fn a_fuse_copied_without_its_box_loses_its_seat() {
    let mut bench = Bench::demonstration("apiary-flatbed");
    let fuse = bench.part("F2").id.clone();
    bench.session.select(editor::Selection::part(fuse));
    bench.run("key ctrl+d");
    let copy = bench.document().network.parts.last().unwrap();
    assert!(copy.values.seat("seat").is_none());
    assert_eq!(copy.values.iter().count() + 1, bench.part("F2").values.iter().count());
}

#[test]
fn what_is_kept_in_its_place_says_so_until_it_is_let_go() {
    let mut bench = Bench::after("put fuse 10,10; put fuse 20,10");
    let pinned = |bench: &Bench| -> Vec<bool> {
        bench.document().placement.poses.iter().map(|pose| pose.pinned).collect()
    };
    bench.session.select(editor::Selection::part(engine::ids::PartId::new("p1").unwrap()));
    assert!(bench.session.can(Action::Keep) && !bench.session.can(Action::LetGo));
    bench.run("key k");
    assert_eq!(pinned(&bench), [true, false]);
    assert_eq!(bench.session.undo_label(), Some("keep F1 in place"));
    assert!(!bench.session.can(Action::Keep) && bench.session.can(Action::LetGo));
    // Moved by hand it stays kept, in its new place.
    bench.run("key shift+right");
    assert_eq!(pinned(&bench), [true, false]);
    bench.run("key l");
    assert_eq!(pinned(&bench), [false, false]);
    bench.run("key ctrl+z; key ctrl+z; key ctrl+z");
    assert_eq!(pinned(&bench), [false, false]);
    bench.session.select(editor::Selection::default());
    assert!(!bench.session.can(Action::Keep) && !bench.session.can(Action::LetGo));
}
