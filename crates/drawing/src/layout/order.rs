//! Who stands left of whom in each row, so that few wires cross.
//!
//! A wire that passes rows is a chain of placeholders, one in each row it passes, so that room is
//! kept for it. Rows are ordered by the mean place of what each symbol is wired to, sweeping down
//! and up, and then by swapping neighbors (Sugiyama, Tagawa and Toda 1981).

use super::flow::is_above;
use super::{Facts, Link};
use crate::geometry::Rect;
use crate::symbol::Symbol;
use engine::arrange;

/// A symbol in a row, or the place of a wire that passes it.
#[derive(Clone, Debug)]
pub(super) struct Seat {
    /// The symbol, or `None` for a passing wire.
    pub symbol: Option<usize>,
    /// Its row.
    pub row: usize,
    /// Steps it takes to the left of its anchor.
    pub left: i32,
    /// Steps it takes to the right of its anchor.
    pub right: i32,
}

/// One end of a [`Span`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Tie {
    /// Index of the seat.
    pub seat: usize,
    /// Steps from its anchor.
    pub offset: i32,
    /// Whether it leaves the seat upwards.
    pub above: bool,
}

/// The part of a link between two neighboring rows, or between two seats of one row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    /// Both ends.
    pub ties: [Tie; 2],
    /// The space between rows it lies in: above the row of that number.
    pub channel: usize,
}

/// The seats of connected symbols, row by row from left to right, and what joins them.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub seats: Vec<Seat>,
    pub spans: Vec<Span>,
    pub rows: Vec<Vec<usize>>,
}

impl Group {
    /// Seats `members`, which no link leaves, and orders them.
    pub(super) fn new(
        symbols: &mut [Symbol],
        facts: &mut Facts,
        row: &[usize],
        footprints: &[Rect],
        members: &[usize],
    ) -> Group {
        let n_rows = members.iter().map(|&symbol| row[symbol] + 1).max().unwrap_or(0);
        let mut group = Group { seats: Vec::new(), spans: Vec::new(), rows: vec![Vec::new(); n_rows + 1] };
        let mut seat_of = vec![usize::MAX; symbols.len()];
        for symbol in visiting_order(facts, members, symbols.len()) {
            seat_of[symbol] = group.seats.len();
            let Rect { left, right, .. } = footprints[symbol];
            group.seats.push(Seat { symbol: Some(symbol), row: row[symbol], left: -left, right });
        }
        let own: Vec<usize> = (0..facts.links.len())
            .filter(|&i| seat_of[facts.links[i].ends[0].symbol] != usize::MAX)
            .collect();
        let mut span_of_end = vec![[usize::MAX; 2]; facts.links.len()];
        for &link in &own {
            group.join(symbols, &facts.links[link], &seat_of, &mut span_of_end[link]);
        }
        for (index, seat) in group.seats.iter().enumerate() {
            group.rows[seat.row].push(index);
        }
        group.sweep();
        group.swap_terminals(symbols, facts, &own, &seat_of, &span_of_end);
        group
    }

    /// Adds the spans of a link and a seat in each row it passes; notes the spans of its ends.
    fn join(&mut self, symbols: &[Symbol], link: &Link, seat_of: &[usize], spans: &mut [usize; 2]) {
        let tie = |i: usize| {
            let end = link.ends[i];
            let offset = symbols[end.symbol].offset(end.pin).at.x;
            Tie { seat: seat_of[end.symbol], offset, above: link.above[i] }
        };
        let channel = |tie: &Tie, seats: &[Seat]| seats[tie.seat].row + usize::from(!tie.above);
        let (first, second) =
            if channel(&tie(0), &self.seats) <= channel(&tie(1), &self.seats) { (0, 1) } else { (1, 0) };
        let (mut upper, lower) = (tie(first), tie(second));
        let (from, to) = (channel(&upper, &self.seats), channel(&lower, &self.seats));
        spans[first] = self.spans.len();
        for row in from..to {
            let seat = self.seats.len();
            self.seats.push(Seat { symbol: None, row, left: 0, right: 0 });
            self.spans.push(Span { ties: [upper, Tie { seat, offset: 0, above: true }], channel: row });
            upper = Tie { seat, offset: 0, above: false };
        }
        spans[second] = self.spans.len();
        self.spans.push(Span { ties: [upper, lower], channel: to });
    }

    fn sweep(&mut self) {
        const ROUNDS: usize = 10;
        // Counting crossings takes the square of the spans, so a huge group keeps its first order.
        const MOST_SPANS: usize = 4000;
        if self.spans.len() > MOST_SPANS {
            return;
        }
        let mut best = (self.badness(), self.rows.clone());
        for _ in 0..ROUNDS {
            for down in [true, false] {
                let n_rows = self.rows.len();
                for i in 0..n_rows {
                    let row = if down { i } else { n_rows - 1 - i };
                    self.sort_row(row, down);
                }
                let badness = self.badness();
                if badness < best.0 {
                    best = (badness, self.rows.clone());
                }
            }
        }
        self.rows = best.1;
        self.swap_neighbors();
    }

