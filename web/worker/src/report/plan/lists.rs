//! What follows from the plan for the work: the wires on each route, what to cut, and in which order to lay it; on the
//! screen, and on paper under the picture.

use drawing::plan::{PlanOptions, plan_picture};
use drawing::sheet::CAUTIONS;
use engine::bundle::{FILL_SOURCE, GROMMET_SOURCE, OUTER_DIAMETER_SOURCE, SUPPORT_SOURCE, TUBING_SOURCE};
use engine::circuit::Circuit;
use engine::document::{Plan, RouteKind, Surroundings};
use engine::laid::{Cut, Lot, Piece, build_order, cut_list, pieces};
use engine::quantity::by_hand;

use crate::report::Asked;
use crate::report::markup::Markup;

/// The lists, each to be opened.
pub fn on_screen(page: &mut Markup, asked: &Asked<'_>) {
    for (title, list) in LISTS {
        page.element("details", &[], |details| {
            details.line("summary", "", title);
            list(details, asked);
        });
    }
    page.element("div", &[("class", "row")], |row| {
        row.element("button", &[("type", "button"), ("data-print", "")], |button| {
            button.text("Print plan and lists");
        });
    });
}

/// Plan and lists as they are printed, with what the job is called and the cautions.
pub fn on_paper(asked: &Asked<'_>) -> String {
    let document = asked.document;
    let card = &document.card;
    let mut page = Markup::new();
    page.element("header", &[], |head| {
        let title = if card.title.is_empty() { "Vehicle plan" } else { &card.title };
        head.line("h1", "", title);
        let facts = [&card.customer, &card.vehicle, &card.number, &card.date, &card.drawn_by];
        let facts: Vec<&str> =
            facts.into_iter().map(String::as_str).filter(|fact| !fact.is_empty()).collect();
        head.paragraph(&facts.join(" · "));
    });
    let mut paper = page.done();
    paper.push_str(&plan_picture(&document.plan, &document.network, &on_page(&document.plan)));
    let mut page = Markup::new();
    page.element("section", &[], |section| {
        section.line("h2", "", "What sits where");
        places(section, asked);
    });
    for (title, list) in LISTS {
        page.element("section", &[], |section| {
            section.line("h2", "", title);
            list(section, asked);
        });
    }
    page.element("footer", &[], |foot| {
        for caution in CAUTIONS {
            foot.paragraph(caution);
        }
        foot.paragraph(
            "Wires are packed as close as a search found; by hand they take more room. Holes are for bare wires.",
        );
        let sources = format!(
            "Outer diameters: {OUTER_DIAMETER_SOURCE}. Fill: {FILL_SOURCE}. Tubing: {TUBING_SOURCE}. \
             Holes: {GROMMET_SOURCE}. Clips: {SUPPORT_SOURCE}.",
        );
        foot.line("p", "source", &sources);
    });
    paper + &page.done()
}

/// Capitals of 2.5 mm on a page that the vehicle fills from side to side.
fn on_page(plan: &Plan) -> PlanOptions {
    /// Millimetres that are left for the vehicle on a sheet A4 upright, with lettering beside it.
    const ACROSS_MM: f64 = 160.0;
    let options = PlanOptions::default();
    let lettering =
        plan.outline.map(|outline| (outline.length.get() * 100.0 * 100.0 * 2.5 / ACROSS_MM) as i32);
    PlanOptions { lettering: lettering.unwrap_or(options.lettering), ..options }
}

fn places(page: &mut Markup, asked: &Asked<'_>) {
    let (plan, network) = (&asked.document.plan, &asked.document.network);
    let mut rows = vec![["place", "parts", "air"].map(str::to_owned).to_vec()];
    for place in plan.places.iter().filter(|place| !place.passing) {
        let parts = network.parts.iter().filter(|part| network.place_of(part) == Some(&place.id));
        let air =
            place.surroundings.map(|air| match Surroundings::WORDS.iter().find(|(one, _)| *one == air) {
                Some((_, word)) => (*word).to_owned(),
                None => format!("{} °C", air.ambient_c(&asked.document.settings)),
            });
        rows.push(vec![
            place.title().to_owned(),
            parts.map(|part| part.title()).collect::<Vec<_>>().join(", "),
            air.unwrap_or_else(|| "not said".to_owned()),
        ]);
    }
    page.table("What sits where", &rows);
}

