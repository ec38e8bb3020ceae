//! Sizes that do what is asked with little copper, and how little it can be.

use crate::arrange;
use crate::sizing::model::Model;

/// Sizes that do all that is asked: from the least on the size that gives most for its copper is raised until every
/// load has enough, and then what turned out not to be needed is taken back.
///
/// `None` when no sizes do.
pub(super) fn greedy(model: &Model) -> Option<Vec<usize>> {
    let mut sizes = model.least.clone();
    while !model.holds(&sizes) {
        let (wire, size) = best_raise(model, &sizes)?;
        sizes[wire] = size;
    }
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    let saves = |wire: usize| model.copper[wire][sizes[wire]] - model.copper[wire][model.least[wire]];
    let saved: Vec<f64> = order.iter().map(|wire| saves(*wire)).collect();
    arrange::sort_by(&mut order, |a, b| saved[*b].total_cmp(&saved[*a]));
    for wire in order {
        while sizes[wire] > model.least[wire] {
            sizes[wire] -= 1;
            if !model.holds(&sizes) {
                sizes[wire] += 1;
                break;
            }
        }
    }
    Some(sizes)
}

/// The wire and size that make up for most of what is missing, for the copper.
fn best_raise(model: &Model, sizes: &[usize]) -> Option<(usize, usize)> {
    let mut best: Option<(f64, usize, usize)> = None;
    for wire in 0..sizes.len() {
        for size in sizes[wire] + 1..model.copper[wire].len() {
            let mut gain = 0.0;
            for row in &model.rows {
                let missing = row.volts(sizes) - row.allowed;
                if missing > 0.0
                    && let Some((_, volts)) = row.lost.iter().find(|(on_way, _)| *on_way == wire)
                {
                    gain += (volts[sizes[wire]] - volts[size]).min(missing);
                }
            }
            let rate = gain / (model.copper[wire][size] - model.copper[wire][sizes[wire]]);
            if gain > 0.0 && best.is_none_or(|(known, ..)| rate > known) {
                best = Some((rate, wire, size));
            }
        }
    }
    best.map(|(_, wire, size)| (wire, size))
}

/// A price on each volt that a row lacks, and what sizes cost at least with these prices.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bound {
    /// Copper per volt, by row.
    pub prices: Vec<f64>,
    /// No sizes that do what is asked have less copper, in square millimetres times metres.
    pub copper: f64,
}

/// Steps in search of the best prices.
const STEPS: usize = 400;

/// How little copper can do what is asked: Lagrange's bound.
///
/// With a price on every volt lost, and the allowed volts credited, sizes that do what is asked cost no more than their
/// copper; and the cheapest at these prices is found wire by wire. Whatever the prices, that is a lower bound; the best
/// are looked for by steps along the subgradient towards `known`, the copper of sizes that do (Held, Wolfe and Crowder
/// 1974).
pub(super) fn bound(model: &Model, known: f64) -> Bound {
    let mut prices = vec![0.0; model.rows.len()];
    let mut best = Bound { prices: prices.clone(), copper: f64::NEG_INFINITY };
    let mut pace = 1.0;
    let mut since_better = 0;
    for _ in 0..STEPS {
        let sizes = cheapest(model, &prices);
        let excess: Vec<f64> = model.rows.iter().map(|row| row.volts(&sizes) - row.allowed).collect();
        let of_sizes: f64 = model.copper.iter().zip(&sizes).map(|(copper, size)| copper[*size]).sum();
        let copper = of_sizes + prices.iter().zip(&excess).map(|(price, volts)| price * volts).sum::<f64>();
        if copper > best.copper + 1e-9 * known {
            best = Bound { prices: prices.clone(), copper };
            since_better = 0;
        } else {
            since_better += 1;
        }
        if since_better > 15 {
            pace *= 0.5;
            since_better = 0;
        }
        let square: f64 = excess.iter().map(|volts| volts * volts).sum();
        if square == 0.0 || copper >= known {
            break;
        }
        let step = pace * (known - copper) / square;
        for (price, volts) in prices.iter_mut().zip(&excess) {
            *price = (*price + step * volts).max(0.0);
        }
    }
    Bound { copper: best.copper.min(known), ..best }
}

/// The sizes that cost least at these prices, wire by wire.
fn cheapest(model: &Model, prices: &[f64]) -> Vec<usize> {
    (0..model.least.len())
        .map(|wire| {
            let cost = priced(model, prices, wire);
            (model.least[wire]..cost.len())
                .min_by(|a, b| cost[*a].total_cmp(&cost[*b]))
                .unwrap_or(model.least[wire])
        })
        .collect()
}

/// What each size of a wire costs at these prices.
pub(super) fn priced(model: &Model, prices: &[f64], wire: usize) -> Vec<f64> {
    let mut cost = model.copper[wire].clone();
    for (row, price) in model.rows.iter().zip(prices) {
        if let Some((_, volts)) = row.lost.iter().find(|(on_way, _)| *on_way == wire) {
            for (cost, volts) in cost.iter_mut().zip(volts) {
                *cost += price * volts;
            }
        }
    }
    cost
}
