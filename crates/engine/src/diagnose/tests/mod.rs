use super::belief::{Belief, Prediction, Reader, predict};
use super::*;
use crate::circuit::{Circuit, build};
use crate::document::{Found, Probe, Seen, Settings, Situation};
use crate::fault::Mode;
use crate::ids::{PartId, TerminalRef};
use crate::notation;

mod told;

fn circuit(text: &str) -> Circuit {
    build(&notation::network(text).unwrap(), &Settings::default())
}

fn part(id: &str) -> PartId {
    PartId::new(id).unwrap()
}

fn set(name: &str, parts: &[&str]) -> Situation {
    let set = parts.iter().map(|id| (part(id), "on".to_owned())).collect();
    Situation { name: name.to_owned(), set }
}

fn volts(at: &str, against: Option<&str>) -> Probe {
    let terminal = |text: &str| TerminalRef::parse(text).unwrap();
    Probe::Volts { at: terminal(at), against: against.map(terminal) }
}

fn reading(situation: &Situation, probe: Probe, found: Found) -> Reading {
    Reading {
        situation: situation.clone(),
        probe,
        expected: String::new(),
        found: Some(found),
        is_right: None,
    }
}

fn complaint(situation: &Situation, lamp: &str, found: Seen) -> Complaint {
    Complaint {
        situation: situation.clone(),
        probe: Probe::Look(part(lamp), String::new()),
        should: Found::Seen(Seen::Lit),
        found: Found::Seen(found),
    }
}

/// Two lamps of 55 W on one feed and one earth point that should have 5 milliohm, each with a switch: the worked case of
/// the shared earth.
const SHARED_EARTH: &str = "
    battery G1 internal_ohm=0.004 strap_ohm=0.001
    earth X1 joint_ohm=0.005
    splice X2 ways=3
    switch S1
    switch S2
    lamp E1 watts=55
    lamp E2 watts=55
    wire w1 G1.+ X2.1 mm2=6 m=1
    wire w2 X2.2 S1.in mm2=2.5 m=2
    wire w3 S1.out E1.1 mm2=2.5 m=2
    wire w4 X2.3 S2.in mm2=2.5 m=2
    wire w5 S2.out E2.1 mm2=2.5 m=2
    wire w6 E1.2 X1.1 mm2=2.5 m=0.3
    wire w7 E2.2 X1.1 mm2=2.5 m=0.3";

/// The variant of a fault, with the resistance nearest to this one.
fn variant(case: &Case, subject: &str, mode: &Mode, ohm: f64) -> usize {
    let is_meant = |cause: &Cause| {
        cause.fault().is_some_and(|fault| fault.subject.id() == subject && fault.mode == *mode)
    };
    let cause = case.causes.iter().position(is_meant).unwrap_or_else(|| panic!("{mode:?} of {subject}"));
    let off = |variant: usize| case.variants[variant].ohm.map_or(0.0, |own| libm::log(own / ohm).abs());
    let own = (0..case.variants.len()).filter(|variant| case.variants[*variant].cause == cause);
    own.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap()
}

/// What somebody finds on a vehicle with this fault who makes no mistake and has a perfect meter.
fn found(case: &Case, variant: usize, probe: &Probe, moment: usize) -> Found {
    let prediction = predict(case, variant, moment, &case.target(probe).unwrap());
    match (prediction, probe) {
        (Prediction::Number(mean, ..), _) => Found::Number(mean),
        (Prediction::Odds([a, b, c]), Probe::Look(..)) => Found::Seen(match (a, b, c) {
            _ if a >= b && a >= c => Seen::Lit,
            _ if b >= c => Seen::Dim,
            _ => Seen::Dark,
        }),
        (Prediction::Odds([yes, ..]), Probe::Fuse(_)) => Found::Whole(yes > 0.5),
        (Prediction::Odds([yes, ..]), _) => Found::Heard(yes > 0.5),
        (Prediction::Unknown, _) => panic!("nothing lasts"),
    }
}

/// Nothing said of how long it takes to get anywhere.
static NO_MINUTES: Minutes = Minutes::new();

