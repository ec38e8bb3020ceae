//! Places and routes as a graph, and the shortest ways over it.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use petgraph::algo::dijkstra;
use petgraph::graph::{NodeIndex, UnGraph};

use super::length_of;
use crate::arrange;
use crate::document::Plan;
use crate::ids::PlaceId;

/// The length of a way in micrometres, and below it the number of its routes: a plan has fewer than this.
const ROUTES: u64 = 1 << 12;

/// Places and routes of a plan as a graph.
pub struct Roads<'a> {
    plan: &'a Plan,
    index: BTreeMap<&'a PlaceId, usize>,
    graph: UnGraph<(), u64>,
    /// By place, the routes that end there in the order of the plan, each with the place beyond it.
    neighbors: Vec<Vec<(usize, usize)>>,
    /// By place, how far every place is from it; worked out when it is first asked for.
    distances: Vec<OnceCell<Vec<Option<u64>>>>,
}

impl<'a> Roads<'a> {
    /// The graph of `plan`.
    pub fn new(plan: &'a Plan) -> Roads<'a> {
        let index: BTreeMap<&PlaceId, usize> =
            arrange::map_of(plan.places.iter().map(|place| &place.id).zip(0..));
        let mut graph = UnGraph::with_capacity(plan.places.len(), plan.routes.len());
        let nodes: Vec<NodeIndex> = plan.places.iter().map(|_| graph.add_node(())).collect();
        let mut neighbors = vec![Vec::new(); plan.places.len()];
        for (number, route) in plan.routes.iter().enumerate() {
            if let (Some(from), Some(to)) = (index.get(&route.from), index.get(&route.to)) {
                graph.add_edge(nodes[*from], nodes[*to], cost(length_of(plan, number).get()));
                neighbors[*from].push((number, *to));
                neighbors[*to].push((number, *from));
            }
        }
        Roads { plan, index, graph, neighbors, distances: vec![OnceCell::new(); plan.places.len()] }
    }

    /// The index of the place with this id.
    pub fn index(&self, id: &PlaceId) -> Option<usize> {
        self.index.get(id).copied()
    }

    /// The place at the other end of a route, by index.
    pub fn beyond(&self, route: usize, place: usize) -> usize {
        let other = self.plan.routes[route].beyond(&self.plan.places[place].id);
        other.and_then(|id| self.index(id)).unwrap_or(place)
    }

    /// How far every place is from `place`, in the unit of [`cost`].
    fn from(&self, place: usize) -> &[Option<u64>] {
        self.distances[place].get_or_init(|| {
            let found = dijkstra(&self.graph, NodeIndex::new(place), None, |edge| *edge.weight());
            (0..self.plan.places.len()).map(|other| found.get(&NodeIndex::new(other)).copied()).collect()
        })
    }

    /// The length of the shortest way from one place to another in metres; `None` when no routes join them.
    pub fn apart_m(&self, from: usize, to: usize) -> Option<f64> {
        self.from(from)[to].map(|cost| (cost / ROUTES) as f64 / 1e6)
    }

    /// The routes of the shortest way from one place to another, by index and in order; `None` when no routes join them.
    pub fn between(&self, from: usize, to: usize) -> Option<Vec<usize>> {
        let distances = self.from(from);
        let mut left = distances[to]?;
        let (mut at, mut back) = (to, Vec::new());
        while at != from {
            // Every route costs something, so that each step back is nearer to the start.
            let step = self.neighbors[at].iter().find(|(number, before)| {
                let cost = cost(length_of(self.plan, *number).get());
                distances[*before].is_some_and(|far| far + cost == left)
            });
            let (number, before) = *step?;
            left = distances[before]?;
            back.push(number);
            at = before;
        }
        back.reverse();
        Some(back)
    }
}

/// What a route of this length in metres costs on a way.
fn cost(metres: f64) -> u64 {
    // At most a kilometre with its loop, so far inside the type; never negative by the limits of a length.
    libm::round(metres * 1e6) as u64 * ROUTES + 1
}
