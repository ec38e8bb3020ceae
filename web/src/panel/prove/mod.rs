//! What is measured and done at the vehicle. All of it is told by reports.

use engine::document::Purpose;
use leptos::prelude::AnyView;

use crate::panel::title;
use crate::piece::{Tag, report_under, several, soon, styled, tag};
use crate::state::desk::Desk;

/// The sections: open is what was begun and is not at its end, else the first one.
pub fn prove(desk: Desk) -> AnyView {
    let goes_on = |purpose: Purpose| {
        desk.look(|state| {
            let records = &state.session.document().records;
            records.iter().any(|one| one.purpose == purpose && one.answer.is_empty())
        })
    };
    let (walk, proof) = (goes_on(Purpose::Fault), goes_on(Purpose::Proof));
    several(vec![
        title().text("Prove").end(),
        styled("p", "hint").text("What is measured and done at the vehicle.").end(),
        soon(move || sections(walk, proof)),
    ])
}

fn sections(walk: bool, proof: bool) -> AnyView {
    several(vec![
        survey(!walk && !proof).end(),
        lengthy("Find a fault", "walk", walk).end(),
        lengthy("Prove the work", "proof", proof).end(),
        report_under("What every mistake would do", "mistakes").end(),
        report_under("Order of work", "work").end(),
    ])
}

/// What takes long to begin, because everything that may be wrong is solved once.
fn lengthy(title: &str, words: &str, goes_on: bool) -> Tag {
    let place = styled("div", &format!("report {words}")).set("data-report", words).set("data-long", "");
    unfolded(goes_on).add(tag("summary").text(title)).add(place)
}

fn unfolded(is_open: bool) -> Tag {
    if is_open { tag("details").set("open", "") } else { tag("details") }
}

fn survey(is_open: bool) -> Tag {
    unfolded(is_open)
        .add(tag("summary").text("Survey the donor"))
        .add(styled("div", "report survey").set("data-report", "survey"))
}
