//! The vehicle plan: places where parts sit, and the routes that wires take between them.
//!
//! A job without one has neither; then every length is what was typed.

use crate::document::wire::Surroundings;
use crate::given::Given;
use crate::ids::{PlaceId, RouteId};
use crate::quantity::Metres;

mod start;

pub use start::start;

/// Most places and routes of one plan, taken together.
pub const MOST_PLACES_AND_ROUTES: usize = 2_000;

/// Farthest a place may lie from the front left corner of the plan, in centimetres.
pub const FARTHEST_CM: i32 = 5_000;

/// Limits of the outline's length and width in metres.
pub const OUTLINE_M: (f64, f64) = (0.5, 30.0);

/// Limits of what a wire needs from the way to a terminal, and of a loop left in a route, in metres.
pub const END_M: (f64, f64) = (0.0, 5.0);

/// Places and routes, in the order the user made them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Plan {
    /// What the vehicle looks like from above; the drawing shows it behind the places.
    pub outline: Option<Outline>,
    /// All places.
    pub places: Vec<VehiclePlace>,
    /// All routes.
    pub routes: Vec<Route>,
}

/// The vehicle from above, its front to the left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outline {
    /// What sort of vehicle it is.
    pub shape: Shape,
    /// From the front to the rear.
    pub length: Metres,
    /// From the left side to the right.
    pub width: Metres,
}

/// A sort of vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A cab with an open bed behind it.
    Truck,
    /// A cab and a closed load space in one body.
    Van,
    /// A passenger car.
    Car,
    /// Drawn, with a drawbar at its front.
    Trailer,
}

impl Shape {
    /// Every shape with its word.
    pub const WORDS: [(Shape, &'static str); 4] =
        [(Shape::Truck, "truck"), (Shape::Van, "van"), (Shape::Car, "car"), (Shape::Trailer, "trailer")];
}

/// A place on the vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct VehiclePlace {
    /// Identity.
    pub id: PlaceId,
    /// What it is called; may be empty.
    pub name: String,
    /// Centimetres behind the front of the vehicle.
    pub x_cm: i32,
    /// Centimetres from the left side of the vehicle.
    pub y_cm: i32,
    /// What the air around it is like.
    pub surroundings: Option<Surroundings>,
    /// Whether it gets wet; while nothing is said, as its surroundings have it.
    pub wet: Option<bool>,
    /// Whether it moves against the rest of the vehicle.
    pub moving: bool,
    /// Whether routes merely meet here, so that no part can sit here.
    pub passing: bool,
    /// What a wire needs from here to a terminal; while nothing is said, as the settings of the job have it.
    pub end: Option<Metres>,
}

impl VehiclePlace {
    /// A new place of which nothing is known but where it is.
    pub fn new(id: PlaceId, x_cm: i32, y_cm: i32) -> VehiclePlace {
        VehiclePlace {
            id,
            name: String::new(),
            x_cm,
            y_cm,
            surroundings: None,
            wet: None,
            moving: false,
            passing: false,
            end: None,
        }
    }

    /// The name it goes by: its own, else its id.
    pub fn title(&self) -> &str {
        if self.name.is_empty() { self.id.as_str() } else { &self.name }
    }

    /// Whether what sits here gets wet; `None` when that is not known.
    pub fn is_wet(&self) -> Option<bool> {
        self.wet.or_else(|| self.surroundings.and_then(Surroundings::is_wet))
    }
}

/// A way between two places that wires can take.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Identity.
    pub id: RouteId,
    /// What it is called; may be empty.
    pub name: String,
    /// One of its places.
    pub from: PlaceId,
    /// The other.
    pub to: PlaceId,
    /// How long it is; while nothing is said, as far as its places lie apart on the plan.
    pub length: Given<Metres>,
    /// What it leads along or through.
    pub kind: RouteKind,
    /// What the air along it is like; while nothing is said, as at the hotter of its places.
    pub surroundings: Option<Surroundings>,
    /// What its wires are sleeved in together, free text.
    pub sleeve: Option<String>,
    /// Whether there is a grommet, where it leads through sheet metal.
    pub grommet: Option<bool>,
    /// Length of the loop that is left for movement.
    pub slack: Option<Metres>,
}

