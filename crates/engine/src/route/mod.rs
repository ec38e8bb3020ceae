//! The ways that wires take along the vehicle, and what follows from them for each wire.
//!
//! Every wire between two parts that sit at places takes the shortest way over the routes of the plan, or the shortest
//! over the places it is led by. Lengths are compared in whole micrometres, so that the way never depends on rounding; of
//! two equal ways it is the one over fewer routes, and of those the one over the routes that stand first in the plan.

use crate::document::{
    Network, Part, Plan, Route, RouteKind, Settings, Status, Surroundings, Wire, settings,
};
use crate::given::Given;
use crate::quantity::{Celsius, Metres};

mod graph;
mod working;

pub use graph::Roads;

/// The way of one wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The routes it takes, by their index in the plan, from its first end to its second; none when both ends are at one
    /// place.
    pub pieces: Vec<usize>,
    /// The places it comes by, by their index in the plan: one more than routes.
    pub places: Vec<usize>,
    /// The length of the wire: the way with its slack, the loops on it, and what both ends need.
    pub length: Length,
    /// What that is made of.
    pub makes: Makes,
    /// The least that the wire must be to reach: the same without slack, and of ranges the least.
    pub reach: Metres,
    /// Whether a route on it has no length but that of the plan.
    pub is_off_plan: bool,
    /// The air at the hottest of its places and routes, of those that have surroundings.
    pub hottest: Option<Hottest>,
    /// Whether the air is told of all of it.
    pub is_told: bool,
    /// Whether all of it is sleeved. A wire between two parts at one place is not.
    pub is_sleeved: bool,
    /// Whether a grommet protects it wherever it leads through sheet metal; `None` when it leads through none, or it is
    /// not known of one and no other is without.
    pub grommet: Option<bool>,
}

/// A length that routes of which only a range is known make uncertain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    /// The least it may be.
    pub low: Metres,
    /// The greatest; a way is as long as this wherever one length is needed.
    pub high: Metres,
}

/// What the length of a wire is made of, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Makes {
    /// All routes of the way, of ranges the greater end.
    pub along: f64,
    /// The same, of ranges the smaller end.
    pub at_least: f64,
    /// The loops that are left on them.
    pub loops: f64,
    /// What both ends need.
    pub ends: f64,
}

/// The most of a wire that may be bare at its ends while it counts as sleeved, in metres (common practice, no source):
/// what passes bare as a lead without a fuse by ISO 10133:2000 8.1.
const BARE_ENDS_M: f64 = 0.2;

/// Where it is hottest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hottest {
    /// What the air there is like.
    pub surroundings: Surroundings,
    /// Air temperature.
    pub air: Celsius,
    /// Where that is.
    pub at: Spot,
}

/// A place or a route, by its index in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// A place.
    Place(usize),
    /// A route.
    Route(usize),
}

impl Spot {
    /// What a person calls it.
    pub fn title(self, plan: &Plan) -> String {
        match self {
            Spot::Place(index) => plan.places[index].title().to_owned(),
            Spot::Route(index) => plan.route_title(&plan.routes[index]),
        }
    }
}

/// Why a wire has no way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoWay {
    /// The part at one of its ends sits at no place.
    NoPlace,
    /// No routes join the two places, or one of those it is led by.
    NotJoined,
}

/// The ways of all wires of a job, by index; of a wire to be removed there is none to be looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Ways {
    /// By wire.
    pub wires: Vec<Result<Way, NoWay>>,
}

impl Ways {
    /// The way of a wire, by its index.
    pub fn of(&self, wire: usize) -> Option<&Way> {
        self.wires.get(wire)?.as_ref().ok()
    }

    /// The wires on each route of the plan, by index and in document order.
    pub fn on_routes(&self, plan: &Plan) -> Vec<Vec<usize>> {
        let mut on = vec![Vec::new(); plan.routes.len()];
        for (wire, way) in self.wires.iter().enumerate() {
            for piece in way.iter().flat_map(|way| &way.pieces) {
                // A wire that is led to and fro lies there twice.
                on[*piece].push(wire);
            }
        }
        on
    }
}

