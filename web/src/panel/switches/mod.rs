//! What can be worked: every part with positions, and the situations of the job by name.

use engine::document::{AT_REST, Part, Situation};
use engine::ids::PartId;
use engine::kind::Class;
use leptos::prelude::*;

use crate::panel::title;
use crate::piece::{Tag, button, report, report_under, several, soon, styled, tag};
use crate::state::desk::{Desk, Topic};

/// The positions of a part as buttons, the present one pressed.
pub fn positions(desk: Desk, part: &PartId, positions: &'static [&'static str]) -> Tag {
    let buttons = positions.iter().map(|position| {
        let (at, to) = (part.clone(), part.clone());
        button(*position, move || {
            desk.act(|state| {
                state.session.set_position(&to, position);
            });
        })
        .pressed(move || {
            desk.read(&[Topic::Situation], |state| {
                let situation = state.session.situation();
                situation.set.get(&at).map_or(positions[0], String::as_str) == *position
            })
        })
    });
    styled("div", "positions").set("role", "group").set("aria-label", "Position").all(buttons)
}

/// Everything that can be worked.
pub fn switches(desk: Desk) -> AnyView {
    let named = move |state: &crate::state::desk::State| {
        let now = state.session.situation().name;
        let situations = state.session.document().situations.iter().map(|situation| situation.name.clone());
        std::iter::once(AT_REST.to_owned())
            .chain(situations)
            .map(|name| (name == now, name))
            .collect::<Vec<_>>()
    };
    let situations = styled("div", "situations")
        .set("role", "group")
        .set("aria-label", "Situations of this job")
        .region(move || {
            let all = desk.read(&[Topic::Document, Topic::Situation], named);
            several(all.into_iter().map(|(pressed, name)| situation(desk, name, pressed).end()).collect())
        });
    let rows = move || {
        let rows = desk.read(&[Topic::Document], |state| {
            let parts = &state.session.document().network.parts;
            // What is worked every day comes first; fuses are drawn and connectors parted to find a fault.
            let is_last = |part: &Part| matches!(part.kind.class, Class::Protection | Class::Joint);
            let worked = [false, true].into_iter().flat_map(|last| {
                parts.iter().filter(move |part| part.positions().len() > 1 && is_last(part) == last)
            });
            worked
                .map(|part| row(desk, &part.id, part.kind.noun, part.title(), part.positions()))
                .collect::<Vec<_>>()
        });
        if rows.is_empty() {
            let text =
                "Nothing in this job can be switched yet. Put a switch or a donor circuit on the drawing.";
            return tag("p").text(text).end();
        }
        styled("ul", "plain").all(rows).end()
    };
    several(vec![
        title().text("Switches").end(),
        styled("p", "hint")
            .text("The readings and the lit paths are those of these positions. Working a switch changes nothing in the job.")
            .end(),
        situations.end(),
        report("situations").end(),
        soon(move || tag("div").region(rows).end()),
        soon(reports),
    ])
}

fn reports() -> AnyView {
    let rules = tag("details")
        .add(tag("summary").text("Rules: what must hold in every position"))
        .add(report("rules").set("data-long", ""));
    several(vec![
        report_under("Compare two situations", "compare").end(),
        report_under("Every position gone through", "sweep").end(),
        rules.end(),
    ])
}

fn row(desk: Desk, id: &PartId, noun: &str, title: &str, all: &'static [&'static str]) -> Tag {
    styled("li", "switch-row")
        .add(tag("span").set("dir", "auto").text(format!("{noun} {title}")))
        .add(positions(desk, id, all))
}

fn situation(desk: Desk, name: String, pressed: bool) -> Tag {
    let wanted = name.clone();
    button(name, move || {
        desk.act(|state| {
            let known = state.session.document().situations.iter().find(|one| one.name == wanted);
            let situation = known.cloned().unwrap_or_else(Situation::at_rest);
            state.session.set_situation(&situation);
        });
    })
    .set("dir", "auto")
    .set("aria-pressed", if pressed { "true" } else { "false" })
}
