use super::*;
use crate::circuit::{CHASSIS, Circuit, Origin, build};
use crate::document::{Found, Seen, Settings};
use crate::fault::{Mode, seen};
use crate::notation;
use crate::quantity::Ohms;
use crate::solve::{Rest, Solver};

/// Two lamps on a relay, worked by a switch, and a third one on a switch of its own.
const LAMPS: &str = "
    battery G1
    earth X1
    fuse F1 rating_a=15 family=blade-C
    fuse F2 rating_a=5 family=blade-C
    splice X2 ways=3
    switch S1
    switch S2
    relay K1 contact=make suppression=resistor
    lamp E1 watts=55
    lamp E2 watts=55
    lamp E3 watts=5
    wire w1 G1.+ F1.1 mm2=2.5 m=0.3
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 X2.1 mm2=2.5 m=1
    wire w4 X2.2 E1.1 mm2=1.5 m=1
    wire w5 X2.3 E2.1 mm2=1.5 m=1
    wire w6 E1.2 X1.1 mm2=1.5 m=0.5
    wire w7 E2.2 X1.1 mm2=1.5 m=0.5
    wire w8 G1.+ F2.1 mm2=1 m=0.3
    wire w9 F2.2 S1.in mm2=1 m=2
    wire w10 S1.out K1.86 mm2=1 m=2
    wire w11 K1.85 X1.1 mm2=1 m=0.5
    wire w12 F2.2 S2.in mm2=1 m=2
    wire w13 S2.out E3.1 mm2=1 m=2
    wire w14 E3.2 X1.1 mm2=1 m=0.5";

fn lamps() -> Circuit {
    build(&notation::network(LAMPS).unwrap(), &Settings::default())
}

/// Whether a circuit that was solved by itself passes a reading. Exchanged wires are left out: there a lead at a
/// terminal touches another net.
fn passes(
    circuit: &Circuit,
    rest: Option<&Rest>,
    at_rest: Option<&Rest>,
    blown: &[usize],
    step: &Step,
) -> bool {
    let Some(rest) = rest else { return false };
    step.readings.iter().all(|one| passes_one(circuit, rest, at_rest, blown, one))
}

fn passes_one(
    circuit: &Circuit,
    rest: &Rest,
    at_rest: Option<&Rest>,
    blown: &[usize],
    one: &Awaited,
) -> bool {
    let net = |terminal: &crate::ids::TerminalRef| circuit.net_of(terminal).unwrap();
    let of_part = |id: &crate::ids::PartId| {
        let index = circuit.resolved.network.parts.iter().position(|part| part.id == *id).unwrap();
        circuit.branches_of_part(index).map(|(branch, _)| branch).collect::<Vec<_>>()
    };
    let number = |value: f64| match one.expected {
        Told::Number(mean, off) => (value - mean).abs() <= off,
        Told::Plain(_) => false,
    };
    match &one.probe {
        Probe::Volts { at, against } => {
            let other = against.as_ref().map_or(CHASSIS, net);
            number(rest.steady.between(net(at), other).unwrap_or(0.0))
        }
        Probe::Amps(wire) => {
            let index = circuit.wire_index(wire).unwrap();
            let is_it = |branch: &usize| circuit.branches[*branch].origin == Origin::Wire(index);
            number(rest.steady.amps((0..circuit.branches.len()).find(is_it).unwrap()).abs())
        }
        Probe::Look(part, _) => {
            let own = of_part(part);
            let (branch, load) = circuit.loads().find(|(branch, _)| own.contains(branch)).unwrap();
            one.expected == Told::Plain(Found::Seen(seen(circuit, rest, branch, load)))
        }
        Probe::Listen(part) => {
            let own = of_part(part);
            let device = circuit.devices.iter().position(|device| own.contains(&device.branch)).unwrap();
            let was_on = at_rest.is_some_and(|rest| rest.state.devices[device]);
            one.expected == Told::Plain(Found::Heard(rest.state.devices[device] && !was_on))
        }
        Probe::Fuse(part) => {
            let is_open = of_part(part).iter().any(|branch| blown.contains(branch));
            one.expected == Told::Plain(Found::Whole(!is_open))
        }
        Probe::Pin { .. } | Probe::TestLamp { .. } => true,
    }
}

/// Whether what these changes make of the circuit, each situation solved from nothing, passes the whole sheet.
fn passes_all(case: &Case, proof: &Proof, changes: &[crate::circuit::Change]) -> bool {
    let mut open: Vec<usize> = Vec::new();
    loop {
        let cut = open.iter().map(|branch| crate::circuit::Change::Law(*branch, None));
        let changed = case.circuit.changed(&changes.iter().copied().chain(cut).collect::<Vec<_>>());
        let solver = Solver::new(&changed);
        let rests: Vec<Option<Rest>> =
            case.moments.iter().map(|one| solver.enter(one.positions.clone()).shown().cloned()).collect();
        let blows = |branch: &usize| {
            let Some(rated) = changed.rating(*branch) else { return false };
            let opens = crate::kind::OPENS_ABOVE * rated.high.get();
            !open.contains(branch)
                && rests.iter().flatten().any(|rest| rest.steady.amps(*branch).abs() >= opens)
        };
        let more: Vec<usize> = (0..case.circuit.branches.len()).filter(blows).collect();
        if more.is_empty() {
            let drawn_open = |branch: &usize| {
                case.circuit.branches[*branch].law.is_some() && changed.branches[*branch].law.is_none()
            };
            let blown: Vec<usize> = (0..case.circuit.branches.len()).filter(drawn_open).collect();
            return proof
                .steps
                .iter()
                .all(|step| passes(&changed, rests[step.moment].as_ref(), rests[0].as_ref(), &blown, step));
        }
        open.extend(more);
    }
}

