//! What lies on each route, and what goes around it.

use std::collections::BTreeMap;

use super::carrying;
use crate::bundle::{
    Bundle, Conduit, Grommet, Supported, bundle, conduit, grommet, outer_diameter, supports,
};
use crate::circuit::Circuit;
use crate::document::{Route, RouteKind, Situation};
use crate::ids::PlaceId;
use crate::quantity::Metres;
use crate::route::length_of;

/// A route with the wires on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The route, by its index in the plan.
    pub route: usize,
    /// Its length with its loop; of a range the greater.
    pub length: Metres,
    /// The wires on it, by index and in document order; a wire that is led to and fro stands there as often as it does.
    pub wires: Vec<usize>,
    /// The most of them that carry a load at once.
    pub n_loaded: usize,
    /// How thick they are together; `None` when there is none, or the size of one is not known or not in the table of
    /// outer diameters.
    pub bundle: Option<Bundle>,
    /// The tubing that holds them.
    pub conduit: Option<Conduit>,
    /// The grommet, where it leads through sheet metal.
    pub grommet: Option<Grommet>,
    /// How many clips hold them, where they run along the chassis.
    pub n_clips: Option<u32>,
}

/// Every route of the plan with what lies on it, in the order of the plan.
pub fn pieces(circuit: &Circuit, situations: &[Situation]) -> Vec<Piece> {
    let resolved = &circuit.resolved;
    let plan = &resolved.plan;
    let states = carrying(circuit, situations);
    let on_routes = resolved.ways.on_routes(plan);
    let mut packed: BTreeMap<Vec<u64>, Option<Bundle>> = BTreeMap::new();
    let piece = |(route, wires): (usize, &Vec<usize>)| {
        let loaded = states.iter().map(|carrying| wires.iter().filter(|wire| carrying[**wire]).count());
        let outer = wires.iter().map(|wire| {
            let used = resolved.wires[*wire].as_ref()?;
            outer_diameter(used.size?.high.area().get())
        });
        // The same wires often lie on several routes, and packing them takes long.
        let bundle = outer.collect::<Option<Vec<f64>>>().and_then(|outer| {
            let key = outer.iter().map(|diameter| diameter.to_bits()).collect();
            packed.entry(key).or_insert_with(|| bundle(&outer)).clone()
        });
        let length = length_of(plan, route);
        let kind = plan.routes[route].kind;
        Piece {
            route,
            length,
            n_loaded: loaded.max().unwrap_or(0),
            conduit: bundle.as_ref().map(conduit),
            grommet: bundle.as_ref().filter(|_| kind == RouteKind::ThroughBulkhead).map(grommet),
            n_clips: match kind {
                RouteKind::AlongChassis if !wires.is_empty() => supports(length.get(), Supported::Wires)
                    .map(|clips| clips + at_ends(circuit, &on_routes, route)),
                _ => None,
            },
            bundle,
            wires: wires.clone(),
        }
    };
    on_routes.iter().enumerate().map(piece).collect()
}

/// How many ends of a route are held by a clip of its own: where routes merely meet nothing else holds the wires. Of the
/// routes that meet there the first has it.
fn at_ends(circuit: &Circuit, on_routes: &[Vec<usize>], route: usize) -> u32 {
    let plan = &circuit.resolved.plan;
    let is_first = |place: &PlaceId| {
        let ends_there = |(index, other): &(usize, &Route)| {
            !on_routes[*index].is_empty()
                && other.kind == RouteKind::AlongChassis
                && other.beyond(place).is_some()
        };
        plan.routes.iter().enumerate().find(ends_there).is_some_and(|(first, _)| first == route)
    };
    let ends = [&plan.routes[route].from, &plan.routes[route].to];
    let held = ends.iter().filter(|id| plan.place(id).is_some_and(|place| place.passing) && is_first(id));
    u32::try_from(held.count()).unwrap_or(0)
}
