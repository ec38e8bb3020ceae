//! What follows from the vehicle plan: what lies on each route, in which order it is laid, what sits where.

use engine::document::{RouteKind, Surroundings};
use engine::laid::{build_order, pieces};
use engine::quantity::Unit;

use super::{AT_LEAST, NOT_KNOWN, NOTHING, Setting, Table, or_not_known};
use crate::facts::{Facts, in_words, number};

fn titles(facts: &Facts<'_>, wires: &[usize]) -> String {
    let network = facts.network();
    let titles = wires.iter().filter_map(|wire| network.wires.get(*wire)).map(|wire| wire.title());
    titles.collect::<Vec<_>>().join(", ")
}

fn route(facts: &Facts<'_>, index: usize) -> String {
    let plan = &facts.document().plan;
    plan.routes.get(index).map_or_else(String::new, |route| plan.route_title(route))
}

/// The wires on each route, and what goes around them.
pub fn routes(facts: &Facts<'_>) -> Table {
    use Setting::{Number, Words};
    let mut table = Table::new(
        "Wires on each route",
        "routes",
        &[
            ("Route", Words),
            ("Length (m)", Number),
            ("Wires", Words),
            ("Loaded", Number),
            ("Thick (mm)", Number),
            ("Tubing (mm)", Number),
            ("Hole (mm)", Number),
            ("Clips", Number),
        ],
    );
    let plan = &facts.document().plan;
    for piece in
        pieces(facts.circuit(), &facts.document().situations).iter().filter(|piece| !piece.wires.is_empty())
    {
        let millimetres = |mm: Option<f64>| or_not_known(mm.and_then(number));
        let leads_through =
            plan.routes.get(piece.route).map(|route| route.kind) == Some(RouteKind::ThroughBulkhead);
        table.entry(vec![
            route(facts, piece.route),
            or_not_known(number(piece.length.get())),
            titles(facts, &piece.wires),
            piece.n_loaded.to_string(),
            millimetres(piece.bundle.as_ref().map(|bundle| bundle.diameter_mm)),
            piece.conduit.map_or_else(
                || NOT_KNOWN.to_owned(),
                |conduit| match conduit.nominal_mm {
                    Some(nominal) => nominal.to_string(),
                    None => format!("{AT_LEAST} {}", millimetres(Some(conduit.inside_mm))),
                },
            ),
            if leads_through {
                millimetres(piece.grommet.map(|grommet| grommet.hole_mm))
            } else {
                NOTHING.to_owned()
            },
            piece.n_clips.map_or_else(|| NOTHING.to_owned(), |clips| clips.to_string()),
        ]);
    }
    if !table.rows.is_empty() {
        table.notes.push(
            "Loaded: how many of the wires carry a load. Thick: wires packed as close as a search found; by hand they take \
             more room. Hole: through sheet metal, for bare wires. Tubing: its nominal size; ≥: at least that inside."
                .to_owned(),
        );
    }
    table
}

/// In which order new wires are laid.
pub fn order(facts: &Facts<'_>) -> Table {
    use Setting::{Number, Words};
    let mut table = Table::new(
        "Order of laying",
        "order",
        &[("Step", Number), ("What", Words), ("Route", Words), ("Wires", Words)],
    );
    for (number, step) in (1..).zip(build_order(facts.circuit())) {
        let what = if step.is_trunk { "trunk" } else { "branch" };
        table.entry(vec![
            number.to_string(),
            what.to_owned(),
            route(facts, step.route),
            titles(facts, &step.wires),
        ]);
    }
    table
}

/// What sits at each place of the plan.
pub fn places(facts: &Facts<'_>) -> Table {
    use Setting::Words;
    let (plan, network) = (&facts.document().plan, facts.network());
    let mut table =
        Table::new("What sits where", "places", &[("Place", Words), ("Parts", Words), ("Air", Words)]);
    for place in plan.places.iter().filter(|place| !place.passing) {
        let parts = network.parts.iter().filter(|part| network.place_of(part) == Some(&place.id));
        let parts: Vec<&str> = parts.map(|part| part.title()).collect();
        let air =
            place.surroundings.map(|air| match Surroundings::WORDS.iter().find(|(one, _)| *one == air) {
                Some((_, word)) => (*word).to_owned(),
                None => or_not_known(in_words(air.ambient_c(&facts.document().settings), Unit::Celsius)),
            });
        let parts = if parts.is_empty() { NOTHING.to_owned() } else { parts.join(", ") };
        table.entry(vec![place.title().to_owned(), parts, or_not_known(air)]);
    }
    table
}
