//! What is made of a survey in a job: the donor, and the wires to the coil.

use super::*;
use crate::donor_survey::{Against, At, Next, Reading, Taken, candidates, survey};
use crate::file::read_json;
use crate::ids::TerminalRef;
use crate::mend;
use crate::notation;

fn id(text: &str) -> PartId {
    PartId::new(text).unwrap()
}

fn job(text: &str) -> Document {
    Document { network: notation::network(text).unwrap(), ..Document::default() }
}

/// What a lamp shows: of wire 1 and wire 2 against earth and from battery positive, in each light position.
type Lamp = [[[f64; 2]; 2]; 4];

/// Everything that is asked for is read off a lamp.
fn surveyed(lamp: Lamp, drive: Drive) -> (Survey, Readings) {
    let all = candidates(12.0);
    let mut readings = Readings::default();
    loop {
        let told = survey(&all, &readings, 12.0);
        match told.next {
            Some(Next::Take(spot)) => {
                let wire = lamp[spot.lights as usize][usize::from(spot.at == At::Second)];
                let volts = wire[usize::from(spot.against == Against::Positive)];
                readings.taken.push(Reading { spot, taken: Taken::Volts(volts) });
            }
            Some(Next::SayDrive) => readings.drive = Some(drive),
            None => return (told, readings),
        }
    }
}

const AT_EARTH: [f64; 2] = [0.0, 12.6];
const LIVE: [f64; 2] = [12.4, 0.2];
const OPEN: [f64; 2] = [0.0, 0.0];

const POSITIVE: Lamp = [[AT_EARTH, AT_EARTH], [LIVE, AT_EARTH], [AT_EARTH, AT_EARTH], [OPEN, AT_EARTH]];
const PERMANENT: Lamp = [[LIVE, LIVE], [LIVE, AT_EARTH], [LIVE, LIVE], [LIVE, OPEN]];
const ALWAYS: Lamp = [[LIVE, AT_EARTH]; 4];

fn positive() -> (Survey, Readings) {
    surveyed(POSITIVE, Drive::Contact)
}

fn permanent() -> (Survey, Readings) {
    surveyed(PERMANENT, Drive::Contact)
}

fn ends(document: &Document) -> Vec<String> {
    let wires = document.network.wires.iter();
    wires.map(|wire| format!("{} {}", wire.from, wire.to)).collect()
}

#[test]
fn the_surveys_that_these_tests_rest_on_are_clear() {
    assert_eq!(positive().0.verdict, Verdict::One(Nature::Positive));
    assert_eq!(permanent().0.verdict, Verdict::One(Nature::EarthPermanent));
}

#[test]
fn the_answer_becomes_the_donor_and_what_is_not_known_is_not_said() {
    let before = job(
        "battery G1 status=existing\ndonor E1 status=existing lamp_w=60 switching=positive common_feed=switched",
    );
    let (told, readings) = permanent();
    let (after, donor) = donor_after(&before, &told, &readings, Some(&id("E1")), "main beam").unwrap();
    let values = &after.document.network.part(&donor).unwrap().values;
    let word = |name: &str| values.word_or(name, "");
    assert_eq!((word("switching"), word("common_feed")), ("earth", "permanent"));
    assert_eq!((word("drive"), word("signal")), ("contact", "main beam"));
    assert_eq!(after.does.len(), 4, "{:?}", after.does);
    // Without a word on what drives it, that stays open, and a new donor is one that was there before.
    let (told, readings) = surveyed(PERMANENT, Drive::NotKnown);
    let (after, donor) = donor_after(&before, &told, &readings, None, "").unwrap();
    let part = after.document.network.part(&donor).unwrap();
    assert_eq!((part.title(), part.status), ("E2", Status::Existing));
    assert_eq!(part.values.said("drive"), None);
}

/// The tap of the driving lamps is on dipped beam; surveyed is main beam.
#[test]
fn a_trigger_on_the_wrong_lamp_is_led_to_the_right_one() {
    let before = read_json(include_str!("../../../../../fixtures/jobs/dark-lamps.json")).unwrap();
    let network = &before.network;
    let called = |label: &str| network.parts_called(label)[0].id.clone();
    let (told, readings) = positive();
    let (donor, _) = donor_after(&before, &told, &readings, Some(&called("E1")), "main beam").unwrap();
    let offered = offer(&donor.document, &told, &called("E1"), &called("K1"), Some(&called("S1"))).unwrap();
    assert_eq!(offered.does.len(), 1, "{:?}", offered.does);
    let gone = |document: &Document| {
        mend::findings(document).iter().filter(|one| one.check == "interlock-broken").count()
    };
    assert_eq!((gone(&before), gone(&offered.document)), (1, 0));
}

#[test]
fn what_is_wired_as_it_should_be_stays() {
    let before = read_json(include_str!("../../../../../fixtures/jobs/switched-earth-donor.json")).unwrap();
    let offered = offer(&before, &permanent().0, &id("p5"), &id("p9"), Some(&id("p8"))).unwrap();
    assert_eq!((offered.does.len(), offered.document), (0, before));
    let before = read_json(include_str!("../../../../../fixtures/jobs/apiary-flatbed.json")).unwrap();
    let called = |label: &str| before.network.parts_called(label)[0].id.clone();
    let offered = offer(&before, &positive().0, &called("E1"), &called("K1"), Some(&called("S1"))).unwrap();
    assert_eq!(offered.does.len(), 0, "{:?}", offered.does);
}

