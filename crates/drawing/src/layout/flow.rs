//! Which way is down: from the supply towards the earth.
//!
//! No solution is read; a rank between 0 (earth) and [`SUPPLY`] stands in for the potential: the
//! share that the way to the earth has of the whole way from the supply to the earth.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use engine::kind::Class;
use engine::kind::glyph::Side;

use super::{End, Facts, Link};
use crate::symbol::Symbol;

/// The rank of the supply.
pub(super) const SUPPLY: i64 = 4096;

/// How much farther the other side of a part is than the other end of a wire.
const THROUGH_A_PART: i64 = 16;

const UNREACHED: i64 = i64::MAX;

/// Whether parts of this class feed the circuit; the first pin of their view is the positive one.
pub(super) fn is_source(class: Class) -> bool {
    matches!(class, Class::Battery | Class::Generator | Class::Donor)
}

/// The rank of every pin of every symbol.
pub(super) fn ranks(symbols: &[Symbol], facts: &Facts) -> Vec<Vec<i64>> {
    let seeds = |positive: bool| {
        let mut seeds = Vec::new();
        for (symbol, shown) in symbols.iter().enumerate() {
            for pin in 0..shown.view.pins.len() {
                let seeded = match facts.class[symbol] {
                    class if is_source(class) => (pin == 0) == positive,
                    Class::Earth => !positive,
                    _ => false,
                };
                if seeded {
                    seeds.push(End { symbol, pin });
                }
            }
        }
        seeds
    };
    let from_supply = distances(symbols, facts, seeds(true));
    let from_earth = distances(symbols, facts, seeds(false));
    let rank = |supply: i64, earth: i64| match (supply, earth) {
        (UNREACHED, UNREACHED) => SUPPLY / 2,
        (supply, UNREACHED) => SUPPLY - supply.min(SUPPLY / 2),
        (UNREACHED, earth) => earth.min(SUPPLY / 2),
        (0, 0) => SUPPLY / 2,
        (supply, earth) => earth * SUPPLY / (supply + earth),
    };
    from_supply
        .iter()
        .zip(&from_earth)
        .map(|(supply, earth)| supply.iter().zip(earth).map(|(s, e)| rank(*s, *e)).collect())
        .collect()
}

/// Shortest ways from `seeds` to every pin, along wires and through parts, but not through the
/// sources and earth points where every way ends.
fn distances(symbols: &[Symbol], facts: &Facts, seeds: Vec<End>) -> Vec<Vec<i64>> {
    let mut wired: Vec<Vec<Vec<End>>> =
        symbols.iter().map(|symbol| vec![Vec::new(); symbol.view.pins.len()]).collect();
    for Link { ends: [a, b], .. } in &facts.links {
        wired[a.symbol][a.pin].push(*b);
        wired[b.symbol][b.pin].push(*a);
    }
    let mut distance: Vec<Vec<i64>> =
        symbols.iter().map(|symbol| vec![UNREACHED; symbol.view.pins.len()]).collect();
    let mut queue: BinaryHeap<Reverse<(i64, End)>> = seeds.into_iter().map(|end| Reverse((0, end))).collect();
    while let Some(Reverse((way, end))) = queue.pop() {
        let reached = &mut distance[end.symbol][end.pin];
        if *reached <= way {
            continue;
        }
        *reached = way;
        queue.extend(wired[end.symbol][end.pin].iter().map(|other| Reverse((way + 1, *other))));
        let class = facts.class[end.symbol];
        if !is_source(class) && class != Class::Earth {
            let through = if symbols[end.symbol].view.swappable { 0 } else { THROUGH_A_PART };
            let pins = 0..symbols[end.symbol].view.pins.len();
            queue.extend(pins.map(|pin| Reverse((way + through, End { symbol: end.symbol, pin }))));
        }
    }
    distance
}

/// Turns the free symbols that are fed from below, and decides for every link whether it leaves
/// its symbols upwards.
pub(super) fn orient(symbols: &mut [Symbol], facts: &mut Facts, ranks: &[Vec<i64>]) {
    for symbol in 0..symbols.len() {
        if !symbols[symbol].pinned && should_turn(symbols, facts, ranks, symbol) {
            symbols[symbol].turn.quarters = 2;
        }
    }
    let mut links = std::mem::take(&mut facts.links);
    for link in &mut links {
        for i in [0, 1] {
            let (own, other) = (link.ends[i], link.ends[1 - i]);
            link.above[i] = match symbols[own.symbol].offset(own.pin).side {
                _ if symbols[own.symbol].view.swappable => comes_from_above(ranks, own, other),
                Side::Up => true,
                Side::Down => false,
                Side::Left | Side::Right => comes_from_above(ranks, own, other),
            };
        }
    }
    facts.links = links;
    for symbol in 0..symbols.len() {
        if symbols[symbol].view.swappable && !symbols[symbol].pinned {
            fit_to_pins(symbols, facts, symbol);
        }
    }
}

/// Whether the wire at `own` brings the current rather than takes it on.
fn comes_from_above(ranks: &[Vec<i64>], own: End, other: End) -> bool {
    let rank = |end: End| ranks[end.symbol][end.pin];
    (rank(other), Reverse(other)) > (rank(own), Reverse(own))
}

fn should_turn(symbols: &[Symbol], facts: &Facts, ranks: &[Vec<i64>], symbol: usize) -> bool {
    let class = facts.class[symbol];
    if is_source(class) || class == Class::Earth {
        return false;
    }
    let shown = &symbols[symbol];
    if shown.view.swappable {
        let (mut n_above, mut n_below) = (0, 0);
        for link in &facts.links {
            for i in [0, 1] {
                if link.ends[i].symbol == symbol {
                    let above = comes_from_above(ranks, link.ends[i], link.ends[1 - i]);
                    *(if above { &mut n_above } else { &mut n_below }) += 1;
                }
            }
        }
        return n_above > n_below;
    }
    // Only wired pins count: a free one says nothing about how the part is used.
    let mean = |side: Side| {
        let wired = (0..shown.view.pins.len())
            .filter(|&pin| shown.view.pins[pin].side == side && facts.n_wires[symbol][pin] > 0);
        let (sum, n) = wired.fold((0, 0), |(sum, n), pin| (sum + ranks[symbol][pin], n + 1));
        (n > 0).then(|| sum / n)
    };
    matches!((mean(Side::Up), mean(Side::Down)), (Some(up), Some(down)) if up < down)
}

/// Makes sure that no more links leave a swappable symbol on a side than it has pins there.
fn fit_to_pins(symbols: &[Symbol], facts: &mut Facts, symbol: usize) {
    let shown = &symbols[symbol];
    let room = |above: bool| (0..shown.view.pins.len()).filter(|&pin| is_above(shown, pin) == above).count();
    for above in [true, false] {
        let mut left = room(above);
        for link in &mut facts.links {
            for i in [0, 1] {
                if link.ends[i].symbol == symbol && link.above[i] == above {
                    match left.checked_sub(1) {
                        Some(rest) => left = rest,
                        None => link.above[i] = !above,
                    }
                }
            }
        }
    }
}

/// Whether a pin of a swappable symbol serves links from above; one that leaves sideways serves
/// the side that has more pins, below unless the symbol is turned.
pub(super) fn is_above(symbol: &Symbol, pin: usize) -> bool {
    match symbol.offset(pin).side {
        Side::Up => true,
        Side::Down => false,
        Side::Left | Side::Right => symbol.turn.quarters == 2,
    }
}