#[test]
fn the_sheet_lets_the_sound_job_pass_and_no_fault_that_it_says_it_shows() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    assert!(passes_all(&case, &proof, &[]));
    assert!(proof.shown.len() > 40, "{}", proof.shown.len());
    for (cause, least) in &proof.shown {
        let fault = case.causes[*cause].fault().unwrap();
        if matches!(fault.mode, Mode::Swapped(..) | Mode::Reversed) {
            continue;
        }
        let ohm = Ohms::new(least.unwrap_or(1.0)).unwrap();
        let changes = fault.changes(&circuit, ohm);
        assert!(!passes_all(&case, &proof, &changes), "{}", fault.in_words(&circuit.resolved.network));
    }
}

#[test]
fn what_cannot_be_shown_is_told() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    let told = |one: &Unproved| {
        let fault = case.causes[one.cause].fault().unwrap();
        (fault.subject.id(), fault.mode.clone())
    };
    let unproved: Vec<_> = proof.unproved.iter().map(told).collect();
    // A return wire that touches the body does what it does anyway.
    assert!(unproved.contains(&("w6".to_owned(), Mode::TouchesBody)), "{unproved:?}");
    assert!(!unproved.iter().any(|(_, mode)| *mode == Mode::Open), "{unproved:?}");
}

#[test]
fn no_sheet_could_be_much_shorter() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    assert!(proof.at_least <= proof.steps.len(), "{} of {}", proof.at_least, proof.steps.len());
    assert!(proof.at_least >= 3, "{} of {}", proof.at_least, proof.steps.len());
}

/// A lamp that lights only while both a donor's main beam and a switch are on.
const WITH_MAIN_BEAM: &str = "
    battery G1
    earth X1
    donor E9 lamp_w=55
    fuse F1 rating_a=15 family=blade-C
    switch S1
    switch S2
    relay K1 contact=make
    lamp E1 watts=55
    lamp E2 watts=5
    wire w1 G1.+ F1.1 mm2=2.5 m=0.3
    wire w2 F1.2 K1.30 mm2=2.5 m=1
    wire w3 K1.87 E1.1 mm2=2.5 m=1
    wire w4 E1.2 X1.1 mm2=1.5 m=0.5
    wire w5 E9.feed S1.in mm2=1 m=2
    wire w6 S1.out K1.86 mm2=1 m=2
    wire w7 K1.85 X1.1 mm2=1 m=0.5
    wire w8 F1.2 S2.in mm2=1 m=2
    wire w9 S2.out E2.1 mm2=1 m=2
    wire w10 E2.2 X1.1 mm2=1 m=0.5";

#[test]
fn an_interlock_is_looked_at_where_only_its_condition_is_missing() {
    let network = notation::network(WITH_MAIN_BEAM).unwrap();
    let circuit = build(&network, &Settings::default());
    let interlock = crate::document::sentence::parse("E1 only with E9 on", &network).unwrap();
    let ruled = ruled(&circuit, &[interlock]);
    let names: Vec<&str> = ruled[0].situations.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, ["S1 on"]);
    let case = Case::new(&circuit, &proving_situations(&[], &ruled));
    let proof = prove(&case, &ruled, &Minutes::new());
    assert_eq!(proof.rules[0].how, HowTested::OnTheSheet);
    let step = proof.steps.iter().find(|step| step.rules == [0]).unwrap();
    assert_eq!(case.moments[step.moment].situation.set, ruled[0].situations[0].set);
    let is_dark_lamp = |one: &Awaited| {
        matches!(&one.probe, Probe::Look(part, _) if part.as_str() == "E1")
            && one.expected == Told::Plain(Found::Seen(Seen::Dark))
    };
    assert!(step.readings.iter().any(is_dark_lamp), "{step:?}");
}

#[test]
fn an_interlock_that_the_drawing_breaks_is_told_and_not_tested() {
    let network = notation::network(WITH_MAIN_BEAM).unwrap();
    let circuit = build(&network, &Settings::default());
    let interlock = crate::document::sentence::parse("E2 only with E9 on", &network).unwrap();
    let ruled = ruled(&circuit, &[interlock]);
    let case = Case::new(&circuit, &proving_situations(&[], &ruled));
    let proof = prove(&case, &ruled, &Minutes::new());
    assert_eq!(proof.rules[0].how, HowTested::BrokenAsDrawn);
}

