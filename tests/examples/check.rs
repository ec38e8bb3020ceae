//! Times the whole check of jobs, from text to findings, and every stage of it; tells how it grows with the job.
//!
//! `cargo xtask measure check`, or the built program with names of demonstration jobs or numbers of parts. After
//! `--questions FOLDER` it writes jobs as questions of the page to the worker, for the measurement `worker`.

use std::fs;
use std::hint::black_box;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use engine::answer::Request;
use engine::check::{ALL, Context, run_all};
use engine::circuit::build;
use engine::document::{Document, Network, Settings, Situation};
use engine::finding::Finding;
use engine::given::Given;
use engine::quantity::Metres;
use engine::solve::Solver;
use engine::sweep::Sweeper;
use engine::{notation, post};
use suite::sound;

/// How long the rounds of one job go on, and the most of them.
const LIMIT: Duration = Duration::from_secs(4);
const MOST_ROUNDS: usize = 200;

/// Demonstration jobs, and parts of jobs made by chance.
const NAMED: [&str; 2] = ["apiary-flatbed", "apiary-flatbed-as-bought"];
const SIZES: [usize; 7] = [40, 77, 150, 300, 1_000, 3_000, 10_000];

/// The largest of these that is asked of the worker: the page has nothing to show for more.
const MOST_ASKED: usize = 1_000;

/// Switches that have nothing to do with each other.
const N_SWITCHES: usize = 12;

/// Share of the whole below which a check gets no line of its own.
const LITTLE: f64 = 0.01;

fn main() {
    let mut given: Vec<String> = std::env::args().skip(1).collect();
    if given.first().is_some_and(|first| first == "--questions") {
        write_questions(given.get(1).expect("a folder for the questions"));
        return;
    }
    let is_all = given.is_empty();
    if is_all {
        given = NAMED.map(str::to_owned).into_iter().chain(SIZES.map(|size| size.to_string())).collect();
    }
    let mut growth: Vec<(f64, f64)> = Vec::new();
    for name in &given {
        let document = document(name);
        let whole = measure(name, &document);
        if name.parse::<usize>().is_ok() {
            growth.push((document.network.parts.len() as f64, whole.as_secs_f64()));
        }
    }
    if is_all {
        measure_sweep();
    }
    tell_growth(&growth);
}

