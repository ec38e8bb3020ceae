//! The sizes that do all that is asked with the least copper.
//!
//! Wires that no load has on its way together are apart from each other. In each group of the others sizes are chosen
//! wire by wire, shared ones first, and of all choices so far only those are kept that none beats in copper and in
//! every voltage still to be lost: on a tree that is what a choice from the leaves up keeps. Lagrange's bound cuts off
//! what cannot become better than what is known.

use crate::arrange;
use crate::sizing::choose::{Bound, priced};
use crate::sizing::model::Model;

/// Most choices kept from one wire to the next before the search is no proof any more.
const MOST_KEPT: usize = 2_000;

/// Share by which copper or voltage must differ to count, so that rounding decides nothing.
const SAME: f64 = 1e-9;

/// What a search came to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    /// The best sizes met.
    pub sizes: Vec<usize>,
    /// Their copper in square millimetres times metres.
    pub copper: f64,
    /// No sizes that do what is asked have less copper.
    pub at_least: f64,
}

/// Wires and rows that hang together.
struct Group {
    /// In the order in which sizes are chosen.
    wires: Vec<usize>,
    /// By place in the model.
    rows: Vec<usize>,
}

/// What is chosen of the first wires of a group.
#[derive(Clone)]
struct Partly {
    sizes: Vec<usize>,
    copper: f64,
    /// What it costs more, at the bound's prices, than the cheapest.
    more: f64,
    /// Volts lost so far by row of the group.
    lost: Vec<f64>,
}

/// Looks for better sizes than `known`, which do what is asked.
pub(super) fn search(model: &Model, known: Vec<usize>, bound: &Bound) -> Found {
    let of =
        |sizes: &[usize]| model.copper.iter().zip(sizes).map(|(copper, size)| copper[*size]).sum::<f64>();
    let mut sizes = known;
    let groups = groups(model);
    // What nothing is asked of has its least size.
    for (wire, size) in sizes.iter_mut().enumerate() {
        if !groups.iter().any(|group| group.wires.contains(&wire)) {
            *size = model.least[wire];
        }
    }
    let mut at_least = of(&sizes);
    for group in &groups {
        let known: f64 = group.wires.iter().map(|wire| model.copper[*wire][sizes[*wire]]).sum();
        let (better, is_proved, bound) = better_in(model, group, known, &bound.prices);
        let mut best = known;
        if let Some(partly) = better {
            best = partly.copper;
            for (wire, size) in group.wires.iter().zip(partly.sizes) {
                sizes[*wire] = size;
            }
        }
        at_least += if is_proved { best } else { bound.min(best) } - known;
    }
    Found { copper: of(&sizes), sizes, at_least }
}

