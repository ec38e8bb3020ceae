//! The answer of `route`, as text and as JSON.

use engine::bundle::{
    FILL_SOURCE, GROMMET_SOURCE, OUTER_DIAMETER_SOURCE, SUPPORT_SOURCE, Supported, TUBING_SOURCE,
    support_spacing_m,
};
use engine::circuit::Circuit;
use engine::document::{Document, Plan, RouteKind, Status};
use engine::laid::{Cut, Laying, Lot, Piece};
use engine::quantity::Metres;
use engine::resolve::{LengthFrom, UsedWire};
use engine::route::{NoWay, Spot};
use serde_json::{Map, Value, json};

use super::json::{assumed as assumptions, text as reply};
use super::layout::{table, wrapped};
use super::{assumed, harmless};

/// A job with everything that follows from its plan.
pub struct Laid<'a> {
    pub document: &'a Document,
    pub circuit: &'a Circuit,
    pub pieces: Vec<Piece>,
    pub lots: Vec<Lot>,
    pub order: Vec<Laying>,
}

/// What the figures rest on.
const FOOT: &str = "A length is that of the way with its slack, the loops on it and what both ends need. Loaded counts the \
    most wires that carry more than 30 % of what they can carry alone at once. Diameters are of wires packed as close as \
    a search found; by hand they take more room.";

impl Laid<'_> {
    fn plan(&self) -> &Plan {
        &self.document.plan
    }

    /// The wires of the circuit with their values.
    fn wires(&self) -> impl Iterator<Item = (usize, &UsedWire)> {
        let used = self.circuit.resolved.wires.iter().enumerate();
        used.filter_map(|(wire, used)| used.as_ref().map(|used| (wire, used)))
    }

    fn title(&self, wire: usize) -> &str {
        self.document.network.wires[wire].title()
    }

    fn titles(&self, wires: &[usize]) -> String {
        wires.iter().map(|wire| self.title(*wire)).collect::<Vec<_>>().join(", ")
    }

    fn route(&self, route: usize) -> String {
        self.plan().route_title(&self.plan().routes[route])
    }
}

/// Answer for people.
pub fn text(laid: &Laid<'_>) -> String {
    let mut out = String::new();
    if !laid.document.card.title.is_empty() {
        wrapped(&mut out, "", &laid.document.card.title);
        out.push('\n');
    }
    if laid.plan().places.is_empty() {
        wrapped(&mut out, "", "The job has no vehicle plan: every length is what was typed.");
        out.push('\n');
    }
    out.push_str("Wires\n");
    let mut rows = vec![["", "length", "from", "by way of"].map(str::to_owned).to_vec()];
    rows.extend(laid.wires().map(|(wire, used)| wire_row(laid, wire, used)));
    table(&mut out, &rows);
    if laid.pieces.iter().any(|piece| !piece.wires.is_empty()) {
        out.push_str("\nRoutes\n");
        let head = ["", "length", "wires", "loaded", "bundle", "tubing inside", "hole, bare", "clips"];
        let mut rows = vec![head.map(str::to_owned).to_vec()];
        let used = || laid.pieces.iter().filter(|piece| !piece.wires.is_empty());
        rows.extend(used().map(|piece| piece_row(laid, piece)));
        table(&mut out, &rows);
        out.push_str("\nWires on each route\n");
        for piece in used() {
            wrapped(&mut out, &format!("  {}: ", laid.route(piece.route)), &laid.titles(&piece.wires));
        }
    }
    if !laid.lots.is_empty() {
        out.push_str("\nTo cut, of what is new\n");
        for lot in &laid.lots {
            let cuts =
                lot.cuts.iter().map(|cut| format!("{} {:.2} m", laid.title(cut.wire), cut.length.get()));
            let cuts = cuts.collect::<Vec<_>>().join(", ");
            wrapped(
                &mut out,
                &format!("  {}: ", lot_title(lot)),
                &format!("{cuts}; {:.2} m", lot.total.get()),
            );
        }
    }
    if !laid.order.is_empty() {
        out.push_str("\nOrder of laying, of what is new\n");
        for (number, step) in laid.order.iter().enumerate() {
            let what = if step.is_trunk { "trunk" } else { "branch" };
            let words = format!("{what} {}: {}", laid.route(step.route), laid.titles(&step.wires));
            wrapped(&mut out, &format!("  {}. ", number + 1), &words);
        }
    }
    out.push('\n');
    wrapped(&mut out, "", FOOT);
    for source in sources(laid) {
        wrapped(&mut out, "source  ", source);
    }
    out.push_str("Calculated, not measured.\n");
    assumed::for_readings(&mut out, laid.circuit);
    out
}

