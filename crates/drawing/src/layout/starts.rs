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
const MOST: usize = 150;

/// Every so many searches one begins with an order made by chance.
const ANEW: usize = 3;

/// Pairs of spans that the searches for one group look at before no further one begins.
const PATIENCE: u64 = 3_000_000;

/// So few orders are tried one by one.
const FEW_ORDERS: usize = 1_000;

/// Seats that may be looked at to exchange neighbors.
const POLISHING: usize = 1_500;

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
        // In 64 bits everywhere: a `usize` has half of them in a browser, and the drawing would be another one there.
        ((self.0 >> 16) % n.max(1) as u64) as usize
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

/// An order of the rows and what comes of it; the less the better.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Found {
    /// Crossings and bends.
    cost: usize,
    /// Steps that wires run sideways.
    way: i64,
    /// The column of each seat.
    x: Vec<i32>,
    rows: Rows,
    /// How far right of its seat each end of each span lies.
    offsets: Vec<[i64; 2]>,
}

impl Found {
    fn beats(&self, other: &Found) -> bool {
        (self.cost, self.way) < (other.cost, other.way)
    }
}

/// What comes of the order that the sorter has; its pins are chosen already.
fn judge(group: &mut Group, sorter: &mut Sorter) -> Found {
    let n_crossings = sorter.n_crossings();
    group.rows.clone_from(&sorter.rows);
    let x = columns(group);
    let (n_bends, way) = bends(group, &x);
    Found { cost: n_crossings + n_bends, way, x, rows: sorter.rows.clone(), offsets: sorter.offsets.clone() }
}

/// The same for an order that was made of another one, as long as it may be better than that.
fn judge_beside(group: &mut Group, sorter: &mut Sorter, best: &Found) -> Option<Found> {
    // The crossings alone tell of most that they are no better, and are counted once.
    (sorter.n_crossings() <= best.cost).then(|| judge(group, sorter)).filter(|found| found.beats(best))
}

/// Chooses the pins of joints for the order that the sorter has.
fn choose_pins(group: &mut Group, sorter: &mut Sorter) {
    group.deal_pins(&sorter.places());
    sorter.choose_pins(group);
}

/// Orders the rows of `group` and gives the column of the anchor of each seat, in steps; with a
/// `seed` as it comes when the first order is made by chance.
pub(super) fn order(group: &mut Group, seed: Option<u64>) -> Vec<i32> {
    let shown = group.clone();
    let mut sorter = Sorter::new(&shown, group.rows.clone());
    let best = best_order(group, &mut sorter, seed);
    sorter.begin(best.rows);
    group.rows.clone_from(&sorter.rows);
    choose_pins(group, &mut sorter);
    best.x
}

/// The best order of few, or the best one found by searching.
fn best_order(group: &mut Group, sorter: &mut Sorter, seed: Option<u64>) -> Found {
    every_order(group, sorter, FEW_ORDERS).unwrap_or_else(|| {
        let best = search(group, sorter, seed);
        polished(group, sorter, best)
    })
}

/// The same order with neighbors exchanged as long as that saves crossings or bends.
fn polished(group: &mut Group, sorter: &mut Sorter, mut best: Found) -> Found {
    // Each exchange costs a look at all seats, several times over.
    let mut n_left = POLISHING / (group.seats.len() + 1);
    loop {
        let mut has_helped = false;
        for row in 0..best.rows.len() {
            for at in 1..best.rows[row].len() {
                n_left = match n_left.checked_sub(1) {
                    Some(left) => left,
                    None => return best,
                };
                let mut rows = best.rows.clone();
                rows[row].swap(at - 1, at);
                sorter.resume(&best.rows, rows, &best.offsets);
                choose_pins(group, sorter);
                if let Some(found) = judge_beside(group, sorter, &best) {
                    best = found;
                    has_helped = true;
                }
            }
        }
        if !has_helped {
            return best;
        }
    }
}

/// The best of several searches.
fn search(group: &mut Group, sorter: &mut Sorter, seed: Option<u64>) -> Found {
    let mut chance = Chance(seed.unwrap_or(0).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let walk = group.rows.clone();
    let first = if seed.is_none() { walk.clone() } else { chance.shuffled(walk.clone()) };
    let mut best = begin(group, sorter, first);
    for number in 1..MOST {
        if sorter.work > PATIENCE {
            break;
        }
        if number % ANEW == 0 {
            let found = begin(group, sorter, chance.shuffled(walk.clone()));
            if found.beats(&best) {
                best = found;
            }
            continue;
        }
        sorter.resume(&best.rows, chance.shaken(best.rows.clone()), &best.offsets);
        sift(group, sorter);
        if let Some(found) = judge_beside(group, sorter, &best) {
            best = found;
        }
    }
    best
}

/// One search, beginning with these rows.
fn begin(group: &mut Group, sorter: &mut Sorter, rows: Rows) -> Found {
    sorter.begin(rows);
    sorter.sweep(SWEEPS);
    sift(group, sorter);
    judge(group, sorter)
}

/// Sifts all rows in which that may help.
fn sift(group: &mut Group, sorter: &mut Sorter) {
    sorter.sift(SIFTS);
    // What hangs on one terminal of a joint has to keep together, which shows when pins are chosen.
    choose_pins(group, sorter);
    sorter.sift(SIFTS);
    choose_pins(group, sorter);
}

/// The best of all orders there are; `None` when they are more than `most`.
fn every_order(group: &mut Group, sorter: &mut Sorter, most: usize) -> Option<Found> {
    let mut n_orders = 1_usize;
    for row in &group.rows {
        n_orders = (1..=row.len()).try_fold(n_orders, |n, factor| n.checked_mul(factor))?;
        if n_orders > most {
            return None;
        }
    }
    let first = group.rows.clone();
    let mut best: Option<Found> = None;
    for number in 0..n_orders {
        let mut rest = number;
        let rows = first.iter().map(|row| {
            // The digits of the number choose one seat after the other.
            let mut left = row.clone();
            (1..=row.len())
                .rev()
                .map(|n| {
                    let at = rest % n;
                    rest /= n;
                    left.remove(at)
                })
                .collect()
        });
        sorter.begin(rows.collect());
        choose_pins(group, sorter);
        let found = judge(group, sorter);
        if best.as_ref().is_none_or(|best| found.beats(best)) {
            best = Some(found);
        }
    }
    best
}

/// The crossings and bends that the searches come to, and the least that any order has; `None` when
/// there are more than `most` orders.
pub(super) fn beside_the_least(group: &mut Group, most: usize) -> Option<[usize; 2]> {
    let shown = group.clone();
    let mut sorter = Sorter::new(&shown, group.rows.clone());
    let least = every_order(&mut group.clone(), &mut sorter, most)?.cost;
    sorter.work = 0;
    Some([best_order(group, &mut sorter, None).cost, least])
}

/// The bends of the wires that do not run straight, and how far they run sideways.
fn bends(group: &Group, x: &[i32]) -> (usize, i64) {
    let (mut n, mut way) = (0, 0);
    for span in &group.spans {
        let [a, b] = span.ties.map(|tie| x[tie.seat] + tie.offset);
        if a != b {
            n += span.n_bends();
            way += i64::from((a - b).abs());
        }
    }
    (n, way)
}
