//! How often wires cross when the seats of the rows stand in a given order, and better orders.
//!
//! A row is sorted by the mean place of what its seats are tied to (Sugiyama, Tagawa and Toda
//! 1981); then each seat is tried at every place of its row (sifting: Matuszewski, Schönfeld and
//! Molitor 1999), which takes the square of the spans in a channel for a whole row.

use engine::arrange;

use super::order::{Group, Span, Tie};

/// The order of the seats in every row.
pub(super) type Rows = Vec<Vec<usize>>;

/// A group with an order of its rows that is being changed.
pub(super) struct Sorter<'a> {
    group: &'a Group,
    pub rows: Rows,
    /// Twice the place of each seat in its row, so that there are places between.
    at: Vec<i64>,
    /// How far right of its seat each end of each span lies.
    pub offsets: Vec<[i64; 2]>,
    /// By seat, the spans that lead from it back to its row.
    returns: Vec<Vec<Return>>,
    /// By row, whether sifting it may help, since something changed in it or beside it.
    stale: Vec<bool>,
    /// The crossings in each channel, if nothing changed since they were counted.
    counted: Vec<Option<usize>>,
    /// Where the spans on the seats of the row that is being sifted lead to in the rows above and below.
    leads: Leads,
    /// Pairs of spans looked at so far: what the search has cost.
    pub work: u64,
}

/// A span that leads back to the row it comes from, as one of its seats sees it.
#[derive(Clone, Copy)]
struct Return {
    span: usize,
    /// The seat at its other end.
    other: usize,
    above: bool,
}

/// How far right the other ends of the spans on the seats of one row lie, seat after seat.
#[derive(Default)]
struct Leads {
    keys: Vec<i64>,
    /// By seat, where its spans to the row above begin in `keys`, then those to the row below, and where they end.
    ranges: Vec<[usize; 3]>,
}

impl Leads {
    /// How many spans lead from a seat to the row above, or to the one below.
    fn n(&self, seat: usize, above: bool) -> i64 {
        let [first, middle, end] = self.ranges[seat];
        (if above { middle - first } else { end - middle }) as i64
    }

    /// How many more crossings there are when a seat changes from the left of another one to its right.
    fn more_when_passing(&self, seat: usize, other: usize) -> i64 {
        let ([a0, a1, a2], [b0, b1, b2]) = (self.ranges[seat], self.ranges[other]);
        let mut n = 0;
        for (own, others) in [(a0..a1, b0..b1), (a1..a2, b1..b2)] {
            let others = &self.keys[others];
            for key in &self.keys[own] {
                n += others.iter().map(|other| i64::from(key < other) - i64::from(key > other)).sum::<i64>();
            }
        }
        n
    }
}

impl<'a> Sorter<'a> {
    pub(super) fn new(group: &'a Group, rows: Rows) -> Sorter<'a> {
        let n_seats = group.seats.len();
        let mut returns: Vec<Vec<Return>> = vec![Vec::new(); n_seats];
        for (span, &Span { ties: [a, b], .. }) in group.spans.iter().enumerate() {
            // One that ends where it begins moves along as a whole.
            if a.above == b.above && a.seat != b.seat {
                returns[a.seat].push(Return { span, other: b.seat, above: a.above });
                returns[b.seat].push(Return { span, other: a.seat, above: a.above });
            }
        }
        let mut sorter = Sorter {
            group,
            rows: Rows::new(),
            at: vec![0; n_seats],
            offsets: Vec::new(),
            returns,
            stale: Vec::new(),
            counted: Vec::new(),
            leads: Leads { keys: Vec::new(), ranges: vec![[0; 3]; n_seats] },
            work: 0,
        };
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
        self.stale = vec![true; self.rows.len()];
        self.counted = vec![None; group.in_channel.len()];
        (0..self.rows.len()).for_each(|row| self.note(row));
    }

    /// Goes on with an order that differs from one that was sifted with the pins of joints at `offsets`.
    pub(super) fn resume(&mut self, sifted: &Rows, rows: Rows, offsets: &[[i64; 2]]) {
        self.stale = vec![false; rows.len()];
        for row in 0..rows.len() {
            if rows[row] != sifted[row] {
                self.mark_beside(row);
            } else if rows[row] != self.rows[row] {
                self.counted[row..row + 2].fill(None);
            }
        }
        for (index, span) in self.group.spans.iter().enumerate() {
            if self.offsets[index] != offsets[index] {
                self.counted[span.channel] = None;
            }
        }
        self.rows = rows;
        self.offsets.copy_from_slice(offsets);
        (0..self.rows.len()).for_each(|row| self.note(row));
    }

    /// Notes that something changed in a row.
    fn mark_beside(&mut self, row: usize) {
        self.counted[row..row + 2].fill(None);
        let end = self.stale.len().min(row + 2);
        self.stale[row.saturating_sub(1)..end].fill(true);
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
        for (index, span) in dealt.spans.iter().enumerate() {
            for i in [0, 1] {
                let offset = i64::from(span.ties[i].offset);
                if std::mem::replace(&mut self.offsets[index][i], offset) != offset {
                    self.mark_beside(self.group.seats[span.ties[i].seat].row);
                }
            }
        }
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
        (0..self.counted.len()).map(|channel| self.n_crossings_in(channel)).sum()
    }

    fn n_crossings_in(&mut self, channel: usize) -> usize {
        if let Some(n) = self.counted[channel] {
            return n;
        }
        let spans = &self.group.in_channel[channel];
        let crossed = |(i, &a): (usize, &usize)| spans[..i].iter().filter(|&&b| self.cross(a, b)).count();
        let n = spans.iter().enumerate().map(crossed).sum();
        self.work += (spans.len() * spans.len() / 2) as u64;
        self.counted[channel] = Some(n);
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
            if !self.stale.contains(&true) {
                return;
            }
            for row in 0..self.rows.len() {
                if std::mem::replace(&mut self.stale[row], false) && self.sift_row(row) {
                    self.mark_beside(row);
                }
            }
        }
    }