/// A demonstration job by its name, or a job made by chance of at least so many parts.
fn document(name: &str) -> Document {
    if let Ok(n_parts) = name.parse() {
        return sound::large(n_parts, 7);
    }
    let path = format!("{}/../fixtures/jobs/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read(&path).unwrap_or_else(|error| panic!("cannot read `{path}`: {error}"));
    engine::file::read(&text).expect("a demonstration job can be read")
}

/// Times by what they were taken of, in the order of the first round.
#[derive(Default)]
struct Times(Vec<(String, Vec<Duration>)>);

impl Times {
    fn of<T>(&mut self, what: &str, work: impl FnOnce() -> T) -> T {
        let start = Instant::now();
        let made = black_box(work());
        let time = start.elapsed();
        match self.0.iter_mut().find(|(known, _)| known == what) {
            Some((_, times)) => times.push(time),
            None => self.0.push((what.to_owned(), vec![time])),
        }
        made
    }

    /// Prints those that take more than a little of `whole`, and the sum of the medians of the others.
    fn print(&mut self, whole: Duration) {
        let mut rest = Duration::ZERO;
        for (what, times) in &mut self.0 {
            times.sort_unstable();
            if at(times, 50) < whole.mul_f64(LITTLE) {
                rest += at(times, 50);
            } else {
                print(what, times);
            }
        }
        println!("  {:<28} {:>10} {:10.3}", "everything else", "", milliseconds(rest));
    }
}

/// Rounds until the time is up, at least one.
fn rounds(mut round: impl FnMut()) {
    let start = Instant::now();
    for _ in 0..MOST_ROUNDS {
        round();
        if start.elapsed() > LIMIT {
            break;
        }
    }
}

/// Prints a table of times, and gives the median of the whole.
fn measure(name: &str, document: &Document) -> Duration {
    let (n_parts, n_wires) = (document.network.parts.len(), document.network.wires.len());
    let mut whole = Vec::new();
    let mut n_findings = 0;
    rounds(|| {
        let start = Instant::now();
        let circuit = engine::laid::circuit(document);
        n_findings = run_all(&circuit, &document.situations, &document.interlocks).len();
        whole.push(start.elapsed());
    });
    whole.sort_unstable();
    let text = engine::file::write_json(document);
    let mut stages = Times::default();
    let mut n_situations = 0;
    let mut is_complete = false;
    rounds(|| {
        stages.of("read the file", || engine::file::read(text.as_bytes()).is_ok());
        let circuit = stages.of("build the circuit", || engine::laid::circuit(document));
        let context =
            stages.of("survey", || Context::new(&circuit, &document.situations, &document.interlocks));
        n_situations = context.survey.situations.len();
        stages.of("prospects", || context.prospects().lowest.len());
        stages.of("zones", || context.zones().of(0));
        stages.of("sweep", || is_complete = context.survey.sweep().is_complete());
        stages.of("states of the sweep", || context.survey.states().len());
        stages.of("loads that work", || context.survey.lit().branches.len());
        for check in ALL {
            stages.of(check.name, || {
                let mut findings: Vec<Finding> = Vec::new();
                (check.run)(&context, &mut findings);
            });
        }
    });
    let complete = if is_complete { "complete" } else { "not finished" };
    println!(
        "{name}: {n_parts} parts, {n_wires} wires, {n_situations} situations, {n_findings} findings, sweep {complete}"
    );
    println!("  {:<28} {:>10} {:>10} {:>10}", "milliseconds", "least", "median", "95th");
    stages.print(at(&whole, 50));
    print(&format!("the whole check, {} times", whole.len()), &whole);
    at(&whole, 50)
}

/// The sweep of switches that have nothing to do with each other but the supply, each with its lamp and relay.
fn measure_sweep() {
    let mut text = "battery G1\nearth X1\n".to_owned();
    for n in 1..=N_SWITCHES {
        text += &format!(
            "fuse F{n} rating_a=10\nswitch S{n}\nrelay K{n}\nlamp E{n} watts=21
            wire a{n} G1.+ F{n}.1 mm2=2.5 m=1\nwire b{n} F{n}.2 S{n}.in mm2=1 m=1\nwire c{n} S{n}.out K{n}.86 mm2=1 m=1
            wire d{n} K{n}.85 X1.1 mm2=1 m=1\nwire e{n} F{n}.2 K{n}.30 mm2=1 m=1\nwire f{n} K{n}.87 E{n}.1 mm2=1 m=1
            wire g{n} E{n}.2 X1.1 mm2=1 m=1\n"
        );
    }
    let network: Arc<Network> = notation::network(&text).expect("the notation holds");
    let circuit = build(&network, &Settings::default());
    let mut times = Vec::new();
    let mut is_complete = false;
    rounds(|| {
        let start = Instant::now();
        let sweeper = Sweeper::new(Rc::new(Solver::new(&circuit)));
        is_complete = sweeper.sweep(&mut |_, _| std::ops::ControlFlow::Continue(())).is_complete();
        times.push(start.elapsed());
    });
    times.sort_unstable();
    println!("{N_SWITCHES} switches with a relay and a lamp each, swept without a limit");
    println!("  {:<28} {:>10} {:>10} {:>10}", "milliseconds", "least", "median", "95th");
    print(if is_complete { "sweep" } else { "sweep, not finished" }, &times);
}

/// Prints the powers of the parts that the check grows with, from size to size and over all.
fn tell_growth(whole: &[(f64, f64)]) {
    if whole.len() < 2 {
        return;
    }
    let power = |(n0, t0): (f64, f64), (n1, t1): (f64, f64)| (t1 / t0).ln() / (n1 / n0).ln();
    println!("the whole check grows with this power of the parts");
    for pair in whole.windows(2) {
        println!("  from {:>6} to {:>6}   {:.2}", pair[0].0, pair[1].0, power(pair[0], pair[1]));
    }
    // The slope of the straight line through the logarithms that misses them least.
    let points: Vec<(f64, f64)> = whole.iter().map(|(n, t)| (n.ln(), t.ln())).collect();
    let mean = |take: fn(&(f64, f64)) -> f64| points.iter().map(take).sum::<f64>() / points.len() as f64;
    let (middle, height) = (mean(|point| point.0), mean(|point| point.1));
    let along: f64 = points.iter().map(|(n, t)| (n - middle) * (t - height)).sum();
    let spread: f64 = points.iter().map(|(n, _)| (n - middle) * (n - middle)).sum();
    println!("  over all of them        {:.2}", along / spread);
}

/// Writes each job twice, with one wire a little longer the second time, so that whoever is asked one after the other
/// has to find out everything anew.
fn write_questions(folder: &str) {
    let sizes = SIZES.into_iter().filter(|size| *size <= MOST_ASKED).map(|size| size.to_string());
    for name in NAMED.map(str::to_owned).into_iter().chain(sizes) {
        let mut document = document(&name);
        for turn in ["one", "other"] {
            let situation = document.situations.first().cloned().unwrap_or_else(Situation::at_rest);
            let request = Request { revision: 1, situation, load: None };
            let question = post::question(&post::packed(&document), &request);
            let path = format!("{folder}/{name}.{turn}");
            fs::write(&path, question).unwrap_or_else(|error| panic!("cannot write `{path}`: {error}"));
            let network = Arc::make_mut(&mut document.network);
            let wire = network.wires.first_mut().expect("a job of some size has wires");
            if let Given::Known(length) = wire.length {
                wire.length = Metres::new(length.get() + 0.001).map_or(Given::NotKnown, Given::Known);
            }
        }
    }
}

fn print(what: &str, times: &[Duration]) {
    let [least, median, p95] = [0, 50, 95].map(|share| milliseconds(at(times, share)));
    println!("  {what:<28} {least:10.3} {median:10.3} {p95:10.3}");
}

/// The time that so many of 100 do not exceed, of times that rise.
fn at(times: &[Duration], share: usize) -> Duration {
    times[((times.len() - 1) * share).div_ceil(100)]
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