fn walk<'w>(case: &'w Case, complaints: &'w [Complaint], readings: &'w [Reading]) -> Walk<'w> {
    Walk { case, complaints, readings, minutes: &NO_MINUTES }
}

/// Follows the walk with what `answer` finds to its end.
fn follow(
    case: &Case,
    complaints: &[Complaint],
    answer: &dyn Fn(&Probe, usize) -> Found,
) -> (Standing, Vec<Reading>) {
    let mut readings: Vec<Reading> = Vec::new();
    loop {
        let standing = walk(case, complaints, &readings).stand();
        let Some(next) = standing.next.clone().filter(|_| readings.len() < 30) else {
            return (standing, readings);
        };
        let found = answer(&next.probe, next.moment);
        readings.push(reading(&case.moments[next.moment].situation, next.probe, found));
    }
}

/// The cause that a standing has first.
fn first(case: &Case, standing: &Standing) -> String {
    case.causes[standing.causes[0].cause].in_words(&case.circuit)
}

#[test]
fn two_dim_lamps_lead_to_the_earth_they_share() {
    let circuit = circuit(SHARED_EARTH);
    let both = set("both on", &["S1", "S2"]);
    let one = set("one on", &["S1"]);
    let case = Case::new(&circuit, &[both.clone(), one.clone()]);
    // Both dim together, and one alone less: its earth point has 0.3 ohm, and 2.5 V across it with both on.
    let complaints = ["E1", "E2"].map(|lamp| complaint(&both, lamp, Seen::Dim));
    let readings = [reading(&both, volts("G1.+", None), Found::Number(12.5))];
    let walk = walk(&case, &complaints, &readings);
    let standing = walk.stand();
    let share = |subject: &str, mode: &Mode| {
        let is_it = |one: &&Ranked| {
            let fault = case.causes[one.cause].fault();
            fault.is_some_and(|fault| fault.subject.id() == subject && fault.mode == *mode)
        };
        standing.causes.iter().find(is_it).map_or(0.0, |one| one.share)
    };
    let earth = share("X1", &Mode::Resistive);
    // No single feed makes both dim, and the battery shows its voltage against the body.
    for feed in ["w2", "w3", "w4", "w5", "w6", "w7"] {
        assert!(earth > 100.0 * share(feed, &Mode::Resistive), "{feed}");
    }
    assert!(earth > 0.3, "{earth}");
    assert!(share("G1", &Mode::Flat) < 0.01 && share("G1", &Mode::Resistive) < 0.01);
    assert!(share("w1", &Mode::Resistive) > 0.3);
    // The next reading is the loss from the earth point to the battery, under load.
    let next = standing.next.clone().unwrap();
    assert_eq!(next.probe, volts("X1.1", Some("G1.-")));
    assert_eq!(case.moments[next.moment].situation.name, "both on");
    let said = next.instruction(&case);
    assert_eq!(
        said,
        "In the situation “both on”: volts, red lead on earth point X1:1, black lead on battery G1:-."
    );
    // What the earth point would lose is told beside what it loses when the feed is bad.
    let expected: Vec<String> = next.expected.iter().map(|one| one.in_words(&walk, &next.probe)).collect();
    let of =
        |subject: &str| expected.iter().find(|one| one.contains(&format!("if {subject} has a bad joint")));
    assert!(of("wire w1").is_some_and(|one| one.starts_with("0.0")), "{expected:?}");
    assert!(of("earth point X1").is_some_and(|one| !one.starts_with("0.0")), "{expected:?}");
    // A reading of 2.5 V ends it, and tells the resistance.
    let all = [readings[0].clone(), reading(&both, next.probe, Found::Number(2.47))];
    let after = Walk { readings: &all, ..walk };
    let told = after.stand();
    let shown = after.cause_in_words(&told.causes[0]);
    assert!(shown.starts_with("earth point X1 has a bad joint to the body"), "{shown}");
    assert!((0.2..0.5).contains(&told.causes[0].ohm.unwrap()), "{shown}");
    assert_eq!(told.causes[0].explains, [0, 1, 3]);
}

