//! The current-path diagram: rows from the supply down to the earth, columns side by side.

use std::collections::BTreeSet;

use super::order::Group;
use super::{Facts, flow, rows, starts};
use crate::geometry::{Cell, Rect};
use crate::symbol::Symbol;
use engine::arrange;
use engine::kind::glyph::Side;

/// Least free steps between two rows.
const ROW_GAP: i32 = 4;

/// Free steps between groups of symbols that no wire joins.
const GROUP_GAP: i32 = 3;

/// Places `members`, which no link leaves, with the first row at the origin.
pub(super) fn climb(symbols: &mut [Symbol], facts: &mut Facts, members: &[usize]) {
    let (row, footprints) = in_rows(symbols, facts, members);

    // The rightmost column taken so far in each row.
    let mut taken: Vec<Option<i32>> = Vec::new();
    let mut groups: Vec<(Group, Vec<i32>)> = Vec::new();
    for group_members in groups_of(symbols, facts, members) {
        let mut group = Group::new(symbols, facts, &row, &footprints, &group_members);
        let mut x = starts::order(&mut group, facts.chance);
        group.name_pins(symbols, facts);
        if taken.len() < group.rows.len() {
            taken.resize(group.rows.len(), None);
        }
        let edge = |seat: usize, x: &[i32]| {
            let seat_at = &group.seats[seat];
            (x[seat] - seat_at.left, x[seat] + seat_at.right)
        };
        // A row without seats of this group still has its wires beside it, so the group keeps as
        // far left as its rows allow, but its neighbors above and below count too.
        let spread = |at: usize| at.saturating_sub(1)..(at + 2).min(group.rows.len());
        let mut shift = i32::MIN;
        for (at, seats) in group.rows.iter().enumerate() {
            let Some(&first) = seats.first() else { continue };
            let free = spread(at).filter_map(|row| taken[row]).max();
            let free = free.map_or(0, |right| right + GROUP_GAP);
            shift = shift.max(free - edge(first, &x).0);
        }
        if shift == i32::MIN {
            continue;
        }
        for column in &mut x {
            *column += shift;
        }
        for (at, seats) in group.rows.iter().enumerate() {
            if let Some(&last) = seats.last() {
                let right = edge(last, &x).1;
                taken[at] = Some(taken[at].map_or(right, |was| was.max(right)));
            }
        }
        groups.push((group, x));
    }
    let y = row_places(symbols, facts, &footprints, &row, members, &groups);
    for (group, x) in &groups {
        for (seat, at) in group.seats.iter().zip(x) {
            if let Some(symbol) = seat.symbol {
                symbols[symbol].at = Cell::new(*at, y[seat.row]);
            }
        }
    }
}

/// The crossings and bends that the orders found by searching come to, and the least that any orders
/// have; `None` when a group of symbols has more than `most` orders.
pub(super) fn beside_the_least(
    symbols: &mut [Symbol],
    facts: &mut Facts,
    members: &[usize],
    most: usize,
) -> Option<[usize; 2]> {
    let (row, footprints) = in_rows(symbols, facts, members);
    let mut sum = [0, 0];
    for group_members in groups_of(symbols, facts, members) {
        let mut group = Group::new(symbols, facts, &row, &footprints, &group_members);
        let [found, least] = starts::beside_the_least(&mut group, most)?;
        sum = [sum[0] + found, sum[1] + least];
    }
    Some(sum)
}

/// Turns the symbols as current flows; the row of each, and the space it takes.
fn in_rows(symbols: &mut [Symbol], facts: &mut Facts, members: &[usize]) -> (Vec<usize>, Vec<Rect>) {
    let mut flow = flow::flow(symbols, facts);
    flow::orient(symbols, facts, &mut flow);
    let row = rows::rows(facts, &flow, members);
    (row, (0..symbols.len()).map(|symbol| footprint_with_studs(symbols, facts, symbol)).collect())
}

