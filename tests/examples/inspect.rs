//! Makes single values of the demonstration jobs unknown and compares every verdict with the checks at many values.
//!
//! `cargo xtask measure inspect`

use suite::widened::{cases, run_all, sound};

fn main() {
    for (job, found) in sound() {
        println!("{job}: {} Stops and Looks", found.len());
    }
    print!("{}", run_all(&cases()));
}
