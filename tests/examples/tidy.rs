//! Draws 300 circuits and the jobs on file, lists what is wrong with them, counts crossings and bends, also beside
//! every order there is, and times drawing and dragging.
//!
//! `cargo xtask measure tidy`
//!
//! As an example by hand it takes the names of the parts that are wanted: `corpus`, `jobs`, `least`, `times`, `drags`.

#![expect(clippy::unwrap_used, reason = "the circuits are sound")]

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use drawing::board::Board;
use drawing::draw::draw;
use drawing::layout::{beside_the_least, tidy};
use engine::document::{Network, Placement};
use faults::{Toil, toil};
use support::{CORPUS, corpus, senseless, sensible};

#[path = "../../crates/drawing/tests/drawings/faults.rs"]
#[expect(dead_code, reason = "the tests of drawings use the rest")]
mod faults;
#[path = "../../crates/drawing/tests/drawings/support.rs"]
mod support;

/// After so long no further circuit is tried in every order.
const LONGEST: Duration = Duration::from_secs(70);

/// The most orders that are tried one by one.
const MOST_ORDERS: usize = 20_000;

fn main() {
    let parts: [(&str, fn()); 5] =
        [("corpus", whole_corpus), ("jobs", jobs), ("least", least), ("times", times), ("drags", drags)];
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    for (name, run) in parts {
        if wanted.is_empty() || wanted.iter().any(|wanted| wanted == name) {
            run();
        }
    }
}

const SORTS: [&str; 2] = ["sensible", "senseless"];

fn whole_corpus() {
    let mut sums = [Toil::default(); 2];
    let (mut n_wires, mut n_parts) = ([0; 2], (usize::MAX, 0));
    let mut wrong = Vec::new();
    for number in 0..CORPUS {
        let (circuit, network) = corpus(number);
        let scene = draw(&network, &Placement::default());
        let found = faults::faults_as_laid_out(&network, &scene);
        if !found.is_empty() {
            wrong.push(format!("  {number}, {circuit}: {found:?}"));
        }
        let (sum, toil) = (&mut sums[number % 2], toil(&scene));
        sum.n_crossings += toil.n_crossings;
        sum.n_bends += toil.n_bends;
        n_wires[number % 2] += network.wires.len();
        n_parts = (n_parts.0.min(network.parts.len()), n_parts.1.max(network.parts.len()));
    }
    println!("{CORPUS} circuits of {} to {} parts: {} with faults", n_parts.0, n_parts.1, wrong.len());
    wrong.iter().for_each(|line| println!("{line}"));
    for (i, sort) in SORTS.iter().enumerate() {
        let Toil { n_crossings, n_bends } = sums[i];
        println!("  {sort:10} {:6} wires {n_crossings:6} crossings {n_bends:6} bends", n_wires[i]);
    }
}

fn jobs() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/jobs");
    let mut files: Vec<_> = (std::fs::read_dir(folder).into_iter().flatten().flatten())
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "json"))
        .collect();
    files.sort();
    println!("\njobs on file: crossings and bends laid out anew, and as posed");
    for path in files {
        let Some(job) = std::fs::read(&path).ok().and_then(|bytes| engine::file::read(&bytes).ok()) else {
            println!("  {} cannot be read", path.display());
            continue;
        };
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let anew = draw(&job.network, &Placement::default());
        let posed = draw(&job.network, &job.placement);
        let (a, b) = (toil(&anew), toil(&posed));
        println!("  {name:28} {:4} {:4}   {:4} {:4}", a.n_crossings, a.n_bends, b.n_crossings, b.n_bends);
        for (how, found) in [
            ("anew", faults::faults_as_laid_out(&job.network, &anew)),
            ("as posed", faults::faults(&job.network, &posed)),
        ] {
            if !found.is_empty() {
                println!("    {how}: {found:?}");
            }
        }
    }
}

