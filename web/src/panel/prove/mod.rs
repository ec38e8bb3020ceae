//! What is measured and done at the vehicle. All of it is told by reports.

use leptos::prelude::AnyView;

use crate::panel::title;
use crate::piece::{Tag, report_under, several, styled, tag};

/// The sections, the first one open.
pub fn prove() -> AnyView {
    several(vec![
        title().text("Prove").end(),
        styled("p", "hint").text("What is measured and done at the vehicle.").end(),
        survey().end(),
        walk().end(),
        report_under("What every mistake would do", "mistakes").end(),
        report_under("Order of work", "work").end(),
    ])
}

/// A walk takes long to begin, because everything that may be wrong is solved once.
fn walk() -> Tag {
    let place = styled("div", "report walk").set("data-report", "walk").set("data-long", "");
    tag("details").add(tag("summary").text("Find a fault")).add(place)
}

fn survey() -> Tag {
    tag("details")
        .set("open", "")
        .add(tag("summary").text("Survey the donor"))
        .add(styled("div", "report survey").set("data-report", "survey"))
}
