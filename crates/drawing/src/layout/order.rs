//! The rows of a group of symbols: a seat for each symbol and for each wire that passes a row, and
//! what joins them.
//!
//! A wire that passes rows is a chain of placeholders, one in each row it passes, so that room is
//! kept for it (Sugiyama, Tagawa and Toda 1981). Which order the rows get is decided in
//! [`starts`](super::starts).

use super::pins::Joint;
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
    /// Whether its pins are one point, so that wires take any of them.
    pub is_joint: bool,
}

/// One end of a [`Span`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Tie {
    /// Index of the seat.
    pub seat: usize,
    /// The pin of the symbol, as it was when the seats were made; of a passing wire 0.
    pub pin: usize,
    /// Steps from its anchor.
    pub offset: i32,
    /// Whether it leaves the seat upwards.
    pub above: bool,
    /// Whether several wires meet its terminal, so that it leaves the stud there sideways.
    pub is_shared: bool,
}

/// The part of a link between two neighboring rows, or between two seats of one row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    /// Both ends; of one that leads from a row to the next, the upper one first.
    pub ties: [Tie; 2],
    /// The space between rows it lies in: above the row of that number.
    pub channel: usize,
}

impl Span {
    /// Whether it leads back to the row it comes from.
    pub(super) fn returns(&self) -> bool {
        self.ties[0].above == self.ties[1].above
    }

    /// The corners it has when it does not run straight: one less where it leaves a stud sideways.
    pub(super) fn n_bends(&self) -> usize {
        if self.ties[0].is_shared != self.ties[1].is_shared { 1 } else { 2 }
    }
}

/// The seats of connected symbols, row by row from left to right, and what joins them.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub seats: Vec<Seat>,
    pub spans: Vec<Span>,
    pub rows: Vec<Vec<usize>>,
    /// The spans in each channel.
    pub in_channel: Vec<Vec<usize>>,
    /// The spans on each seat.
    pub on_seat: Vec<Vec<usize>>,
    /// The seats of joints, whose wires choose their pins.
    pub joints: Vec<Joint>,
    /// The spans that hold the ends of each link, by the index of the link.
    pub links: Vec<(usize, [usize; 2])>,
}

impl Group {
    /// Seats `members`, which no link leaves, in the order in which a walk along the links meets them.
    pub(super) fn new(
        symbols: &[Symbol],
        facts: &Facts,
        row: &[usize],
        footprints: &[Rect],
        members: &[usize],
    ) -> Group {
        let n_rows = members.iter().map(|&symbol| row[symbol] + 1).max().unwrap_or(0) + 1;
        let mut group = Group {
            seats: Vec::new(),
            spans: Vec::new(),
            rows: vec![Vec::new(); n_rows],
            in_channel: vec![Vec::new(); n_rows + 1],
            on_seat: Vec::new(),
            joints: Vec::new(),
            links: Vec::new(),
        };
        let mut seat_of = vec![usize::MAX; symbols.len()];
        for symbol in visiting_order(facts, members, symbols.len()) {
            let seat = group.seats.len();
            seat_of[symbol] = seat;
            let Rect { left, right, .. } = footprints[symbol];
            let is_joint = symbols[symbol].view.swappable;
            group.seats.push(Seat { symbol: Some(symbol), row: row[symbol], left: -left, right, is_joint });
            if is_joint {
                group.joints.push(Joint::new(symbols, symbol, seat));
            }
        }
        for (index, link) in facts.links.iter().enumerate() {
            if seat_of[link.ends[0].symbol] != usize::MAX {
                let spans = group.join(symbols, facts, link, &seat_of);
                group.links.push((index, spans));
            }
        }
        for (index, seat) in group.seats.iter().enumerate() {
            group.rows[seat.row].push(index);
        }
        group.on_seat = vec![Vec::new(); group.seats.len()];
        for (index, span) in group.spans.iter().enumerate() {
            group.in_channel[span.channel].push(index);
            let [a, b] = span.ties.map(|tie| tie.seat);
            group.on_seat[a].push(index);
            if a != b {
                group.on_seat[b].push(index);
            }
        }
        group
    }

    /// Adds the spans of a link and a seat in each row it passes; returns the spans of its ends.
    fn join(&mut self, symbols: &[Symbol], facts: &Facts, link: &Link, seat_of: &[usize]) -> [usize; 2] {
        let tie = |i: usize| {
            let end = link.ends[i];
            let offset = symbols[end.symbol].offset(end.pin).at.x;
            Tie {
                seat: seat_of[end.symbol],
                pin: end.pin,
                offset,
                above: link.above[i],
                is_shared: facts.n_wires[end.symbol][end.pin] > 1,
            }
        };
        let channel = |tie: &Tie, seats: &[Seat]| seats[tie.seat].row + usize::from(!tie.above);
        let (ends, seats) = ([tie(0), tie(1)], &self.seats);
        // Of two ends in one channel, the one that leaves downwards stands above it.
        let height = |i: usize| (channel(&ends[i], seats), ends[i].above);
        let (first, second) = if height(0) <= height(1) { (0, 1) } else { (1, 0) };
        let (mut upper, lower) = (ends[first], ends[second]);
        let (from, to) = (channel(&upper, seats), channel(&lower, seats));
        let mut spans = [0; 2];
        spans[first] = self.spans.len();
        for row in from..to {
            let seat = self.seats.len();
            self.seats.push(Seat { symbol: None, row, left: 0, right: 0, is_joint: false });
            let passing = |above: bool| Tie { seat, pin: 0, offset: 0, above, is_shared: false };
            self.spans.push(Span { ties: [upper, passing(true)], channel: row });
            upper = passing(false);
        }
        spans[second] = self.spans.len();
        self.spans.push(Span { ties: [upper, lower], channel: to });
        spans
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