/// The ways of all wires of `network`.
pub fn ways(network: &Network, plan: &Plan, settings: &Settings) -> Ways {
    let roads = Roads::new(plan);
    let wires = network.wires.iter().map(|wire| {
        if plan.places.is_empty() || wire.status == Status::Remove {
            return Err(NoWay::NoPlace);
        }
        way(network, plan, settings, &roads, wire)
    });
    Ways { wires: wires.collect() }
}

fn way(
    network: &Network,
    plan: &Plan,
    settings: &Settings,
    roads: &Roads<'_>,
    wire: &Wire,
) -> Result<Way, NoWay> {
    let place_of = |part| {
        let id = network.place_of(network.part(part)?)?;
        roads.index(id)
    };
    let from = place_of(&wire.from.part).ok_or(NoWay::NoPlace)?;
    let to = place_of(&wire.to.part).ok_or(NoWay::NoPlace)?;
    let via: Vec<usize> = wire.via.iter().filter_map(|id| roads.index(id)).collect();
    way_by(plan, settings, roads, [from, to], &via)
}

/// The way of a wire from one place to another that is led by these places; all by their index in the plan.
///
/// # Errors
///
/// [`NoWay::NotJoined`] when no routes join two that follow each other.
pub fn way_by(
    plan: &Plan,
    settings: &Settings,
    roads: &Roads<'_>,
    [from, to]: [usize; 2],
    via: &[usize],
) -> Result<Way, NoWay> {
    let mut places = vec![from];
    let mut pieces = Vec::new();
    for stop in via.iter().copied().chain([to]) {
        let here = places[places.len() - 1];
        for piece in roads.between(here, stop).ok_or(NoWay::NotJoined)? {
            let at = places[places.len() - 1];
            places.push(roads.beyond(piece, at));
            pieces.push(piece);
        }
    }
    Ok(Way::over(plan, settings, pieces, places))
}

impl Way {
    /// The way over these routes, coming by these places.
    fn over(plan: &Plan, settings: &Settings, pieces: Vec<usize>, places: Vec<usize>) -> Way {
        let both = [places[0], places[places.len() - 1]];
        let ends: f64 = both.iter().map(|place| end_m(plan, settings, *place)).sum();
        let slack = 1.0 + settings.number(&settings::SLACK) / 100.0;
        let loops = pieces.iter().filter_map(|piece| plan.routes[*piece].slack).map(Metres::get).sum();
        let along = |pick: fn(Piece) -> f64| pieces.iter().map(|piece| pick(Piece::of(plan, *piece))).sum();
        let makes =
            Makes { along: along(|piece| piece.high), at_least: along(|piece| piece.low), loops, ends };
        let total = |pick: fn(Piece) -> f64, slack: f64| {
            Metres::new(along(pick) * slack + loops + ends).unwrap_or(Metres::ZERO)
        };
        let length = Length { low: total(|piece| piece.low, slack), high: total(|piece| piece.high, slack) };
        let reach = total(|piece| piece.low, 1.0);
        let is_off_plan = pieces.iter().any(|piece| !plan.routes[*piece].length.is_said());
        let routes = || pieces.iter().map(|piece| &plan.routes[*piece]);
        // Of whatever route a grommet is spoken, it leads through a sheet.
        let through =
            || routes().filter(|route| route.kind == RouteKind::ThroughBulkhead || route.grommet.is_some());
        let grommet = if through().any(|route| route.grommet == Some(false)) {
            Some(false)
        } else if through().next().is_some() && through().all(|route| route.grommet == Some(true)) {
            Some(true)
        } else {
            None
        };
        let is_sleeved = makes.along > 0.0 && ends <= BARE_ENDS_M && routes().all(|route| route.is_sleeved());
        let hottest = hottest(plan, settings, &pieces, &places);
        let is_told = places.iter().all(|place| plan.places[*place].surroundings.is_some());
        Way { length, makes, reach, is_off_plan, hottest, is_told, is_sleeved, grommet, pieces, places }
    }

    /// The routes on it whose wires are bent again and again.
    pub fn moving<'p>(&'p self, plan: &'p Plan) -> impl Iterator<Item = &'p Route> {
        self.pieces.iter().map(|piece| &plan.routes[*piece]).filter(|route| moves(plan, route))
    }

