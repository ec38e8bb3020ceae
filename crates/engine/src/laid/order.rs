//! The order in which the wires are laid: the longest trunk first, and from there outwards.

use std::collections::BTreeSet;

use crate::circuit::Circuit;
use crate::document::Status;
use crate::route::length_of;

/// One step of laying: the wires of a route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Laying {
    /// The route, by its index in the plan.
    pub route: usize,
    /// Whether it is part of a trunk, and no branch of what is laid before.
    pub is_trunk: bool,
    /// The new wires that are laid along it.
    pub wires: Vec<usize>,
}

/// The routes that new wires take, in the order of laying.
///
/// The longest way of a new wire is the trunk, from the end at which more new wires begin or end. Then comes each time,
/// of the routes that begin where something is laid, the one with the most new wires, and of those the longest. Where
/// nothing hangs together with what is laid, the longest way that is left is the next trunk.
pub fn build_order(circuit: &Circuit) -> Vec<Laying> {
    let resolved = &circuit.resolved;
    let plan = &resolved.plan;
    let is_new = |wire: &usize| resolved.network.wires[*wire].status == Status::New;
    let mut on = resolved.ways.on_routes(plan);
    for wires in &mut on {
        wires.retain(is_new);
        wires.dedup();
    }
    let ways = || (0..resolved.network.wires.len()).filter(is_new).filter_map(|wire| resolved.ways.of(wire));
    // How many new wires end at a place: where most end is where a loom begins.
    let ends_at = |place: usize| {
        ways().filter(|way| way.places.first() == Some(&place) || way.places.last() == Some(&place)).count()
    };
    let mut left: BTreeSet<usize> = (0..on.len()).filter(|route| !on[*route].is_empty()).collect();
    let mut reached: BTreeSet<usize> = BTreeSet::new();
    let mut order = Vec::new();
    while !left.is_empty() {
        let touches = |route: &usize| {
            let ends = [&plan.routes[*route].from, &plan.routes[*route].to];
            reached.iter().any(|place| ends.contains(&&plan.places[*place].id))
        };
        let rank = |route: usize| (on[route].len(), length_of(plan, route).get());
        let next = left.iter().copied().filter(touches).reduce(|most, next| {
            // Of equal ones the first counts.
            if rank(next) > rank(most) { next } else { most }
        });
        let (routes, is_trunk) = match next {
            Some(route) => (vec![route], false),
            None => {
                let still = |way: &&crate::route::Way| way.pieces.iter().any(|piece| left.contains(piece));
                let trunk = ways()
                    .filter(still)
                    .reduce(|most, next| if next.length.high > most.length.high { next } else { most });
                let Some(trunk) = trunk else { break };
                let mut pieces: Vec<usize> = trunk.pieces.clone();
                let ends = [trunk.places[0], trunk.places[trunk.places.len() - 1]].map(ends_at);
                if ends[1] > ends[0] {
                    pieces.reverse();
                }
                pieces.retain(|piece| left.contains(piece));
                pieces.dedup();
                (pieces, true)
            }
        };
        for route in routes {
            // A trunk that is led to and fro is laid once.
            if left.remove(&route) {
                let ends = [&plan.routes[route].from, &plan.routes[route].to];
                reached
                    .extend((0..plan.places.len()).filter(|place| ends.contains(&&plan.places[*place].id)));
                order.push(Laying { route, is_trunk, wires: on[route].clone() });
            }
        }
    }
    order
}