impl Route {
    /// A new route of which nothing is known but its places.
    pub fn new(id: RouteId, from: PlaceId, to: PlaceId) -> Route {
        Route {
            id,
            name: String::new(),
            from,
            to,
            length: Given::NotKnown,
            kind: RouteKind::AlongChassis,
            surroundings: None,
            sleeve: None,
            grommet: None,
            slack: None,
        }
    }

    /// Whether it protects its wires all along: sleeved, or in a conduit.
    pub fn is_sleeved(&self) -> bool {
        self.kind == RouteKind::InConduit || self.sleeve.as_ref().is_some_and(|text| !text.trim().is_empty())
    }

    /// The place at its other end, of one of its places.
    pub fn beyond(&self, place: &PlaceId) -> Option<&PlaceId> {
        match place {
            place if *place == self.from => Some(&self.to),
            place if *place == self.to => Some(&self.from),
            _ => None,
        }
    }
}

/// What a route leads along or through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteKind {
    /// Clipped along the chassis or the body.
    AlongChassis,
    /// In a conduit.
    InConduit,
    /// Through a bulkhead or any other sheet of metal.
    ThroughBulkhead,
    /// Over a hinge or to anything else that moves.
    OverHinge,
}

impl RouteKind {
    /// Every kind with its word.
    pub const WORDS: [(RouteKind, &'static str); 4] = [
        (RouteKind::AlongChassis, "along the chassis"),
        (RouteKind::InConduit, "in conduit"),
        (RouteKind::ThroughBulkhead, "through a bulkhead"),
        (RouteKind::OverHinge, "over a hinge"),
    ];
}

impl Plan {
    /// Whether there is neither place nor route.
    pub fn is_empty(&self) -> bool {
        self.outline.is_none() && self.places.is_empty() && self.routes.is_empty()
    }

    /// The place with this id.
    pub fn place(&self, id: &PlaceId) -> Option<&VehiclePlace> {
        self.places.iter().find(|place| place.id == *id)
    }

    /// The route with this id.
    pub fn route(&self, id: &RouteId) -> Option<&Route> {
        self.routes.iter().find(|route| route.id == *id)
    }

    /// The places that `name` may mean: the one with this id, else those called so.
    pub fn places_called(&self, name: &str) -> Vec<&VehiclePlace> {
        match self.places.iter().find(|place| place.id.as_str() == name) {
            Some(place) => vec![place],
            None => self.places.iter().filter(|place| place.name == name).collect(),
        }
    }

    /// What a person calls a route: its name, else its places.
    pub fn route_title(&self, route: &Route) -> String {
        let title = |id: &PlaceId| self.place(id).map_or(id.as_str(), VehiclePlace::title).to_owned();
        match route.name.as_str() {
            "" => format!("{} to {}", title(&route.from), title(&route.to)),
            name => name.to_owned(),
        }
    }

    /// An id for a new place that no other has.
    pub fn fresh_place_id(&self) -> PlaceId {
        let taken = |text: &str| self.places.iter().any(|place| place.id.as_str() == text);
        PlaceId::new(&first_free("l", taken)).expect("a letter and a number are an id")
    }

    /// An id for a new route that no other has.
    pub fn fresh_route_id(&self) -> RouteId {
        let taken = |text: &str| self.routes.iter().any(|route| route.id.as_str() == text);
        RouteId::new(&first_free("r", taken)).expect("a letter and a number are an id")
    }

    /// How far the places of a route lie apart on the plan.
    pub fn apart(&self, route: &Route) -> Option<Metres> {
        let (from, to) = (self.place(&route.from)?, self.place(&route.to)?);
        let off = |a: i32, b: i32| f64::from(a) - f64::from(b);
        let (x, y) = (off(from.x_cm, to.x_cm), off(from.y_cm, to.y_cm));
        // To the centimetre: a plan is no more exact than that.
        Metres::new(libm::round(libm::sqrt(x * x + y * y)) / 100.0)
    }

    /// Takes a place away, and with it the routes that end there.
    pub fn remove_place(&mut self, id: &PlaceId) {
        self.places.retain(|place| place.id != *id);
        self.routes.retain(|route| route.beyond(id).is_none());
    }
}

fn first_free(letter: &str, taken: impl Fn(&str) -> bool) -> String {
    let free = (1..).map(|n: u32| format!("{letter}{n}")).find(|text| !taken(text));
    free.expect("there are more numbers than places")
}