    /// How many times it leads through sheet metal.
    pub fn n_bulkheads(&self, plan: &Plan) -> usize {
        let through = |piece: &&usize| plan.routes[**piece].kind == RouteKind::ThroughBulkhead;
        self.pieces.iter().filter(through).count()
    }
}

/// The least and the greatest length of a route without slack and loop, in metres.
#[derive(Clone, Copy)]
struct Piece {
    low: f64,
    high: f64,
}

impl Piece {
    fn of(plan: &Plan, index: usize) -> Piece {
        let route = &plan.routes[index];
        let (low, high) = match route.length {
            Given::Known(length) => (length, length),
            Given::Between(low, high) => (low, high),
            Given::NotKnown => {
                let apart = plan.apart(route).unwrap_or(Metres::ZERO);
                (apart, apart)
            }
        };
        Piece { low: low.get(), high: high.get() }
    }
}

/// The length of a route that ways are chosen by: with its loop, and of a range the greater end.
pub fn length_of(plan: &Plan, route: usize) -> Metres {
    let slack = plan.routes[route].slack.map_or(0.0, Metres::get);
    Metres::new(Piece::of(plan, route).high + slack).unwrap_or(Metres::ZERO)
}

/// What a wire needs from the end of its way at this place to a terminal, in metres.
fn end_m(plan: &Plan, settings: &Settings, place: usize) -> f64 {
    plan.places[place].end.map_or_else(|| settings.number(&settings::END), Metres::get)
}

/// Whether the wires on a route are bent again and again: it leads over a hinge, or joins a place that moves to one that
/// does not.
pub fn moves(plan: &Plan, route: &Route) -> bool {
    let place_moves = |id| plan.place(id).is_some_and(|place| place.moving);
    route.kind == RouteKind::OverHinge || place_moves(&route.from) != place_moves(&route.to)
}

/// What the air along a route is like: as said of it, else as at the hotter of its places.
pub fn air_along(plan: &Plan, settings: &Settings, route: usize) -> Option<Surroundings> {
    let route = &plan.routes[route];
    let at = |id| plan.place(id)?.surroundings;
    route.surroundings.or_else(|| {
        let ends = [&route.from, &route.to].into_iter().filter_map(at);
        ends.reduce(|one, other| hotter(settings, one, other))
    })
}

/// The hotter of two, of equal ones the first.
fn hotter(settings: &Settings, one: Surroundings, other: Surroundings) -> Surroundings {
    if other.ambient_c(settings) > one.ambient_c(settings) { other } else { one }
}

fn hottest(plan: &Plan, settings: &Settings, pieces: &[usize], places: &[usize]) -> Option<Hottest> {
    let at_places = places.iter().map(|index| (plan.places[*index].surroundings, Spot::Place(*index)));
    let along = pieces.iter().map(|index| (air_along(plan, settings, *index), Spot::Route(*index)));
    let all = at_places.chain(along).filter_map(|(surroundings, at)| {
        let surroundings = surroundings?;
        Some(Hottest { surroundings, air: Celsius::new(surroundings.ambient_c(settings))?, at })
    });
    // Of several that are as hot the first counts, and of a route and its place the place.
    all.reduce(|most, next| if next.air > most.air { next } else { most })
}

/// What the air around a part is like: as said of it, else as at its place.
pub fn surroundings_of(network: &Network, plan: &Plan, part: &Part) -> Option<Surroundings> {
    part.surroundings.or_else(|| plan.place(network.place_of(part)?)?.surroundings)
}

/// Whether a part gets wet; `None` when that is not known.
pub fn is_wet(network: &Network, plan: &Plan, part: &Part) -> Option<bool> {
    let place = network.place_of(part).and_then(|id| plan.place(id));
    // What was said of the wet itself counts more than what is concluded from the air.
    let said = place.and_then(|place| place.wet);
    let concluded = part.surroundings.and_then(Surroundings::is_wet);
    said.or(concluded).or_else(|| place?.is_wet())
}

#[cfg(test)]
mod tests;
