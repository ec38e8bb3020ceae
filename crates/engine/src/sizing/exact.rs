//! The sizes that do all that is asked with the least copper, by branch and bound.

use crate::arrange;
use crate::sizing::choose::{Bound, priced};
use crate::sizing::model::Model;

/// Most sizes tried before the search gives up.
const MOST_TRIED: usize = 400_000;

/// Share of the copper by which sizes must be better to count, so that rounding decides nothing.
const BETTER: f64 = 1e-9;

/// What a search came to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    /// The best sizes met.
    pub sizes: Vec<usize>,
    /// Their copper in square millimetres times metres.
    pub copper: f64,
    /// Whether all others were tried or proved to be no better.
    pub is_proved: bool,
}

/// A search under way.
struct Search<'m> {
    model: &'m Model,
    /// The wires that a row asks something of, those that matter most first. All others have their least size.
    order: Vec<usize>,
    /// By place in the order, the sizes of the wire with what each costs more, at the bound's prices, than the cheapest.
    dearer: Vec<Vec<(usize, f64)>>,
    /// The volts of each wire of the order by row and size: nought where it is not on the way.
    volts: Vec<Vec<Vec<f64>>>,
    /// By place in the order, the volts that it and those after it lose at least in each row.
    at_least: Vec<Vec<f64>>,
    tried: usize,
    best: Found,
}

/// Looks for better sizes than `known`, which do what is asked.
///
/// Along a branch the bound grows by what each size chosen costs more than the cheapest at the bound's prices, and no
/// sizes below it can be better than that; nor can they do what is asked when even the largest sizes of the wires left
/// lose too much.
pub(super) fn search(model: &Model, known: Vec<usize>, bound: &Bound) -> Found {
    let copper = |sizes: &[usize]| model.copper.iter().zip(sizes).map(|(copper, size)| copper[*size]).sum();
    let mut order: Vec<usize> = (0..model.least.len())
        .filter(|wire| model.rows.iter().any(|row| row.lost.iter().any(|(on_way, _)| on_way == wire)))
        .collect();
    let span = |wire: usize| model.copper[wire][model.copper[wire].len() - 1];
    arrange::sort_by(&mut order, |a, b| span(*b).total_cmp(&span(*a)));
    let dearer = order.iter().map(|wire| dearer(model, &bound.prices, *wire)).collect();
    let volts: Vec<Vec<Vec<f64>>> = order.iter().map(|wire| volts_of(model, *wire)).collect();
    let mut at_least = vec![vec![0.0; model.rows.len()]];
    for of_wire in volts.iter().rev() {
        let after = &at_least[at_least.len() - 1];
        let sums = after.iter().zip(of_wire).map(|(sum, volts)| sum + volts.last().copied().unwrap_or(0.0));
        at_least.push(sums.collect());
    }
    at_least.reverse();
    let best = Found { copper: copper(&known), sizes: known, is_proved: true };
    let mut search = Search { model, order, dearer, volts, at_least, tried: 0, best };
    let mut sizes = model.least.clone();
    let mut lost = vec![0.0; model.rows.len()];
    search.go(0, bound.copper, &mut sizes, &mut lost);
    search.best
}

/// The sizes of a wire, the cheapest at these prices first, with what each costs more than that.
fn dearer(model: &Model, prices: &[f64], wire: usize) -> Vec<(usize, f64)> {
    let cost = priced(model, prices, wire);
    let from = model.least[wire];
    let cheapest = cost[from..].iter().copied().fold(f64::INFINITY, f64::min);
    let mut sizes: Vec<(usize, f64)> = (from..cost.len()).map(|size| (size, cost[size] - cheapest)).collect();
    arrange::sort_by(&mut sizes, |a, b| a.1.total_cmp(&b.1));
    sizes
}

/// The volts of a wire by row and size.
fn volts_of(model: &Model, wire: usize) -> Vec<Vec<f64>> {
    let of_row = |row: &crate::sizing::model::Row| {
        let on_way = row.lost.iter().find(|(on_way, _)| *on_way == wire);
        on_way.map_or_else(|| vec![0.0; model.copper[wire].len()], |(_, volts)| volts.clone())
    };
    model.rows.iter().map(of_row).collect()
}

impl Search<'_> {
    fn go(&mut self, depth: usize, bound: f64, sizes: &mut Vec<usize>, lost: &mut Vec<f64>) {
        if self.tried >= MOST_TRIED {
            self.best.is_proved = false;
            return;
        }
        let Some(&wire) = self.order.get(depth) else {
            let copper: f64 =
                self.model.copper.iter().zip(sizes.iter()).map(|(copper, size)| copper[*size]).sum();
            if copper < self.best.copper * (1.0 - BETTER) && self.model.holds(sizes) {
                self.best.sizes = sizes.clone();
                self.best.copper = copper;
            }
            return;
        };
        for at in 0..self.dearer[depth].len() {
            let (size, more) = self.dearer[depth][at];
            // The sizes come the cheapest first: none after this one is better.
            if bound + more >= self.best.copper * (1.0 - BETTER) {
                return;
            }
            self.tried += 1;
            let before = lost.clone();
            for (row, lost) in lost.iter_mut().enumerate() {
                *lost += self.volts[depth][row][size];
            }
            let rest = &self.at_least[depth + 1];
            let may_do = self
                .model
                .rows
                .iter()
                .zip(lost.iter().zip(rest))
                .all(|(row, (lost, rest))| lost + rest <= row.allowed * (1.0 + BETTER));
            if may_do {
                sizes[wire] = size;
                self.go(depth + 1, bound + more, sizes, lost);
            }
            *lost = before;
        }
        sizes[wire] = self.model.least[wire];
    }
}
