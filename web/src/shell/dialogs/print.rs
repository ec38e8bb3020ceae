//! The sheet before it is printed, and the printing itself.
//!
//! The browser prints the page; a style sheet leaves nothing of it but this sheet, in its true size.

use drawing::svg::{SvgOptions, sheet_of, svg};
use leptos::prelude::{AnyView, Get, GetUntracked, Memo, RwSignal, Update, With, WithUntracked};

use super::head;
use crate::canvas::overlay;
use crate::host;
use crate::piece::{Tag, button, by_id, field_of, several, styled, tag};
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
pub fn print(desk: Desk) -> AnyView {
    let wanted = RwSignal::new(Wanted { readings: false, findings: true });
    let made: Memo<(String, String)> = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Answer], |_| ());
        sheet(desk, wanted.get())
    });
    let choices = styled("div", "print-choices")
        .add(choice("Marks of findings", wanted.get_untracked().findings, move |on| {
            wanted.update(|wanted| wanted.findings = on);
        }))
        .add(choice("Readings of the present positions", wanted.get_untracked().readings, move |on| {
            wanted.update(|wanted| wanted.readings = on);
        }))
        .add(
            button("Print", move || {
                made.with_untracked(|(sheet, paper)| place_sheet(sheet, paper));
                host::print_page();
            })
            .set("class", "main"),
        );
    several(vec![
        head(desk, "Print").end(),
        choices.end(),
        styled("p", "hint").says(move || made.with(|(_, paper)| explained(paper))).end(),
        styled("div", "print-preview").markup(move || made.with(|(sheet, _)| sheet.clone())).end(),
    ])
}

fn choice(caption: &'static str, on: bool, set: impl Fn(bool) + 'static) -> Tag {
    let field = tag("input").set("type", "checkbox").on("change", move |event| {
        if let Some(field) = field_of(&event) {
            set(field.checked());
        }
    });
    tag("label").add(if on { field.set("checked", "") } else { field }).text(caption)
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
    if let Some(place) = by_id::<web_sys::Element>("paper") {
        let class = if paper == "A4" { "paper a4" } else { "paper a3" };
        crate::canvas::set(&place, "class", class);
        place.set_inner_html(sheet);
    }
}