/// A lamp behind a fuse and a switch.
const LAMP: &str = "
    battery G1
    earth X1
    fuse F1 rating_a=10
    switch S1
    lamp E1 watts=55
    wire w1 G1.+ F1.1 mm2=2.5 m=0.2
    wire w2 F1.2 S1.in mm2=1.5 m=2
    wire w3 S1.out E1.1 mm2=1.5 m=2
    wire w4 E1.2 X1.1 mm2=1.5 m=0.5";

#[test]
fn only_under_load_does_a_meter_show_a_bad_joint() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let rest = Situation::at_rest();
    let shown = |subject: &str, mode: &Mode, at: &str, situation: &Situation| -> f64 {
        let variant = variant(&case, subject, mode, 5.0);
        let moment = case.moment(situation).unwrap();
        match found(&case, variant, &volts(at, None), moment) {
            Found::Number(volts) => volts,
            _ => panic!("a meter shows a number"),
        }
    };
    // Without load the joint of five ohms loses nothing; under load most of it.
    assert!((shown("w2", &Mode::Resistive, "S1.in", &rest) - 12.6).abs() < 0.01);
    assert!(shown("w2", &Mode::Resistive, "S1.in", &on) < 8.0);
    // Behind a break the meter shows nothing, before it everything.
    assert_eq!(shown("w2", &Mode::Open, "S1.in", &on), 0.0);
    assert!((shown("w2", &Mode::Open, "F1.2", &on) - 12.6).abs() < 0.01);
    // A lamp whose earth is off stands at full voltage on both sides.
    for terminal in ["E1.1", "E1.2"] {
        assert!((shown("w4", &Mode::Open, terminal, &on) - 12.6).abs() < 0.01, "{terminal}");
    }
}

/// Expected 10 V with a standard deviation of 0.2 V, and a source known to 0.42 V (3.5 % of 12 V): a variance of
/// 0.04 + 0.1764 = 0.2164. At 10.5 V the density is exp(-0.25/0.4328)/sqrt(2 pi 0.2164) = 0.48131 per volt, two in a
/// hundred are wrong anywhere in 18 V: ln(0.98 x 0.48131 + 0.02/18) = -0.74911. The source is then taken to be
/// 0.1764 x 0.5/0.2164 = 0.40758 V higher, known to 0.1764 - 0.1764^2/0.2164 = 0.032606.
#[test]
fn likelihoods_are_those_worked_out_by_hand() {
    let circuit = circuit(LAMP);
    let case = Case::new(&circuit, &[]);
    let mut belief = Belief::new(&case, 0, Reader::Careful);
    assert_eq!(belief.log, 0.0);
    let prediction = Prediction::Number(10.0, 0.04, [1.0, 0.0, 0.0, 0.0]);
    let fit = belief.take(&prediction, Found::Number(10.5), 0.02, 18.0);
    assert!((fit.log + 0.749_11).abs() < 1e-4, "{}", fit.log);
    assert!((belief.log - fit.log).abs() < 1e-12);
    assert!((fit.wrong - 0.02 / 18.0 / 0.472_79).abs() < 1e-4);
    let (mean, variance) = belief.expected(10.0, 0.04, &[1.0, 0.0, 0.0, 0.0]);
    assert!((mean - 10.407_58).abs() < 1e-5 && (variance - 0.072_606).abs() < 1e-5, "{mean} {variance}");
    // A reading far off is taken as wrong, and the source is not learned from it.
    let before = belief.clone();
    let fit = belief.take(&prediction, Found::Number(3.0), 0.02, 18.0);
    assert!(fit.wrong > 0.999);
    assert!((fit.log - libm::log(0.02 / 18.0)).abs() < 1e-6);
    assert_eq!(belief.expected(0.0, 0.0, &[1.0; 4]), before.expected(0.0, 0.0, &[1.0; 4]));
    // An eye is wrong two times in a hundred, and then sees any of three.
    let fit = belief.take(&Prediction::Odds([0.9, 0.1, 0.0]), Found::Seen(Seen::Dark), 0.02, 18.0);
    assert!((fit.log - libm::log(0.02 / 3.0)).abs() < 1e-12);
}

