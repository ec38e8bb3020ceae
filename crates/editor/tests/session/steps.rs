//! Undo and redo, and what holds after anything at all.

use std::sync::Arc;

use editor::form::changed_wires;
use editor::{Action, Phase, PointerKind, Screen, Tool};
use engine::document::{Card, Document, Edit, Plan, Settings, Situation, Wire};
use engine::given::Given;
use engine::ids::PartId;
use engine::kind::ALL;
use engine::post::Change;
use engine::quantity::Metres;

use crate::bench::{Bench, Chance, demonstration, key};

#[test]
fn an_edit_that_changes_nothing_is_no_step() {
    let mut bench = Bench::after("put fuse 0,0");
    let (revision, part) = (bench.session.revision(), bench.part("F1").clone());
    bench.session.edit("change F1", Edit::ChangePart(part)).unwrap();
    let settings = Settings::clone(&bench.document().settings);
    bench.session.edit("settings", Edit::Settings(settings)).unwrap();
    assert_eq!(bench.session.revision(), revision);
    assert_eq!(bench.session.undo_label(), Some("add fuse"));
}

#[test]
fn an_edit_that_does_not_apply_changes_nothing_and_says_why() {
    let mut bench = Bench::after("put fuse 0,0");
    let before = bench.text();
    let missing = PartId::new("p9").unwrap();
    let edit = Edit::Remove { parts: vec![missing], wires: Vec::new() };
    assert_eq!(bench.session.edit("delete", edit).unwrap_err().to_string(), "there is no part “p9”");
    assert_eq!(bench.text(), before);
    assert_eq!(bench.session.undo_label(), Some("add fuse"));
}

#[test]
fn an_edit_that_must_not_be_made_is_put_back_and_leaves_no_step() {
    let mut bench = Bench::after("put fuse 0,0");
    let (text, before, revision) = (bench.text(), bench.document().clone(), bench.session.revision());
    bench.session.act(Action::Undo).unwrap();
    bench.session.put_back(before, revision);
    assert_eq!((bench.text(), bench.session.revision()), (text, revision));
    assert_eq!((bench.session.undo_label(), bench.session.redo_label()), (None, None));
}

#[test]
fn several_wires_are_changed_in_one_step() {
    let mut bench = Bench::after("put battery 0,0; put lamp 30,0; tap p1.+; tap p2.1; tap p1.-; tap p2.2");
    let before = bench.text();
    let wires: Vec<Wire> = bench.document().network.wires.clone();
    let wires: Vec<&Wire> = wires.iter().collect();
    let changed = changed_wires(&Plan::default(), &wires, "size", "2.5 mm2").unwrap();
    let edits: Vec<Edit> = changed.into_iter().map(Edit::ChangeWire).collect();
    bench.session.edit_all("change 2 wires", &edits).unwrap();
    let sizes = bench.document().network.wires.iter().map(|wire| wire.size.known().unwrap().title());
    assert_eq!(sizes.collect::<Vec<_>>(), ["2.5 mm2", "2.5 mm2"]);
    assert_eq!(bench.session.undo_label(), Some("change 2 wires"));
    bench.run("key ctrl+z");
    assert_eq!(bench.text(), before);
}

#[test]
fn what_was_changed_elsewhere_is_one_step_and_moves_nothing() {
    let mut bench = Bench::after("put battery 0,0; put lamp 30,0; tap p1.+; tap p2.1");
    let before = bench.text();
    let mut mended = bench.document().clone();
    Arc::make_mut(&mut mended.network).wires[0].length = Given::Known(Metres::new(2.0).unwrap());
    mended.situations = Arc::new(vec![Situation { name: "night".to_owned(), set: Default::default() }]);
    let change = Change::between("mend W1", bench.document(), &mended);
    assert!(change.interlocks.is_none());
    bench.session.take_over(change);
    assert_eq!(bench.document().network, mended.network);
    assert_eq!(bench.document().situations, mended.situations);
    assert_eq!(bench.document().placement, mended.placement);
    assert_eq!(bench.session.undo_label(), Some("mend W1"));
    bench.run("key ctrl+z");
    assert_eq!(bench.text(), before);
}

#[test]
fn the_drawing_is_made_anew_only_when_it_may_have_changed() {
    let mut bench = Bench::after("put fuse 0,0");
    let scene = bench.session.scene().clone();
    let situation = Situation { name: "night".to_owned(), set: Default::default() };
    bench.session.edit("situations", Edit::Situations(vec![situation])).unwrap();
    bench.session.edit("card", Edit::Card(Card { number: "7".to_owned(), ..Card::default() })).unwrap();
    assert!(Arc::ptr_eq(&scene, bench.session.scene()));
    bench.run("key r");
    assert!(!Arc::ptr_eq(&scene, bench.session.scene()));
}

