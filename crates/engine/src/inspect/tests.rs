use std::sync::Arc;

use super::*;
use crate::document::Settings;
use crate::notation;

fn document(text: &str) -> Document {
    let network = notation::network(text).unwrap_or_else(|error| panic!("{error}"));
    Document { network, settings: Arc::new(Settings::default()), ..Document::default() }
}

fn inspected(text: &str) -> Inspection {
    inspect(&document(text), &mut |_, _| ())
}

fn item<'i>(inspection: &'i Inspection, check: &str, id: &str) -> Option<&'i Item> {
    inspection.items.iter().find(|item| item.finding.check == check && item.finding.subject.id() == id)
}

/// 0.75 mm2 of class B at 50 degC stands 16.0 A and 1.0 mm2 20.3 A; a feed may have a fuse of 1.074 times that: 20 A is
/// too much for 0.75 mm2 (17.2 A) and right for 1.0 mm2 (21.8 A). A return must stand the whole of the fuse.
const LAMP: &str =
    "battery G1\nfuse F1 rating_a=20\nswitch S1 rating_a=16 rated_for=lamp\nlamp E1 watts=55\nearth X1
    wire w0 G1.+ F1.1 mm2=6 m=0.1 insulation=B surroundings=cabin
    wire w1 F1.2 S1.in mm2=6 m=0.1 insulation=B surroundings=cabin
    wire w2 S1.out E1.1 m=2 insulation=B surroundings=cabin
    wire w3 E1.2 X1.1 mm2=2.5 m=1 insulation=B surroundings=cabin";

#[test]
fn a_size_that_is_not_known_makes_a_doubt_that_tells_where_it_turns() {
    let inspection = inspected(LAMP);
    let found = item(&inspection, "fuse-larger-than-wire", "w2").unwrap();
    assert_eq!((found.verdict, found.severity), (Verdict::Possible, Severity::Stop));
    assert_eq!(found.decided_by.len(), 1);
    assert_eq!(found.decided_by[0].stands, [(0.35, 0.75)]);
    assert_eq!(inspection.conclusion(), Conclusion::LookBeforeDriving);
    let look = &inspection.looks()[0].words;
    assert!(look.starts_with("Read the size printed on wire w2"), "{look}");
    assert!(look.contains("At 0.75 mm2 or less: this wire can catch fire"), "{look}");
}

#[test]
fn filling_the_size_in_makes_it_sure_or_takes_it_away() {
    let thin = inspected(&LAMP.replace("E1.1 m=2", "E1.1 mm2=0.75 m=2"));
    let found = item(&thin, "fuse-larger-than-wire", "w2").unwrap();
    assert_eq!((found.verdict, found.reason), (Verdict::Sure, Some(Reason::NothingUnknown)));
    assert_eq!(thin.conclusion(), Conclusion::DoNotDrive);
    let thick = inspected(&LAMP.replace("E1.1 m=2", "E1.1 mm2=1 m=2"));
    assert!(thick.items.is_empty(), "{:?}", thick.items);
    assert_eq!(thick.head(), "Nothing dangerous found in what was drawn.");
    assert!(thick.limits()[0].starts_with("What was not drawn was not judged."));
}

/// A fuse of 60 A, a strip, is too much for 0.75 mm2 at every class of insulation there is.
#[test]
fn what_holds_with_the_kindest_values_is_sure() {
    let text = LAMP
        .replace("rating_a=20", "rating_a=60 family=strip")
        .replace("E1.1 m=2 insulation=B surroundings=cabin", "E1.1 mm2=0.75");
    let inspection = inspected(&text);
    let found = item(&inspection, "fuse-larger-than-wire", "w2").unwrap();
    assert_eq!((found.verdict, found.reason), (Verdict::Sure, Some(Reason::OneWay)));
    assert!(found.decided_by.is_empty());
    // Its length, insulation and surroundings are not known.
    assert_eq!(inspection.unknowns.len(), 3);
}

/// 2 m of 2.5 mm2 and a lamp of 55 W lose little; the length is found by halving where more than 5 % is lost.
#[test]
fn a_length_turns_at_a_number_that_the_checks_confirm() {
    let of = |m: &str| LAMP.replace("E1.1 m=2", &format!("E1.1 mm2=1.5 {m}"));
    let inspection = inspected(&of(""));
    let found = item(&inspection, "volt-drop", "E1").unwrap();
    let turn = &found.decided_by[0];
    assert_eq!(inspection.unknowns[turn.unknown].key, "length_m");
    let [(from, to)] = turn.stands[..] else { panic!("{turn:?}") };
    assert_eq!((to, found.severity), (15.0, Severity::Look));
    let stands = |m: f64| found_at(&of(&format!("m={m}")), "volt-drop", "E1").is_some();
    assert!(stands(from + 0.001) && !stands(from - 0.001), "{from}");
}

fn found_at(text: &str, check: &str, id: &str) -> Option<Severity> {
    let found = found(&document(text));
    found
        .iter()
        .find(|((name, subject), _)| *name == check && subject.id() == id)
        .map(|(_, found)| found.severity)
}

