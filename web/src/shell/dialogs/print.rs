//! The sheet before it is printed, and the printing itself.
//!
//! The browser prints the page; a style sheet leaves nothing of it but this sheet, in its true size.

use drawing::svg::{SvgOptions, sheet_of, svg};
use leptos::prelude::*;

use super::head;
use crate::canvas::overlay;
use crate::host;
use crate::state::desk::{Desk, Topic};

/// What goes on the sheet beside the circuit.
#[derive(Clone, Copy, PartialEq)]
struct Wanted {
    readings: bool,
    findings: bool,
}

/// The sheet as SVG, and the paper it is for.
fn sheet(desk: Desk, wanted: Wanted) -> (String, String) {
    desk.look(|state| {
        let document = state.session.document();
        let mut over = overlay(state);
        if !wanted.findings {
            over.findings.clear();
        }
        if wanted.readings {
            over.situation = state.fresh().map(|_| state.session.situation().name);
        } else {
            over.readings = Default::default();
        }
        let options = SvgOptions { card: (*document.card).clone(), job: String::new() };
        let scene = state.session.scene();
        (svg(scene, &over, &options), sheet_of(scene, &over, &document.card).name)
    })
}

/// The sheet and what is to stand on it.
#[component]
pub fn Print(desk: Desk) -> impl IntoView {
    let wanted = RwSignal::new(Wanted { readings: false, findings: true });
    let made = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Answer], |_| ());
        sheet(desk, wanted.get())
    });
    let paper = move || made.with(|(_, paper)| paper.clone());
    let print = move |_| {
        place_sheet(&made.with_untracked(|(sheet, _)| sheet.clone()), &paper());
        host::print_page();
    };
    view! {
        {head(desk, "Print")}
        <div class="print-choices">
            <label><input type="checkbox" prop:checked=move || wanted.get().findings
                on:change=move |event| wanted.update(|wanted| wanted.findings = event_target_checked(&event))/>
                "Marks of findings"</label>
            <label><input type="checkbox" prop:checked=move || wanted.get().readings
                on:change=move |event| wanted.update(|wanted| wanted.readings = event_target_checked(&event))/>
                "Readings of the present positions"</label>
            <button type="button" class="main" on:click=print>"Print"</button>
        </div>
        <p class="hint">{move || explained(&paper())}</p>
        <div class="print-preview" inner_html=move || made.with(|(sheet, _)| sheet.clone())></div>
    }
}

fn explained(paper: &str) -> String {
    match paper {
        "A4" | "A3" => format!(
            "Paper: {paper}, landscape. Print at 100 %, not “fit to page”, so that it stays to scale."
        ),
        other => format!("The drawing is larger than A3: it {other}."),
    }
}

/// Puts the sheet where the style for paper looks for it.
fn place_sheet(sheet: &str, paper: &str) {
    if let Some(place) = document().get_element_by_id("paper") {
        let class = if paper == "A4" { "paper a4" } else { "paper a3" };
        crate::canvas::set(&place, "class", class);
        place.set_inner_html(sheet);
    }
}