fn metres(length: Metres) -> String {
    format!("{:.2} m", length.get())
}

fn wire_row(laid: &Laid<'_>, wire: usize, used: &UsedWire) -> Vec<String> {
    let from = match used.length_from {
        LengthFrom::Typed => "typed",
        LengthFrom::Way => "its way",
        LengthFrom::Plan => "its way, off the plan",
        LengthFrom::Assumed => "assumed",
    };
    let by = match &laid.circuit.resolved.ways.wires[wire] {
        Ok(way) => {
            let places = way.places.iter().map(|place| laid.plan().places[*place].title());
            places.collect::<Vec<_>>().join("; ")
        }
        Err(NoWay::NoPlace) => "-".to_owned(),
        Err(NoWay::NotJoined) => "no routes join its ends".to_owned(),
    };
    vec![harmless(laid.title(wire)), metres(used.length.high), from.to_owned(), harmless(&by)]
}

fn piece_row(laid: &Laid<'_>, piece: &Piece) -> Vec<String> {
    let or_unknown = |text: Option<String>| text.unwrap_or_else(|| "not known".to_owned());
    let millimetres = |mm: f64| format!("{mm:.1} mm");
    let kind = laid.plan().routes[piece.route].kind;
    let tubing = piece.conduit.map(|conduit| match conduit.nominal_mm {
        Some(nominal) => format!("{} ({nominal})", millimetres(conduit.inside_mm)),
        None => millimetres(conduit.inside_mm),
    });
    vec![
        harmless(&laid.route(piece.route)),
        metres(piece.length),
        piece.wires.len().to_string(),
        piece.n_loaded.to_string(),
        or_unknown(piece.bundle.as_ref().map(|bundle| millimetres(bundle.diameter_mm))),
        or_unknown(tubing),
        match kind {
            RouteKind::ThroughBulkhead => {
                or_unknown(piece.grommet.map(|grommet| millimetres(grommet.hole_mm)))
            }
            _ => "-".to_owned(),
        },
        piece.n_clips.map_or_else(|| "-".to_owned(), |clips| clips.to_string()),
    ]
}

fn lot_title(lot: &Lot) -> String {
    let size = lot.size.map_or_else(|| "size not known".to_owned(), |size| size.title());
    match lot.color {
        Some(color) => format!("{size} {}", color.title()),
        None => size,
    }
}

