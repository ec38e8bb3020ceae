//! How far right each seat of a row stands, so that as many wires as possible run straight.
//!
//! The order within a row is given.
//! Each seat wishes to stand where its wires would be straight; the places that miss the wishes
//! least in sum are found row by row by pooling neighbors that would overlap (pool adjacent
//! violators, with weighted medians, so that a straight wire is exactly straight).

use super::order::Group;

/// Least free space between neighbors, in steps.
const GAP: i32 = 2;

/// Least free space between two passing wires, in steps.
const WIRE_GAP: i32 = 2;

/// How often all rows are settled with the wires on one side of them, and again with those on both.
const ROUNDS: usize = 6;

/// A wire that wishes its seat to stand where it would be straight.
#[derive(Clone, Copy)]
struct Pull {
    /// The seat at its other end.
    other: usize,
    /// How far right of that seat's anchor the own anchor would have to be.
    offset: i32,
    weight: i64,
}

/// Wishes of neighbors that stand on one another, as one.
struct Pool {
    /// Its first wish; its last one comes before the first of the next pool.
    first: usize,
    n_seats: usize,
    /// Where the zero point of its first seat is.
    place: i32,
}

/// What is asked of the columns of a group, and memory for finding them.
struct Columns<'a> {
    group: &'a Group,
    /// What pulls each seat from the row above, and from the row below.
    pulls: [Vec<Vec<Pull>>; 2],
    x: Vec<i32>,
    /// The wishes of the seats of a row, in coordinates from which the least distances are taken away, with weights.
    wishes: Vec<(i32, i64)>,
    pools: Vec<Pool>,
    shifts: Vec<i32>,
}

/// The column of the anchor of each seat of `group`, in steps.
pub(super) fn columns(group: &Group) -> Vec<i32> {
    let mut x = vec![0; group.seats.len()];
    for row in &group.rows {
        let mut at = 0;
        for (i, &seat) in row.iter().enumerate() {
            if i > 0 {
                at += distance(group, row[i - 1], seat);
            }
            x[seat] = at;
        }
    }
    let n_rows = group.rows.len();
    let pulls = [true, false].map(|above| pulls(group, above));
    let mut columns = Columns { group, pulls, x, wishes: Vec::new(), pools: Vec::new(), shifts: Vec::new() };
    for both in [false, true] {
        for _ in 0..ROUNDS {
            let mut has_moved = false;
            for row in 0..n_rows {
                has_moved |= columns.settle(row, [true, both]);
            }
            for row in (0..n_rows).rev() {
                has_moved |= columns.settle(row, [both, true]);
            }
            if !has_moved {
                break;
            }
        }
    }
    columns.x
}

/// By seat, what pulls it from the row above or from the one below.
fn pulls(group: &Group, above: bool) -> Vec<Vec<Pull>> {
    let mut pulls: Vec<Vec<Pull>> = vec![Vec::new(); group.seats.len()];
    for span in &group.spans {
        // A span that returns to its own row cannot be straight.
        if span.returns() {
            continue;
        }
        let [a, b] = span.ties;
        let (own, other) = if a.above == above { (a, b) } else { (b, a) };
        let n_passing = [a, b].iter().filter(|tie| group.seats[tie.seat].symbol.is_none()).count();
        // A straight wire saves its bends.
        let weight = [2, 4, 16][n_passing] * span.n_bends() as i64;
        pulls[own.seat].push(Pull { other: other.seat, offset: other.offset - own.offset, weight });
    }
    pulls
}

/// The least distance between the anchors of two neighbors.
fn distance(group: &Group, left: usize, right: usize) -> i32 {
    let (a, b) = (&group.seats[left], &group.seats[right]);
    let gap = if a.symbol.is_none() && b.symbol.is_none() { WIRE_GAP } else { GAP };
    a.right + gap + b.left
}

impl Columns<'_> {
    /// Moves the seats of one row to where the wires above it and below it wish them, and tells whether any moved.
    fn settle(&mut self, row: usize, [above, below]: [bool; 2]) -> bool {
        let Columns { group, pulls, x, wishes, pools, shifts } = self;
        let seats = &group.rows[row];
        wishes.clear();
        pools.clear();
        shifts.clear();
        // In coordinates from which the least distances are taken away, order is all that is asked.
        let mut shift = 0;
        for (i, &seat) in seats.iter().enumerate() {
            if i > 0 {
                shift += distance(group, seats[i - 1], seat);
            }
            shifts.push(shift);
            let mut first = wishes.len();
            for (_, pulls) in [above, below].iter().zip(pulls.iter()).filter(|(counts, _)| **counts) {
                let wish = |pull: &Pull| (x[pull.other] + pull.offset - shift, pull.weight * 8);
                wishes.extend(pulls[seat].iter().map(wish));
            }
            let own = x[seat] - shift;
            if wishes.len() == first {
                wishes.push((own, 1));
            }
            let mut place = median(&mut wishes[first..], own);
            let mut n_seats = 1;
            while let Some(previous) = pools.pop_if(|previous| previous.place > place) {
                first = previous.first;
                n_seats += previous.n_seats;
                place = median(&mut wishes[first..], (previous.place + place) / 2);
            }
            pools.push(Pool { first, n_seats, place });
        }
        let mut has_moved = false;
        let mut row = seats.iter().zip(shifts.iter());
        for pool in pools.iter() {
            for (&seat, shift) in row.by_ref().take(pool.n_seats) {
                has_moved |= x[seat] != pool.place + shift;
                x[seat] = pool.place + shift;
            }
        }
        has_moved
    }
}

/// The weighted median of `wishes`; where a whole stretch serves equally, its point nearest to
/// `near`.
fn median(wishes: &mut [(i32, i64)], near: i32) -> i32 {
    wishes.sort_unstable();
    let total: i64 = wishes.iter().map(|(_, weight)| weight).sum();
    let mut sum = 0;
    for (i, (wish, weight)) in wishes.iter().enumerate() {
        sum += weight;
        if sum * 2 == total {
            let next = wishes.get(i + 1).map_or(*wish, |(next, _)| *next);
            return near.clamp(*wish, next);
        }
        if sum * 2 > total {
            return *wish;
        }
    }
    near
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_keeps_close_when_it_has_a_choice() {
        assert_eq!(median(&mut [(0, 1), (10, 1)], 4), 4);
        assert_eq!(median(&mut [(0, 1), (10, 1)], 40), 10);
        assert_eq!(median(&mut [(0, 1), (10, 3)], 4), 10);
    }
}
