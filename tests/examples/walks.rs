//! Plants faults in jobs and follows the fault walk to its end, with a user who is simulated.
//!
//! `cargo xtask measure walks`

use std::time::Instant;

use engine::document::Document;
use suite::walks::{Tally, User, walk_job};
use suite::{files_in, fixtures, sound};

/// Jobs made by chance.
const N_MADE: usize = 200;

/// Every which fault is planted; the first of a job is another one each time.
const STEP: usize = 12;

/// How many parts a job made by chance has.
const PARTS: std::ops::RangeInclusive<usize> = 5..=40;

fn main() {
    let mut jobs: Vec<(String, Document)> = Vec::new();
    for file in files_in(&fixtures("jobs"), &[".json"]) {
        let bytes = std::fs::read(&file).expect("a fixture that was listed can be read");
        let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        jobs.push((name, engine::file::read(&bytes).expect("a job on file opens")));
    }
    let made = (0..).map(|seed| (format!("made {seed}"), sound::document(seed)));
    jobs.extend(made.filter(|(_, job)| PARTS.contains(&job.network.parts.len())).take(N_MADE));
    for (title, wrong_one_in) in [("every reading right", 0), ("one reading in ten wrong", 10)] {
        let begun = Instant::now();
        let mut all = Tally::default();
        for (index, (name, job)) in jobs.iter().enumerate() {
            let user = User { step: STEP, from: index % STEP, wrong_one_in };
            all.add(walk_job(name, job, user, index as u64));
        }
        println!(
            "{title}, one fault in {STEP} of {} jobs, {:.0} s",
            jobs.len(),
            begun.elapsed().as_secs_f64()
        );
        println!("{all}");
        if wrong_one_in == 0 {
            for missed in &all.missed {
                println!("  {missed}");
            }
        }
    }
}
