//! Plants single mistakes in sound jobs and counts which of them the checks find.
//!
//! `cargo xtask measure mistakes`

use suite::corpus::{N_MADE, plots};
use suite::score::run;

fn main() {
    let plots = plots(N_MADE);
    let alarms: Vec<String> = plots.iter().flat_map(|plot| plot.false_alarms()).collect();
    let n_settings = plots.iter().map(|plot| plot.n_settings()).max().unwrap_or(0);
    println!(
        "{} jobs without a mistake, up to {n_settings} situations each: {} Stops and Looks",
        plots.len(),
        alarms.len()
    );
    for alarm in alarms {
        println!("  {alarm}");
    }
    print!("\n{}", run(&plots, 1));
}
