//! Acts on one place.

use editor::form::metres;
use engine::document::VehiclePlace;
use engine::ids::PlaceId;
use engine::post::Report;

use super::{changed, said, surroundings, text, value};
use crate::report::Asked;

/// Places lie on whole steps of this many centimetres where they are tapped or dragged to.
const STEP_CM: i32 = 5;

fn snapped(cm: f64) -> i32 {
    let steps = (cm / f64::from(STEP_CM)).round();
    // A number from outside may be anything; beyond the limits of a plan it is refused later.
    (steps.clamp(-1e6, 1e6) as i32) * STEP_CM
}

/// Adds a place at these centimetres behind the front and from the left side.
pub fn add(asked: &Asked<'_>, x: f64, y: f64) -> Report {
    let place = VehiclePlace::new(asked.document.plan.fresh_place_id(), snapped(x), snapped(y));
    changed(asked, "add a place", |plan| plan.places.push(place))
}

fn of<'a>(asked: &Asked<'a>, id: &PlaceId) -> Option<&'a VehiclePlace> {
    asked.document.plan.place(id)
}

fn changed_place(asked: &Asked<'_>, label: &str, place: VehiclePlace) -> Report {
    changed(asked, label, |plan| {
        for old in plan.places.iter_mut().filter(|old| old.id == place.id) {
            old.clone_from(&place);
        }
    })
}

/// Moves a place to these centimetres.
pub fn go(asked: &Asked<'_>, id: &PlaceId, x: f64, y: f64) -> Option<Report> {
    let now = of(asked, id)?;
    let place = VehiclePlace { x_cm: snapped(x), y_cm: snapped(y), ..now.clone() };
    Some(changed_place(asked, &format!("move {}", now.title()), place))
}

/// Changes what is said of a place.
pub fn change(asked: &Asked<'_>, id: &PlaceId, field: &str) -> Option<Report> {
    let now = of(asked, id)?;
    let mut place = now.clone();
    let value = value(asked);
    match field {
        "name" => place.name = text(value).unwrap_or_default(),
        "surroundings" => place.surroundings = surroundings(value, now.surroundings),
        "wet" => {
            place.wet = match value {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            };
        }
        "moving" => place.moving = value == "on",
        "passing" => {
            place.passing = value == "on";
            let sits = asked.document.network.parts.iter().find(|part| part.place.as_ref() == Some(id));
            if let Some(part) = sits.filter(|_| place.passing) {
                return Some(said(format!("{} sits here; put it at another place first.", part.title())));
            }
        }
        "x" | "y" | "end" => {
            let metres = match metres(value) {
                Ok(metres) => metres,
                Err(why) => return Some(said(why)),
            };
            let Some(m) = metres.filter(|_| field != "end") else {
                if field != "end" {
                    return Some(said("A place lies somewhere; type how far."));
                }
                place.end = metres;
                return Some(changed_place(asked, &label(now), place));
            };
            let cm = (m.get() * 100.0).round().clamp(-1e6, 1e6) as i32;
            if field == "x" {
                place.x_cm = cm
            } else {
                place.y_cm = cm
            }
            return Some(changed_place(asked, &format!("move {}", now.title()), place));
        }
        _ => return None,
    }
    Some(changed_place(asked, &label(now), place))
}

fn label(place: &VehiclePlace) -> String {
    format!("change place {}", place.title())
}

/// Takes a place away, and with it the routes that end there.
pub fn delete(asked: &Asked<'_>, id: &PlaceId) -> Option<Report> {
    let label = format!("delete place {}", of(asked, id)?.title());
    Some(changed(asked, &label, |plan| plan.remove_place(id)))
}