/// Seen from the far end of a series, the voltage moves with what is in it: 0.3 ohm known to a tenth, at 4 A, is 0.12 V
/// of standard deviation beside a load that takes its current whatever the voltage... here a resistance of 3 ohm, which
/// gives back a tenth: the spread of the drop is 0.3 x 0.1 x I x 3/3.3.
#[test]
fn the_spread_of_a_reading_is_the_adjoint_of_the_tolerances() {
    let text = "
        battery G1 open_circuit_v=12 internal_ohm=0.000001 strap_ohm=0.000001
        resistor R1 ohm=0.3
        resistor R2 ohm=3
        wire w1 G1.+ R1.1 mm2=95 m=0.01
        wire w2 R1.2 R2.1 mm2=95 m=0.01
        wire w3 R2.2 G1.- mm2=95 m=0.01";
    let circuit = circuit(text);
    let case = Case::new(&circuit, &[]);
    let target = case.target(&volts("R2.1", Some("R2.2"))).unwrap();
    let Prediction::Number(mean, variance, by) = predict(&case, 0, 0, &target) else { panic!("a number") };
    assert!((mean - 12.0 * 3.0 / 3.3).abs() < 0.01, "{mean}");
    // Both resistances, each known to a tenth: dv = 12 x 0.3 x 3/3.3^2 x 0.1 for either.
    let each = 12.0 * 0.3 * 3.0 / (3.3 * 3.3) * 0.1;
    // Three crimps and a strap of a milliohm each in the loop of 3.3 ohm, and the inside of the battery.
    let squared = |value: f64| value * value;
    let crimps = 4.0 * squared(1e-3 * mean / 3.3);
    let meter = squared(figure::METER_SHARE * mean) + squared(figure::METER_V);
    let expected = 2.0 * each * each + crimps + meter;
    assert!((variance - expected).abs() < 0.03 * expected, "{variance} {expected}");
    // A volt more at the battery is as much more here as the divider lets through.
    assert!((by[0] - 3.0 / 3.3).abs() < 1e-3, "{by:?}");
}

#[test]
fn every_fault_of_a_lamp_is_found_and_each_reading_can_be_undone() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    for (subject, mode, ohm) in [
        ("F1", Mode::Blown, 0.0),
        ("w2", Mode::Open, 0.0),
        ("w4", Mode::Open, 0.0),
        ("w3", Mode::Resistive, 2.0),
        ("X1", Mode::Resistive, 1.0),
        ("E1", Mode::Dead(""), 0.0),
        ("w3", Mode::TouchesBody, 0.0),
    ] {
        let truth = variant(&case, subject, &mode, ohm);
        let moment = case.moment(&on).unwrap();
        let lamp = Probe::Look(part("E1"), String::new());
        let Found::Seen(seen) = found(&case, truth, &lamp, moment) else { panic!("a lamp is seen") };
        let complaints = [complaint(&on, "E1", seen)];
        let (standing, readings) =
            follow(&case, &complaints, &|probe, moment| found(&case, truth, probe, moment));
        assert_eq!(standing.end, Some(End::Found), "{mode:?} of {subject}");
        let cause = case.variants[truth].cause;
        assert!(
            standing.group.iter().any(|place| standing.causes[*place].cause == cause),
            "{mode:?} of {subject}"
        );
        assert!(readings.len() <= 6, "{mode:?} of {subject}: {readings:?}");
        // Where the walk stood before the last reading it proposed that one.
        let (last, before) = readings.split_last().unwrap();
        let back = walk(&case, &complaints, before).stand();
        assert_eq!(back.next.unwrap().probe, last.probe);
    }
}