/// Where the figures of the routes are from.
fn sources(laid: &Laid<'_>) -> Vec<&'static str> {
    let any = |is: fn(&Piece) -> bool| laid.pieces.iter().any(is);
    let all = [
        (any(|piece| piece.bundle.is_some()), OUTER_DIAMETER_SOURCE),
        (any(|piece| piece.conduit.is_some()), FILL_SOURCE),
        (any(|piece| piece.conduit.is_some()), TUBING_SOURCE),
        (any(|piece| piece.grommet.is_some()), GROMMET_SOURCE),
        (any(|piece| piece.n_clips.is_some()), SUPPORT_SOURCE),
    ];
    all.into_iter().filter_map(|(there, source)| there.then_some(source)).collect()
}

/// Answer for programs.
pub fn json(laid: &Laid<'_>) -> String {
    let id = |wire: &usize| laid.document.network.wires[*wire].id.as_str();
    let ids = |wires: &[usize]| wires.iter().map(id).collect::<Value>();
    let route = |route: usize| laid.plan().routes[route].id.as_str();
    let wires: Map<String, Value> =
        laid.wires().map(|(wire, used)| (id(&wire).to_owned(), wire_json(laid, wire, used))).collect();
    let pieces: Map<String, Value> = laid
        .pieces
        .iter()
        .map(|piece| (route(piece.route).to_owned(), piece_json(laid, piece, ids(&piece.wires))))
        .collect();
    let cut = |cut: &Cut| json!({ "wire": id(&cut.wire), "length_m": cut.length.get() });
    let lot = |lot: &Lot| {
        json!({
            "size": lot.size.map(|size| size.title()),
            "colour": lot.color.map(|color| color.title()),
            "wires": lot.cuts.iter().map(cut).collect::<Value>(),
            "total_m": lot.total.get(),
        })
    };
    let step = |step: &Laying| {
        let part = if step.is_trunk { "trunk" } else { "branch" };
        json!({ "route": route(step.route), "part": part, "wires": ids(&step.wires) })
    };
    reply(&json!({
        "job": laid.document.card.title,
        "wires": wires,
        "routes": pieces,
        "cut_list": laid.lots.iter().map(lot).collect::<Value>(),
        "build_order": laid.order.iter().map(step).collect::<Value>(),
        "sources": sources(laid),
        "assumed": assumptions(laid.circuit),
    }))
}

fn wire_json(laid: &Laid<'_>, wire: usize, used: &UsedWire) -> Value {
    let plan = laid.plan();
    let way = laid.circuit.resolved.ways.of(wire);
    let from = LengthFrom::WORDS.iter().find(|(from, _)| *from == used.length_from).map(|(_, word)| *word);
    let hottest = way.and_then(|way| way.hottest).map(|hottest| match hottest.at {
        Spot::Place(place) => json!({ "place": plan.places[place].id.as_str() }),
        Spot::Route(route) => json!({ "route": plan.routes[route].id.as_str() }),
    });
    let is_new = laid.document.network.wires[wire].status == Status::New;
    json!({
        "length_m": used.length.high.get(),
        "length_from": from,
        "new": is_new,
        "places": way.map(|way| way.places.iter().map(|place| plan.places[*place].id.as_str()).collect::<Value>()),
        "routes": way.map(|way| way.pieces.iter().map(|route| plan.routes[*route].id.as_str()).collect::<Value>()),
        "bulkheads": way.map(|way| way.n_bulkheads(plan)),
        "hottest": hottest,
        "ambient_c": used.ambient.get(),
        "bundle": used.bundle,
        "ampacity_a": used.ampacity().map(|amps| amps.low.get()),
    })
}

fn piece_json(laid: &Laid<'_>, piece: &Piece, wires: Value) -> Value {
    let spacing = piece.n_clips.map(|_| support_spacing_m(Supported::Wires));
    json!({
        "title": laid.route(piece.route),
        "length_m": piece.length.get(),
        "wires": wires,
        "loaded": piece.n_loaded,
        "bundle_mm": piece.bundle.as_ref().map(|bundle| bundle.diameter_mm),
        "bundle_at_least_mm": piece.bundle.as_ref().map(|bundle| bundle.at_least_mm),
        "tubing": piece.conduit.map(|conduit| json!({
            "fill": conduit.fill,
            "inside_mm": conduit.inside_mm,
            "nominal_mm": conduit.nominal_mm,
        })),
        "grommet": piece.grommet.map(|grommet| json!({
            "inside_mm": grommet.inside_mm,
            "hole_mm": grommet.hole_mm,
        })),
        "clips": piece.n_clips,
        "clip_spacing_m": spacing,
    })
}
