//! The documents that are tried before anything is said.
//!
//! Each unknown value at what the checks use, at its least and at its greatest; all of them together at the ends that
//! are mostly worst, and at those that are best; the same with all values of one sort at their other end, because what is
//! worst for one check is best for another (a large fuse for the wire, a small one for the lamp); each value alone at its
//! other end from all three of these; and some combinations from a fixed seed. Combinations find doubts; they never make
//! anything sure.

use std::collections::BTreeSet;

use crate::inspect::tried::Bench;
use crate::inspect::unknown::Unknown;

/// Up to so many unknown values each is tried at every value on its grid, else at its ends.
const FEW: usize = 12;

/// Points of all spans without steps together that are tried besides their ends, and the least and the most of one: where
/// loads race for a weak supply, something may stand between two ends at which it does not.
const BETWEEN: usize = 96;
const FEWEST_BETWEEN: usize = 3;
const MOST_BETWEEN: usize = 31;

/// Combinations tried besides.
const N_MIXED: usize = 24;

/// The numbers that checks use for values that are not known.
pub(super) fn used(unknowns: &[Unknown]) -> Vec<f64> {
    unknowns.iter().map(|unknown| unknown.span.used).collect()
}

/// How many points between its ends are tried of a span without steps.
pub(super) fn n_between(unknowns: &[Unknown]) -> usize {
    (BETWEEN / unknowns.len().max(1)).clamp(FEWEST_BETWEEN, MOST_BETWEEN)
}

/// Every value at the end that is mostly worse.
pub(super) fn worst(unknowns: &[Unknown]) -> Vec<f64> {
    unknowns.iter().map(|unknown| unknown.ends().0).collect()
}

/// Every value at the end that is mostly better.
pub(super) fn best(unknowns: &[Unknown]) -> Vec<f64> {
    unknowns.iter().map(|unknown| unknown.ends().1).collect()
}

/// About how many documents an inspection tries in all, for those who wait: besides these, about as many again as
/// there are values, where doubts are looked into.
pub(super) fn expected(unknowns: &[Unknown]) -> usize {
    let n = unknowns.len();
    let keys: BTreeSet<&str> = unknowns.iter().map(|unknown| unknown.key).collect();
    let each = if n > FEW { 6 } else { 3 * n_between(unknowns) };
    if n == 0 { 1 } else { 3 + 2 * keys.len() + each * n + N_MIXED }
}

/// Tries all of them.
pub(super) fn try_all(bench: &mut Bench<'_>) {
    let unknowns = bench.unknowns;
    let from = [used(unknowns), worst(unknowns), best(unknowns)];
    for numbers in &from {
        bench.outcome(numbers);
    }
    let keys: BTreeSet<&str> = unknowns.iter().map(|unknown| unknown.key).collect();
    for numbers in &from {
        for key in &keys {
            for end in [least, greatest] {
                let turned = numbers.iter().zip(unknowns);
                let turned =
                    turned.map(|(number, unknown)| if unknown.key == *key { end(unknown) } else { *number });
                bench.outcome(&turned.collect::<Vec<_>>());
            }
        }
    }
    let is_few = unknowns.len() <= FEW;
    for (index, unknown) in unknowns.iter().enumerate() {
        let values =
            if is_few { unknown.grid(n_between(unknowns)) } else { vec![least(unknown), greatest(unknown)] };
        for numbers in &from {
            for value in &values {
                let mut turned = numbers.clone();
                turned[index] = *value;
                bench.outcome(&turned);
            }
        }
    }
    let mut scattered = Scattered(1);
    for _ in 0..if unknowns.len() > 1 { N_MIXED } else { 0 } {
        let numbers = unknowns.iter().map(|unknown| {
            let grid = unknown.grid(n_between(unknowns));
            grid[scattered.below(grid.len())]
        });
        let numbers: Vec<f64> = numbers.collect();
        bench.outcome(&numbers);
    }
}

pub(super) fn least(unknown: &Unknown) -> f64 {
    unknown.span.low
}

pub(super) fn greatest(unknown: &Unknown) -> f64 {
    unknown.span.high
}

/// Always the same scattered numbers (the SplitMix64 generator of Steele, Lea and Flood, 2014).
struct Scattered(u64);

impl Scattered {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((mixed ^ (mixed >> 31)) % end.max(1) as u64) as usize
    }
}
