//! What chosen loads lose, whether it is too much or not.

use std::collections::{BTreeMap, BTreeSet};

use super::{Posts, greatest_cold, judged_loads, warm_resistance, way};
use crate::check::{Context, works};
use crate::circuit::Origin;

/// The loads that this check judges and that one of these wires, by index, feeds or leads back from on the shortest way
/// in some surveyed situation.
pub fn fed_through(context: &Context<'_>, wires: &[usize]) -> BTreeSet<Origin> {
    let circuit = context.circuit;
    let on_way = |branch: &usize| match circuit.branches[*branch].origin {
        Origin::Wire(wire) => wires.contains(&wire),
        Origin::Part(..) => false,
    };
    let mut fed = BTreeSet::new();
    for (load, asks) in judged_loads(context) {
        let mut rests = context.survey.rests().filter(|(_, rest)| works(circuit, rest, load, asks));
        if rests.any(|(_, rest)| way(circuit, rest, load).iter().any(on_way)) {
            fed.insert(circuit.branches[load].origin);
        }
    }
    fed
}

/// The load among these that loses most on the way, by its branch, and that as a share of the nominal voltage: with warm
/// wires, in the situation in which each loses most.
pub fn greatest_drop(context: &Context<'_>, loads: &BTreeSet<Origin>) -> Option<(usize, f64)> {
    let circuit = context.circuit;
    let mut by_situation: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (load, (_, index)) in greatest_cold(context) {
        if loads.contains(&circuit.branches[load].origin) {
            by_situation.entry(index).or_default().push(load);
        }
    }
    let mut greatest: Option<(usize, f64)> = None;
    for (index, loads) in by_situation {
        let surveyed = &context.survey.situations[index];
        let Some(cold) = surveyed.rests().next() else { continue };
        let solver =
            context.survey.solver().with_resistances(|branch| warm_resistance(context, cold, branch));
        let solution = solver.solve(surveyed.positions.clone());
        let Some(warm) = solution.shown() else { continue };
        let posts = Posts::new(circuit, warm);
        for load in loads {
            if let Some((volts, _)) = posts.drop(load)
                && greatest.is_none_or(|(_, most)| volts > most)
            {
                greatest = Some((load, volts));
            }
        }
    }
    greatest.map(|(load, volts)| (load, volts / circuit.resolved.nominal_v))
}
