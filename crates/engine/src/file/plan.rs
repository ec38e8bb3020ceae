//! The vehicle plan.

use std::collections::BTreeSet;

use serde_json::Value as Json;

use super::job::check_id;
use super::part::bad_id;
use super::place::Place;
use super::walk::{Fields, each, flag, keep, number, text, whole, word};
use super::{Problem, wire};
use crate::document::plan::{END_M, FARTHEST_CM, MOST_PLACES_AND_ROUTES, OUTLINE_M};
use crate::document::{Outline, Part, Plan, Route, RouteKind, Shape, VehiclePlace, Wire};
use crate::ids::{PlaceId, RouteId};
use crate::quantity::Metres;

/// The keys of the plan.
pub(super) const KEYS: &[&str] = &["outline", "places", "routes"];
/// The keys of the outline.
pub(super) const OUTLINE_KEYS: &[&str] = &["shape", "length_m", "width_m"];
/// The keys of a place.
pub(super) const PLACE_KEYS: &[&str] =
    &["id", "name", "x_cm", "y_cm", "surroundings", "wet", "moving", "passing", "end_m"];
/// The keys of a route.
pub(super) const ROUTE_KEYS: &[&str] =
    &["id", "name", "from", "to", "length_m", "kind", "surroundings", "sleeve", "grommet", "slack_m"];

/// Reads the plan; what is wrong is added to `problems`.
pub(super) fn read(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Plan {
    let Some(fields) = Fields::telling(value, place, KEYS, problems, |_| None) else {
        return Plan::default();
    };
    let count = |key| fields.get(key).and_then(Json::as_array).map_or(0, Vec::len);
    let (n_places, n_routes) = (count("places"), count("routes"));
    if n_places + n_routes > MOST_PLACES_AND_ROUTES {
        problems.push(place.problem(format!(
            "the plan has {n_places} places and {n_routes} routes; at most {MOST_PLACES_AND_ROUTES} together are read"
        )));
        return Plan::default();
    }
    let outline = keep(fields.optional("outline", outline), problems).flatten();
    let mut ids = BTreeSet::new();
    let places = fields.get("places").map_or_else(Vec::new, |value| {
        each(value, &place.key("places"), problems, |value, place, problems| {
            check_id(value, place, &mut ids, problems);
            read_place(value, place, problems)
        })
    });
    // Places that could not be read are told of already; who names one of them is not told a second time.
    let said = fields.get("places").and_then(Json::as_array).map_or(0, Vec::len);
    let known = Places { places: &places, all_read: places.len() == said };
    let mut ids = BTreeSet::new();
    let routes = fields.get("routes").map_or_else(Vec::new, |value| {
        each(value, &place.key("routes"), problems, |value, place, problems| {
            check_id(value, place, &mut ids, problems);
            read_route(value, place, &known, problems)
        })
    });
    Plan { outline, places, routes }
}

/// Tells of each part that sits at a place, and each wire that is led by one, that the plan does not have.
pub(super) fn check_named(parts: &[Part], wires: &[Wire], plan: &Plan, problems: &mut Vec<Problem>) {
    let job = Place::Job;
    let unknown = |id: &PlaceId| (plan.place(id).is_none()).then(|| no_such_place(id));
    for (index, part) in parts.iter().enumerate() {
        if let Some(told) = part.place.as_ref().and_then(unknown) {
            problems.push(job.key("parts").item(index).key("place").problem(told));
        }
    }
    for (index, wire) in wires.iter().enumerate() {
        for (at, id) in wire.via.iter().enumerate() {
            if let Some(told) = unknown(id) {
                problems.push(job.key("wires").item(index).key("via").item(at).problem(told));
            }
        }
    }
}

fn no_such_place(id: &PlaceId) -> String {
    format!("there is no place `{id}`")
}

/// The places that a route may name.
struct Places<'a> {
    places: &'a [VehiclePlace],
    all_read: bool,
}

impl Places<'_> {
    fn named(&self, value: &Json, place: &Place) -> Result<PlaceId, Problem> {
        let id = place_id(value, place)?;
        if self.all_read && !self.places.iter().any(|one| one.id == id) {
            return Err(place.problem(no_such_place(&id)));
        }
        Ok(id)
    }
}

