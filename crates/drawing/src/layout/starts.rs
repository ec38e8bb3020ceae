//! Which order the rows of a group get: the best of several searches that begin differently.
//!
//! The first begins with the seats as a walk along the wires meets them, some with an order made by
//! chance, the others with the best order so far after a few seats changed places. What counts is
//! how often wires cross, and how many of them do not run straight when the seats stand where that
//! order puts them.

use super::columns::columns;
use super::cross::{Rows, Sorter};
use super::order::Group;

/// How many searches there are at most.
const MOST: usize = 24;

/// Pairs of spans that the searches for one group look at before no further one begins.
const PATIENCE: u64 = 1_500_000;

/// Rounds of sorting each search begins with.
const SWEEPS: usize = 4;

/// Rounds of sifting, of which most searches need a few.
const SIFTS: usize = 8;

/// Numbers that look like chance and are the same each time (xorshift, 64 bits).
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 16) as usize % n.max(1)
    }

    fn shuffled(&mut self, mut rows: Rows) -> Rows {
        for row in &mut rows {
            (1..row.len()).rev().for_each(|i| row.swap(i, self.below(i + 1)));
        }
        rows
    }

    /// The same rows after some seats changed places.
    fn shaken(&mut self, mut rows: Rows) -> Rows {
        let wide: Vec<usize> = (0..rows.len()).filter(|&row| rows[row].len() > 1).collect();
        if wide.is_empty() {
            return rows;
        }
        for _ in 0..3 + self.below(wide.len()) {
            let row = &mut rows[wide[self.below(wide.len())]];
            let (from, to) = (self.below(row.len()), self.below(row.len()));
            let seat = row.remove(from);
            row.insert(to, seat);
        }
        rows
    }
}

/// Orders the rows of `group` and gives the column of the anchor of each seat, in steps; with a
/// `seed` as it comes when the first order is made by chance.
pub(super) fn order(group: &mut Group, seed: Option<u64>) -> Vec<i32> {
    let mut chance = Chance(seed.unwrap_or(0).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let walk = group.rows.clone();
    let shown = group.clone();
    let mut sorter = Sorter::new(&shown, walk.clone());
    let mut best: Option<(usize, i64, Vec<i32>, Rows)> = None;
    for number in 0..MOST {
        let first = match (&best, number) {
            (Some(_), _) if sorter.work > PATIENCE => break,
            (None, _) if seed.is_none() => walk.clone(),
            (Some((_, _, _, rows)), _) if number % 3 != 0 => chance.shaken(rows.clone()),
            _ => chance.shuffled(walk.clone()),
        };
        sorter.begin(first);
        if best.is_none() || number % 3 == 0 {
            sorter.sweep(SWEEPS);
        }
        sorter.sift(SIFTS);
        let n_crossings = sorter.n_crossings();
        group.rows.clone_from(&sorter.rows);
        group.deal_pins(&sorter.places());
        let x = columns(group);
        let (n_bends, way) = bends(group, &x);
        let cost = n_crossings + n_bends;
        if best.as_ref().is_none_or(|best| (cost, way) < (best.0, best.1)) {
            best = Some((cost, way, x, sorter.rows.clone()));
        }
    }
    let Some((_, _, x, rows)) = best else { return columns(group) };
    sorter.begin(rows);
    group.rows.clone_from(&sorter.rows);
    group.deal_pins(&sorter.places());
    x
}

/// The bends of the wires that do not run straight, and how far they run sideways.
fn bends(group: &Group, x: &[i32]) -> (usize, i64) {
    let (mut n, mut way) = (0, 0);
    for span in &group.spans {
        let [a, b] = span.ties.map(|tie| x[tie.seat] + tie.offset);
        if a != b {
            n += 2;
            way += i64::from((a - b).abs());
        }
    }
    (n, way)
}
