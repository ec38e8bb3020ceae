//! Compares the solution of all corpus networks with exact arithmetic and with a linear-algebra crate.
//!
//! `cargo xtask measure corpus`

#[path = "../outside/comparison.rs"]
mod comparison;
#[path = "../outside/exact.rs"]
mod exact;

fn main() {
    print!("{}", comparison::compare(0..suite::networks::CORPUS));
}