/// The best choice in a group that has less copper than `known`, whether it is proved to be the best, and what the
/// prices say every choice has at least.
fn better_in(model: &Model, group: &Group, known: f64, prices: &[f64]) -> (Option<Partly>, bool, f64) {
    let n_rows = group.rows.len();
    let allowed: Vec<f64> = group.rows.iter().map(|row| model.rows[*row].allowed).collect();
    let volts: Vec<Vec<Vec<f64>>> = group.wires.iter().map(|wire| volts_of(model, group, *wire)).collect();
    // By place in the order, what that wire and those after it lose at least, and whether they lose anything.
    let mut rest = vec![vec![0.0; n_rows]];
    for of_wire in volts.iter().rev() {
        let after = &rest[rest.len() - 1];
        let sums = after.iter().zip(of_wire).map(|(sum, volts)| sum + volts.last().copied().unwrap_or(0.0));
        rest.push(sums.collect());
    }
    rest.reverse();
    let costs: Vec<Vec<f64>> = group.wires.iter().map(|wire| priced(model, prices, *wire)).collect();
    let cheapest = |place: usize| {
        let from = model.least[group.wires[place]];
        costs[place][from..].iter().copied().fold(f64::INFINITY, f64::min)
    };
    let credit: f64 = group.rows.iter().zip(&allowed).map(|(row, volts)| prices[*row] * volts).sum();
    let bound = (0..group.wires.len()).map(cheapest).sum::<f64>() - credit;
    let mut is_proved = true;
    let mut kept = vec![Partly { sizes: Vec::new(), copper: 0.0, more: 0.0, lost: vec![0.0; n_rows] }];
    for (place, wire) in group.wires.iter().enumerate() {
        let mut next: Vec<Partly> = Vec::new();
        for partly in &kept {
            for size in model.least[*wire]..model.copper[*wire].len() {
                let more = partly.more + costs[place][size] - cheapest(place);
                let lost: Vec<f64> =
                    (0..n_rows).map(|row| partly.lost[row] + volts[place][row][size]).collect();
                let may_do =
                    (0..n_rows).all(|row| lost[row] + rest[place + 1][row] <= allowed[row] * (1.0 + SAME));
                if may_do && bound + more < known * (1.0 - SAME) {
                    let sizes = partly.sizes.iter().copied().chain([size]).collect();
                    let copper = partly.copper + model.copper[*wire][size];
                    next.push(Partly { sizes, copper, more, lost });
                }
            }
        }
        let open: Vec<usize> = (0..n_rows).filter(|row| rest[place + 1][*row] > 0.0).collect();
        arrange::sort_by(&mut next, |a, b| a.copper.total_cmp(&b.copper));
        kept = Vec::new();
        for partly in next {
            let beats = |other: &Partly| open.iter().all(|row| other.lost[*row] <= partly.lost[*row]);
            if !kept.iter().any(beats) {
                kept.push(partly);
            }
        }
        if kept.len() > MOST_KEPT {
            is_proved = false;
            arrange::sort_by(&mut kept, |a, b| a.more.total_cmp(&b.more));
            kept.truncate(MOST_KEPT);
        }
    }
    (kept.into_iter().min_by(|a, b| a.copper.total_cmp(&b.copper)), is_proved, bound)
}

/// The volts of a wire by row of the group and size.
fn volts_of(model: &Model, group: &Group, wire: usize) -> Vec<Vec<f64>> {
    let of_row = |row: &usize| {
        let on_way = model.rows[*row].lost.iter().find(|(on_way, _)| *on_way == wire);
        on_way.map_or_else(|| vec![0.0; model.copper[wire].len()], |(_, volts)| volts.clone())
    };
    group.rows.iter().map(of_row).collect()
}

/// The groups of a model. In each, ways that share the most come one after the other, so that what one way has to
/// itself is decided before the next begins.
fn groups(model: &Model) -> Vec<Group> {
    let n_wires = model.least.len();
    let shared: Vec<usize> = (0..n_wires)
        .map(|wire| model.rows.iter().filter(|row| row.lost.iter().any(|(on, _)| *on == wire)).count())
        .collect();
    let mut by_sharing: Vec<usize> = (0..n_wires).collect();
    arrange::sort_by(&mut by_sharing, |a, b| shared[*b].cmp(&shared[*a]).then(a.cmp(b)));
    let mut rank = vec![0; n_wires];
    for (place, wire) in by_sharing.iter().enumerate() {
        rank[*wire] = place;
    }
    let ways = model.rows.iter().enumerate().map(|(row, found)| {
        let mut way: Vec<usize> = found.lost.iter().map(|(wire, _)| rank[*wire]).collect();
        arrange::sort(&mut way);
        (way, row)
    });
    let mut ways: Vec<(Vec<usize>, usize)> = ways.collect();
    arrange::sort(&mut ways);
    let mut groups: Vec<Group> = Vec::new();
    for (way, row) in ways {
        let wires: Vec<usize> = way.into_iter().map(|place| by_sharing[place]).collect();
        let mut joined = Group { wires: Vec::new(), rows: Vec::new() };
        let (hanging, apart): (Vec<Group>, Vec<Group>) =
            groups.into_iter().partition(|group| group.wires.iter().any(|wire| wires.contains(wire)));
        for group in hanging {
            joined.wires.extend(group.wires);
            joined.rows.extend(group.rows);
        }
        for wire in wires {
            if !joined.wires.contains(&wire) {
                joined.wires.push(wire);
            }
        }
        joined.rows.push(row);
        groups = apart;
        groups.push(joined);
    }
    groups
}
