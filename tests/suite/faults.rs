//! Faults solved beside the sound circuit, against the changed circuit solved from nothing.

use std::ops::ControlFlow;

use engine::check::worth_a_look;
use engine::circuit::{Change, Circuit};
use engine::document::Document;
use engine::fault::{self, Outcome, Trial};
use engine::kind::{Law, OPENS_ABOVE, Role};
use engine::laid;
use engine::mistakes::{self, Effect};
use engine::quantity::Ohms;
use engine::solve::{Settled, Solver};
use suite::demonstration;

/// Bad joints that are tried, in ohms.
const JOINTS: [f64; 3] = [0.05, 1.0, 50.0];

/// Largest relative difference allowed of a voltage, beside one volt, or a current, beside one ampere.
const ALLOWED: f64 = 1e-9;

/// What the rounding of the voltages at its ends, of some 30 V, can do to the current of a conductor, in amperes: through
/// a microohm in a ring of such, more than is allowed otherwise.
fn rounding(law: Option<&Law>) -> f64 {
    match law {
        Some(Law::Resistance(ohm)) => 30.0 * f64::EPSILON / ohm.get(),
        _ => 0.0,
    }
}

/// The greatest difference between two ends of one situation; infinite when they end in different ways.
fn difference(circuit: &Circuit, one: &Settled, other: &Settled) -> f64 {
    if one.verdict != other.verdict || one.restless != other.restless {
        return f64::INFINITY;
    }
    let (Some(one), Some(other)) = (one.shown(), other.shown()) else { return 0.0 };
    if one.state != other.state {
        return f64::INFINITY;
    }
    let mut worst: f64 = 0.0;
    for net in 0..circuit.nets.len() {
        worst = match (one.steady.volts(net), other.steady.volts(net)) {
            (Some(a), Some(b)) => worst.max((a - b).abs() / a.abs().max(1.0)),
            (None, None) => worst,
            _ => f64::INFINITY,
        };
    }
    for (index, branch) in circuit.branches.iter().enumerate() {
        let (a, b) = (one.steady.amps(index), other.steady.amps(index));
        let beyond = (a - b).abs() - rounding(branch.law.as_ref());
        worst = worst.max(beyond / a.abs().max(1.0));
        worst = match (
            one.steady.between(branch.from, branch.to),
            other.steady.between(branch.from, branch.to),
        ) {
            (Some(a), Some(b)) => worst.max((a - b).abs() / a.abs().max(1.0)),
            (None, None) => worst,
            _ => f64::INFINITY,
        };
    }
    worst
}

fn all_changes(circuit: &Circuit) -> Vec<(String, Vec<Change>)> {
    let mut all = Vec::new();
    for fault in fault::faults(circuit) {
        let joints = if fault.is_resistive() { &JOINTS[..] } else { &JOINTS[..1] };
        for ohm in joints {
            let changes = fault.changes(circuit, Ohms::new(*ohm).expect("it is positive"));
            all.push((fault.in_words(&circuit.resolved.network), changes));
        }
    }
    all
}

/// What comes of these changes with the fuses open that have opened, solved from nothing; none of the others may carry
/// what it is sure to open at.
fn with_open(circuit: &Circuit, changes: &[Change], outcome: &Outcome, positions: &[u8]) -> Settled {
    let opened = outcome.blown.iter().map(|one| Change::Law(one.branch, None));
    let changed = circuit.changed(&changes.iter().copied().chain(opened).collect::<Vec<_>>());
    let settled = Solver::new(&changed).enter(positions.to_vec());
    if let Some(rest) = settled.shown() {
        for (index, branch) in changed.branches.iter().enumerate() {
            if let Role::Protection(Some(rated)) = branch.role {
                let amps = rest.steady.amps(index).abs();
                assert!(amps < OPENS_ABOVE * rated.get(), "{} stays closed", changed.subject(index));
            }
        }
    }
    settled
}

/// The greatest difference over a whole job, and how many situations were compared.
fn compare(document: &Document) -> (f64, usize) {
    let circuit = laid::circuit(document);
    let situations = worth_a_look(&circuit, &document.situations);
    let trial = Trial::new(&circuit);
    let (mut worst, mut n) = (0.0_f64, 0);
    for (words, changes) in all_changes(&circuit) {
        let changed = circuit.changed(&changes);
        let plain = Solver::new(&changed);
        let near = trial.beside(&changed, &changes);
        let only: Vec<Vec<u8>> = situations.iter().map(|(_, positions)| positions.clone()).collect();
        let outcomes = trial.changed(&changes, &only);
        for ((when, positions), outcome) in situations.iter().zip(outcomes) {
            let (one, other) = (near.enter(positions.clone()), plain.enter(positions.clone()));
            let difference = difference(&changed, &one, &other);
            assert!(
                difference < ALLOWED,
                "{words}, {when}: {difference}, {:?} and {:?}",
                one.verdict,
                other.verdict
            );
            let after = with_open(&circuit, &changes, &outcome, positions);
            let difference_after = self::difference(&changed, &outcome.settled, &after);
            assert!(difference_after < ALLOWED, "{words}, {when}, fuses open: {difference_after}");
            worst = worst.max(difference).max(difference_after);
            n += 1;
        }
    }
    (worst, n)
}

#[test]
fn what_is_solved_beside_the_sound_circuit_is_what_it_comes_to() {
    for name in [
        "dark-lamps",
        "switched-earth-donor",
        "honey-stall-trailer",
        "apiary-flatbed",
        "apiary-flatbed-as-bought",
    ] {
        let (worst, n) = compare(&demonstration(name));
        println!("{name}: {n} situations, greatest difference {worst:.1e}");
        assert!(n > 500);
    }
}

#[test]
fn no_mistake_is_told_milder_for_resistances_that_are_left_out() {
    for name in [
        "dark-lamps",
        "switched-earth-donor",
        "honey-stall-trailer",
        "apiary-flatbed",
        "apiary-flatbed-as-bought",
    ] {
        let document = demonstration(name);
        let circuit = laid::circuit(&document);
        let (named, rules) = (&document.situations, &document.interlocks);
        let go_on = &mut |_: u64, _: u64| ControlFlow::Continue(());
        let few = mistakes::table(&circuit, named, rules, go_on);
        let all = mistakes::table_with_every_joint(&circuit, named, rules, go_on);
        assert_eq!(few.rows.len(), all.rows.len());
        for dense in &all.rows {
            let row = few.rows.iter().find(|row| row.fault == dense.fault).expect("it is in both");
            assert_eq!(row.harm, dense.harm, "{name}: {}", row.words);
            for effect in &dense.effects {
                let when = &all.situations[effect.situation];
                let same = row.effects.iter().find(|one| one.situation == effect.situation);
                let Some(same) = same else { panic!("{name}: {}, {when}: nothing told", row.words) };
                assert!(same.harm <= effect.harm, "{name}: {}, {when}: {:?}", row.words, effect);
                let watts = |effect: &Effect| effect.joint.map_or(0.0, |(watts, _)| watts);
                let (told, most) = (watts(same), watts(effect));
                assert!(told >= most * (1.0 - 1e-9), "{name}: {}, {when}: {told} of {most} W", row.words);
            }
        }
    }
}
