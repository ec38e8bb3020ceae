//! Times the whole check of the demonstration job, from its text to its findings, and the parts of it.
//!
//! `cargo xtask measure check`

use std::hint::black_box;
use std::time::{Duration, Instant};

use engine::check::{ALL, Context, run_all};
use engine::circuit::build;
use engine::solve::Solver;

/// Rounds timed for each line.
const ROUNDS: usize = 400;

fn main() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/jobs/");
    let given: Vec<String> = std::env::args().skip(1).collect();
    let names = ["apiary-flatbed", "apiary-flatbed-as-bought"].map(str::to_owned);
    for name in if given.is_empty() { &names[..] } else { &given } {
        let path = format!("{root}{name}.json");
        let text = std::fs::read(&path).unwrap_or_else(|error| panic!("cannot read `{path}`: {error}"));
        measure(name, &text);
    }
}

fn measure(name: &str, text: &[u8]) {
    let document = engine::file::read(text).expect("a demonstration job can be read");
    let circuit = build(&document.network, &document.settings);
    let (n_parts, n_wires) = (document.network.parts.len(), document.network.wires.len());
    let context = Context::new(&circuit, &document.situations, &document.interlocks);
    let n_situations = context.survey.situations.len();
    let n_findings = run_all(&circuit, &document.situations, &document.interlocks).len();
    println!(
        "{name}: {n_parts} parts, {n_wires} wires, {n_situations} situations, {n_findings} findings; \
         milliseconds, least and median of {ROUNDS}"
    );
    line("read the file", || engine::file::read(text));
    line("build the circuit", || build(&document.network, &document.settings));
    line("prepare the solver", || Solver::new(&circuit));
    line("solve all situations", || Context::new(&circuit, &document.situations, &document.interlocks));
    for check in ALL {
        line(check.name, || {
            let mut findings = Vec::new();
            (check.run)(&context, &mut findings);
            findings
        });
    }
    line("check a built circuit", || run_all(&circuit, &document.situations, &document.interlocks));
    line("check the job", || {
        let circuit = build(&document.network, &document.settings);
        run_all(&circuit, &document.situations, &document.interlocks)
    });
}

fn line<T>(what: &str, mut work: impl FnMut() -> T) {
    let mut times: Vec<Duration> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    println!("  {what:<24} {:8.3} {:8.3}", milliseconds(times[0]), milliseconds(times[ROUNDS / 2]));
}
