//! Acts on one route.

use editor::form::{length, metres};
use engine::document::{Route, RouteKind};
use engine::ids::{PlaceId, RouteId};
use engine::post::Report;

use super::{changed, said, surroundings, text, value};
use crate::report::Asked;

/// Adds a route between two places.
pub fn add(asked: &Asked<'_>, from: PlaceId, to: PlaceId) -> Report {
    let plan = &asked.document.plan;
    let route = Route::new(plan.fresh_route_id(), from, to);
    let label = format!("add route {}", plan.route_title(&route));
    changed(asked, &label, |plan| plan.routes.push(route))
}

/// Changes what is said of a route.
pub fn change(asked: &Asked<'_>, id: &RouteId, field: &str) -> Option<Report> {
    let plan = &asked.document.plan;
    let now = plan.route(id)?;
    let mut route = now.clone();
    let value = value(asked);
    match field {
        "name" => route.name = text(value).unwrap_or_default(),
        "length" => match length(value) {
            Ok(length) => route.length = length,
            Err(why) => return Some(said(why)),
        },
        "kind" => route.kind = RouteKind::WORDS.iter().find(|(_, word)| *word == value)?.0,
        "surroundings" => route.surroundings = surroundings(value, now.surroundings),
        "sleeve" => route.sleeve = text(value),
        "grommet" => {
            route.grommet = match value {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            };
        }
        "slack" => match metres(value) {
            Ok(slack) => route.slack = slack,
            Err(why) => return Some(said(why)),
        },
        _ => return None,
    }
    let label = format!("change route {}", plan.route_title(now));
    Some(changed(asked, &label, |plan| {
        for old in plan.routes.iter_mut().filter(|old| old.id == route.id) {
            old.clone_from(&route);
        }
    }))
}

/// Takes a route away.
pub fn delete(asked: &Asked<'_>, id: &RouteId) -> Option<Report> {
    let plan = &asked.document.plan;
    let label = format!("delete route {}", plan.route_title(plan.route(id)?));
    Some(changed(asked, &label, |plan| plan.routes.retain(|route| route.id != *id)))
}