#[test]
fn loads_that_are_looked_at_in_one_situation_are_one_step() {
    let network = notation::network(WITH_MAIN_BEAM).unwrap();
    let circuit = build(&network, &Settings::default());
    let ruled = ruled(&circuit, &[crate::document::sentence::parse("E1 only with E9 on", &network).unwrap()]);
    let case = Case::new(&circuit, &proving_situations(&[], &ruled));
    let proof = prove(&case, &ruled, &Minutes::new());
    let looks: Vec<&Step> =
        proof.steps.iter().filter(|step| matches!(step.readings[0].probe, Probe::Look(..))).collect();
    assert!(looks.iter().any(|step| step.readings.len() > 1), "{looks:?}");
    let moments: BTreeSet<usize> = looks.iter().map(|step| step.moment).collect();
    assert_eq!(moments.len(), looks.len());
}

#[test]
fn what_was_there_before_is_not_proved_beside_what_is_new() {
    let mut network = (*notation::network(LAMPS).unwrap()).clone();
    network.parts[0].status = Status::Existing;
    network.wires[0].status = Status::Existing;
    let circuit = build(&std::sync::Arc::new(network), &Settings::default());
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    assert!(proof.n_old > 0);
    let subject = |cause: &usize| case.causes[*cause].fault().unwrap().subject.id();
    assert!(!proof.shown.iter().any(|(cause, _)| ["G1", "w1"].contains(&subject(cause).as_str())));
}

#[test]
fn where_readings_were_left_out_that_is_told() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let choices = choices(&case, &Minutes::new());
    let whole = candidates::all(&case, &choices, &[]);
    assert!(whole.is_whole);
    let n = whole.all.len();
    assert!(!candidates::up_to(n / 2, &case, &choices, &[]).is_whole);
    assert!(prove(&case, &[], &Minutes::new()).is_whole);
}

#[test]
fn what_passes_can_be_read_back_from_its_words() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    let mut n_numbers = 0;
    for one in proof.steps.iter().flat_map(|step| &step.readings) {
        let passes = |found| crate::diagnose::is_passed_by(&one.probe, &one.passes(), found);
        match one.expected {
            Told::Number(value, off) => {
                n_numbers += 1;
                // The words have two digits behind the point.
                let off = off.max(0.01);
                for (number, is_right) in [
                    (value, true),
                    (value + 0.9 * off, true),
                    (value + 1.1 * off + 0.02, false),
                    (value - 1.1 * off - 0.02, false),
                ] {
                    // As a meter shows it, with as many digits as the words.
                    let typed = (100.0 * number).round() / 100.0;
                    assert_eq!(passes(Found::Number(typed)), Some(is_right), "{typed}: {}", one.passes());
                }
            }
            Told::Plain(found) => assert_eq!(passes(found), Some(true)),
        }
        assert_eq!(passes(Found::CannotReach), None);
    }
    assert!(n_numbers > 3);
}

#[test]
fn what_passes_is_told_as_a_range_and_older_words_still_count() {
    let one = |value, off| Awaited {
        probe: Probe::Amps(crate::ids::WireId::new("w1").unwrap()),
        expected: Told::Number(value, off),
    };
    assert_eq!(one(12.6, 0.85).passes(), "11.75 to 13.45 A");
    assert_eq!(one(0.04, 0.08).passes(), "-0.04 to 0.12 A");
    assert_eq!(one(0.0, 0.0).passes(), "0 A");
    let is_passed = |words, found| {
        crate::diagnose::is_passed_by(&one(0.0, 0.0).probe, words, Found::Number(found)).unwrap()
    };
    for words in ["-0.04 to 0.12 V", "0.04 V, give or take 0.08 V"] {
        for (found, is_right) in [(-0.05, false), (-0.04, true), (0.0, true), (0.12, true), (0.13, false)] {
            assert_eq!(is_passed(words, found), is_right, "{words}: {found}");
        }
    }
    use crate::diagnose::words::pass_the_same;
    assert!(pass_the_same("-0.04 to 0.12 V", "0.04 V, give or take 0.08 V"));
    assert!(!pass_the_same("-0.04 to 0.13 V", "0.04 V, give or take 0.08 V"));
    assert!(!pass_the_same("lit", "dark"));
}

#[test]
fn what_no_step_that_passed_shows_stays_open() {
    let circuit = lamps();
    let case = Case::new(&circuit, &[]);
    let proof = prove(&case, &[], &Minutes::new());
    let mut readings = proof.readings(&case);
    assert!(proof.is_that_of(&case, &readings));
    assert_eq!(proof.left_open(&readings).len(), proof.shown.len());
    for reading in &mut readings {
        (reading.found, reading.is_right) = (Some(Found::CannotReach), Some(true));
    }
    assert_eq!(proof.left_open(&readings).len(), proof.shown.len(), "what nobody reached shows nothing");
    for reading in &mut readings {
        reading.found = Some(Found::Whole(true));
    }
    assert!(proof.left_open(&readings).is_empty());
    assert!(conclusion(&readings).starts_with("All "));
    readings[0].is_right = Some(false);
    assert!(!proof.left_open(&readings).is_empty());
    assert!(conclusion(&readings).starts_with("1 of "));
    readings.pop();
    assert!(!proof.is_that_of(&case, &readings));
}