#[test]
fn redo_is_dropped_by_a_new_step_and_by_nothing_else() {
    let mut bench = Bench::after(
        "put fuse 0,0; put fuse 30,0; key ctrl+z; tap p1; tool wire; tap 60,60; tool try; tap p1",
    );
    bench.session.zoom(2.0);
    assert_eq!(bench.session.redo_label(), Some("add fuse"));
    bench.run("tool select; tap p1; key r");
    assert_eq!(bench.session.redo_label(), None);
}

#[test]
fn a_deleted_id_is_not_used_again() {
    let mut bench = Bench::after("put fuse 0,0; put lamp 30,0; key delete; put lamp 30,0");
    assert_eq!(bench.part("E1").id.as_str(), "p3");
    bench.run("tap p1.2; tap p3.1");
    assert_eq!(bench.wire("W1").id.as_str(), "w4");
}

/// Any input that a person may give, most of it sensible.
fn anything(bench: &mut Bench, chance: &mut Chance) -> String {
    let parts: Vec<String> = bench.document().network.parts.iter().map(|part| part.id.to_string()).collect();
    let terminals: Vec<String> = (bench.document().network.parts.iter())
        .flat_map(|part| part.terminals().into_iter().map(|one| format!("{}.{}", part.id, one.name)))
        .collect();
    let place = |chance: &mut Chance| match chance.below(4) {
        0 if !parts.is_empty() => parts[chance.below(parts.len())].clone(),
        1 | 2 if !terminals.is_empty() => terminals[chance.below(terminals.len())].clone(),
        _ => format!("{},{}", chance.below(90), chance.below(70)),
    };
    let keys = [
        "ctrl+z",
        "ctrl+z",
        "ctrl+y",
        "delete",
        "ctrl+d",
        "r",
        "m",
        "w",
        "p",
        "left",
        "right",
        "up",
        "down",
        "shift+left",
        "shift+down",
        "escape",
        "enter",
        "ctrl+a",
        "0",
        "plus",
        "-",
    ];
    match chance.below(16) {
        0 | 1 if parts.len() < 25 => format!("put {} {}", ALL[chance.below(ALL.len())].name, place(chance)),
        0..=3 => format!("tap {}", place(chance)),
        4 | 5 => format!("tool wire; tap {}; tap {}", place(chance), place(chance)),
        6 | 7 => format!("drag {} {}", place(chance), place(chance)),
        8 => format!("shift-tap {}", place(chance)),
        9 => format!("choose {}", chance.below(4)),
        10 => format!("tool {}", ["select", "wire", "try", "put lamp"][chance.below(4)]),
        11 => "key escape".to_owned(),
        12 => format!("hover {}", place(chance)),
        _ => {
            let keys = keys[chance.below(keys.len())];
            // A whole drawing doubled now and then is enough.
            if keys == "ctrl+d" && parts.len() > 15 { "key 0".to_owned() } else { format!("key {keys}") }
        }
    }
}

#[test]
fn undoing_everything_gives_the_first_document_and_redoing_everything_the_last() {
    for seed in 0..12 {
        let first = if seed == 5 { demonstration("switched-earth-donor") } else { Document::default() };
        let mut bench = Bench::with(first);
        bench.session.show_all();
        let start = bench.text();
        let mut chance = Chance::new(seed);
        for _ in 0..45 {
            let script = anything(&mut bench, &mut chance);
            bench.run(&script);
            if chance.below(8) == 0 {
                // A finger is lifted by the browser in the middle of something.
                let at = Screen { x: chance.below(1600) as f64, y: chance.below(1200) as f64 };
                bench.pointer(4, PointerKind::Finger, Phase::Down, at);
                bench.pointer(4, PointerKind::Finger, Phase::Move, Screen { x: at.x + 50.0, ..at });
                bench.pointer(4, PointerKind::Finger, Phase::Cancel, at);
                bench.sweep("a cancelled drag");
            }
        }
        bench.session.set_tool(Tool::Select);
        while bench.session.can(Action::Redo) {
            bench.session.key(key("ctrl+y"));
        }
        let end = bench.text();
        let mut steps = 0;
        while bench.session.can(Action::Undo) {
            bench.run("key ctrl+z");
            steps += 1;
        }
        assert_eq!(bench.text(), start, "seed {seed}");
        for _ in 0..steps {
            bench.run("key ctrl+y");
        }
        assert_eq!(bench.text(), end, "seed {seed}");
        assert!(steps > 3, "seed {seed}: only {steps} steps");
    }
}
