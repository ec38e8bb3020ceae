use super::*;
use crate::document::edit::apply;
use crate::file::read_json;
use crate::mend;

/// Driving lamps whose unsealed relay sits under the seat.
const LAMPS: &str = include_str!("../../../../fixtures/replies/job-with-plan.json");

fn lamps(changes: &[(&str, &str)]) -> Document {
    let mut text = LAMPS.to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    read_json(&text).unwrap()
}

fn parts(ids: &[&str]) -> Vec<PartId> {
    ids.iter().map(|id| PartId::new(id).unwrap()).collect()
}

fn sat(document: &Document, ids: &[&str]) -> Sitting {
    sit(document, &parts(ids), Most::default()).unwrap()
}

fn places(tried: &Tried) -> Vec<&str> {
    tried.places.iter().map(PlaceId::as_str).collect()
}

#[test]
fn the_place_with_the_least_copper_is_passed_over_where_it_brings_a_finding() {
    let document = lamps(&[]);
    let sitting = sat(&document, &["p3"]);
    let order: Vec<&str> = sitting.tried.iter().map(|tried| places(tried)[0]).collect();
    // Tray and grille need less copper than the relay box, but are wet, and the relay lets water in.
    assert_eq!(order, ["l6", "l4", "l5", "l1", "l2"]);
    let [relay_box, .., tray, _] = &sitting.tried[..] else { panic!() };
    assert!(tray.copper < relay_box.copper && relay_box.come.is_empty());
    assert_eq!(tray.come.iter().map(|finding| finding.check).collect::<Vec<_>>(), ["unsealed-in-the-wet"]);
    // A relay that keeps water out may sit in the tray.
    let sealed = sat(&lamps(&[(r#""sealed": false"#, r#""sealed": true"#)]), &["p3"]);
    assert_eq!(places(sealed.best()), ["l1"]);
    assert!(sealed.is_proved);
    // The trailer is not joined, and the bulkhead no place for parts.
    assert_eq!(sitting.not_joined, [(parts(&["p3"])[0].clone(), PlaceId::new("l7").unwrap())]);
}

/// W2 2.5 mm2 from the tray to the seat 0.7 + 0.5 + 1.2 m and W3 1.1 m more, W6 1.5 mm2 1.2 m; 5 % slack and 0.1 m at
/// each end. W7 is typed and does not count.
#[test]
fn the_figures_are_those_of_the_ways() {
    let sitting = sat(&lamps(&[]), &["p3"]);
    let now = sitting.now.as_ref().unwrap();
    let metres = [2.4 * 1.05 + 0.2, 3.5 * 1.05 + 0.2, 1.2 * 1.05 + 0.2];
    assert!((now.wire_m - metres.iter().sum::<f64>()).abs() < 1e-9);
    let expected = 2.5 * (metres[0] + metres[1]) + 1.5 * metres[2];
    assert!((now.copper - expected).abs() < 1e-6);
    // W1, W4, W5 and W7 do not change.
    let others = 2.5 * 0.45 + 1.5 * (1.2 * 1.05 + 0.2) + 1.5 * 0.8;
    assert!((now.job_copper - now.copper - others).abs() < 1e-6);
    assert_eq!((now.n_bulkheads, sitting.best().n_bulkheads), (2, 1));
    for tried in &sitting.tried {
        assert!((tried.copper - copper(tried.cost)).abs() < 1e-5);
    }
    let typed = Stays { wire: WireId::new("w7").unwrap(), why: StaysAs::Typed };
    assert_eq!(sitting.stays, [typed]);
    // The lamp is the load that hangs on them, and nearer it loses less.
    let drop = |tried: &Tried| tried.drop.clone().unwrap();
    assert_eq!(drop(now).0, Subject::Part(parts(&["p5"])[0].clone()));
    assert!(drop(sitting.best()).1 < drop(now).1 && drop(now).1 < 0.1);
}

/// What the check tells of a load that loses too much is the drop that is told here.
#[test]
fn the_drop_is_the_one_of_the_check() {
    let document = lamps(&[(r#""length_m": 1.2 }"#, r#""length_m": 12 }"#)]);
    let findings = mend::findings(&document);
    let found = findings.iter().find(|finding| finding.check == "volt-drop").unwrap();
    let lost_v = found.measured.unwrap().value;
    let now = sat(&document, &["p3"]).now.unwrap();
    let told = now.drop.unwrap().1;
    assert!((told * 12.0 - lost_v).abs() < 1e-9, "{told} {lost_v}");
}

#[test]
fn the_changes_make_the_job_that_is_told() {
    let document = lamps(&[]);
    let sitting = sat(&document, &["p3", "p4"]);
    let mut changed = document.clone();
    for edit in &sitting.changes {
        changed = apply(&changed, edit).unwrap();
    }
    assert_eq!(changed, sitting.document);
    let named: Vec<(PartId, PlaceId)> =
        sitting.parts.iter().cloned().zip(sitting.best().places.iter().cloned()).collect();
    assert_eq!(moved(&document, &named), Some(changed.clone()));
    for (part, place) in [("p3", "l3"), ("p3", "l99"), ("p99", "l1")] {
        let named = [(parts(&[part])[0].clone(), PlaceId::new(place).unwrap())];
        assert_eq!(moved(&document, &named), None, "{part} {place}");
    }
    let again = sat(&changed, &["p3", "p4"]);
    assert!(again.is_now_best() && again.changes.is_empty(), "{:?}", again.changes);
    assert_eq!(again.best().places, sitting.best().places);
}

#[test]
fn the_sentence_tells_what_is_saved_and_what_is_found() {
    let document = lamps(&[]);
    let why = sat(&document, &["p3"]).why(&document);
    assert!(why.starts_with("Best is relay K1 at relay box: that saves "), "{why}");
    assert!(why.contains("passes a bulkhead once less; nothing new is found"), "{why}");
    assert!(why.contains("At battery tray ") && why.contains("lets water in"), "{why}");
    let moved = sat(&document, &["p3"]).document;
    let why = sat(&moved, &["p3"]).why(&moved);
    assert!(
        why.starts_with("It sits best where it is, relay K1 at relay box: wherever less copper"),
        "{why}"
    );
    // W7 is typed long enough for the way from the relay box.
    let nowhere = lamps(&[(r#""place": "l5", "#, ""), (r#""length_m": 0.8"#, r#""length_m": 2"#)]);
    let sitting = sat(&nowhere, &["p3"]);
    assert_eq!((sitting.now.as_ref(), places(sitting.best())), (None, vec!["l6"]));
    assert!(sitting.why(&nowhere).contains(": that needs "), "{}", sitting.why(&nowhere));
}

#[test]
fn wires_that_keep_their_length_are_told_with_the_reason() {
    let document = lamps(&[(r#""place": "l4", "values": { "action""#, r#""values": { "action""#)]);
    let sitting = sat(&document, &["p3"]);
    let switch = StaysAs::EndsNowhere(parts(&["p4"])[0].clone());
    assert_eq!(sitting.stays[0], Stays { wire: WireId::new("w6").unwrap(), why: switch });
    let notes = sitting.notes(&document).join("\n");
    assert!(notes.contains("W7 was typed") && notes.contains("W6 (switch S1)"), "{notes}");
    let no_size = lamps(&[(
        r#""to": "p3.30", "status": "new", "size": { "mm2": 2.5 },"#,
        r#""to": "p3.30", "status": "new","#,
    )]);
    assert_eq!(sat(&no_size, &["p3"]).assumed, [WireId::new("w2").unwrap()]);
}

#[test]
fn what_cannot_be_placed_is_refused_with_the_reason() {
    let reason =
        |document: &Document, ids: &[&str]| sit(document, &parts(ids), Most::default()).unwrap_err().what;
    let document = lamps(&[]);
    assert_eq!(reason(&document, &["p99"]), "there is no part `p99`");
    assert_eq!(
        reason(&document, &["p1", "p2", "p3", "p4", "p5", "p6", "p7"]),
        "at most 6 parts are given places together"
    );
    let no_plan = Document { plan: std::sync::Arc::default(), ..document.clone() };
    assert!(reason(&no_plan, &["p3"]).contains("no vehicle plan"));
    let seat = r#""family": "blade-C", "seat": { "box": "p8", "way": 1 } } }, { "id": "p8", "kind": "fuse-box", "label": "X3" },"#;
    let seated = lamps(&[
        (r#""family": "blade-C" } },"#, seat),
        (r#""place": "l1", "values": { "rating_a""#, r#""values": { "rating_a""#),
    ]);
    assert!(reason(&seated, &["p2"]).contains("has its seat in fuse box X3"));
    // With its box the fuse moves.
    let sitting = sat(&seated, &["p8"]);
    assert_eq!(sitting.wires.iter().map(WireId::as_str).collect::<Vec<_>>(), ["w2", "w5"]);
    // A place of its own does not keep it from going with its box.
    let own = lamps(&[(r#""family": "blade-C" } },"#, seat)]);
    let at_dash = moved(&own, &[(parts(&["p8"])[0].clone(), PlaceId::new("l4").unwrap())]).unwrap();
    assert_eq!(at_dash.network.parts[1].place, PlaceId::new("l4"));
    let apart = lamps(&[(r#""id": "r2", "from": "l1""#, r#""id": "r2", "from": "l7""#)]);
    assert!(reason(&apart, &["p3"]).contains("from no place do routes lead to all that relay K1"));
}

#[test]
fn a_search_that_ends_at_its_limit_tells_what_is_left_at_least() {
    let document = lamps(&[]);
    let full = sat(&document, &["p3", "p4"]);
    assert!(full.is_proved && full.left_out.is_none());
    for checked in 1..4 {
        let short = sit(&document, &parts(&["p3", "p4"]), Most { checked, ..Most::default() }).unwrap();
        if short.is_proved {
            assert_eq!(short.best().places, full.best().places);
        } else {
            let least = short.left_out.unwrap();
            assert!(least <= full.best().copper + 1e-5 && full.best().copper <= short.best().copper + 1e-5);
            let words = short.why(&document);
            assert!(words.contains("The search ended at its limit"), "{words}");
        }
    }
    let none = sit(&document, &parts(&["p3", "p4"]), Most { begun: 2, ..Most::default() }).unwrap();
    assert!(!none.is_proved && none.is_now_best());
    assert!(none.left_out.unwrap() <= full.best().copper);
}

#[test]
fn what_was_there_or_stands_where_it_stands_is_not_asked_about_unasked() {
    let document = lamps(&[]);
    let asked: Vec<&str> = document
        .network
        .parts
        .iter()
        .filter(|part| may_be_moved(part))
        .map(|part| part.id.as_str())
        .collect();
    assert_eq!(asked, ["p2", "p3", "p4", "p5"]);
}