#[test]
fn what_lies_between_points_that_nobody_can_reach_stays_together() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let truth = variant(&case, "w2", &Mode::Open, 0.0);
    let complaints = [complaint(&on, "E1", Seen::Dark)];
    // Nothing behind the fuse can be reached.
    let answer = |probe: &Probe, moment: usize| {
        let reaches = |id: &str| ["G1", "F1"].contains(&id);
        match probe {
            Probe::Volts { at, against } => {
                match [Some(at), against.as_ref()].into_iter().flatten().all(|one| reaches(one.part.as_str()))
                {
                    true => found(&case, truth, probe, moment),
                    false => Found::CannotReach,
                }
            }
            Probe::Amps(_) => Found::CannotReach,
            _ => found(&case, truth, probe, moment),
        }
    };
    let (standing, _) = follow(&case, &complaints, &answer);
    assert_eq!(standing.end, Some(End::OutOfReach));
    let group: Vec<String> = standing
        .group
        .iter()
        .map(|place| case.causes[standing.causes[*place].cause].in_words(&circuit))
        .collect();
    assert!(group.iter().any(|one| one.starts_with("wire w2 is broken")), "{group:?}");
    assert!(group.iter().any(|one| one == "lamp E1 itself is dead"), "{group:?}");
    assert!(group.iter().all(|one| !one.starts_with("wire w1") && !one.contains("F1")), "{group:?}");
    assert!(standing.beyond.is_some());
}

#[test]
fn a_reading_that_fits_nothing_is_asked_for_again_and_does_not_hide_the_cause() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let complaints = [complaint(&on, "E1", Seen::Dark)];
    // The wire to the lamp is broken; one of four readings is wrong, because its lead did not touch.
    let readings = [
        reading(&on, volts("S1.out", None), Found::Number(12.5)),
        reading(&on, volts("E1.1", None), Found::Number(0.0)),
        reading(&on, volts("S1.in", None), Found::Number(12.5)),
        reading(&on, volts("F1.2", None), Found::Number(0.0)),
    ];
    let walk = walk(&case, &complaints, &readings);
    let standing = walk.stand();
    assert_eq!(first(&case, &standing), "wire w3 is broken, or off its terminal at one end");
    assert_eq!(standing.suspicious, Some(3));
    assert_eq!(standing.next.unwrap().probe, readings[3].probe);
    assert_eq!(standing.causes[0].against, [4]);
    let again = [&readings[..], &[reading(&on, volts("F1.2", None), Found::Number(12.6))]].concat();
    let standing = Walk { readings: &again, ..walk }.stand();
    assert_eq!((standing.suspicious, standing.end), (None, Some(End::Found)));
    assert_eq!(first(&case, &standing), "wire w3 is broken, or off its terminal at one end");
}

/// The tolerances of the parts are what they were: held again where it was held before, a meter tells only that it was
/// held right.
#[test]
fn the_same_reading_again_does_not_make_one_cause_likelier_than_another() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let complaints = [complaint(&on, "E1", Seen::Dim)];
    let shares = |times: usize| {
        let readings = vec![reading(&on, volts("E1.1", None), Found::Number(9.3)); times];
        let standing = walk(&case, &complaints, &readings).stand();
        let mut shares: Vec<(usize, f64)> = standing
            .causes
            .iter()
            .map(|one| (one.cause, one.share))
            .filter(|(_, share)| *share > 0.02)
            .collect();
        shares.sort_unstable_by_key(|(cause, _)| *cause);
        shares
    };
    let (once, often) = (shares(1), shares(5));
    assert!(once.len() > 2, "{once:?}");
    assert_eq!(once.len(), often.len(), "{once:?} {often:?}");
    for ((cause, one), (other, more)) in once.into_iter().zip(often) {
        assert!(cause == other && (one - more).abs() < 0.05 * one, "{cause}: {one}, {more}");
    }
}

/// Nothing that may be wrong with the lamp explains forty volts; all causes together expect one thing of the next try.
#[test]
fn a_reading_that_nothing_explains_is_asked_for_again_with_one_expectation() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let complaints = [complaint(&on, "E1", Seen::Dark)];
    let readings = [
        reading(&on, volts("F1.2", None), Found::Number(12.6)),
        reading(&on, volts("S1.out", None), Found::Number(12.6)),
        reading(&on, volts("G1.+", None), Found::Number(40.0)),
    ];
    let walk = walk(&case, &complaints, &readings);
    let standing = walk.stand();
    assert_eq!(standing.suspicious, Some(2));
    let next = standing.next.unwrap();
    assert_eq!(next.probe, readings[2].probe);
    let [expected] = next.expected.as_slice() else { panic!("{:?}", next.expected) };
    assert!(matches!(expected.told, Told::Number(volts, _) if (12.0..13.2).contains(&volts)), "{expected:?}");
    assert!((expected.share - 1.0).abs() < 1e-9);
}

