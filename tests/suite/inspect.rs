//! Verdicts of inspections hold at whatever value turns up when somebody looks.
//!
//! A part of the cases is tried here; `cargo xtask measure inspect` tries all of them.

use suite::widened::{cases, run, sound};

/// One case in so many.
const EVERY: usize = 23;

#[test]
fn verdicts_hold_at_every_value_that_what_is_not_known_may_have() {
    let cases = cases();
    let report = run(cases.iter().step_by(EVERY));
    println!("{report}");
    assert!(report.wrong.is_empty(), "{report}");
    assert!(report.sure > 100 && report.turning > 5 && report.narrowed > 500, "{report}");
}

#[test]
fn sound_jobs_stay_without_anything_dangerous() {
    for (job, found) in sound() {
        assert!(found.is_empty(), "{job}: {found:?}");
    }
}
