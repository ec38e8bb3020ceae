//! How often wires cross when the seats of the rows stand in a given order, and better orders.
//!
//! A row is sorted by the mean place of what its seats are tied to (Sugiyama, Tagawa and Toda
//! 1981); then each seat is tried at every place of its row (sifting: Matuszewski, Schönfeld and
//! Molitor 1999), which takes the square of the spans in a channel for a whole row.

use engine::arrange;

use super::order::{Group, Tie};

/// The order of the seats in every row.
pub(super) type Rows = Vec<Vec<usize>>;

/// A group with an order of its rows that is being changed.
pub(super) struct Sorter<'a> {
    group: &'a Group,
    pub rows: Rows,
    /// Twice the place of each seat in its row, so that there are places between.
    at: Vec<i64>,
    /// How far right of its seat each end of each span lies.
    offsets: Vec<[i64; 2]>,
    /// Pairs of spans looked at so far: what the search has cost.
    pub work: u64,
}

impl<'a> Sorter<'a> {
    pub(super) fn new(group: &'a Group, rows: Rows) -> Sorter<'a> {
        let mut sorter =
            Sorter { group, rows: Rows::new(), at: vec![0; group.seats.len()], offsets: Vec::new(), work: 0 };
        sorter.begin(rows);
        sorter
    }

    /// Begins again with another order. All wires of a joint leave from one point, since they choose
    /// their pins when the order is known.
    pub(super) fn begin(&mut self, rows: Rows) {
        self.rows = rows;
        let group = self.group;
        let offset = |tie: &Tie| if group.seats[tie.seat].is_joint { 0 } else { i64::from(tie.offset) };
        self.offsets = group.spans.iter().map(|span| [0, 1].map(|i| offset(&span.ties[i]))).collect();
        (0..self.rows.len()).for_each(|row| self.note(row));
    }

    /// The place of every seat in its row.
    pub(super) fn places(&self) -> Vec<i64> {
        self.at.iter().map(|at| at / 2).collect()
    }

    fn note(&mut self, row: usize) {
        for (place, &seat) in (0..).zip(&self.rows[row]) {
            self.at[seat] = 2 * place;
        }
    }

    /// Goes on with the pins that the wires of joints have chosen: `dealt` is the same group with them.
    pub(super) fn choose_pins(&mut self, dealt: &Group) {
        self.offsets =
            dealt.spans.iter().map(|span| [0, 1].map(|i| i64::from(span.ties[i].offset))).collect();
    }

    /// How far right the ends of a span lie.
    fn keys(&self, span: usize) -> [i64; 2] {
        let ties = &self.group.spans[span].ties;
        [0, 1].map(|i| self.at[ties[i].seat] * 4096 + self.offsets[span][i])
    }

    /// Whether two spans of one channel cross. One that returns to its row crosses everything that
    /// leaves between its ends.
    fn cross(&self, a: usize, b: usize) -> bool {
        let ([a0, a1], [b0, b1]) = (self.keys(a), self.keys(b));
        let (a, b) = (&self.group.spans[a], &self.group.spans[b]);
        match (a.returns(), b.returns()) {
            (false, false) => (a0 < b0 && a1 > b1) || (a0 > b0 && a1 < b1),
            (true, true) => {
                let ([a0, a1], [b0, b1]) = ([a0.min(a1), a0.max(a1)], [b0.min(b1), b0.max(b1)]);
                let interlock = (a0 < b0 && b0 < a1 && a1 < b1) || (b0 < a0 && a0 < b1 && b1 < a1);
                a.ties[0].above == b.ties[0].above && interlock
            }
            (true, false) => is_between(a0, a1, if a.ties[0].above { b1 } else { b0 }),
            (false, true) => is_between(b0, b1, if b.ties[0].above { a1 } else { a0 }),
        }
    }

    /// All crossings.
    pub(super) fn n_crossings(&mut self) -> usize {
        let mut n = 0;
        for channel in &self.group.in_channel {
            for (i, &a) in channel.iter().enumerate() {
                n += channel[..i].iter().filter(|&&b| self.cross(a, b)).count();
            }
            self.work += (channel.len() * channel.len() / 2) as u64;
        }
        n
    }

    /// Sorts rows by what they are tied to, downwards and upwards by turns.
    pub(super) fn sweep(&mut self, rounds: usize) {
        for _ in 0..rounds {
            let n_rows = self.rows.len();
            (0..n_rows).for_each(|row| self.sort_row(row, true));
            (0..n_rows).rev().for_each(|row| self.sort_row(row, false));
        }
    }

    /// Sorts one row by the mean place of the neighbors above it, or of those below it.
    fn sort_row(&mut self, row: usize, down: bool) {
        const SCALE: i64 = 1 << 20;
        let group = self.group;
        let length = |seat: usize| self.rows[group.seats[seat].row].len().max(1) as i64;
        let scaled = |tie: &Tie| {
            let length = length(tie.seat);
            (self.at[tie.seat] + 1) * SCALE / (2 * length) + i64::from(tie.offset) * SCALE / (64 * length)
        };
        let channel = if down { row } else { row + 1 };
        let value = |seat: &usize| {
            let (mut sum, mut n) = (0_i64, 0_i64);
            for &span in &group.on_seat[*seat] {
                let span = &group.spans[span];
                // What returns to the row itself holds it together whichever way the sweep goes.
                if span.channel != channel && !span.returns() {
                    continue;
                }
                for i in [0, 1] {
                    let (own, other) = (&span.ties[i], &span.ties[1 - i]);
                    if own.seat == *seat {
                        sum += scaled(other) - i64::from(own.offset) * SCALE / (64 * length(*seat));
                        n += 1;
                    }
                }
            }
            if n == 0 { (self.at[*seat] + 1) * SCALE / (2 * length(*seat)) } else { sum / n }
        };
        let mut keyed: Vec<(i64, usize, usize)> =
            self.rows[row].iter().enumerate().map(|(place, seat)| (value(seat), place, *seat)).collect();
        self.work += keyed.len() as u64;
        arrange::sort(&mut keyed);
        self.rows[row] = keyed.into_iter().map(|(_, _, seat)| seat).collect();
        self.note(row);
    }

    /// Tries every seat at every place of its row, as long as that saves crossings.
    pub(super) fn sift(&mut self, rounds: usize) {
        for _ in 0..rounds {
            let mut has_helped = false;
            for row in 0..self.rows.len() {
                for seat in self.rows[row].clone() {
                    has_helped |= self.sift_seat(row, seat);
                }
            }
            if !has_helped {
                return;
            }
        }
    }

    fn sift_seat(&mut self, row: usize, seat: usize) -> bool {
        let from = (self.at[seat] / 2) as usize;
        let n = self.rows[row].len();
        let mut best = (0, from);
        for (ways, step) in [((0..from).rev().collect::<Vec<_>>(), -1), ((from + 1..n).collect(), 1)] {
            let mut change = 0;
            for place in ways {
                let other = self.rows[row][place];
                self.at[seat] = 2 * place as i64 - step;
                let before = self.crossings_of(seat, other);
                self.at[seat] = 2 * place as i64 + step;
                change += self.crossings_of(seat, other) - before;
                if change < best.0 {
                    best = (change, place);
                }
            }
        }
        let (_, to) = best;
        if to == from {
            self.at[seat] = 2 * from as i64;
            return false;
        }
        self.rows[row].remove(from);
        self.rows[row].insert(to, seat);
        self.note(row);
        true
    }

    /// How often the spans on one seat cross those on another.
    fn crossings_of(&mut self, a: usize, b: usize) -> i64 {
        let group = self.group;
        let (on_a, on_b) = (&group.on_seat[a], &group.on_seat[b]);
        self.work += (on_a.len() * on_b.len()) as u64;
        let mut n = 0;
        for &i in on_a {
            let channel = group.spans[i].channel;
            for &k in on_b {
                n += i64::from(i != k && channel == group.spans[k].channel && self.cross(i, k));
            }
        }
        n
    }
}

fn is_between(a: i64, b: i64, at: i64) -> bool {
    a.min(b) < at && at < a.max(b)
}
