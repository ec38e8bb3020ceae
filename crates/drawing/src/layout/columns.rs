//! How far right each seat of a row stands, so that as many wires as possible run straight.
//!
//! The order within a row is given.
//! Each seat wishes to stand where its wires would be straight; the places that miss the wishes
//! least in sum are found row by row by pooling neighbors that would overlap (pool adjacent
//! violators, with weighted medians, so that a straight wire is exactly straight).

use super::order::{Group, Span};
use engine::arrange;

/// Least free space between neighbors, in steps.
const GAP: i32 = 2;

/// Least free space between two passing wires, in steps.
const WIRE_GAP: i32 = 2;

/// The column of the anchor of each seat of `group`, in steps.
pub(super) fn columns(group: &Group) -> Vec<i32> {
    const ROUNDS: usize = 12;
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
    let mut channels: Vec<Vec<Span>> = vec![Vec::new(); n_rows + 1];
    for span in &group.spans {
        channels[span.channel].push(*span);
    }
    let mut place = vec![0; group.seats.len()];
    for row in &group.rows {
        row.iter().enumerate().for_each(|(at, &seat)| place[seat] = at);
    }
    let near = |row: usize, upper: bool, lower: bool| -> Vec<&Span> {
        let above = if upper { channels[row].as_slice() } else { &[] };
        let below = if lower { channels[row + 1].as_slice() } else { &[] };
        above.iter().chain(below).collect()
    };
    for round in 0..ROUNDS {
        let both = round >= ROUNDS / 2;
        for row in 0..n_rows {
            settle(group, row, &near(row, true, both), &place, &mut x);
        }
        for row in (0..n_rows).rev() {
            settle(group, row, &near(row, both, true), &place, &mut x);
        }
    }
    x
}

/// The least distance between the anchors of two neighbors.
fn distance(group: &Group, left: usize, right: usize) -> i32 {
    let (a, b) = (&group.seats[left], &group.seats[right]);
    let gap = if a.symbol.is_none() && b.symbol.is_none() { WIRE_GAP } else { GAP };
    a.right + gap + b.left
}

/// Wishes of neighbors that stand on one another, as one.
struct Pool {
    /// Where its first seat's zero point should be, with weights.
    wishes: Vec<(i32, i64)>,
    n_seats: usize,
    place: i32,
}

/// Moves the seats of one row to where the `spans` next to it wish them; `place` is the place of
/// each seat in its row.
fn settle(group: &Group, row: usize, spans: &[&Span], place: &[usize], x: &mut [i32]) {
    let seats = &group.rows[row];
    let mut wishes: Vec<Vec<(i32, i64)>> = vec![Vec::new(); seats.len()];
    for span in spans {
        let [a, b] = span.ties;
        // A span that returns to its own row cannot be straight.
        if a.above == b.above {
            continue;
        }
        let n_passing = [a, b].iter().filter(|tie| group.seats[tie.seat].symbol.is_none()).count();
        let weight = [2, 4, 16][n_passing];
        for (own, other) in [(a, b), (b, a)] {
            if group.seats[own.seat].row == row {
                wishes[place[own.seat]].push((x[other.seat] + other.offset - own.offset, weight));
            }
        }
    }
    // In coordinates from which the least distances are taken away, order is all that is asked.
    let mut shift = 0;
    let mut shifts = Vec::with_capacity(seats.len());
    let mut pools: Vec<Pool> = Vec::new();
    for (i, &seat) in seats.iter().enumerate() {
        if i > 0 {
            shift += distance(group, seats[i - 1], seat);
        }
        shifts.push(shift);
        let mut own: Vec<(i32, i64)> =
            wishes[i].iter().map(|(wish, weight)| (wish - shift, weight * 8)).collect();
        if own.is_empty() {
            own.push((x[seat] - shift, 1));
        }
        let place = median(&mut own, x[seat] - shift);
        let mut pool = Pool { wishes: own, n_seats: 1, place };
        while let Some(previous) = pools.pop_if(|previous| previous.place > pool.place) {
            let near = (previous.place + pool.place) / 2;
            pool.wishes.extend(previous.wishes);
            pool.n_seats += previous.n_seats;
            pool.place = median(&mut pool.wishes, near);
        }
        pools.push(pool);
    }
    let mut next = 0;
    for pool in pools {
        for _ in 0..pool.n_seats {
            x[seats[next]] = pool.place + shifts[next];
            next += 1;
        }
    }
}

/// The weighted median of `wishes`; where a whole stretch serves equally, its point nearest to
/// `near`.
fn median(wishes: &mut Vec<(i32, i64)>, near: i32) -> i32 {
    arrange::sort(wishes);
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
        assert_eq!(median(&mut vec![(0, 1), (10, 1)], 4), 4);
        assert_eq!(median(&mut vec![(0, 1), (10, 1)], 40), 10);
        assert_eq!(median(&mut vec![(0, 1), (10, 3)], 4), 10);
    }
}
