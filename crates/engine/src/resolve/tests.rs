use super::*;
use crate::notation;

/// What is assumed about `subject` (as its `Display` writes it) in a job of `nominal_v` volts.
fn told_at(nominal_v: f64, job: &str, subject: &str) -> Vec<String> {
    let network = notation::network(job).unwrap_or_else(|error| panic!("{error}\n{job}"));
    let resolved = resolve(&network, &Settings::of(nominal_v));
    let about = resolved.assumptions.into_iter().filter(|one| one.subject.to_string() == subject);
    about.map(|one| one.text).collect()
}

fn told_about(job: &str, subject: &str) -> Vec<String> {
    told_at(12.0, job, subject)
}

#[test]
fn a_wire_that_is_not_said_to_run_in_a_bundle_or_sleeve_is_told_of() {
    let ends = "lamp E1 watts=55\nearth X1\n";
    assert_eq!(
        told_about(&format!("{ends}wire w1 E1.2 X1.1 mm2=1 m=1"), "wire w1"),
        [
            "insulation: not given, class B (100 degC) assumed",
            "surroundings: not given, 50 degC assumed",
            "bundle: not given, one wire by itself in free air assumed",
            "sleeve: not given, none assumed",
        ]
    );
    let sleeved = told_about(&format!("{ends}wire w1 E1.2 X1.1 mm2=1 m=1 sleeve=conduit"), "wire w1");
    let together = "bundle: not given on a wire in a sleeve, two or three loaded wires together assumed";
    assert!(sleeved.iter().any(|text| text == together), "{sleeved:?}");
    let said = format!("{ends}wire w1 E1.2 X1.1 mm2=1 m=1 bundle=4 sleeve=conduit");
    assert!(
        told_about(&said, "wire w1").iter().all(|text| !text.contains("bundle") && !text.contains("sleeve"))
    );
}

#[test]
fn a_value_that_nothing_stands_in_for_is_told_with_what_follows() {
    for (part, subject, text) in [
        ("lamp E1", "part E1", "rated power: not given, so its current is left out and not judged"),
        ("led-lamp E1", "part E1", "power while on: not given, so its current is left out and not judged"),
        (
            "motor M1",
            "part M1",
            "current while running: not given, so its current is left out and not judged",
        ),
        (
            "donor E1",
            "part E1",
            "power of the vehicle's own lamp: not given, so its current is left out and not judged",
        ),
        ("fuse F1", "part F1", "rated current: not given, so the wires behind it are not judged by it"),
        ("breaker F1", "part F1", "rated current: not given, so the wires behind it are not judged by it"),
        ("alternator G1", "part G1", "the most it delivers: not given, no limit assumed"),
        (
            "socket X1 rating_a=10",
            "part X1",
            "current of what is plugged in: not given, the whole rated current assumed, as a plain resistance",
        ),
    ] {
        let told = told_about(part, subject);
        assert!(told.iter().any(|line| line == text), "{part}: {told:?}");
    }
    let said = told_about("lamp E1 watts=55", "part E1");
    assert!(said.iter().all(|line| !line.contains("rated power")), "{said:?}");
}

#[test]
fn words_that_decide_a_verdict_are_told_when_they_were_not_said() {
    for (part, told, said) in [
        ("fuse F1 rating_a=10", "type of fuse link: not given, blade-C assumed", "family=strip"),
        ("breaker F1 rating_a=10", "how it closes again: not given, manual assumed", "reset=automatic"),
        ("relay K1", "form of the contact: not given, make assumed", "contact=make"),
        (
            "relay K1",
            "what limits the coil's switch-off voltage: not given, none assumed",
            "suppression=none",
        ),
        ("donor E1", "which side the vehicle switches: not given, positive assumed", "switching=positive"),
        ("donor E1", "what drives the lamp: not given, contact assumed", "drive=contact"),
        (
            "led-lamp E1 watts=20",
            "what it does when connected the wrong way round: not given, blocks assumed",
            "reverse=blocks",
        ),
    ] {
        let subject = format!("part {}", part.split(' ').nth(1).unwrap());
        assert!(told_about(part, &subject).iter().any(|line| line == told), "{part}");
        let given = told_about(&format!("{part} {said}"), &subject);
        assert!(given.iter().all(|line| line != told), "{part} {said}: {given:?}");
    }
}