/// The searches beside every order there is, for circuits of up to eight parts.
fn least() {
    let small = (0..200_u64).flat_map(|seed| {
        let n_parts = 4 + seed as usize % 5;
        [("sensible", sensible(seed, n_parts)), ("senseless", senseless(seed, n_parts))]
            .map(|(word, network)| (format!("{word} {seed}"), network))
    });
    let (mut n_tried, mut n_least, mut n_too_many, mut n_left) = (0, 0, 0, 0);
    let mut more = Vec::new();
    let start = Instant::now();
    for (circuit, network) in small.filter(|(_, network)| network.parts.len() <= 8) {
        if start.elapsed() > LONGEST {
            n_left += 1;
            continue;
        }
        match beside_the_least(&network, MOST_ORDERS) {
            Some([found, least]) => {
                n_tried += 1;
                n_least += usize::from(found == least);
                if found != least {
                    more.push(format!("  {circuit}: {found} instead of {least}"));
                }
            }
            None => n_too_many += 1,
        }
    }
    println!(
        "\ncircuits of up to 8 parts: the least crossings and bends of all orders in {n_least} of {n_tried}; \
         {n_too_many} have more than {MOST_ORDERS} orders, {n_left} were left out for want of time"
    );
    more.iter().for_each(|line| println!("{line}"));
}

fn median_and(mut times: Vec<f64>) -> (f64, f64, f64) {
    times.sort_by(f64::total_cmp);
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    (at(50), at(95), at(100))
}

/// The shortest of a few runs, in milliseconds.
fn fastest(mut run: impl FnMut()) -> f64 {
    let times = (0..3).map(|_| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1000.0
    });
    times.fold(f64::INFINITY, f64::min)
}

fn times() {
    println!("\nmilliseconds to lay out, route and letter (median, 95 of 100, most of 20 circuits)");
    for n_parts in [40, 150] {
        for (sort, make) in [("sensible", sensible as fn(u64, usize) -> Network), ("senseless", senseless)] {
            let time = |seed| {
                let network = make(seed, n_parts);
                fastest(|| drop(draw(&network, &Placement::default())))
            };
            let (median, p95, most) = median_and((0..20).map(time).collect());
            println!("  {n_parts:3} parts, {sort:10} {median:7.1} {p95:7.1} {most:7.1}");
        }
    }
}

fn drags() {
    println!(
        "\nmilliseconds to follow a drag at 150 parts (median, 95 of 100, most), and wires that changed"
    );
    for (sort, network) in
        [("sensible", sensible(7, 150)), ("sensible", sensible(30, 150)), ("senseless", senseless(7, 150))]
    {
        let network = Arc::new(network);
        let poses = Arc::new(tidy(&network, &Placement::default()));
        let board = Board::new(&network, &poses);
        let mut times = Vec::new();
        let mut n_changed = Vec::new();
        for chosen in 0..poses.poses.len() {
            for (dx, dy) in [(3, 0), (0, 2), (-2, 1)] {
                let mut moved = (*poses).clone();
                moved.poses[chosen].x += dx;
                moved.poses[chosen].y += dy;
                let moved = Arc::new(moved);
                let mut boards: Vec<Board> = (0..3).map(|_| board.clone()).collect();
                let mut last = None;
                times.push(fastest(|| {
                    let Some(mut board) = boards.pop() else { return };
                    board.update(&network, &moved);
                    last = Some(board);
                }));
                let Some(last) = last else { continue };
                let before = support::wire_paths(board.scene());
                let after = support::wire_paths(last.scene());
                n_changed.push(before.iter().zip(&after).filter(|(a, b)| a.1 != b.1).count() as f64);
            }
        }
        let (median, p95, most) = median_and(times);
        let wires = median_and(n_changed);
        println!(
            "  {sort:10} {:3} wires {median:6.2} {p95:6.2} {most:6.2}   {} {} {}",
            network.wires.len(),
            wires.0,
            wires.1,
            wires.2
        );
    }
}
