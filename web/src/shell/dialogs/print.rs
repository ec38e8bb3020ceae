//! The sheet before it is printed, and the printing itself.
//!
//! The browser prints the page; a style sheet leaves nothing of it but this sheet, in its true size.

use drawing::svg::{SvgOptions, sheet_of, svg};
use leptos::prelude::{AnyView, Memo, With, window_event_listener_untyped};

use super::head;
use crate::canvas::overlay;
use crate::host;
use crate::piece::{Tag, button, by_id, field_of, several, styled, tag};
use crate::state::desk::{Desk, OnSheet, Topic};

/// The sheet as SVG, and the paper it is for.
fn sheet(desk: Desk) -> (String, String) {
    desk.look(|state| {
        let document = state.session.document();
        let mut over = overlay(state);
        if !state.on_sheet.findings {
            over.findings.clear();
            over.unchecked = false;
        }
        if state.on_sheet.readings {
            over.situation = state.fresh().map(|_| state.session.situation().name);
        } else {
            over.readings = Default::default();
        }
        let options = SvgOptions::of(document, String::new());
        let scene = state.session.scene();
        (svg(scene, &over, &options), sheet_of(scene, &over, &options).name)
    })
}

/// The sheet and what is to stand on it.
pub fn print(desk: Desk) -> AnyView {
    desk.act(|state| state.on_sheet = OnSheet::default());
    let made: Memo<(String, String)> = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Answer, Topic::Panel], |_| ());
        sheet(desk)
    });
    let OnSheet { readings, findings } = OnSheet::default();
    let choices = styled("div", "print-choices")
        .add(choice("Marks of findings", findings, move |on| {
            desk.act(|state| state.on_sheet.findings = on);
        }))
        .add(choice("Readings of the present positions", readings, move |on| {
            desk.act(|state| state.on_sheet.readings = on);
        }))
        .add(
            button("Print", move || {
                place_sheet(desk);
                host::print_page();
            })
            .set("class", "main"),
        );
    several(vec![
        head(desk, "Print").end(),
        choices.end(),
        styled("p", "refused").set("role", "status").says(move || unchecked(desk)).end(),
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

/// What has to be known of a sheet without marks while the checks have not told.
fn unchecked(desk: Desk) -> String {
    let is_checked = desk
        .read(&[Topic::Answer, Topic::Panel], |state| state.checked().is_some() || !state.on_sheet.findings);
    let text =
        "The checks have not told yet: no finding is marked, and the sheet says that it is not checked.";
    if is_checked { String::new() } else { text.to_owned() }
}

/// Prints the sheet of the job as it is, also when the browser's own menu or keys ask for it.
pub fn follow_printing(desk: Desk) {
    let _ = window_event_listener_untyped("beforeprint", move |_| place_sheet(desk));
    let _ = window_event_listener_untyped("afterprint", |_| fill("paper", ""));
}

/// Puts the sheet where the style for paper looks for it.
fn place_sheet(desk: Desk) {
    let (sheet, paper) = sheet(desk);
    fill(if paper == "A4" { "paper a4" } else { "paper a3" }, &sheet);
}

fn fill(class: &str, sheet: &str) {
    if let Some(place) = by_id::<web_sys::Element>("paper") {
        crate::canvas::set(&place, "class", class);
        place.set_inner_html(sheet);
    }
}