const LAMP: &str = "battery G1 status=existing
    fuse F1 rating_a=10
    switch S1
    relay K1 suppression=resistor contact_a=30
    lamp E2 watts=55
    earth X1 surface=bare_metal
    wire W1 G1.+ F1.1 mm2=2.5 m=0.1
    wire W2 F1.2 K1.30 mm2=2.5 m=1
    wire W3 K1.87 E2.1 mm2=2.5 m=1
    wire W4 E2.2 X1.1 mm2=2.5 m=0.5";

/// Coil across the lamp's own two wires: 86 by the switch and a fuse to the positive one, 85 to the one that is switched.
#[test]
fn nothing_wired_yet_to_a_lamp_that_is_switched_to_earth() {
    let before = job(&format!(
        "{LAMP}\ndonor E1 status=existing switching=earth common_feed=permanent drive=contact lamp_w=60"
    ));
    let offered = offer(&before, &permanent().0, &id("E1"), &id("K1"), Some(&id("S1"))).unwrap();
    let network = &offered.document.network;
    let fuse = network.parts.iter().find(|part| part.label == "F2").unwrap().id.clone();
    let joined = |one: &str, other: &str| {
        let at = |text: &str| TerminalRef::parse(&text.replace("F2", fuse.as_str())).unwrap();
        network.wires.iter().any(|wire| {
            (wire.from == at(one) && wire.to == at(other)) || (wire.from == at(other) && wire.to == at(one))
        })
    };
    for (one, other) in [("E1.feed", "F2.1"), ("F2.2", "S1.in"), ("S1.out", "K1.86"), ("K1.85", "E1.return")]
    {
        assert!(joined(one, other), "{one} {other}: {:?} {:?}", ends(&offered.document), offered.does);
    }
}

#[test]
fn nothing_wired_yet_to_a_lamp_that_is_switched_on_the_positive_side() {
    let before = job(&format!("{LAMP}\ndonor E1 status=existing drive=contact lamp_w=60"));
    let offered = offer(&before, &positive().0, &id("E1"), &id("K1"), Some(&id("S1"))).unwrap();
    let all = ends(&offered.document);
    assert!(all.contains(&"K1.85 X1.1".to_owned()), "{all:?}");
    assert!(offered.does.iter().any(|one| one.starts_with("fuse F2 of 3 A")), "{:?}", offered.does);
}

/// The coil lies between the wire that is switched to earth and the body: it works upside down.
#[test]
fn a_coil_that_works_upside_down_is_led_to_both_wires_of_the_lamp() {
    let before = job(&format!(
        "{LAMP}\ndonor E1 status=existing switching=earth drive=contact lamp_w=60
        fuse F2 rating_a=3\nwire W5 E1.return F2.1 mm2=1.5 m=0.1\nwire W6 F2.2 K1.86 mm2=1 m=1\nwire W7 K1.85 X1.1 mm2=1.5 m=1"
    ));
    let offered = offer(&before, &permanent().0, &id("E1"), &id("K1"), Some(&id("S1"))).unwrap();
    let all = ends(&offered.document);
    for wanted in ["E1.feed F2.1", "F2.2 S1.in", "K1.85 E1.return", "S1.out K1.86"] {
        assert!(all.contains(&wanted.to_owned()), "{wanted}: {all:?}");
    }
    assert!(
        mend::findings(&before)
            .iter()
            .any(|one| one.check == "works-upside-down" || one.check == "switched-earth-donor")
    );
}

#[test]
fn no_wiring_is_offered_while_a_module_is_not_ruled_out_or_the_wires_are_not_the_lamps() {
    let before = job(&format!("{LAMP}\ndonor E1 status=existing lamp_w=60"));
    let try_with = |told: &Survey| offer(&before, told, &id("E1"), &id("K1"), Some(&id("S1"))).unwrap_err();
    for drive in [Drive::Module, Drive::NotKnown] {
        let (told, _) = surveyed(POSITIVE, drive);
        assert_eq!(try_with(&told), NotOffered::ByModule);
    }
    let (told, readings) = surveyed(ALWAYS, Drive::Contact);
    assert_eq!(
        (told.verdict.clone(), try_with(&told)),
        (Verdict::One(Nature::NotThese), NotOffered::NotThese)
    );
    assert!(donor_after(&before, &told, &readings, None, "").is_err());
    let nothing_read = survey(&candidates(12.0), &Readings::default(), 12.0);
    assert_eq!(try_with(&nothing_read), NotOffered::NotTold);
}

/// Everything is tried first: a relay whose coil asks for more than the supply gives would never pull in.
#[test]
fn what_would_not_work_is_not_offered() {
    let weak = LAMP.replace("relay K1", "relay K1 pull_in_v=14.5");
    let before = job(&format!("{weak}\ndonor E1 status=existing drive=contact lamp_w=60"));
    let refused = offer(&before, &positive().0, &id("E1"), &id("K1"), Some(&id("S1")));
    assert_eq!(refused.unwrap_err(), NotOffered::DoesNotFollow);
}
