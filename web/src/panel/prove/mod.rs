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
        lengthy("Find a fault", "walk").end(),
        lengthy("Prove the work", "proof").end(),
        report_under("What every mistake would do", "mistakes").end(),
        report_under("Order of work", "work").end(),
    ])
}

/// What takes long to begin, because everything that may be wrong is solved once.
fn lengthy(title: &str, words: &str) -> Tag {
    let place = styled("div", &format!("report {words}")).set("data-report", words).set("data-long", "");
    tag("details").add(tag("summary").text(title)).add(place)
}

fn survey() -> Tag {
    tag("details")
        .set("open", "")
        .add(tag("summary").text("Survey the donor"))
        .add(styled("div", "report survey").set("data-report", "survey"))
}
