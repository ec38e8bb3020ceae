//! Which row each symbol stands in: fed parts below what feeds them, loads at the foot, earth
//! points in a row of their own at the bottom.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use engine::kind::Class;

use super::Facts;
use super::flow::{Flow, Height};

/// The row of each member, counted from the top; 0 for symbols that are no members.
///
/// Where feeds go round in a circle, the member with the highest rank in it goes first.
/// Takes n log n in members and links.
pub(super) fn rows(facts: &Facts, flow: &Flow, members: &[usize]) -> Vec<usize> {
    let n_symbols = facts.class.len();
    let mut ruled = vec![false; n_symbols];
    for &member in members {
        ruled[member] = facts.class[member] != Class::Earth;
    }
    let rules = rules(facts, flow, &ruled);
    let order = order(&rules, facts, flow, &ruled, members);
    let mut place = vec![usize::MAX; n_symbols];
    for (at, &symbol) in order.iter().enumerate() {
        place[symbol] = at;
    }
    // A rule against the order was part of a circle and is dropped.
    let kept: Vec<Rule> = rules.into_iter().filter(|rule| place[rule.upper] < place[rule.lower]).collect();

    let mut above: Vec<Vec<&Rule>> = vec![Vec::new(); n_symbols];
    let mut below: Vec<Vec<&Rule>> = vec![Vec::new(); n_symbols];
    for rule in &kept {
        above[rule.lower].push(rule);
        below[rule.upper].push(rule);
    }
    let mut row = vec![0; n_symbols];
    for &symbol in &order {
        row[symbol] = above[symbol].iter().map(|rule| row[rule.upper] + rule.least).max().unwrap_or(0);
    }
    let mut on_earth = vec![false; n_symbols];
    for link in &facts.links {
        for (own, other) in [(0, 1), (1, 0)] {
            on_earth[link.ends[own].symbol] |= facts.class[link.ends[other].symbol] == Class::Earth;
        }
    }
    let last = order.iter().map(|&symbol| row[symbol]).max().unwrap_or(0);
    for &symbol in order.iter().rev() {
        let (below, n_above) = (&below[symbol], above[symbol].len());
        let lowest = below.iter().map(|rule| row[rule.lower] - rule.least).min().unwrap_or(last);
        // Loads stand at the foot, and so do coils; a joint that spreads stands close to what it feeds.
        let sinks = facts.class[symbol] == Class::Load
            || n_above > 0 && if below.is_empty() { on_earth[symbol] } else { below.len() > n_above };
        if sinks {
            row[symbol] = row[symbol].max(lowest);
        }
    }
    for &member in members {
        if facts.class[member] == Class::Earth {
            row[member] = last + 1;
        }
    }
    row
}

/// `lower` stands at least `least` rows below `upper`.
struct Rule {
    upper: usize,
    lower: usize,
    least: usize,
}

fn rules(facts: &Facts, flow: &Flow, ruled: &[bool]) -> Vec<Rule> {
    let mut rules = Vec::new();
    for link in &facts.links {
        let [a, b] = link.ends;
        if !ruled[a.symbol] || !ruled[b.symbol] || a.symbol == b.symbol {
            continue;
        }
        let rule = |upper, lower, least| Rule { upper, lower, least };
        rules.push(match link.above {
            [false, true] => rule(a.symbol, b.symbol, 1),
            [true, false] => rule(b.symbol, a.symbol, 1),
            // Both leave on the same side: side by side will do, the feeding one not lower.
            // The box, which is the first end, stands no lower than the fuses in it.
            _ if link.is_seat => rule(a.symbol, b.symbol, 0),
            _ => {
                let height = |end: super::End| (Reverse(flow.height(end)), end.symbol);
                if height(a) <= height(b) { rule(a.symbol, b.symbol, 0) } else { rule(b.symbol, a.symbol, 0) }
            }
        });
    }
    rules
}

/// The ruled members, upper before lower wherever there is no circle.
fn order(rules: &[Rule], facts: &Facts, flow: &Flow, ruled: &[bool], members: &[usize]) -> Vec<usize> {
    let mut n_before = vec![0_usize; ruled.len()];
    let mut below: Vec<Vec<usize>> = vec![Vec::new(); ruled.len()];
    for rule in rules {
        n_before[rule.lower] += 1;
        below[rule.upper].push(rule.lower);
    }
    let highest = |symbol: usize| {
        let pins = 0..facts.n_wires[symbol].len();
        Reverse(pins.map(|pin| flow.height(super::End { symbol, pin })).max())
    };
    // Whether others go first, how high it stands, which it is.
    type Turn = (bool, Reverse<Option<Height>>, usize);
    let turn =
        |symbol: usize, n_before: &[usize]| -> Turn { (n_before[symbol] > 0, highest(symbol), symbol) };
    let mut waiting: BTreeSet<Turn> =
        members.iter().filter(|&&symbol| ruled[symbol]).map(|&symbol| turn(symbol, &n_before)).collect();
    let mut order = Vec::new();
    while let Some((_, _, symbol)) = waiting.pop_first() {
        order.push(symbol);
        for &lower in &below[symbol] {
            let was = waiting.remove(&turn(lower, &n_before));
            n_before[lower] -= 1;
            if was {
                waiting.insert(turn(lower, &n_before));
            }
        }
    }
    order
}
