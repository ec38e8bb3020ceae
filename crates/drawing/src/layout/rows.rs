//! Which row each symbol stands in: fed parts below what feeds them, loads at the foot, earth
//! points in a row of their own at the bottom.

use engine::kind::Class;

use super::Facts;
use super::flow::is_source;

/// The row of each member, counted from the top; 0 for symbols that are no members.
///
/// Where feeds go round in a circle, the member with the highest rank in it goes first.
/// Linear in links, quadratic in members.
pub(super) fn rows(facts: &Facts, ranks: &[Vec<i64>], members: &[usize]) -> Vec<usize> {
    let n_symbols = facts.class.len();
    let mut ruled = vec![false; n_symbols];
    for &member in members {
        ruled[member] = facts.class[member] != Class::Earth;
    }
    let rules = rules(facts, ranks, &ruled);
    let order = order(&rules, ranks, &ruled, members);
    let mut place = vec![usize::MAX; n_symbols];
    for (at, &symbol) in order.iter().enumerate() {
        place[symbol] = at;
    }
    // A rule against the order was part of a circle and is dropped.
    let kept: Vec<Rule> = rules.into_iter().filter(|rule| place[rule.upper] < place[rule.lower]).collect();

    let mut row = vec![0; n_symbols];
    for &symbol in &order {
        for rule in kept.iter().filter(|rule| rule.lower == symbol) {
            row[symbol] = row[symbol].max(row[rule.upper] + rule.least);
        }
    }
    let last = order.iter().map(|&symbol| row[symbol]).max().unwrap_or(0);
    for &symbol in order.iter().rev() {
        let below: Vec<&Rule> = kept.iter().filter(|rule| rule.upper == symbol).collect();
        let n_above = kept.iter().filter(|rule| rule.lower == symbol).count();
        let lowest = below.iter().map(|rule| row[rule.lower] - rule.least).min().unwrap_or(last);
        let sinks = if below.is_empty() {
            // A load stands at the foot even when nothing is wired to it; what feeds stays on top.
            n_above > 0 && !is_source(facts.class[symbol]) || facts.class[symbol] == Class::Load
        } else {
            below.len() > n_above && n_above > 0
        };
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

fn rules(facts: &Facts, ranks: &[Vec<i64>], ruled: &[bool]) -> Vec<Rule> {
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
            _ => {
                let rank = |end: super::End| (-ranks[end.symbol][end.pin], end.symbol);
                if rank(a) <= rank(b) { rule(a.symbol, b.symbol, 0) } else { rule(b.symbol, a.symbol, 0) }
            }
        });
    }
    rules
}

/// The ruled members, upper before lower wherever there is no circle.
fn order(rules: &[Rule], ranks: &[Vec<i64>], ruled: &[bool], members: &[usize]) -> Vec<usize> {
    let mut n_before = vec![0_usize; ruled.len()];
    for rule in rules {
        n_before[rule.lower] += 1;
    }
    let mut waiting: Vec<usize> = members.iter().copied().filter(|&symbol| ruled[symbol]).collect();
    let mut order = Vec::new();
    while !waiting.is_empty() {
        let highest = |symbol: usize| ranks[symbol].iter().copied().max().unwrap_or(0);
        let first = (0..waiting.len())
            .min_by_key(|&i| (n_before[waiting[i]] > 0, -highest(waiting[i]), waiting[i]))
            .expect("the list is not empty");
        let symbol = waiting.remove(first);
        order.push(symbol);
        for rule in rules.iter().filter(|rule| rule.upper == symbol) {
            n_before[rule.lower] = n_before[rule.lower].saturating_sub(1);
        }
    }
    order
}