#[test]
fn a_word_that_only_shapes_the_part_is_not_told() {
    let told = told_about("switch S1", "part S1");
    assert_eq!(told, ["resistance of a closed contact: not given, 0.01 ohm assumed"]);
}

#[test]
fn only_the_values_of_the_light_source_that_is_there_are_told() {
    let told = told_about(
        "twin-lamp E1 beam.kind=lamp beam.watts=55 position.kind=led-lamp position.watts=5",
        "part E1",
    );
    assert_eq!(
        told,
        [
            "beam, filament: voltage at which the rating holds: not given, 12 V assumed",
            "beam, filament: hot resistance over cold resistance: not given, 12 assumed",
            "position, electronic: it turns off below this voltage: not given, 9 V assumed",
            "position, electronic: it turns on above this voltage: not given, 10.5 V assumed",
            "position, electronic: what it does when connected the wrong way round: not given, blocks assumed",
            "position, electronic: resistance while off: not given, so it is taken not to leak, and no glow of it while off is computed",
        ]
    );
}

#[test]
fn simplifications_are_told_of_what_was_said() {
    for (part, text) in [
        ("motor M1 run_a=5", "current while running: taken as a plain resistance"),
        ("socket M1 drawn_a=5", "current of what is plugged in: taken as a plain resistance"),
        (
            "switch M1 telltale=led lamp_a=0.02",
            "current of a light-emitting-diode tell-tale: taken as a plain resistance at the nominal voltage",
        ),
        (
            "donor M1 drive=module",
            "what drives the lamp: reduced and pulsed light solved at its peak, its mean is not known",
        ),
    ] {
        let told = told_about(part, "part M1");
        assert!(told.iter().any(|line| line == text), "{part}: {told:?}");
    }
    // The current of a tell-tale that is not there counts for nothing.
    let told = told_about("switch S1 telltale=none lamp_a=0.02", "part S1");
    assert!(told.iter().all(|line| !line.contains("tell-tale")), "{told:?}");
}

#[test]
fn which_battery_feeds_a_donor_is_told_only_when_there_are_several() {
    let line = "which battery feeds it, else the first one: not given, the first one assumed";
    let one = told_about("battery G1\ndonor E1", "part E1");
    assert!(one.iter().all(|text| text != line), "{one:?}");
    assert!(told_about("battery G1\nbattery G2\ndonor E1", "part E1").iter().any(|text| text == line));
}

#[test]
fn the_feed_of_a_donor_matters_only_where_its_earth_is_switched() {
    let feed = |job: &str| told_about(job, "part E1").iter().any(|text| text.contains("permanent assumed"));
    assert!(feed("donor E1 switching=earth"));
    assert!(!feed("donor E1 switching=earth common_feed=switched"));
    assert!(!feed("donor E1 switching=positive"));
}

#[test]
fn an_electronic_lamp_for_24_volts_is_taken_at_its_own_voltages() {
    let told = told_at(24.0, "led-lamp E1 watts=20", "part E1");
    assert!(
        told.iter().any(|line| line == "it turns off below this voltage: not given, 18 V assumed"),
        "{told:?}"
    );
    assert!(
        told.iter().any(|line| line == "it turns on above this voltage: not given, 21 V assumed"),
        "{told:?}"
    );
}

/// Where another value rules out what would be assumed, nothing is.
#[test]
fn nothing_is_assumed_where_another_value_rules_it_out() {
    for (part, key, told) in [
        ("fuse E1 rating_a=60", "family", "the usual blade is not made for so much"),
        ("fuse E1 rating_a=30..60", "family", "the usual blade is not made for so much"),
        ("fuse E1 rating_a=10 family=glass", "breaking_a", "of a glass tube that is not known"),
        ("battery E1 capacity_ah=100 chemistry=lithium", "peukert", "of lithium cells none is known"),
    ] {
        let network = notation::network(part).unwrap();
        let resolved = resolve(&network, &Arc::new(Settings::default()));
        assert!(!resolved.parts[0].as_ref().unwrap().has(key), "{part}");
        let found = resolved.assumptions.iter().find(|one| one.key == key).unwrap();
        assert!(found.text.contains(told) && found.unjudged.is_some(), "{part}: {}", found.text);
    }
    assert!(told_about("fuse E1 rating_a=40", "part E1").iter().any(|text| text.contains("blade-C assumed")));
}