    /// Crossings, then how far apart seats stand that belong together.
    fn badness(&self) -> (usize, i64) {
        let places = self.places();
        let n_crossings = (0..=self.rows.len()).map(|channel| self.crossings_in(channel, &places)).sum();
        let share = |tie: &Tie| {
            let seat = &self.seats[tie.seat];
            (places[tie.seat] * 2 + 1) * 1000 / (2 * self.rows[seat.row].len().max(1) as i64)
        };
        (n_crossings, self.spans.iter().map(|span| (share(&span.ties[0]) - share(&span.ties[1])).abs()).sum())
    }

    /// Place of every seat within its row.
    fn places(&self) -> Vec<i64> {
        let mut places = vec![0; self.seats.len()];
        for row in &self.rows {
            for (place, &seat) in row.iter().enumerate() {
                places[seat] = place as i64;
            }
        }
        places
    }

    /// Sorts one row by the mean place of the neighbors above it, or of those below it.
    fn sort_row(&mut self, row: usize, down: bool) {
        const SCALE: i64 = 1 << 20;
        let places = self.places();
        let lengths: Vec<i64> = self.rows.iter().map(|row| row.len().max(1) as i64).collect();
        let scaled = |tie: &Tie| {
            let length = lengths[self.seats[tie.seat].row];
            (places[tie.seat] * 2 + 1) * SCALE / (2 * length) + i64::from(tie.offset) * SCALE / (64 * length)
        };
        let channel = if down { row } else { row + 1 };
        let mut sums = vec![(0_i64, 0_i64); self.seats.len()];
        for span in &self.spans {
            // What returns to the row itself holds it together whichever way the sweep goes.
            let returning = span.ties[0].above == span.ties[1].above;
            if span.channel != channel && !returning {
                continue;
            }
            for i in [0, 1] {
                let (own, other) = (&span.ties[i], &span.ties[1 - i]);
                if self.seats[own.seat].row == row {
                    let (sum, n) = &mut sums[own.seat];
                    *sum += scaled(other) - i64::from(own.offset) * SCALE / (64 * lengths[row]);
                    *n += 1;
                }
            }
        }
        let value = |seat: &usize| match sums[*seat] {
            (_, 0) => (places[*seat] * 2 + 1) * SCALE / (2 * lengths[row]),
            (sum, n) => sum / n,
        };
        let mut seats = std::mem::take(&mut self.rows[row]);
        arrange::sort_by_key(&mut seats, value);
        self.rows[row] = seats;
    }

    /// Crossings within one channel. A span that returns to its own row crosses everything that
    /// leaves between its ends.
    fn crossings_in(&self, channel: usize, places: &[i64]) -> usize {
        let key = |tie: &Tie| places[tie.seat] * 4096 + i64::from(tie.offset);
        let mut through: Vec<(i64, i64)> = Vec::new();
        let mut returning: [Vec<(i64, i64)>; 2] = [Vec::new(), Vec::new()];
        for span in self.spans.iter().filter(|span| span.channel == channel) {
            let (a, b) = (&span.ties[0], &span.ties[1]);
            match (a.above, b.above) {
                (false, true) => through.push((key(a), key(b))),
                (true, false) => through.push((key(b), key(a))),
                (above, _) => {
                    let (a, b) = (key(a), key(b));
                    returning[usize::from(above)].push((a.min(b), a.max(b)));
                }
            }
        }
        let mut n = 0;
        for (i, a) in through.iter().enumerate() {
            n += through[..i].iter().filter(|b| (a.0 < b.0 && a.1 > b.1) || (a.0 > b.0 && a.1 < b.1)).count();
        }
        for (below, spans) in returning.iter().enumerate() {
            for (i, a) in spans.iter().enumerate() {
                n += spans[..i]
                    .iter()
                    .filter(|b| {
                        (a.0 < b.0 && b.0 < a.1 && a.1 < b.1) || (b.0 < a.0 && a.0 < b.1 && b.1 < a.1)
                    })
                    .count();
                n += through
                    .iter()
                    .filter(|b| {
                        let end = if below == 1 { b.1 } else { b.0 };
                        a.0 < end && end < a.1
                    })
                    .count();
            }
        }
        n
    }

    /// Swaps neighbors as long as that saves crossings.
    fn swap_neighbors(&mut self) {
        const ROUNDS: usize = 6;
        // Beyond this many spans in a channel the gain is not worth the time.
        const MOST_SPANS: usize = 120;
        for _ in 0..ROUNDS {
            let mut improved = false;
            for row in 0..self.rows.len() {
                let near =
                    self.spans.iter().filter(|span| span.channel == row || span.channel == row + 1).count();
                if near > MOST_SPANS {
                    continue;
                }
                let mut places = self.places();
                let count = |group: &Group, places: &[i64]| {
                    group.crossings_in(row, places) + group.crossings_in(row + 1, places)
                };
                let mut n = count(self, &places);
                for i in 1..self.rows[row].len() {
                    let (a, b) = (self.rows[row][i - 1], self.rows[row][i]);
                    places.swap(a, b);
                    let swapped = count(self, &places);
                    if swapped < n {
                        n = swapped;
                        self.rows[row].swap(i - 1, i);
                        improved = true;
                    } else {
                        places.swap(a, b);
                    }
                }
            }
            if !improved {
                break;
            }
        }
    }

