//! The linear solution compared with exact arithmetic and with a linear-algebra crate.
//!
//! A fixed tenth of the corpus; `cargo xtask measure corpus` compares the whole of it.

#[path = "../outside/comparison.rs"]
mod comparison;
#[path = "../outside/exact.rs"]
mod exact;

use std::sync::LazyLock;

use comparison::{Tally, compare};
use suite::networks::CORPUS;

static TENTH: LazyLock<Tally> = LazyLock::new(|| {
    let tally = compare((0..CORPUS).step_by(10));
    println!("{tally}");
    tally
});

/// Largest relative difference allowed against exact arithmetic: 45 units of the last place.
///
/// A voltage is reached through at most sixty eliminations of a few roundings each, all of numbers that are not
/// negative, so their relative errors add and are not magnified. The largest found in the whole corpus is an eighth
/// of this. One subtraction anywhere in the factor misses it by many orders.
const ALLOWED: f64 = 1e-14;

#[test]
fn voltages_agree_with_exact_arithmetic_to_fourteen_figures_over_twelve_decades() {
    assert_eq!(TENTH.n_networks, 100);
    assert!(TENTH.n_volts > 4000, "{}", TENTH.n_volts);
    assert!(TENTH.raising <= ALLOWED, "{:e}", TENTH.raising);
    assert!(TENTH.mixed <= ALLOWED, "{:e}", TENTH.mixed);
}

#[test]
fn floating_parts_are_counted_and_solved_within_themselves() {
    assert!(TENTH.n_floating > 20, "{}", TENTH.n_floating);
    assert_eq!(TENTH.n_miscounted, 0);
    assert!(TENTH.floating <= ALLOWED, "{:e}", TENTH.floating);
}

#[test]
fn differences_from_the_crate_are_within_what_rounding_does_to_the_crate() {
    assert!(TENTH.n_tame > 10, "{}", TENTH.n_tame);
    assert!(TENTH.over_bound <= 1.0, "{:e}", TENTH.over_bound);
    assert!(TENTH.between_tame <= 1e-9, "{:e}", TENTH.between_tame);
}

/// The unbalanced bridge whose potentials are 756/85 and 696/85 V by hand.
#[test]
fn the_exact_solution_of_a_bridge_is_the_one_found_by_hand() {
    // Conductances in sixtieths of a siemens, so that all of them are whole numbers.
    let bridge = suite::networks::Network {
        n_nodes: 2,
        edges: vec![(0, 1)],
        conductance: vec![12.0],
        ground: vec![60.0 + 20.0, 30.0 + 15.0],
        parts: vec![vec![0, 1]],
        raising: vec![12.0 * 60.0, 12.0 * 30.0],
        mixed: vec![0.0; 2],
    };
    let exact = exact::Equations::new(&bridge, &[0, 1]).solve(std::slice::from_ref(&bridge.raising));
    assert_eq!(exact.volts(0, 0), 756.0 / 85.0);
    assert_eq!(exact.volts(0, 1), 696.0 / 85.0);
}