#[test]
fn a_load_whose_wires_are_exchanged_is_seen_where_it_sits_then() {
    let text = "
        battery G1
        earth X1
        fuse F1 rating_a=10
        switch S1 telltale=led lamp_a=0.02
        lamp E1 watts=55
        wire w1 G1.+ F1.1 mm2=2.5 m=0.2
        wire w2 F1.2 S1.in mm2=1.5 m=2
        wire w3 S1.out E1.1 mm2=1.5 m=2
        wire w4 E1.2 X1.1 mm2=1.5 m=0.5
        wire w5 S1.lamp X1.1 mm2=1 m=1";
    let circuit = circuit(text);
    let case = Case::new(&circuit, &[]);
    let name = circuit.loads().find(|(_, load)| !load.name.is_empty()).unwrap().1.name;
    let terminal = crate::ids::TerminalName::new;
    let swapped = variant(&case, "S1", &Mode::Swapped(terminal("in"), terminal("out")), 0.0);
    let telltale = Probe::Look(part("S1"), name.to_owned());
    assert_eq!(found(&case, 0, &telltale, 0), Found::Seen(Seen::Dark));
    assert_eq!(found(&case, swapped, &telltale, 0), Found::Seen(Seen::Lit));
}

#[test]
fn minutes_decide_between_readings_that_tell_as_much() {
    let circuit = circuit(LAMP);
    let on = set("on", &["S1"]);
    let case = Case::new(&circuit, std::slice::from_ref(&on));
    let complaints = [complaint(&on, "E1", Seen::Dark)];
    let next = |minutes: &Minutes| {
        let standing = Walk { case: &case, complaints: &complaints, readings: &[], minutes }.stand();
        standing.next.unwrap()
    };
    let usual = next(&Minutes::new());
    let place = match &usual.probe {
        Probe::Volts { at, .. } => at.part.clone(),
        Probe::Fuse(part) => part.clone(),
        other => panic!("{other:?} gets nowhere"),
    };
    let behind: Minutes = [(place.to_string(), 600.0)].into();
    assert_ne!(next(&behind).probe, usual.probe);
}

#[test]
fn a_job_drawn_wrong_is_told_with_what_to_move() {
    // The driving lamp is to work with the first donor circuit, and is tapped from the second.
    let text = "
        battery G1
        donor E8 lamp_w=55
        donor E9 lamp_w=55
        earth X1
        relay K1
        lamp E1 watts=55
        wire w1 G1.+ K1.30 mm2=2.5 m=1
        wire w2 K1.87 E1.1 mm2=2.5 m=1
        wire w3 E1.2 X1.1 mm2=2.5 m=1
        wire w4 E9.feed K1.86 mm2=1 m=1
        wire w5 K1.85 X1.1 mm2=1 m=1";
    let circuit = circuit(text);
    let main = set("main beam", &["E8"]);
    let case = Case::new(&circuit, std::slice::from_ref(&main));
    let complaints = [complaint(&main, "E1", Seen::Dark)];
    let (standing, readings) = follow(&case, &complaints, &|probe, moment| found(&case, 0, probe, moment));
    assert_eq!(standing.end, Some(End::Found));
    assert_eq!(case.causes[standing.causes[0].cause], Cause::AsDrawn);
    assert!(readings.len() <= 4, "{readings:?}");
    let remade = remade(&case, &complaints, std::slice::from_ref(&main), &[]);
    assert_eq!(remade[0].what, "Move wire w4 to donor circuit E8 terminal feed.");
    let ids: Vec<String> = remade[0].subjects(&case).iter().map(|one| one.id().to_owned()).collect();
    assert_eq!(ids, ["w4", "E8"]);
    // Built as it is drawn, and yet it is not as it should be: so it is told.
    let walk = walk(&case, &complaints, &readings);
    assert_eq!(
        walk.cause_in_words(&standing.causes[0]),
        "the drawing itself is wrong: built as it is drawn, lamp E1 stays dark"
    );
}