/// Reads the id of a place.
pub(super) fn place_id(value: &Json, place: &Place) -> Result<PlaceId, Problem> {
    let said = text(value, place)?;
    PlaceId::new(&said).ok_or_else(|| place.problem(bad_id(&said)))
}

fn outline(value: &Json, place: &Place) -> Result<Outline, Problem> {
    let fields = Fields::of(value, place, OUTLINE_KEYS)?;
    Ok(Outline {
        shape: fields.required("shape", word(&Shape::WORDS))?,
        length: fields.required("length_m", metres(OUTLINE_M))?,
        width: fields.required("width_m", metres(OUTLINE_M))?,
    })
}

fn metres((least, most): (f64, f64)) -> impl Fn(&Json, &Place) -> Result<Metres, Problem> {
    move |value, place| {
        let said = number(least, most, "m")(value, place)?;
        Metres::new(said).ok_or_else(|| place.problem("not a finite number"))
    }
}

fn read_place(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Option<VehiclePlace> {
    let before = problems.len();
    let fields = Fields::telling(value, place, PLACE_KEYS, problems, |_| None)?;
    let id = keep(fields.required("id", place_id), problems);
    let name = keep(fields.text("name"), problems);
    let x_cm = keep(fields.required("x_cm", centimetres()), problems);
    let y_cm = keep(fields.required("y_cm", centimetres()), problems);
    let surroundings = keep(fields.optional("surroundings", wire::surroundings), problems);
    let wet = keep(fields.optional("wet", flag), problems);
    let moving = keep(fields.optional("moving", flag), problems);
    let passing = keep(fields.optional("passing", flag), problems);
    let end = keep(fields.optional("end_m", metres(END_M)), problems);
    let read = VehiclePlace {
        id: id?,
        name: name?,
        // The limits lie inside 32 bits.
        x_cm: x_cm? as i32,
        y_cm: y_cm? as i32,
        surroundings: surroundings?,
        wet: wet?,
        moving: moving?.unwrap_or(false),
        passing: passing?.unwrap_or(false),
        end: end?,
    };
    (problems.len() == before).then_some(read)
}

fn centimetres() -> impl Fn(&Json, &Place) -> Result<i64, Problem> {
    whole(-i64::from(FARTHEST_CM), FARTHEST_CM.into())
}

fn read_route(value: &Json, place: &Place, places: &Places, problems: &mut Vec<Problem>) -> Option<Route> {
    let before = problems.len();
    let fields = Fields::telling(value, place, ROUTE_KEYS, problems, |_| None)?;
    let end = |value: &Json, place: &Place| places.named(value, place);
    let id = keep(fields.required("id", route_id), problems);
    let name = keep(fields.text("name"), problems);
    let from = keep(fields.required("from", end), problems);
    let to = keep(fields.required("to", end), problems);
    let length = keep(fields.optional("length_m", wire::length), problems);
    let kind = keep(fields.optional("kind", word(&RouteKind::WORDS)), problems);
    let surroundings = keep(fields.optional("surroundings", wire::surroundings), problems);
    let sleeve = keep(fields.optional("sleeve", text), problems);
    let grommet = keep(fields.optional("grommet", flag), problems);
    let slack = keep(fields.optional("slack_m", metres(END_M)), problems);
    let read = Route {
        id: id?,
        name: name?,
        from: from?,
        to: to?,
        length: length?.unwrap_or_default(),
        kind: kind?.unwrap_or(RouteKind::AlongChassis),
        surroundings: surroundings?,
        sleeve: sleeve?,
        grommet: grommet?,
        slack: slack?,
    };
    if read.from == read.to {
        problems.push(place.problem(format!("route `{}` has both ends at one place", read.id)));
    }
    (problems.len() == before).then_some(read)
}

fn route_id(value: &Json, place: &Place) -> Result<RouteId, Problem> {
    let said = text(value, place)?;
    RouteId::new(&said).ok_or_else(|| place.problem(bad_id(&said)))
}