    fn sift_row(&mut self, row: usize) -> bool {
        self.note_leads(row);
        let mut has_helped = false;
        for seat in self.rows[row].clone() {
            has_helped |= self.sift_seat(row, seat);
        }
        has_helped
    }

    /// Notes where the spans on the seats of a row lead to; the rows beside it do not change while it is sifted.
    fn note_leads(&mut self, row: usize) {
        let group = self.group;
        self.leads.keys.clear();
        for &seat in &self.rows[row] {
            let mut range = [self.leads.keys.len(); 3];
            for (side, above) in [(1, true), (2, false)] {
                for &index in &group.on_seat[seat] {
                    let span = &group.spans[index];
                    let own = usize::from(span.ties[0].seat != seat);
                    if !span.returns() && span.ties[own].above == above {
                        let other = span.ties[1 - own].seat;
                        self.leads.keys.push(self.at[other] * 4096 + self.offsets[index][1 - own]);
                    }
                }
                range[side] = self.leads.keys.len();
            }
            self.leads.ranges[seat] = range;
        }
    }

    fn sift_seat(&mut self, row: usize, seat: usize) -> bool {
        let from = (self.at[seat] / 2) as usize;
        let n = self.rows[row].len();
        let mut best = (0, from);
        for step in [-1_i64, 1] {
            let mut change = 0;
            let mut place = from;
            loop {
                place = if step < 0 { place.wrapping_sub(1) } else { place + 1 };
                if place >= n {
                    break;
                }
                let other = self.rows[row][place];
                change += step * self.leads.more_when_passing(seat, other);
                change += self.more_of_returns(seat, other, step);
                if change < best.0 {
                    best = (change, place);
                }
            }
        }
        self.work += n as u64;
        let (_, to) = best;
        if to == from {
            self.at[seat] = 2 * from as i64;
            return false;
        }
        let seats = &mut self.rows[row];
        seats.remove(from);
        seats.insert(to, seat);
        self.note(row);
        true
    }

    /// How many more crossings with spans that return there are when a seat passes its neighbor to the right (`step` 1)
    /// or to the left (-1).
    fn more_of_returns(&mut self, seat: usize, other: usize, step: i64) -> i64 {
        if self.returns[seat].is_empty() && self.returns[other].is_empty() {
            return 0;
        }
        let (mut n, at) = (0, self.at[other]);
        let mut pairs: Vec<[usize; 2]> = Vec::new();
        // One that leads on in the direction of the move has the neighbor between its ends no longer, and one
        // that leads back has it there now. For what hangs on the neighbor it is the other way round.
        for (own, passed, sign) in [(seat, other, step), (other, seat, -step)] {
            for end in &self.returns[own] {
                if end.other != passed {
                    let leads_right = self.at[end.other] > at;
                    let n_between = self.leads.n(passed, end.above);
                    n += if leads_right { -sign * n_between } else { sign * n_between };
                }
            }
        }
        for own in &self.returns[seat] {
            let same_side = |end: &&Return| end.above == own.above && end.span != own.span;
            pairs.extend(self.returns[other].iter().filter(same_side).map(|end| [own.span, end.span]));
            if own.other == other {
                let channel = self.group.spans[own.span].channel;
                let on_both = self.group.on_seat[seat].iter().chain(&self.group.on_seat[other]);
                let beside = on_both.filter(|span| self.group.spans[**span].channel == channel);
                let regular = beside.filter(|span| !self.group.spans[**span].returns());
                pairs.extend(regular.map(|span| [own.span, *span]));
            }
        }
        self.work += 2 + pairs.len() as u64;
        for side in [-step, step] {
            self.at[seat] = at + side;
            let n_crossing = pairs.iter().filter(|[a, b]| self.cross(*a, *b)).count() as i64;
            n += side * step * n_crossing;
        }
        n
    }
}

fn is_between(a: i64, b: i64, at: i64) -> bool {
    a.min(b) < at && at < a.max(b)
}