/// A lamp without a way back is dark with every size of its feed there is.
#[test]
fn what_is_a_matter_of_what_is_joined_is_sure_whatever_is_unknown() {
    let text = "battery G1\nfuse F1 rating_a=10\nlamp E1 watts=55
        wire w1 G1.+ F1.1 mm2=6 m=0.1\nwire w2 F1.2 E1.1";
    let inspection = inspected(text);
    let found = item(&inspection, "missing-earth-return", "E1").unwrap();
    assert_eq!((found.verdict, found.reason), (Verdict::Sure, Some(Reason::Joined)));
}

/// The current of a motor of which nothing is known has no bounds.
#[test]
fn what_nothing_bounds_is_told_as_not_judged() {
    let text = LAMP.replace("lamp E1 watts=55", "motor E1").replace("E1.1", "E1.+").replace("E1.2", "E1.-");
    let inspection = inspected(&text);
    let told = inspection.not_judged_in_words();
    assert!(
        told.iter().any(|words| words.starts_with("motor E1: current while running is not known")),
        "{told:?}"
    );
}

#[test]
fn an_empty_drawing_is_not_called_sound() {
    assert_eq!(inspected("").conclusion(), Conclusion::NothingDrawn);
}

#[test]
fn a_rating_that_is_a_range_is_tried_at_the_ratings_there_are() {
    let text = LAMP.replace("rating_a=20", "rating_a=10..30").replace("E1.1 m=2", "E1.1 mm2=0.75 m=2");
    let inspection = inspected(&text);
    let found = item(&inspection, "fuse-larger-than-wire", "w2").unwrap();
    let unknown = &inspection.unknowns[found.decided_by[0].unknown];
    assert_eq!(
        unknown.steps.iter().map(|step| step.number).collect::<Vec<_>>(),
        [10.0, 15.0, 20.0, 25.0, 30.0]
    );
    assert_eq!(found.decided_by[0].stands, [(20.0, 30.0)]);
    assert_eq!(unknown.range(&found.decided_by[0]), "at 20 A or more");
}

#[test]
fn doubts_of_one_sort_that_turn_alike_are_told_together() {
    let text = LAMP
        .replace("insulation=B surroundings=cabin", "surroundings=engine_bay")
        .replace("E1.1 m", "E1.1 mm2=6 m");
    let inspection = inspected(&text);
    let hot: Vec<usize> = (0..inspection.items.len())
        .filter(|index| inspection.items[*index].finding.check == "insulation-too-cool")
        .collect();
    assert_eq!(hot.len(), 4);
    assert!(inspection.gathered().contains(&hot), "{:?}", inspection.gathered());
    assert_eq!(inspection.about(&hot), "wires w0, w1, w2 and w3");
    let turns = inspection.turns_of(&hot);
    let words = "Read the class printed on wires w0, w1, w2 and w3: if it is old PVC, 70 degC it is so.";
    assert_eq!(turns, [words]);
}

#[test]
fn sentences_about_several_things_are_in_the_plural() {
    let document = document(LAMP);
    let subject = |id: &str| Subject::Wire(crate::ids::WireId::new(id).unwrap());
    let (one, two) = (subject("w0"), subject("w1"));
    let inspection = inspected(LAMP);
    let any = &inspection.unknowns[0];
    for (key, of_one, of_two) in [
        (
            "size",
            "read the size printed on wire w0, or measure its conductor",
            "read the size printed on wires w0 and w1, or measure their conductors",
        ),
        ("length_m", "measure how long wire w0 is", "measure how long wires w0 and w1 are"),
        ("insulation", "read the class printed on wire w0", "read the class printed on wires w0 and w1"),
        ("surroundings", "see where wire w0 runs", "see where wires w0 and w1 run"),
        (
            "bundle",
            "count the wires that lie with wire w0 and carry a load, itself included",
            "count the wires that lie with each of wires w0 and w1 and carry a load, itself included",
        ),
        (
            "coil_ohm",
            "measure the coil of wire w0 with the meter",
            "measure the coils of wires w0 and w1 with the meter",
        ),
    ] {
        let unknown = Unknown { key, ..any.clone() };
        assert_eq!(unknown.instruction(&document.network, &[&one]), of_one);
        assert_eq!(unknown.instruction(&document.network, &[&one, &two]), of_two);
    }
}

#[test]
fn what_may_come_of_several_things_is_told_of_each() {
    let text = LAMP
        .replace("insulation=B surroundings=cabin", "surroundings=engine_bay")
        .replace("E1.1 m", "E1.1 mm2=6 m");
    let inspection = inspected(&text);
    let told: Vec<(usize, String)> =
        inspection.gathered().iter().map(|indices| (indices.len(), inspection.may_happen(indices))).collect();
    assert!(told.iter().any(|(n, _)| *n > 1));
    assert!(told.iter().all(|(n, words)| words.starts_with("Of each of them: ") == (*n > 1)), "{told:?}");
}