    /// Gives the links of a swappable symbol its pins from left to right, as their other ends lie.
    fn swap_terminals(
        &mut self,
        symbols: &mut [Symbol],
        facts: &mut Facts,
        own: &[usize],
        seat_of: &[usize],
        span_of_end: &[[usize; 2]],
    ) {
        let places = self.places();
        for symbol in 0..symbols.len() {
            if seat_of[symbol] == usize::MAX || !symbols[symbol].view.swappable {
                continue;
            }
            let mut free: Vec<usize> = (0..symbols[symbol].view.pins.len()).collect();
            let names: Vec<String> =
                symbols[symbol].view.pins.iter().map(|pin| pin.terminal.clone()).collect();
            let mut given: Vec<(usize, usize, usize, usize)> = Vec::new();
            for above in [true, false] {
                // (place of the other end, link, which end)
                let mut leaving: Vec<(i64, usize, usize)> = Vec::new();
                for &link in own {
                    for i in [0, 1] {
                        if facts.links[link].ends[i].symbol == symbol && facts.links[link].above[i] == above {
                            let span = &self.spans[span_of_end[link][i]];
                            let [a, b] = span.ties;
                            let other = if a.seat == seat_of[symbol] { b } else { a };
                            leaving.push((places[other.seat] * 4096 + i64::from(other.offset), link, i));
                        }
                    }
                }
                arrange::sort(&mut leaving);
                let shown = &symbols[symbol];
                let mut pins: Vec<usize> =
                    free.iter().copied().filter(|&pin| is_above(shown, pin) == above).collect();
                // Pins that leave straight come first; of those as many as there are links.
                let straight = |pin: usize| {
                    matches!(
                        shown.offset(pin).side,
                        engine::kind::glyph::Side::Up | engine::kind::glyph::Side::Down
                    )
                };
                arrange::sort_by_key(&mut pins, |&pin| (!straight(pin), shown.offset(pin).at.x.abs(), pin));
                pins.truncate(leaving.len());
                arrange::sort_by_key(&mut pins, |&pin| shown.offset(pin).at.x);
                for ((_, link, i), &pin) in leaving.iter().zip(&pins) {
                    given.push((*link, *i, facts.links[*link].ends[*i].pin, pin));
                    free.retain(|other| *other != pin);
                }
            }
            // Several wires on one terminal keep it together only if they get one pin; the view has
            // one pin a terminal, so the first link decides.
            let mut new_names: Vec<Option<String>> = vec![None; names.len()];
            let mut pin_of: Vec<Option<usize>> = vec![None; names.len()];
            for &(link, i, was, pin) in &given {
                let pin = *pin_of[was].get_or_insert(pin);
                new_names[pin] = Some(names[was].clone());
                facts.links[link].ends[i].pin = pin;
                let port = symbols[symbol].offset(pin);
                let span = &mut self.spans[span_of_end[link][i]];
                for tie in &mut span.ties {
                    if tie.seat == seat_of[symbol] {
                        tie.offset = port.at.x;
                    }
                }
            }
            let mut unused = (0..names.len()).filter(|&was| pin_of[was].is_none());
            for (pin, name) in new_names.into_iter().enumerate() {
                let name = name.unwrap_or_else(|| {
                    names[unused.next().expect("as many terminals are left as pins")].clone()
                });
                symbols[symbol].view.pins[pin].terminal = name;
            }
            let mut n_wires = vec![0; names.len()];
            for &(link, i, ..) in &given {
                n_wires[facts.links[link].ends[i].pin] += 1;
            }
            facts.n_wires[symbol] = n_wires;
        }
    }
}

/// The members in the order a walk along the links meets them, so that the first arrangement
/// already keeps current paths together.
fn visiting_order(facts: &Facts, members: &[usize], n_symbols: usize) -> Vec<usize> {
    let mut neighbors: Vec<Vec<usize>> = vec![Vec::new(); n_symbols];
    for link in &facts.links {
        let [a, b] = link.ends;
        neighbors[a.symbol].push(b.symbol);
        neighbors[b.symbol].push(a.symbol);
    }
    let mut starts = members.to_vec();
    arrange::sort_by_key(&mut starts, |&symbol| (!super::flow::is_source(facts.class[symbol]), symbol));
    let mut seen = vec![false; n_symbols];
    let mut order = Vec::new();
    for start in starts {
        let mut stack = vec![start];
        while let Some(symbol) = stack.pop() {
            if !std::mem::replace(&mut seen[symbol], true) {
                order.push(symbol);
                stack.extend(neighbors[symbol].iter().rev());
            }
        }
    }
    order
}