/// The space a symbol takes with its lettering and the studs that leave it sideways.
fn footprint_with_studs(symbols: &[Symbol], facts: &Facts, symbol: usize) -> Rect {
    let shown = &symbols[symbol];
    let pins = 0..shown.view.pins.len();
    let aside = pins.clone().map(|pin| (pin, shown.offset(pin)));
    let aside = aside.filter(|(_, port)| matches!(port.side, Side::Left | Side::Right));
    let ends = aside.map(|(pin, port)| {
        // Which terminal of a joint comes to lie here is not known yet.
        let stud = |pin: usize| facts.stud(symbol, pin);
        let reach = if shown.view.swappable { pins.clone().map(stud).max().unwrap_or(0) } else { stud(pin) };
        let end = port.at.towards(port.side, reach + 1);
        Rect::new(end.x, end.y, end.x, end.y)
    });
    ends.fold(facts.footprint(symbols, symbol), Rect::joined)
}

/// The grid line of the anchors of each row: far enough apart for symbols, studs, and the wires
/// that run along between the rows.
fn row_places(
    symbols: &[Symbol],
    facts: &Facts,
    footprints: &[Rect],
    row: &[usize],
    members: &[usize],
    groups: &[(Group, Vec<i32>)],
) -> Vec<i32> {
    let n_rows = members.iter().map(|&symbol| row[symbol] + 1).max().unwrap_or(0);
    let mut reach = vec![(0, 0); n_rows];
    for &symbol in members {
        let (up, down) = &mut reach[row[symbol]];
        *up = (*up).max(-footprints[symbol].top);
        *down = (*down).max(footprints[symbol].bottom);
        for pin in 0..symbols[symbol].view.pins.len() {
            let port = symbols[symbol].offset(pin);
            let end = port.at.towards(port.side, facts.stud(symbol, pin));
            *up = (*up).max(-end.y);
            *down = (*down).max(end.y);
        }
    }
    let mut y = Vec::with_capacity(n_rows);
    let mut at = 0;
    for i in 0..n_rows {
        if i > 0 {
            let n_tracks = n_tracks(groups, i);
            at += reach[i - 1].1 + ROW_GAP + (2 * n_tracks).min(n_tracks + 4) + reach[i].0;
        }
        y.push(at);
    }
    y
}

/// The most wires that run along side by side in one channel.
fn n_tracks(groups: &[(Group, Vec<i32>)], channel: usize) -> i32 {
    let mut changes: Vec<(i32, i32)> = Vec::new();
    for (group, x) in groups {
        for span in group.spans.iter().filter(|span| span.channel == channel) {
            let [a, b] = span.ties.map(|tie| x[tie.seat] + tie.offset);
            if a != b {
                changes.push((a.min(b), 1));
                changes.push((a.max(b) + 1, -1));
            }
        }
    }
    arrange::sort(&mut changes);
    let mut now = 0;
    changes
        .iter()
        .map(|(_, change)| {
            now += change;
            now
        })
        .max()
        .unwrap_or(0)
}

/// How many groups are looked through for one that shares a part.
const NEAREST: usize = 200;

/// The members in groups that links hold together, each next to one it shares a part with.
fn groups_of(symbols: &[Symbol], facts: &Facts, members: &[usize]) -> Vec<Vec<usize>> {
    let mut leader: Vec<usize> = (0..symbols.len()).collect();
    fn find(leader: &mut [usize], mut symbol: usize) -> usize {
        while leader[symbol] != symbol {
            leader[symbol] = leader[leader[symbol]];
            symbol = leader[symbol];
        }
        symbol
    }
    for link in &facts.links {
        let [a, b] = link.ends.map(|end| find(&mut leader, end.symbol));
        leader[a.max(b)] = a.min(b);
    }
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut group_of_leader = vec![usize::MAX; symbols.len()];
    for &member in members {
        let lead = find(&mut leader, member);
        if group_of_leader[lead] == usize::MAX {
            group_of_leader[lead] = groups.len();
            groups.push(Vec::new());
        }
        groups[group_of_leader[lead]].push(member);
    }
    // Single symbols go to the end; a coil follows the group of its contact.
    let mut waiting: Vec<Vec<usize>> = groups;
    arrange::sort_by_key(&mut waiting, |group| (group.len() == 1, group[0]));
    let mut sorted: Vec<Vec<usize>> = Vec::new();
    let mut parts = BTreeSet::new();
    while !waiting.is_empty() {
        let shares = |group: &Vec<usize>| group.iter().any(|&symbol| parts.contains(&symbols[symbol].part));
        let next = waiting.iter().take(NEAREST).position(shares).unwrap_or(0);
        let group = waiting.remove(next);
        parts.extend(group.iter().map(|&symbol| symbols[symbol].part));
        sorted.push(group);
    }
    sorted
}
