//! The fault walk finds what was planted, with readings that err and a vehicle that is not quite the drawing.
//!
//! A small part of the faults is tried here; `cargo xtask measure walks` tries many more.

use engine::diagnose::{Case, Cause, End, Minutes, Walk, remade};
use engine::document::{Complaint, Document, Found, Probe, Reading, Seen};
use engine::fault::Mode;
use engine::ids::{PartId, TerminalRef};
use engine::laid;
use suite::chance::Chance;
use suite::walks::{Tally, User, Vehicle, walk_job};
use suite::{demonstration, sound};

/// Jobs made by chance that are walked here.
const N_MADE: u64 = 48;

/// Walks a few faults of each job; one reading in so many is wrong, nought for none.
fn walked(step: usize, wrong_one_in: usize) -> Tally {
    let mut all = Tally::default();
    let mut jobs = vec![("dark-lamps".to_owned(), demonstration("dark-lamps"))];
    jobs.extend((100..100 + N_MADE).map(|seed| (format!("made {seed}"), sound::document(seed))));
    for (index, (name, job)) in jobs.iter().enumerate() {
        let user = User { step, from: index, wrong_one_in };
        all.add(walk_job(name, job, user, index as u64));
    }
    println!("{all}{}", all.missed.join("\n"));
    all
}

#[test]
fn planted_faults_are_found() {
    let all = walked(29, 0);
    assert!(all.walks > 120, "only {} walks", all.walks);
    assert!(all.group_share() >= 0.97, "{:?}", all.missed);
    assert!(all.three_share() >= 0.95);
    assert!(all.mean_readings() < 5.0, "{}", all.mean_readings());
}

#[test]
fn planted_faults_are_found_when_one_reading_in_ten_is_wrong() {
    let all = walked(19, 10);
    assert!(all.walks > 180, "only {} walks", all.walks);
    assert!(all.group_share() >= 0.95, "{:?}", all.missed);
    assert!(all.three_share() >= 0.95);
    assert!(all.mean_readings() < 6.5, "{}", all.mean_readings());
}

/// Main beam is on, the switch too, and the driving lamp stays dark: the user wants it with main beam.
fn dark_on_main_beam(document: &Document) -> Complaint {
    let on = "main beam, driving lamps switched on";
    let situation = document.situations.iter().find(|one| one.name == on).expect("it is in the job");
    Complaint {
        situation: situation.clone(),
        probe: Probe::Look(PartId::new("p11").expect("an id"), String::new()),
        should: Found::Seen(Seen::Lit),
        found: Found::Seen(Seen::Dark),
    }
}

/// Follows the walk on a vehicle; gives the causes of the answer and the number of readings.
fn follow(
    case: &Case,
    vehicle: &Vehicle<'_>,
    complaint: &Complaint,
    chance: &mut Chance,
) -> (Vec<usize>, usize) {
    let minutes = Minutes::new();
    let complaints = [complaint.clone()];
    let mut readings: Vec<Reading> = Vec::new();
    loop {
        let standing = Walk { case, complaints: &complaints, readings: &readings, minutes: &minutes }.stand();
        let Some(next) = &standing.next else {
            assert_eq!(standing.end, Some(End::Found));
            let group = standing.group.iter().map(|place| standing.causes[*place].cause);
            return (group.collect(), readings.len());
        };
        readings.push(Reading {
            situation: case.moments[next.moment].situation.clone(),
            probe: next.probe.clone(),
            expected: String::new(),
            found: Some(vehicle.read(&next.probe, next.moment, chance)),
            is_right: None,
        });
    }
}

#[test]
fn a_tap_that_is_drawn_on_the_wrong_wire_is_found_in_four_readings() {
    let document = demonstration("dark-lamps");
    let circuit = laid::circuit(&document);
    let case = Case::new(&circuit, &document.situations);
    let complaint = dark_on_main_beam(&document);
    for seed in 0..8 {
        let mut chance = Chance::new(seed);
        let vehicle = Vehicle::new(&circuit, &case, None, &mut chance);
        let (group, n) = follow(&case, &vehicle, &complaint, &mut chance);
        assert_eq!(case.causes[group[0]], Cause::AsDrawn, "{seed}");
        assert!(n <= 4, "{seed}: {n} readings");
    }
    // What is as drawn is drawn wrong: the tap belongs on main beam.
    let told = remade(&case, &[complaint], &document.situations, &document.interlocks);
    assert_eq!(told[0].what, "Move wire W11 to donor circuit E1 terminal feed.");
    assert_eq!(told[0].n_stops, 0);
}

#[test]
fn a_tap_that_was_put_on_the_wrong_wire_is_found_in_four_readings() {
    let mut document = demonstration("dark-lamps");
    let network = std::sync::Arc::make_mut(&mut document.network);
    let tap = network.wires.iter_mut().find(|wire| wire.id.as_str() == "w11").expect("the tap");
    tap.from = TerminalRef::parse("p5.feed").expect("a terminal");
    let circuit = laid::circuit(&document);
    let case = Case::new(&circuit, &document.situations);
    let wrong = Mode::WrongTap(TerminalRef::parse("p6.feed").expect("a terminal"));
    let is_it = |cause: &Cause| cause.fault().is_some_and(|fault| fault.mode == wrong);
    let planted = case.causes.iter().position(is_it).expect("it is in the list");
    let complaint = dark_on_main_beam(&document);
    for seed in 0..8 {
        let mut chance = Chance::new(seed);
        let vehicle = Vehicle::new(&circuit, &case, case.causes[planted].fault(), &mut chance);
        let (group, n) = follow(&case, &vehicle, &complaint, &mut chance);
        assert!(group.contains(&planted), "{seed}: {:?}", case.causes[group[0]]);
        assert!(n <= 4, "{seed}: {n} readings");
    }
}
