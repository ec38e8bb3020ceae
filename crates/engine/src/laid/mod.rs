//! The circuit of a job whose wires lie beside one another along the vehicle plan.
//!
//! How much a wire can carry depends on how many others beside it carry a load, and that on the currents, which need the
//! circuit first. Currents do not depend on what lies beside a wire, so that one round is enough.

mod cut;
mod order;
mod piece;

pub use cut::{Cut, Lot, cut_list, up_to_the_centimetre};
pub use order::{Laying, build_order};
pub use piece::{Piece, pieces};

use std::sync::Arc;

use crate::arrange;
use crate::check::worth_a_look;
use crate::circuit::{Circuit, Origin, from_resolved};
use crate::document::{Document, Situation};
use crate::resolve::{Loaded, UsedWire, resolve_laid};
use crate::solve::Solver;

/// The circuit of a job.
///
/// Of every wire along the plan it is counted how many on one piece of its way carry more than 30 % of what they
/// can carry alone, in the same of the situations that checks go by.
pub fn circuit(document: &Document) -> Circuit {
    let of = |loaded: &Arc<Loaded>| {
        let resolved = resolve_laid(&document.network, &document.settings, &document.plan, loaded);
        from_resolved(Arc::new(resolved))
    };
    let first = of(&Arc::default());
    let loaded = loaded(&first, &document.situations);
    if loaded.is_empty() { first } else { of(&Arc::new(loaded)) }
}

/// How many wires carry a load on the fullest piece of the way of each wire, itself included.
fn loaded(circuit: &Circuit, situations: &[Situation]) -> Loaded {
    let resolved = &circuit.resolved;
    let on_routes = resolved.ways.on_routes(&resolved.plan);
    // A piece with one wire has nothing to count.
    if on_routes.iter().all(|wires| wires.len() < 2) {
        return Loaded::new();
    }
    let mut most = vec![1; resolved.network.wires.len()];
    for carrying in carrying(circuit, situations) {
        for wires in &on_routes {
            // A wire that is led to and fro lies there as often as it does.
            let loaded = wires.iter().filter(|wire| carrying[**wire]).count();
            for wire in wires {
                // The wire itself counts also while it carries little: its limit is asked for when it carries much.
                let own = wires.iter().filter(|one| *one == wire).count();
                let here = if carrying[*wire] { loaded } else { loaded + own };
                most[*wire] = most[*wire].max(here);
            }
        }
    }
    let counted = resolved
        .network
        .wires
        .iter()
        .enumerate()
        .filter(|(index, _)| resolved.ways.of(*index).is_some_and(|way| !way.pieces.is_empty()));
    let count = |index: usize| u32::try_from(most[index]).unwrap_or(u32::MAX);
    arrange::map_of(counted.map(|(index, wire)| (wire.id.clone(), count(index))))
}

/// Which wires carry a load, in each state that the situations come to.
fn carrying(circuit: &Circuit, situations: &[Situation]) -> Vec<Vec<bool>> {
    let solver = Solver::new(circuit);
    let limits = circuit.resolved.wires.iter().map(|used| used.as_ref().map(UsedWire::counts_above));
    let limits: Vec<Option<f64>> = limits.collect();
    let mut states = Vec::new();
    for (_, positions) in worth_a_look(circuit, situations) {
        for reached in &solver.solve(positions).reached {
            let mut carrying = vec![false; limits.len()];
            for (index, branch) in circuit.branches.iter().enumerate() {
                if let Origin::Wire(wire) = branch.origin {
                    let amps = reached.rest.steady.amps(index).abs();
                    carrying[wire] = limits[wire].is_some_and(|limit| amps > limit);
                }
            }
            states.push(carrying);
        }
    }
    states
}

#[cfg(test)]
mod tests;