type List = fn(&mut Markup, &Asked<'_>);

const LISTS: [(&str, List); 3] =
    [("Wires on each route", on_routes), ("What to cut", to_cut), ("Order of laying", in_order)];

fn circuit<'a>(asked: &Asked<'a>) -> &'a Circuit {
    asked.prepared.circuit()
}

fn titles(asked: &Asked<'_>, wires: &[usize]) -> String {
    let network = &asked.document.network;
    wires
        .iter()
        .filter_map(|wire| network.wires.get(*wire))
        .map(|wire| wire.title())
        .collect::<Vec<_>>()
        .join(", ")
}

fn route(asked: &Asked<'_>, index: usize) -> String {
    let plan = &asked.document.plan;
    plan.routes.get(index).map_or_else(String::new, |route| plan.route_title(route))
}

fn millimetres(mm: f64) -> String {
    format!("{mm:.1}\u{a0}mm")
}

fn on_routes(page: &mut Markup, asked: &Asked<'_>) {
    let head = ["route", "length", "wires", "loaded", "thick", "tubing", "hole, bare", "clips"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let not_known = || "not known".to_owned();
    let row = |piece: &Piece| {
        vec![
            route(asked, piece.route),
            format!("{:.2}\u{a0}m", piece.length.get()),
            titles(asked, &piece.wires),
            piece.n_loaded.to_string(),
            piece.bundle.as_ref().map_or_else(not_known, |bundle| millimetres(bundle.diameter_mm)),
            piece.conduit.map_or_else(not_known, |conduit| match conduit.nominal_mm {
                Some(nominal) => format!("{nominal}\u{a0}mm"),
                None => format!("at least {}", millimetres(conduit.inside_mm)),
            }),
            match asked.document.plan.routes.get(piece.route).map(|route| route.kind) {
                Some(RouteKind::ThroughBulkhead) => {
                    piece.grommet.map_or_else(not_known, |grommet| millimetres(grommet.hole_mm))
                }
                _ => "–".to_owned(),
            },
            piece.n_clips.map_or_else(|| "–".to_owned(), |clips| clips.to_string()),
        ]
    };
    let all = pieces(circuit(asked), &asked.document.situations);
    rows.extend(all.iter().filter(|piece| !piece.wires.is_empty()).map(row));
    page.table("Wires on each route", &rows);
}

fn to_cut(page: &mut Markup, asked: &Asked<'_>) {
    let mut rows = vec![["wire", "cut", "total"].map(str::to_owned).to_vec()];
    let network = &asked.document.network;
    let cut = |cut: &Cut| {
        let title = network.wires.get(cut.wire).map_or("", |wire| wire.title());
        format!("{title} {:.2}\u{a0}m", cut.length.get())
    };
    let row = |lot: &Lot| {
        let size = lot.size.map_or_else(|| "size not known".to_owned(), |size| by_hand(&size.title()));
        let color = lot.color.map_or_else(String::new, |color| format!(" {}", color.title()));
        vec![
            format!("{size}{color}"),
            lot.cuts.iter().map(cut).collect::<Vec<_>>().join(", "),
            format!("{:.2}\u{a0}m", lot.total.get()),
        ]
    };
    rows.extend(cut_list(circuit(asked)).iter().map(row));
    page.table("What to cut", &rows);
    page.line("p", "hint", "Of what is new, up to the next centimetre; lengths have slack and ends in them.");
}

fn in_order(page: &mut Markup, asked: &Asked<'_>) {
    page.element("ol", &[], |list| {
        for step in build_order(circuit(asked)) {
            let what = if step.is_trunk { "Trunk" } else { "Branch" };
            let words = format!("{what} {}: {}", route(asked, step.route), titles(asked, &step.wires));
            list.line("li", "", &words);
        }
    });
}
