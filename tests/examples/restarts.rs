//! Counts the crossings and bends of 300 circuits as they are drawn, beside the best of 200 drawings of each that
//! begin with orders made by chance.
//!
//! `cargo xtask measure restarts`
//!
//! That is 60,000 drawings, spread over all processors. With arguments, as an example by hand: how often each
//! circuit is begun anew, and every how many pairs of circuits are taken.

#![expect(clippy::unwrap_used, reason = "the circuits are sound")]

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use drawing::draw::{draw, draw_laid_out};
use drawing::layout::lay_out_by_chance;
use engine::document::Placement;
use faults::{Toil, toil};
use support::{CORPUS, corpus};

#[path = "../../crates/drawing/tests/drawings/faults.rs"]
#[expect(dead_code, reason = "the tests of drawings use the rest")]
mod faults;
#[path = "../../crates/drawing/tests/drawings/support.rs"]
mod support;

/// How often each circuit is begun anew.
const RESTARTS: usize = 200;

/// A drawing may have so many times the crossings and bends of the best one.
const MOST: f64 = 1.15;

/// What came of one circuit.
struct Beside {
    number: usize,
    circuit: String,
    own: Toil,
    /// The drawing with the fewest crossings and bends in sum.
    best: Toil,
    /// The fewest crossings of any drawing.
    least_crossings: usize,
}

impl Beside {
    fn ratio(&self) -> f64 {
        self.own.sum() as f64 / self.best.sum().max(1) as f64
    }
}

fn main() {
    let mut said = std::env::args().skip(1).map(|word| word.parse::<usize>().unwrap());
    let (n_restarts, every) = (said.next().unwrap_or(RESTARTS), said.next().unwrap_or(1));
    let mut numbers: Vec<usize> = (0..CORPUS).filter(|number| number / 2 % every == 0).collect();
    // The large ones first, so that no processor is left with one of them at the end.
    numbers.sort_by_key(|&number| std::cmp::Reverse(corpus(number).1.wires.len()));
    let (next, found) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                while let Some(&number) = numbers.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let beside = beside(number, n_restarts);
                    println!("  {}", line(&beside));
                    found.lock().unwrap().push(beside);
                }
            });
        }
    });
    let mut found = found.into_inner().unwrap();
    found.sort_by_key(|beside| beside.number);
    println!("\n{} circuits, crossings and bends beside the best of {n_restarts}:", found.len());
    for (sort, of) in [("sensible", 0), ("senseless", 1)] {
        let of_sort: Vec<&Beside> = found.iter().filter(|beside| beside.number % 2 == of).collect();
        let sum = |of: fn(&Beside) -> usize| of_sort.iter().map(|beside| of(beside)).sum::<usize>();
        let n_within = of_sort.iter().filter(|beside| beside.ratio() <= MOST).count();
        println!(
            "  {sort:9} {:6} and {:6} at best: {:.3} in sum; {:5} crossings, {:5} at best; {n_within} of {} circuits \
             within {MOST}",
            sum(|beside| beside.own.sum()),
            sum(|beside| beside.best.sum()),
            sum(|beside| beside.own.sum()) as f64 / sum(|beside| beside.best.sum()).max(1) as f64,
            sum(|beside| beside.own.n_crossings),
            sum(|beside| beside.least_crossings),
            of_sort.len(),
        );
    }
    found.sort_by(|a, b| b.ratio().total_cmp(&a.ratio()));
    println!("  the worst:");
    found.iter().take(12).for_each(|beside| println!("  {}", line(beside)));
}

fn line(beside: &Beside) -> String {
    let Beside { number, circuit, own, best, .. } = beside;
    format!(
        "{:5.3} {number:3} {circuit:28} {:4} crossings {:4} bends, at best {:4} {:4}",
        beside.ratio(),
        own.n_crossings,
        own.n_bends,
        best.n_crossings,
        best.n_bends,
    )
}

fn beside(number: usize, n_restarts: usize) -> Beside {
    let (circuit, network) = corpus(number);
    let own = toil(&draw(&network, &Placement::default()));
    let all: Vec<Toil> = (0..n_restarts as u64)
        .map(|seed| toil(&draw_laid_out(&network, &lay_out_by_chance(&network, seed))))
        .collect();
    let best = all.iter().copied().min_by_key(|toil| (toil.sum(), toil.n_crossings)).unwrap_or(own);
    let least_crossings = all.iter().map(|toil| toil.n_crossings).min().unwrap_or(0);
    Beside { number, circuit, own, best, least_crossings }
}
