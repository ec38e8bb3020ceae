//! Plants faults in jobs and follows the fault walk to its end, with a user who is simulated.
//!
//! `cargo xtask measure walks`: every fault of every job, first with every reading right, then with one in ten wrong.
//! `--every N` plants one fault in N of each job, another one first in each; `--wrong N` takes one reading in N as wrong,
//! 0 for none; `--job NAME` walks the jobs whose names hold this. What came of it so far is printed as it goes on.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

use engine::diagnose::{Case, Minutes, Walk};
use engine::document::{Complaint, Document, Found, Probe, Seen};
use engine::laid;
use engine::subject::Subject;
use suite::walks::{Tally, User, walk_job};
use suite::{files_in, fixtures, sound};

/// Jobs made by chance.
const N_MADE: usize = 200;

/// How many parts a job made by chance has.
const PARTS: std::ops::RangeInclusive<usize> = 5..=40;

/// The job whose times are told.
const TIMED: &str = "apiary-flatbed";

/// What is asked for on the command line.
struct Asked {
    every: usize,
    wrong: Option<usize>,
    job: String,
}

/// A job, and its place in the list, from which its chances follow.
struct Job {
    index: usize,
    name: String,
    document: Document,
}

fn main() {
    let asked = asked();
    let mut jobs = jobs();
    jobs.retain(|job| job.name.contains(&asked.job));
    // The large ones first, so that no thread is left with one at the end.
    jobs.sort_by_key(|job| std::cmp::Reverse(job.document.network.parts.len()));
    jobs.iter().filter(|job| job.name == TIMED).for_each(print_times);
    let runs = asked.wrong.map_or(vec![0, 10], |wrong| vec![wrong]);
    for wrong_one_in in runs {
        let title = match wrong_one_in {
            0 => "every reading right".to_owned(),
            n => format!("one reading in {n} wrong"),
        };
        let begun = Instant::now();
        let all = walk_all(&jobs, asked.every, wrong_one_in);
        let seconds = begun.elapsed().as_secs_f64();
        println!("{title}, one fault in {} of {} jobs, {seconds:.0} s", asked.every, jobs.len());
        println!("{all}");
        for missed in &all.missed {
            println!("  {missed}");
        }
    }
}

fn asked() -> Asked {
    let mut asked = Asked { every: 1, wrong: None, job: String::new() };
    let mut arguments = std::env::args().skip(1);
    while let Some(name) = arguments.next() {
        let value = arguments.next().unwrap_or_default();
        let number = || value.parse().unwrap_or_else(|_| panic!("`{name}` wants a number, not `{value}`"));
        match name.as_str() {
            "--every" => asked.every = number(),
            "--wrong" => asked.wrong = Some(number()),
            "--job" => asked.job = value,
            _ => panic!("there is no `{name}`: --every N, --wrong N, --job NAME"),
        }
    }
    asked
}

/// The demonstration jobs and those made by chance.
fn jobs() -> Vec<Job> {
    let mut jobs: Vec<(String, Document)> = Vec::new();
    for file in files_in(&fixtures("jobs"), &[".json"]) {
        let bytes = std::fs::read(&file).expect("a fixture that was listed can be read");
        let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        jobs.push((name, engine::file::read(&bytes).expect("a job on file opens")));
    }
    let made = (0..).map(|seed| (format!("made {seed}"), sound::document(seed)));
    jobs.extend(made.filter(|(_, job)| PARTS.contains(&job.network.parts.len())).take(N_MADE));
    let job = |(index, (name, document))| Job { index, name, document };
    jobs.into_iter().enumerate().map(job).collect()
}

/// How long it takes to solve every cause of a job, and to tell where a walk stands: at first, when how far readings may
/// be off is worked out, and later.
fn print_times(job: &Job) {
    let circuit = laid::circuit(&job.document);
    let mut begun = Instant::now();
    let mut ms = || 1e3 * std::mem::replace(&mut begun, Instant::now()).elapsed().as_secs_f64();
    let case = Case::new(&circuit, &job.document.situations);
    let solved = ms();
    let lamp = circuit.loads().find_map(|(branch, load)| match circuit.subject(branch) {
        Subject::Part(part) => Some(Probe::Look(part, load.name.to_owned())),
        _ => None,
    });
    let complaint = Complaint {
        situation: case.moments[case.moments.len() - 1].situation.clone(),
        probe: lamp.expect("the job has a load"),
        should: Found::Seen(Seen::Lit),
        found: Found::Seen(Seen::Dark),
    };
    let walk = Walk { case: &case, complaints: &[complaint], readings: &[], minutes: &Minutes::new() };
    walk.stand();
    let first = ms();
    walk.stand();
    let later = ms();
    println!(
        "{}: {} causes in {} situations solved in {solved:.0} ms; where it stands: {first:.0} ms the first time, {later:.0} ms later",
        job.name,
        case.causes.len(),
        case.moments.len()
    );
}

/// Walks all jobs, as many at a time as there are processors.
fn walk_all(jobs: &[Job], every: usize, wrong_one_in: usize) -> Tally {
    let next = AtomicUsize::new(0);
    let sum = Mutex::new((0, Tally::default()));
    let begun = Instant::now();
    let walk = || {
        while let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
            let user = User { step: every, from: job.index % every, wrong_one_in };
            let own = walk_job(&job.name, &job.document, user, job.index as u64);
            let mut sum = sum.lock().expect("no thread panicked");
            sum.0 += 1;
            sum.1.add(own);
            let seconds = begun.elapsed().as_secs_f64();
            eprintln!("{} of {} jobs, {seconds:.0} s: {}", sum.0, jobs.len(), sum.1.in_short());
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(walk);
        }
    });
    let (_, mut all) = sum.into_inner().expect("no thread panicked");
    all.missed.sort();
    all
}
