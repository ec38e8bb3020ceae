//! The plan as a picture that is worked on.

use std::collections::BTreeSet;

use drawing::plan::{PlanOptions, plan_picture};
use engine::ids::PartId;

use super::{selected, selected_wires};
use crate::report::Asked;

/// Least and greatest height of capitals, in hundredths of a centimetre on the vehicle.
const LETTERING: (i32, i32) = (50, 20_000);

/// The picture, with the ways of the wires and the places of the parts that are selected on the drawing.
pub fn page(asked: &Asked<'_>, lettering: i32) -> String {
    let document = asked.document;
    let (network, plan) = (&document.network, &document.plan);
    let ways = &asked.prepared.circuit().resolved.ways;
    let (mut routes, mut places) = (BTreeSet::new(), BTreeSet::new());
    for way in selected_wires(asked).into_iter().filter_map(|wire| ways.of(wire)) {
        routes.extend(way.pieces.iter().copied());
        places.extend(
            way.places.iter().filter_map(|place| plan.places.get(*place)).map(|place| place.id.clone()),
        );
    }
    let parts = selected(asked).filter_map(|id| network.part(&PartId::new(id)?));
    places.extend(parts.filter_map(|part| network.place_of(part)).cloned());
    let options = PlanOptions {
        lettering: lettering.clamp(LETTERING.0, LETTERING.1),
        is_live: true,
        lit_routes: routes
            .into_iter()
            .filter_map(|route| plan.routes.get(route))
            .map(|route| route.id.clone())
            .collect(),
        lit_places: places.into_iter().collect(),
        chosen: None,
    };
    plan_picture(plan, network, &options)
}
