//! Which way is down: from the supply towards the earth.
//!
//! No solution is read. A rank stands in for the potential: that of a network of equal
//! resistances, one between any two pins of a symbol, with the positive poles held at
//! [`SUPPLY`] and the earth at 0. Pins of one net share a rank, and there the way from the supply
//! decides, or the way to the earth where more parts feed the net than take from it.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use engine::kind::Class;
use engine::kind::glyph::Side;

use super::{End, Facts, Link};
use crate::symbol::Symbol;

/// The rank of the supply.
const SUPPLY: i64 = 4096;

/// Two ranks closer than this are one: what is left of the relaxation below.
const TIE: i64 = 3;

/// How much farther the other side of a part is than the other end of a wire.
const THROUGH_A_PART: i64 = 16;

/// Farther than any way along wires and parts.
const UNREACHED: i64 = i64::MAX / 4;

/// How high a pin stands: its rank, then how short its way from the supply is, or in a net that
/// collects, how long its way to the earth is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Height {
    rank: i64,
    nearness: i64,
}

/// Whether parts of this class feed the circuit; the first pin of their view is the positive one.
pub(super) fn is_source(class: Class) -> bool {
    matches!(class, Class::Battery | Class::Generator | Class::Donor)
}

/// The height of every pin of every symbol.
pub(super) struct Flow {
    heights: Vec<Vec<Height>>,
    from_earth: Vec<Vec<i64>>,
    /// The net of each pin, as the number of one of its pins.
    net: Vec<Vec<usize>>,
}

impl Flow {
    /// The height of the pin at `end`.
    pub(super) fn height(&self, end: End) -> Height {
        self.heights[end.symbol][end.pin]
    }

    /// Whether current goes from `a` to `b` rather than the other way.
    fn is_higher(&self, a: End, b: End) -> bool {
        (self.height(a), Reverse(a)) > (self.height(b), Reverse(b))
    }

    /// In nets that collect, the earth decides: called once parts stand as they are fed.
    fn mark_collecting(&mut self, symbols: &[Symbol], facts: &Facts) {
        let mut balance = vec![0_i32; self.net.iter().map(Vec::len).sum()];
        for (symbol, shown) in symbols.iter().enumerate() {
            let class = facts.class[symbol];
            if shown.view.swappable {
                continue;
            }
            for pin in (0..shown.view.pins.len()).filter(|&pin| facts.n_wires[symbol][pin] > 0) {
                let weight = match shown.offset(pin).side {
                    // What a source feeds spreads, whoever else feeds it.
                    _ if is_source(class) && pin == 0 => -(facts.class.len() as i32),
                    Side::Down if class != Class::Earth => 1,
                    _ => -1,
                };
                balance[self.net[symbol][pin]] += weight;
            }
        }
        for (symbol, heights) in self.heights.iter_mut().enumerate() {
            for (pin, height) in heights.iter_mut().enumerate() {
                if balance[self.net[symbol][pin]] > 0 {
                    height.nearness = self.from_earth[symbol][pin];
                }
            }
        }
    }
}

/// The height of every pin of every symbol.
pub(super) fn flow(symbols: &[Symbol], facts: &Facts) -> Flow {
    let mut supply = Vec::new();
    let mut earth = Vec::new();
    for (symbol, shown) in symbols.iter().enumerate() {
        for pin in 0..shown.view.pins.len() {
            match facts.class[symbol] {
                class if is_source(class) && pin == 0 => supply.push(End { symbol, pin }),
                class if is_source(class) || class == Class::Earth => earth.push(End { symbol, pin }),
                _ => {}
            }
        }
    }
    let (ranks, net) = ranks(symbols, facts, &supply, &earth);
    let (from_supply, from_earth) = (distances(symbols, facts, supply), distances(symbols, facts, earth));
    let height = |(&rank, &way): (&i64, &i64)| Height { rank, nearness: -way };
    let heights =
        ranks.iter().zip(&from_supply).map(|(ranks, ways)| ranks.iter().zip(ways).map(height).collect());
    Flow { heights: heights.collect(), from_earth, net }
}

