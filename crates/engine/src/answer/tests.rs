use std::sync::Arc;

use super::*;
use crate::document::{Document, Placement, Pose};
use crate::notation;

fn document(text: &str) -> Document {
    let network = notation::network(text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    Document { network: Arc::new(network.as_ref().clone()), ..Document::default() }
}

fn request(set: &[(&str, &str)]) -> Request {
    let set = set.iter().map(|(id, at)| (PartId::new(id).unwrap(), (*at).to_owned())).collect();
    Request { revision: 7, situation: Situation { name: String::new(), set }, load: None }
}

/// What is told of the current path of `load` with these positions set.
fn path(text: &str, set: &[(&str, &str)], load: &str) -> LitPath {
    let request = Request { load: PartId::new(load), ..request(set) };
    answer(&document(text), &request).path.unwrap()
}

fn ids<T: ToString>(list: &[T]) -> Vec<String> {
    list.iter().map(ToString::to_string).collect()
}

/// A lamp on a relay with a switch in its coil circuit, and a fuse ahead of its contact.
const RELAY: &str = "battery G1
    fuse F1 rating_a=15
    switch S1
    relay K1
    lamp E1 watts=55
    earth X1
    wire w1 G1.+ F1.1 mm2=2.5 m=0.1
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 E1.1 mm2=2.5 m=3
    wire w4 E1.2 X1.1 mm2=2.5 m=0.5
    wire w5 F1.2 S1.in mm2=1 m=2
    wire w6 S1.out K1.86 mm2=1 m=2
    wire w7 K1.85 X1.1 mm2=1";

#[test]
fn a_lamp_that_is_lit_has_its_path_told() {
    let lit = path(RELAY, &[("S1", "on")], "E1");
    assert_eq!(ids(&lit.parts), ["G1", "F1", "K1", "E1", "X1"]);
    assert_eq!(ids(&lit.wires), ["w1", "w2", "w3", "w4"]);
    assert_eq!(lit.blocked_by, []);
    assert_eq!(lit.words.len(), 1);
    assert!(lit.words[0].starts_with("From battery G1 terminal +, along wire w1"), "{:?}", lit.words);
}

#[test]
fn a_dark_lamp_is_followed_to_the_switch_that_is_off() {
    let dark = path(RELAY, &[], "E1");
    assert_eq!((dark.parts.len(), dark.wires.len()), (0, 0));
    assert_eq!(dark.words, ["The lamp E1 carries no current: relay K1 is off because switch S1 is off."]);
    assert_eq!(ids(&dark.blocked_by), ["K1", "S1"]);
}

#[test]
fn a_fuse_that_is_out_is_named() {
    let dark = path(RELAY, &[("S1", "on"), ("F1", "out")], "E1");
    assert_eq!(
        dark.words,
        ["The lamp E1 carries no current: fuse F1 is out, and relay K1 is off because fuse F1 is out."]
    );
    assert_eq!(ids(&dark.blocked_by), ["F1", "K1"]);
}

#[test]
fn a_relay_has_the_path_of_its_coil() {
    assert_eq!(ids(&path(RELAY, &[("S1", "on")], "K1").wires), ["w1", "w5", "w6", "w7"]);
}

#[test]
fn a_lamp_without_a_way_back_is_told_so() {
    let text = "battery G1\nlamp E1 watts=55\nwire w1 G1.+ E1.1 mm2=2.5 m=0.1";
    let why = |text: &str| path(text, &[], "E1").words.swap_remove(0);
    assert_eq!(
        why(text),
        "The lamp E1 carries no current: its terminal 2 has no wire, so it has no way back to the battery."
    );
    assert_eq!(
        why(&text.replace("E1.1", "E1.2")),
        "The lamp E1 carries no current: its terminal 1 has no wire, so it has no way back to the battery."
    );
    assert_eq!(
        why("battery G1\nlamp E1 watts=55"),
        "The lamp E1 carries no current: it is connected to nothing."
    );
    assert_eq!(
        why(&format!("{text}\nsplice X1\nwire w2 E1.2 X1.1 mm2=1 m=1")),
        "The lamp E1 carries no current: it has no way back to the battery."
    );
    assert_eq!(
        path("lamp E1 watts=55", &[], "E1").words,
        ["The lamp E1 carries no current: there is no battery."]
    );
}

#[test]
fn a_motor_that_stands_still_is_told_of_once() {
    let text = "battery G1
        switch S1
        motor M1 run_a=4 stall_a=9
        earth X1
        wire w1 G1.+ S1.in mm2=2.5 m=1
        wire w2 S1.out M1.+ mm2=2.5 m=1
        wire w3 M1.- X1.1 mm2=2.5 m=1";
    assert_eq!(path(text, &[], "M1").words, ["The motor M1 carries no current: switch S1 is off."]);
    assert_eq!(path(text, &[("S1", "on")], "M1").words.len(), 1);
}

#[test]
fn a_lamp_behind_two_switches_is_blocked_by_the_one_that_is_off() {
    let text = "battery G1
        switch S1
        switch S2
        lamp E1 watts=55
        earth X1
        wire w1 G1.+ S1.in mm2=2.5 m=1
        wire w2 S1.out S2.in mm2=2.5 m=1
        wire w3 S2.out E1.1 mm2=2.5 m=1
        wire w4 E1.2 X1.1 mm2=2.5 m=1";
    let why = |set: &[(&str, &str)]| path(text, set, "E1").words.swap_remove(0);
    assert_eq!(why(&[("S1", "on")]), "The lamp E1 carries no current: switch S2 is off.");
    assert_eq!(why(&[("S2", "on")]), "The lamp E1 carries no current: switch S1 is off.");
    assert_eq!(why(&[]), "The lamp E1 carries no current: switch S1 is off, and switch S2 is off.");
    assert!(why(&[("S1", "on"), ("S2", "on")]).starts_with("From battery G1"));
}

#[test]
fn an_electronic_lamp_the_wrong_way_round_is_told_so() {
    let text = "battery G1
        led-lamp E1 watts=20
        earth X1
        wire w1 G1.+ E1.- mm2=2.5 m=1
        wire w2 E1.+ X1.1 mm2=2.5 m=1";
    assert_eq!(
        path(text, &[], "E1").words,
        ["The electronic lamp E1 carries no current: it is connected the wrong way round."]
    );
}

#[test]
fn a_diode_that_blocks_is_named() {
    let text = |anode: &str, cathode: &str| {
        format!(
            "battery G1
            diode R1
            lamp E1 watts=5
            earth X1
            wire w1 G1.+ R1.{anode} mm2=2.5 m=1
            wire w2 R1.{cathode} E1.1 mm2=2.5 m=1
            wire w3 E1.2 X1.1 mm2=2.5 m=1"
        )
    };
    assert!(path(&text("A", "K"), &[], "E1").words[0].starts_with("From battery G1"));
    let dark = path(&text("K", "A"), &[], "E1");
    assert_eq!(
        dark.words,
        ["The lamp E1 carries no current: diode R1 does not let current through that way."]
    );
    assert_eq!(ids(&dark.blocked_by), ["R1"]);
}

#[test]
fn a_lamp_whose_rating_is_not_known_is_told_so() {
    let text = "battery G1\nlamp E1\nearth X1\nwire w1 G1.+ E1.1 mm2=1 m=1\nwire w2 E1.2 X1.1 mm2=1 m=1";
    let answer = answer(&document(text), &Request { load: PartId::new("E1"), ..request(&[]) });
    assert_eq!(answer.path.unwrap().words, ["The lamp E1 carries no current: what it takes is not known."]);
    let lamp = answer.parts.iter().find(|part| part.id.as_str() == "E1").unwrap();
    assert_eq!((&lamp.words.amps, lamp.words.flow), (&None, None));
}

/// What the checks say and what the path says of a lamp with a loose terminal is the same, whatever else is open.
#[test]
fn a_loose_terminal_is_the_cause_in_checks_and_path_alike() {
    let text = "battery G1
        switch S1
        lamp E1
        earth X1
        wire w1 G1.+ S1.in mm2=1 m=1
        wire w2 S1.out E1.1 mm2=1 m=1
        wire w3 G1.- X1.1 mm2=1 m=1";
    let answer = answer(&document(text), &Request { load: PartId::new("E1"), ..request(&[]) });
    let told: Vec<_> = answer.findings.iter().filter(|told| told.subject.id() == "E1").collect();
    assert_eq!(told.len(), 1, "{:?}", answer.findings);
    assert_eq!(told[0].message, "lamp E1 has no way back to the battery's negative pole");
    let (terminal, _, words) = &told[0].because[0];
    assert_eq!(terminal.id(), "E1.2");
    assert!(words.starts_with("lamp E1 terminal 2 (") && words.ends_with("has no wire"), "{words}");
    let path = answer.path.unwrap();
    assert_eq!(
        path.words,
        ["The lamp E1 carries no current: its terminal 2 has no wire, so it has no way back to the battery."]
    );
    assert_eq!(path.blocked_by, []);
}

#[test]
fn lamps_in_series_are_told_apart_from_dark_ones() {
    let text = "battery G1
        lamp E1 watts=5
        lamp E2 watts=5
        earth X1
        wire w1 G1.+ E1.1 mm2=1 m=1
        wire w2 E1.2 E2.1 mm2=1 m=1
        wire w3 E2.2 X1.1 mm2=1 m=1";
    let words = path(text, &[], "E1").words.swap_remove(0);
    assert!(words.ends_with("but only by way of other loads."), "{words}");
}

#[test]
fn what_uses_no_current_has_no_path() {
    // Neither what only lets current through, nor the source of it, nor what is not there.
    for id in ["F1", "S1", "X1", "G1", "E9"] {
        let answer = answer(&document(RELAY), &Request { load: PartId::new(id), ..request(&[("S1", "on")]) });
        assert_eq!(answer.path, None, "{id}");
    }
}

#[test]
fn readings_are_words_with_a_raw_number_for_the_direction() {
    let answer = answer(&document(RELAY), &request(&[("S1", "on")]));
    assert_eq!((answer.revision, answer.verdict.as_str(), answer.verdict_words.as_str()), (7, "settled", ""));
    let wire = |id: &str| answer.wires.iter().find(|wire| wire.id.as_str() == id).unwrap();
    // 55 W at 12 V; from 12.6 V less what is lost on the way it is within a tenth of 4.58 A.
    let flow = wire("w3").flow.unwrap();
    assert!((4.5..4.7).contains(&flow), "{flow}");
    assert_eq!(
        wire("w3").amps.as_deref(),
        Some(crate::quantity::Amps::new(flow).unwrap().to_string().as_str())
    );
    assert_eq!(wire("w1").share.as_deref(), Some("0 %"));
    assert!(!wire("w3").assumed, "size and length are said; insulation is not, and decides no reading");
    assert!(wire("w7").assumed, "its length is not said");
    let part = |id: &str| answer.parts.iter().find(|part| part.id.as_str() == id).unwrap();
    assert_eq!(part("S1").state.as_deref(), Some("on"));
    assert_eq!(part("G1").state.as_deref(), Some("delivers"));
    assert!(part("G1").words.flow.unwrap() < 0.0);
    assert!(!part("G1").words.amps.as_ref().unwrap().starts_with('-'));
    assert!(part("E1").assumed, "its cold resistance is assumed");
    assert!(part("K1").contact.is_some());
    assert!(answer.rests_on() > 0 && answer.rests_on() == answer.assumptions.len());
}

#[test]
fn a_terminal_without_a_potential_is_unknown() {
    let answer = answer(&document("battery G1\nlamp E1 watts=5"), &request(&[]));
    let read = |name: &str| &answer.terminals.iter().find(|(at, _)| at.to_string() == name).unwrap().1;
    assert_eq!(read("G1.+").as_deref(), Some("12.6 V"));
    assert_eq!(read("E1.1").as_deref(), None);
}

#[test]
fn what_does_not_settle_names_its_devices_and_gives_no_number() {
    // The relay breaks the circuit of its own coil.
    let text = "battery G1
        relay K1 contact=change-over
        earth X1
        wire w1 G1.+ K1.30 mm2=1 m=1
        wire w2 K1.87a K1.86 mm2=1 m=1
        wire w3 K1.85 X1.1 mm2=1 m=1";
    let answer = answer(&document(text), &Request { load: PartId::new("K1"), ..request(&[]) });
    assert_eq!(answer.verdict, "chatter");
    assert_eq!(
        answer.verdict_words,
        "It never settles: a relay pulls in and drops out again and again (relay K1)."
    );
    assert!(answer.wires.iter().all(|wire| wire.flow.is_none() && wire.amps.is_none()));
    assert!(answer.path.unwrap().words[0].starts_with("It never settles"));
}

#[test]
fn a_fuse_that_would_blow_is_told_in_words() {
    let text = "battery G1
        fuse F1 rating_a=5
        lamp E1 watts=100
        earth X1
        wire w1 G1.+ F1.1 mm2=2.5 m=0.1
        wire w2 F1.2 E1.1 mm2=2.5 m=1
        wire w3 E1.2 X1.1 mm2=2.5 m=1";
    let answer = answer(&document(text), &request(&[]));
    assert_eq!(answer.opening.len(), 1);
    assert!(answer.opening[0].1.starts_with("fuse F1 (5 A) would blow: 8."), "{:?}", answer.opening);
}

#[test]
fn findings_name_what_they_are_about() {
    let answer = answer(&document(&RELAY.replace("wire w4 E1.2 X1.1 mm2=2.5 m=0.5\n", "")), &request(&[]));
    let finding = answer.findings.iter().find(|told| told.check == "missing-earth-return").unwrap();
    assert_eq!((finding.severity, finding.title.as_str()), (Severity::Stop, "lamp E1"));
    assert!(!finding.help.is_empty() && !finding.source.is_empty());
}

/// The app shows these as plain text.
#[test]
fn nothing_that_is_told_is_marked_up_or_names_a_unit_in_letters() {
    let thin = RELAY.replace("wire w3 K1.87 E1.1 mm2=2.5", "wire w3 K1.87 E1.1 mm2=0.5");
    let shorted = format!("{RELAY}\nwire w8 K1.87 X1.1 mm2=1 m=1");
    let bare = RELAY.replace("wire w1 G1.+ F1.1 mm2=2.5 m=0.1", "wire w1 G1.+ F1.1 mm2=0.5");
    for text in [RELAY, &thin, &shorted, &bare] {
        let named = Situation { name: "work".to_owned(), set: request(&[("S1", "on")]).situation.set };
        let document = Document { situations: Arc::new(vec![named]), ..document(text) };
        let answer = answer(&document, &Request { load: PartId::new("E1"), ..request(&[("S1", "on")]) });
        let mut told: Vec<String> = answer.assumptions.into_iter().map(|(_, text)| text).collect();
        told.extend(answer.path.into_iter().flat_map(|path| path.words));
        for finding in answer.findings {
            told.extend([finding.message, finding.source]);
            told.extend(finding.help);
            told.extend(finding.limits);
            told.extend(finding.because.into_iter().map(|(_, _, text)| text));
        }
        for words in told {
            for unwanted in ["`", "mm2", "ohm", "degC", "possibly"] {
                assert!(!words.contains(unwanted), "{words}");
            }
        }
    }
}

#[test]
fn manuals_are_found_by_the_name_of_a_check_or_a_kind() {
    assert!(manual("unfused-run").unwrap().contains("# What to do"));
    assert!(manual("relay").unwrap().starts_with("A plug-in relay"));
    assert_eq!(manual("nothing"), None);
    for check in crate::check::ALL {
        assert!(crate::kind::by_name(check.name).is_none(), "{} would hide a kind", check.name);
    }
}

#[test]
fn what_is_prepared_serves_while_only_symbols_move() {
    let before = document(RELAY);
    let prepared = Prepared::new(&before);
    let mut moved = before.clone();
    let part = PartId::new("E1").unwrap();
    let pose = Pose { part, view: "main".to_owned(), x: 3, y: 4, turn: 0, mirrored: false, pinned: false };
    moved.placement = Arc::new(Placement { poses: vec![pose] });
    assert!(prepared.serves(&moved));
    let mut changed = before.clone();
    changed.situations = Arc::new(vec![Situation { name: "on".to_owned(), set: Default::default() }]);
    assert!(!prepared.serves(&changed));
    let other = document(&RELAY.replace("watts=55", "watts=21"));
    assert!(!prepared.serves(&other));
    let request = request(&[("S1", "on")]);
    assert_eq!(prepared.answer(&request), answer(&before, &request));
    assert_ne!(prepared.answer(&request), answer(&other, &request));
}

#[test]
fn readings_can_be_had_before_the_checks_are_run() {
    let document = document(&RELAY.replace("wire w4 E1.2 X1.1 mm2=2.5 m=0.5\n", ""));
    let prepared = Prepared::new(&document);
    let request = request(&[("S1", "on")]);
    let early = prepared.at_once(&request);
    assert!(!early.checked && early.findings.is_empty());
    let whole = prepared.answer(&request);
    assert!(whole.checked && !whole.findings.is_empty());
    assert_eq!(Answer { checked: true, findings: whole.findings.clone(), ..early }, whole);
    assert_eq!(prepared.at_once(&request), whole);
}

#[test]
fn a_wire_carries_more_than_is_told_only_where_something_that_never_settles_draws_it() {
    // The relay breaks the circuit of its own coil while S1 is on; the lamp has a switch of its own.
    let text = "battery G1
        fuse F1 rating_a=30
        switch S1
        switch S2
        relay K1 contact=change-over
        lamp E1 watts=21
        earth X1
        wire w1 G1.+ F1.1 mm2=6 m=0.1
        wire w2 F1.2 S1.in mm2=1 m=1
        wire w3 S1.out K1.30 mm2=1 m=1
        wire w4 K1.87a K1.86 mm2=1 m=1
        wire w5 K1.85 X1.1 mm2=1 m=1
        wire w6 F1.2 S2.in mm2=1 m=1
        wire w7 S2.out E1.1 mm2=1 m=2
        wire w8 E1.2 X1.1 mm2=1 m=1";
    let prepared = Prepared::new(&document(text));
    let may_be_more = |prepared: &Prepared| -> Vec<String> {
        let carried = prepared.carried().iter().filter(|carried| carried.may_be_more);
        carried.map(|carried| carried.wire.to_string()).collect()
    };
    assert_eq!(may_be_more(&prepared), ["w1", "w2", "w3", "w4", "w5"]);
    let lamp = prepared.carried().iter().find(|carried| carried.wire.as_str() == "w7").unwrap();
    // 21 W at 12 V, and a little more at 12.6 V.
    assert!((1.75..1.9).contains(&lamp.amps), "{lamp:?}");
    // Where the power asked for cannot be delivered, no currents are known anywhere.
    let collapse = format!(
        "{text}
        led-lamp E2 watts=200
        wire w9 G1.+ E2.+ mm2=0.5 m=12
        wire w10 E2.- X1.1 mm2=0.5 m=12"
    );
    let prepared = Prepared::new(&document(&collapse));
    assert_eq!(prepared.answer(&request(&[])).verdict, "collapse");
    assert_eq!(may_be_more(&prepared).len(), prepared.carried().len());
}
