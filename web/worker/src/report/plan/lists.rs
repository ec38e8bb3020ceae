//! What follows from the plan for the work, on the screen: the wires on each route, what to cut, and in which order to
//! lay it. On paper it is part of the printed set.

use engine::circuit::Circuit;
use engine::document::RouteKind;
use engine::laid::{Cut, Lot, Piece, build_order, cut_list, pieces};
use engine::quantity::by_hand;

use crate::report::Asked;
use crate::report::markup::Markup;

/// The sheet of the printed set that has the plan on it; its lists come after it.
pub const PLAN_SHEET: &str = "Plan of the vehicle";

/// The lists, each to be opened, and the way to the sheets with them.
pub fn on_screen(page: &mut Markup, asked: &Asked<'_>) {
    for (title, list) in LISTS {
        page.element("details", &[], |details| {
            details.line("summary", "", title);
            list(details, asked);
        });
    }
    page.element("div", &[("class", "row")], |row| {
        row.element("button", &[("type", "button"), ("data-handover", PLAN_SHEET)], |button| {
            button.text("Handover");
        });
    });
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
