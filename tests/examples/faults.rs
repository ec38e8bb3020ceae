//! How long it takes to solve every fault of the demonstration jobs in every situation, beside solving each changed circuit
//! from nothing, and to make the whole table of mistakes, with every resistance of a bad joint.

use std::hint::black_box;
use std::ops::ControlFlow;
use std::time::Instant;

use engine::check::worth_a_look;
use engine::fault::{self, Trial};
use engine::laid;
use engine::mistakes;
use engine::quantity::Ohms;
use suite::demonstration;

fn main() {
    println!(
        "{:28} {:>7} {:>10} {:>9} {:>9} {:>6} {:>9}",
        "job", "faults", "situations", "plain ms", "beside ms", "ratio", "table ms"
    );
    let jobs = [
        "dark-lamps",
        "switched-earth-donor",
        "honey-stall-trailer",
        "apiary-flatbed",
        "apiary-flatbed-as-bought",
    ];
    for name in jobs {
        let document = demonstration(name);
        let circuit = laid::circuit(&document);
        let situations: Vec<Vec<u8>> = worth_a_look(&circuit, &document.situations)
            .into_iter()
            .map(|(_, positions)| positions)
            .collect();
        let joint = Ohms::new(1.0).expect("it is positive");
        let changes: Vec<_> =
            fault::faults(&circuit).iter().map(|fault| fault.changes(&circuit, joint)).collect();
        let all = |trial: Trial<'_>| {
            changes.iter().for_each(|changes| drop(black_box(trial.changed(changes, &situations))));
        };
        let plain = || all(Trial::from_nothing(&circuit));
        let beside = || all(Trial::new(&circuit));
        let table = || {
            let whole = mistakes::table(&circuit, &document.situations, &document.interlocks, &mut |_, _| {
                ControlFlow::Continue(())
            });
            drop(black_box(whole));
        };
        let (plain, beside, table) = (best_of(5, plain), best_of(5, beside), best_of(5, table));
        let ratio = plain / beside;
        println!(
            "{name:28} {:>7} {:>10} {plain:>9.1} {beside:>9.1} {ratio:>6.2} {table:>9.1}",
            changes.len(),
            situations.len()
        );
    }
}

/// The shortest of so many times, in milliseconds.
fn best_of(times: usize, run: impl Fn()) -> f64 {
    let once = |_| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..times).map(once).fold(f64::INFINITY, f64::min)
}
