//! Plans to start from, one for each sort of vehicle.
//!
//! Their dimensions are invented and those of no vehicle: round numbers that give a picture of about the right shape,
//! to be corrected with a tape measure. So no route has a typed length but those that rise or fall, which the distance
//! on a plan says nothing of.

use super::{Outline, Plan, Route, RouteKind, Shape, VehiclePlace};
use crate::document::wire::Surroundings;
use crate::given::Given;
use crate::quantity::Metres;
use RouteKind::{AlongChassis, InConduit, OverHinge, ThroughBulkhead};
use Surroundings::{Cabin, EngineBay, Outside, UnderBody};

/// What a place of a pattern is for.
#[derive(Clone, Copy, PartialEq)]
enum Sort {
    /// Parts sit there.
    Fixed,
    /// Routes merely meet there.
    Passing,
    /// Parts sit there, and it moves against the rest of the vehicle.
    Moving,
}

use Sort::{Fixed, Moving, Passing};

/// A place: its name, centimetres behind the front and from the left side, the air there, and what it is for.
type Spot = (&'static str, i32, i32, Surroundings, Sort);

/// A route between places of these names: what it leads along or through, and its metres where it rises or falls.
type Run = (&'static str, &'static str, RouteKind, Option<f64>);

/// A plan as it is written down here.
struct Pattern {
    /// From front to rear and from side to side, in metres.
    size_m: (f64, f64),
    spots: &'static [Spot],
    runs: &'static [Run],
}

/// A cab with an open bed.
const TRUCK: Pattern = Pattern {
    size_m: (5.4, 1.9),
    spots: &[
        ("front bumper", 10, 95, Outside, Fixed),
        ("battery tray", 60, 40, EngineBay, Fixed),
        ("engine bay", 75, 140, EngineBay, Fixed),
        ("bulkhead", 115, 70, EngineBay, Passing),
        ("dash", 150, 125, Cabin, Fixed),
        ("under the seats", 195, 60, Cabin, Fixed),
        ("cab roof", 185, 150, Outside, Fixed),
        ("cab floor", 220, 95, UnderBody, Passing),
        ("head of the bed", 255, 30, Outside, Fixed),
        ("under the bed", 390, 95, UnderBody, Fixed),
        ("tail", 515, 55, UnderBody, Fixed),
        ("trailer socket", 520, 125, UnderBody, Fixed),
        ("tailgate", 537, 95, Outside, Moving),
    ],
    runs: &[
        ("front bumper", "engine bay", InConduit, None),
        ("battery tray", "engine bay", InConduit, None),
        ("battery tray", "bulkhead", InConduit, None),
        ("engine bay", "bulkhead", AlongChassis, None),
        ("bulkhead", "dash", ThroughBulkhead, None),
        ("dash", "under the seats", AlongChassis, None),
        ("dash", "cab roof", AlongChassis, Some(1.6)),
        ("under the seats", "cab floor", ThroughBulkhead, Some(0.6)),
        ("cab floor", "head of the bed", InConduit, Some(0.9)),
        ("cab floor", "under the bed", InConduit, None),
        ("under the bed", "tail", InConduit, None),
        ("under the bed", "trailer socket", InConduit, None),
        ("tail", "tailgate", OverHinge, None),
    ],
};

/// A cab and a load space in one body.
const VAN: Pattern = Pattern {
    size_m: (5.6, 2.0),
    spots: &[
        ("front bumper", 10, 100, Outside, Fixed),
        ("battery tray", 50, 45, EngineBay, Fixed),
        ("engine bay", 55, 150, EngineBay, Fixed),
        ("bulkhead", 88, 80, EngineBay, Passing),
        ("dash", 120, 135, Cabin, Fixed),
        ("under the seat", 165, 60, Cabin, Fixed),
        ("partition", 212, 40, Cabin, Passing),
        ("load space, left", 360, 25, Cabin, Fixed),
        ("load space, right", 360, 175, Cabin, Fixed),
        ("roof", 330, 100, Cabin, Fixed),
        ("tail", 540, 30, Cabin, Fixed),
        ("trailer socket", 548, 125, UnderBody, Fixed),
        ("rear door", 553, 75, Outside, Moving),
    ],
    runs: &[
        ("front bumper", "engine bay", InConduit, None),
        ("battery tray", "engine bay", InConduit, None),
        ("battery tray", "bulkhead", InConduit, None),
        ("engine bay", "bulkhead", AlongChassis, None),
        ("bulkhead", "dash", ThroughBulkhead, None),
        ("dash", "under the seat", AlongChassis, None),
        ("under the seat", "partition", AlongChassis, None),
        ("partition", "load space, left", ThroughBulkhead, None),
        ("partition", "roof", InConduit, Some(2.8)),
        ("roof", "load space, right", AlongChassis, Some(2.2)),
        ("load space, left", "tail", AlongChassis, None),
        ("tail", "trailer socket", ThroughBulkhead, Some(1.5)),
        ("tail", "rear door", OverHinge, None),
    ],
};

/// A passenger car.
const CAR: Pattern = Pattern {
    size_m: (4.4, 1.8),
    spots: &[
        ("front bumper", 10, 90, Outside, Fixed),
        ("battery tray", 60, 40, EngineBay, Fixed),
        ("engine bay", 75, 135, EngineBay, Fixed),
        ("bulkhead", 120, 70, EngineBay, Passing),
        ("dash", 150, 125, Cabin, Fixed),
        ("under the seat", 215, 50, Cabin, Fixed),
        ("rear seat", 290, 90, Cabin, Fixed),
        ("boot", 365, 45, Cabin, Fixed),
        ("trailer socket", 430, 125, UnderBody, Fixed),
        ("boot lid", 425, 85, Outside, Moving),
    ],
    runs: &[
        ("front bumper", "engine bay", InConduit, None),
        ("battery tray", "engine bay", InConduit, None),
        ("battery tray", "bulkhead", InConduit, None),
        ("engine bay", "bulkhead", AlongChassis, None),
        ("bulkhead", "dash", ThroughBulkhead, None),
        ("dash", "under the seat", AlongChassis, None),
        ("under the seat", "rear seat", AlongChassis, None),
        ("rear seat", "boot", AlongChassis, None),
        ("boot", "trailer socket", ThroughBulkhead, Some(1.4)),
        ("boot", "boot lid", OverHinge, Some(1.2)),
    ],
};

/// Drawn, with a drawbar at its front.
const TRAILER: Pattern = Pattern {
    size_m: (4.2, 1.8),
    spots: &[
        ("plug", 15, 90, Outside, Moving),
        ("drawbar", 75, 90, Outside, Fixed),
        ("head board", 115, 50, UnderBody, Fixed),
        ("left side", 250, 20, Outside, Fixed),
        ("right side", 250, 160, Outside, Fixed),
        ("axle", 270, 90, UnderBody, Passing),
        ("tail, left", 400, 30, UnderBody, Fixed),
        ("tail, right", 400, 150, UnderBody, Fixed),
        ("tailboard", 413, 90, Outside, Moving),
    ],
    runs: &[
        ("plug", "drawbar", OverHinge, None),
        ("drawbar", "head board", InConduit, None),
        ("head board", "left side", AlongChassis, None),
        ("head board", "axle", InConduit, None),
        ("axle", "right side", AlongChassis, None),
        ("axle", "tail, left", InConduit, None),
        ("axle", "tail, right", InConduit, None),
        ("tail, left", "tailboard", OverHinge, None),
    ],
};

/// A plan to start from for a vehicle of this shape. Its dimensions are invented, to be corrected by measuring. Whether
/// there are grommets and loops is for whoever looks at the vehicle to say.
pub fn start(shape: Shape) -> Plan {
    let pattern = match shape {
        Shape::Truck => TRUCK,
        Shape::Van => VAN,
        Shape::Car => CAR,
        Shape::Trailer => TRAILER,
    };
    let (length, width) = pattern.size_m;
    let outline = Metres::new(length).zip(Metres::new(width));
    let mut plan =
        Plan { outline: outline.map(|(length, width)| Outline { shape, length, width }), ..Plan::default() };
    for (name, x_cm, y_cm, air, sort) in pattern.spots {
        let place = VehiclePlace::new(plan.fresh_place_id(), *x_cm, *y_cm);
        plan.places.push(VehiclePlace {
            name: (*name).to_owned(),
            surroundings: Some(*air),
            moving: *sort == Moving,
            passing: *sort == Passing,
            ..place
        });
    }
    for (from, to, kind, length) in pattern.runs {
        let id = |name: &str| plan.places_called(name).first().map(|place| place.id.clone());
        let Some((from, to)) = id(from).zip(id(to)) else { continue };
        let route = Route::new(plan.fresh_route_id(), from, to);
        plan.routes.push(Route {
            kind: *kind,
            length: length.and_then(Metres::new).map_or(Given::NotKnown, Given::Known),
            ..route
        });
    }
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::edit::apply;
    use crate::document::{Document, Edit};

    #[test]
    fn every_shape_has_a_plan_that_a_job_can_take() {
        for (shape, word) in Shape::WORDS {
            let plan = start(shape);
            assert_eq!(plan.outline.map(|outline| outline.shape), Some(shape), "{word}");
            let after = apply(&Document::default(), &Edit::Plan(plan.clone())).unwrap();
            assert_eq!(*after.plan, plan, "{word}");
        }
    }

    #[test]
    fn no_place_or_route_of_a_pattern_is_lost() {
        for (shape, pattern) in
            [(Shape::Truck, TRUCK), (Shape::Van, VAN), (Shape::Car, CAR), (Shape::Trailer, TRAILER)]
        {
            let plan = start(shape);
            assert_eq!(plan.places.len(), pattern.spots.len());
            assert_eq!(plan.routes.len(), pattern.runs.len());
            for place in &plan.places {
                assert_eq!(plan.places_called(&place.name).len(), 1, "{} stands once", place.name);
            }
        }
    }

    #[test]
    fn every_place_lies_on_the_vehicle_and_can_be_reached() {
        for (shape, word) in Shape::WORDS {
            let plan = start(shape);
            let outline = plan.outline.unwrap();
            let mut reached = vec![&plan.places[0].id];
            let mut next = 0;
            while let Some(place) = reached.get(next).copied() {
                next += 1;
                let beyond: Vec<_> = plan.routes.iter().filter_map(|route| route.beyond(place)).collect();
                for place in beyond {
                    if !reached.contains(&place) {
                        reached.push(place);
                    }
                }
            }
            assert_eq!(reached.len(), plan.places.len(), "{word}");
            for place in &plan.places {
                let (x, y) = (f64::from(place.x_cm) / 100.0, f64::from(place.y_cm) / 100.0);
                assert!(x > 0.0 && x < outline.length.get(), "{word}: {}", place.name);
                assert!(y > 0.0 && y < outline.width.get(), "{word}: {}", place.name);
            }
        }
    }
}
