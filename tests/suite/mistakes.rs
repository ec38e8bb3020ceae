//! Sound jobs without a mistake give no finding, and mistakes planted in them are found.
//!
//! A tenth of the mistakes is tried here; `cargo xtask measure mistakes` tries all of them and lists every sort that is
//! missed.

use suite::corpus::{N_MADE, plots};
use suite::judge::{Harm, judge, settings};
use suite::score::Plot;
use suite::{score, sound};

/// The share of the mistakes with an effect that must be found as one Stop or Look at the right place. Raise it when
/// the checks find more.
const FLOOR: f64 = 0.99;

#[test]
fn jobs_without_a_mistake_give_neither_stop_nor_look() {
    let alarms: Vec<String> = plots(N_MADE).iter().flat_map(|plot| plot.false_alarms()).collect();
    assert!(alarms.is_empty(), "{}", alarms.join("\n"));
}

/// What the check is timed with is a job like any other.
#[test]
fn a_large_sound_job_gives_neither_stop_nor_look() {
    let plot = Plot::new("large".to_owned(), sound::large(200, 7));
    assert_eq!(plot.false_alarms(), Vec::<String>::new());
    assert!(plot.document.network.parts.len() >= 200);
}

/// The generator and the judge know nothing of each other's limits but what is printed.
#[test]
fn sound_jobs_are_sound_in_the_eyes_of_the_judge() {
    let mut wrong = Vec::new();
    for seed in 0..N_MADE {
        let document = sound::document(seed);
        let judged = judge(&document, &settings(&document));
        wrong.extend(judged.faults.iter().map(|fault| format!("{seed}: {fault}")));
        wrong.extend(judged.never_works().iter().map(|load| format!("{seed}: {load} never works")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn planted_mistakes_are_found() {
    let report = score::run(&plots(N_MADE), 10);
    println!("{report}");
    assert!(report.with_effect() > 1000, "only {} mistakes with an effect", report.with_effect());
    // A harm that never follows is one the judge does not see.
    let unseen: Vec<Harm> = Harm::ALL.into_iter().filter(|harm| !report.harms().contains(harm)).collect();
    assert!(unseen.is_empty(), "no mistake leads to {unseen:?}");
    assert!(report.found_share() >= FLOOR, "only {:.3} of the mistakes are found", report.found_share());
}
