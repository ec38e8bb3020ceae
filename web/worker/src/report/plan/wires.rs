//! What the plan says of wires: their ways and lengths, and what lies in a route.

use std::collections::BTreeSet;

use engine::bundle::{Bundle, OUTER_DIAMETER_SOURCE, TUBING_SOURCE};
use engine::document::{Plan, Wire};
use engine::given::Given;
use engine::laid::{Piece, pieces};
use engine::quantity::{Metres, Quantity, Unit, by_hand, three_figures};
use engine::route::{Length, NoWay, Way};

use super::selected_wires;
use crate::report::Asked;
use crate::report::markup::Markup;

/// Metres, as they are read.
pub fn in_metres(m: Metres) -> String {
    Quantity::new(m.get(), Unit::Metre).map_or_else(String::new, |m| m.to_string())
}

fn length_words(length: Length) -> String {
    if length.low == length.high {
        in_metres(length.high)
    } else {
        format!("{} to {}", three_figures(length.low.get()), in_metres(length.high))
    }
}

/// Size and color of a wire, as far as they are said.
fn conductor(wire: &Wire) -> String {
    let size = match &wire.size {
        Given::Known(size) => Some(by_hand(&size.title())),
        _ => None,
    };
    let color = wire.color.map(|color| color.title());
    [size, color].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// A button that shows a wire, here and on the drawing.
fn wire_button(page: &mut Markup, asked: &Asked<'_>, wire: &Wire, more: &str) {
    let network = &asked.document.network;
    let ends = [&wire.from, &wire.to].map(|end| network.terminal_title(end)).join(" to ");
    let caption = [wire.title(), &conductor(wire), &ends, more]
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect::<Vec<_>>()
        .join(" · ");
    let is_selected = selected_wires(asked).iter().any(|index| network.wires.get(*index) == Some(wire));
    page.button_pressed(&caption, &format!("show {}", wire.id), is_selected);
}

/// Says which way a wire takes, and how long that makes it.
fn way_words(plan: &Plan, wire: &Wire, way: &Result<Way, NoWay>) -> String {
    match way {
        Ok(way) => {
            let places: Vec<&str> = way
                .places
                .iter()
                .filter_map(|place| plan.places.get(*place))
                .map(|place| place.title())
                .collect();
            let about = if way.is_off_plan { "≈ " } else { "" };
            let length = length_words(way.length);
            let typed = match wire.length {
                Given::NotKnown => String::new(),
                _ => ", but its length is typed and that counts".to_owned(),
            };
            format!("{about}{length} by {}{typed}", places.join(", "))
        }
        Err(NoWay::NoPlace) => "a part at its ends sits at no place".to_owned(),
        Err(NoWay::NotJoined) => "no routes join its ends".to_owned(),
    }
}

/// The ways of what is selected on the drawing.
pub fn of_selection(page: &mut Markup, asked: &Asked<'_>) {
    let document = asked.document;
    let ways = &asked.prepared.circuit().resolved.ways;
    for index in selected_wires(asked) {
        if let (Some(wire), Some(way)) = (document.network.wires.get(index), ways.wires.get(index)) {
            page.strong(
                &format!("Wire {}", wire.title()),
                &format!(": {}.", way_words(&document.plan, wire, way)),
            );
        }
    }
}

/// Every wire, each to be shown by a tap.
pub fn all(page: &mut Markup, asked: &Asked<'_>) {
    let document = asked.document;
    let ways = &asked.prepared.circuit().resolved.ways;
    page.element("div", &[("class", "plan-list")], |list| {
        for (wire, way) in document.network.wires.iter().zip(&ways.wires) {
            let more = way.as_ref().map(|way| length_words(way.length)).unwrap_or_default();
            wire_button(list, asked, wire, &more);
        }
    });
}

/// What lies in a route, how thick that is together, and what goes around it.
pub fn in_route(page: &mut Markup, asked: &Asked<'_>, route: usize) {
    let document = asked.document;
    let all = pieces(asked.prepared.circuit(), &document.situations);
    let Some(piece) = all.into_iter().find(|piece| piece.route == route) else { return };
    page.heading(&match piece.wires.len() {
        0 => "No wire lies in it".to_owned(),
        1 => "1 wire lies in it".to_owned(),
        n => format!("{n} wires lie in it, {} of them with a load at once", piece.n_loaded),
    });
    match &piece.bundle {
        Some(bundle) => page.paragraph(&around(&piece, bundle)),
        None if piece.wires.is_empty() => {}
        None => page.paragraph("How thick they are together is not known: the size of one is missing."),
    }
    let on: BTreeSet<usize> = piece.wires.into_iter().collect();
    page.element("div", &[("class", "plan-list")], |list| {
        for wire in on.into_iter().filter_map(|index| document.network.wires.get(index)) {
            wire_button(list, asked, wire, "");
        }
    });
    if piece.bundle.is_some() {
        page.line(
            "p",
            "source",
            &format!("Outer diameters: {OUTER_DIAMETER_SOURCE}. Tubing: {TUBING_SOURCE}."),
        );
    }
}

/// The diameter of a bundle and what goes around it.
fn around(piece: &Piece, bundle: &Bundle) -> String {
    let mm = |mm: f64| Quantity::new(mm, Unit::Millimetre).map_or_else(String::new, |mm| mm.to_string());
    let mut words = vec![format!("Together they are {} thick", mm(bundle.diameter_mm))];
    if let Some(conduit) = &piece.conduit {
        words.push(match conduit.nominal_mm {
            Some(nominal) => format!("tubing of nominal width {} holds them", mm(nominal)),
            None => {
                format!("tubing needs {} inside, which is wider than is usually sold", mm(conduit.inside_mm))
            }
        });
    }
    if let Some(grommet) = &piece.grommet {
        words.push(format!("a grommet for the bare wires needs a hole of {}", mm(grommet.hole_mm)));
    }
    if let Some(n_clips) = piece.n_clips {
        words.push(match n_clips {
            1 => "1 clip holds them".to_owned(),
            n => format!("{n} clips hold them"),
        });
    }
    format!("{}. Calculated, not measured.", words.join("; "))
}