/// The potential of every pin, by relaxation: each net takes the mean of its neighbors until
/// little moves; and the net of every pin.
fn ranks(
    symbols: &[Symbol],
    facts: &Facts,
    supply: &[End],
    earth: &[End],
) -> (Vec<Vec<i64>>, Vec<Vec<usize>>) {
    const ROUNDS: usize = 300;
    let first_of: Vec<usize> = symbols
        .iter()
        .scan(0, |next, symbol| Some(std::mem::replace(next, *next + symbol.view.pins.len())))
        .collect();
    let index = |end: End| first_of[end.symbol] + end.pin;
    let n_pins: usize = symbols.iter().map(|symbol| symbol.view.pins.len()).sum();
    let mut net: Vec<usize> = (0..n_pins).collect();
    fn find(net: &mut [usize], mut pin: usize) -> usize {
        while net[pin] != pin {
            net[pin] = net[net[pin]];
            pin = net[pin];
        }
        pin
    }
    let mut join = |a: usize, b: usize| {
        let (a, b) = (find(&mut net, a), find(&mut net, b));
        net[a.max(b)] = a.min(b);
    };
    for link in &facts.links {
        join(index(link.ends[0]), index(link.ends[1]));
    }
    let mut neighbors: Vec<Vec<usize>> = vec![Vec::new(); n_pins];
    for (symbol, shown) in symbols.iter().enumerate() {
        if shown.view.swappable {
            (1..shown.view.pins.len()).for_each(|pin| join(first_of[symbol], first_of[symbol] + pin));
        }
    }
    let net: Vec<usize> = (0..n_pins).map(|pin| find(&mut net, pin)).collect();
    for (symbol, shown) in symbols.iter().enumerate() {
        let class = facts.class[symbol];
        if is_source(class) || class == Class::Earth {
            continue;
        }
        let pins = || first_of[symbol]..first_of[symbol] + shown.view.pins.len();
        for a in pins() {
            let others = pins().filter(|&b| net[a] != net[b]).map(|b| net[b]);
            neighbors[net[a]].extend(others);
        }
    }
    let mut held: Vec<Option<f64>> = vec![None; n_pins];
    for (ends, rank) in [(earth, 0), (supply, SUPPLY)] {
        for &end in ends {
            held[net[index(end)]] = Some(rank as f64);
        }
    }
    let mut potential: Vec<f64> = held.iter().map(|held| held.unwrap_or(SUPPLY as f64 / 2.0)).collect();
    for _ in 0..ROUNDS {
        for pin in 0..n_pins {
            if held[pin].is_none() && !neighbors[pin].is_empty() {
                let sum: f64 = neighbors[pin].iter().map(|&other| potential[other]).sum();
                potential[pin] = sum / neighbors[pin].len() as f64;
            }
        }
    }
    let nets: Vec<Vec<usize>> = (symbols.iter().zip(&first_of))
        .map(|(symbol, &first)| net[first..first + symbol.view.pins.len()].to_vec())
        .collect();
    let rank = |net: &usize| libm::round(potential[*net]) as i64;
    (nets.iter().map(|pins| pins.iter().map(rank).collect()).collect(), nets)
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
pub(super) fn orient(symbols: &mut [Symbol], facts: &mut Facts, flow: &mut Flow) {
    // A joint goes by how its neighbors stand, so those come first.
    for joints in [false, true] {
        if joints {
            flow.mark_collecting(symbols, facts);
        }
        for symbol in 0..symbols.len() {
            let shown = &symbols[symbol];
            if shown.view.swappable == joints && !shown.pinned && should_turn(symbols, facts, flow, symbol) {
                symbols[symbol].turn.quarters = 2;
            }
        }
    }
    let mut links = std::mem::take(&mut facts.links);
    for link in &mut links {
        for i in [0, 1] {
            let (own, other) = (link.ends[i], link.ends[1 - i]);
            link.above[i] = match symbols[own.symbol].offset(own.pin).side {
                _ if symbols[own.symbol].view.swappable => brings(symbols, facts, flow, own, other),
                Side::Up => true,
                Side::Down => false,
                Side::Left | Side::Right => flow.is_higher(other, own),
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

/// Whether the wire between the joint at `own` and `other` brings current rather than takes it on.
fn brings(symbols: &[Symbol], facts: &Facts, flow: &Flow, own: End, other: End) -> bool {
    let neighbor = &symbols[other.symbol];
    match neighbor.offset(other.pin).side {
        _ if neighbor.view.swappable => flow.is_higher(other, own),
        _ if is_source(facts.class[other.symbol]) => other.pin == 0,
        Side::Down => true,
        Side::Up => false,
        Side::Left | Side::Right => flow.is_higher(other, own),
    }
}

fn should_turn(symbols: &[Symbol], facts: &Facts, flow: &Flow, symbol: usize) -> bool {
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
                    let above = brings(symbols, facts, flow, link.ends[i], link.ends[1 - i]);
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
        let heights: Vec<Height> = wired.map(|pin| flow.height(End { symbol, pin })).collect();
        let n = i64::try_from(heights.len()).ok().filter(|n| *n > 0)?;
        let sum = |of: fn(&Height) -> i64| heights.iter().map(of).sum::<i64>() / n;
        Some(Height { rank: sum(|height| height.rank), nearness: sum(|height| height.nearness) })
    };
    let (Some(up), Some(down)) = (mean(Side::Up), mean(Side::Down)) else { return false };
    if (up.rank - down.rank).abs() < TIE { up.nearness < down.nearness } else { up.rank < down.rank }
}

/// Gives all links of one terminal of a swappable symbol the same side, that of most of them, and makes
/// sure that no more terminals are served on a side than there are pins.
fn fit_to_pins(symbols: &[Symbol], facts: &mut Facts, symbol: usize) {
    let shown = &symbols[symbol];
    let n_pins = shown.view.pins.len();
    // How many links of each terminal leave upwards rather than downwards.
    let mut balance = vec![0_i64; n_pins];
    for link in &facts.links {
        for i in [0, 1] {
            if link.ends[i].symbol == symbol {
                balance[link.ends[i].pin] += if link.above[i] { 1 } else { -1 };
            }
        }
    }
    let mut terminals: Vec<usize> = (0..n_pins).filter(|&pin| facts.n_wires[symbol][pin] > 0).collect();
    // The clearest cases choose first.
    engine::arrange::sort_by_key(&mut terminals, |&pin| (Reverse(balance[pin].abs()), pin));
    let mut room =
        [false, true].map(|above| (0..n_pins).filter(|&pin| is_above(shown, pin) == above).count());
    for terminal in terminals {
        let wish = usize::from(balance[terminal] > 0);
        let side = if room[wish] > 0 { wish } else { 1 - wish };
        room[side] = room[side].saturating_sub(1);
        for link in &mut facts.links {
            for i in [0, 1] {
                if (link.ends[i].symbol, link.ends[i].pin) == (symbol, terminal) {
                    link.above[i] = side == 1;
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
