//! Times the whole check of jobs, from text to findings, and the parts of it; tells how it grows with the job.
//!
//! `cargo xtask measure check`

use std::hint::black_box;
use std::time::{Duration, Instant};

use engine::check::{ALL, Context, run_all};
use engine::circuit::build;
use engine::document::Document;
use engine::solve::Solver;
use suite::sound;

/// Rounds timed for each line of a job of ordinary size.
const ROUNDS: usize = 400;

/// Parts of the jobs made by chance, and the rounds timed for each line.
const SIZES: [(usize, usize); 3] = [(40, ROUNDS), (1_000, 20), (10_000, 1)];

fn main() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/jobs/");
    let given: Vec<String> = std::env::args().skip(1).collect();
    let names = ["apiary-flatbed", "apiary-flatbed-as-bought"].map(str::to_owned);
    for name in if given.is_empty() { &names[..] } else { &given } {
        let path = format!("{root}{name}.json");
        let text = std::fs::read(&path).unwrap_or_else(|error| panic!("cannot read `{path}`: {error}"));
        let document = engine::file::read(&text).expect("a demonstration job can be read");
        measure(name, &document, ROUNDS);
    }
    if !given.is_empty() {
        return;
    }
    let mut whole = Vec::new();
    for (n_parts, rounds) in SIZES {
        let document = sound::large(n_parts, 7);
        let time = measure("made by chance", &document, rounds);
        whole.push((document.network.parts.len() as f64, time.as_secs_f64()));
    }
    for pair in whole.windows(2) {
        let ((n0, t0), (n1, t1)) = (pair[0], pair[1]);
        let exponent = (t1 / t0).ln() / (n1 / n0).ln();
        println!(
            "from {n0} to {n1} parts the check of the job grows with the power {exponent:.2} of the parts"
        );
    }
}

/// Prints a table of times, and gives the median of the whole.
fn measure(name: &str, document: &Document, rounds: usize) -> Duration {
    let text = engine::file::write_json(document);
    let circuit = build(&document.network, &document.settings);
    let (n_parts, n_wires) = (document.network.parts.len(), document.network.wires.len());
    let context = Context::new(&circuit, &document.situations, &document.interlocks);
    let n_situations = context.survey.situations.len();
    println!(
        "{name}: {n_parts} parts, {n_wires} wires, {n_situations} situations; milliseconds, least, median and 95th of 100, \
         of {rounds}"
    );
    let line = |what: &str, work: &mut dyn FnMut()| line(what, rounds, work);
    line("read the file", &mut || drop(black_box(engine::file::read(text.as_bytes()))));
    line("build the circuit", &mut || drop(black_box(build(&document.network, &document.settings))));
    line("prepare the solver", &mut || drop(black_box(Solver::new(&circuit))));
    line("solve all situations", &mut || {
        drop(black_box(Context::new(&circuit, &document.situations, &document.interlocks)))
    });
    for check in ALL {
        // What checks share is found out in the first round; the median is without it.
        line(check.name, &mut || {
            let mut findings = Vec::new();
            (check.run)(&context, &mut findings);
            black_box(findings);
        });
    }
    drop(context);
    let mut n_findings = 0;
    let whole = line("check the job", &mut || {
        let circuit = build(&document.network, &document.settings);
        n_findings = run_all(&circuit, &document.situations, &document.interlocks).len();
    });
    println!("  {n_findings} findings");
    whole
}

fn line(what: &str, rounds: usize, work: &mut dyn FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    let at = |share: usize| times[((rounds - 1) * share).div_ceil(100)];
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    let [least, median, p95] = [0, 50, 95].map(|share| milliseconds(at(share)));
    println!("  {what:<24} {least:10.3} {median:10.3} {p95:10.3}");
    at(50)
}
