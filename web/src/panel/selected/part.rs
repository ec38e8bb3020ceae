//! One part: its reading, its positions, its values, its terminals and its current path.

use editor::form::{changed_part, part_fields};
use editor::{Action, Selection, Tool};
use engine::document::Wire;
use engine::document::edit::Edit;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::subject::Subject;
use leptos::prelude::AnyView;

use super::{WORKING, findings, no_reading, reading_line};
use crate::panel::form::{Source, form};
use crate::panel::switches::positions;
use crate::panel::title;
use crate::piece::{Tag, button, nothing, plain_button, region, report_under, several, soon, styled, tag};
use crate::shell::action_button;
use crate::state::desk::{Desk, State, Topic};

/// One part.
pub fn one_part(desk: Desk, id: PartId) -> AnyView {
    let subject = Subject::Part(id.clone());
    let named = {
        let subject = subject.clone();
        move || desk.read(&[Topic::Document], |state| subject.title(&state.session.document().network))
    };
    let reading = {
        let id = id.clone();
        move || desk.read(&[Topic::Answer], |state| reading(state, &id)).unwrap_or_else(|| no_reading(desk))
    };
    let worked = {
        let id = id.clone();
        region(move || {
            let all = desk.read(&[Topic::Document], |state| {
                state.session.document().network.part(&id).map_or(&[][..], |part| part.positions())
            });
            if all.len() > 1 { positions(desk, &id, all).end() } else { nothing() }
        })
    };
    let sat = id.clone();
    several(vec![
        title().says(named).end(),
        styled("p", "reading").set("dir", "auto").says(reading).end(),
        report_under(WORKING, format!("working {id}")).end(),
        worked,
        findings(desk, subject),
        path(desk),
        soon(move || values_and_place(desk, sat)),
        soon(move || terminals_and_actions(desk, id)),
    ])
}

fn values_and_place(desk: Desk, id: PartId) -> AnyView {
    let has_places = desk.look(|state| !state.session.document().plan.places.is_empty());
    let sitting =
        if has_places { report_under("Where should it sit?", format!("sit {id}")).end() } else { nothing() };
    several(vec![
        tag("h3").text("Values").end(),
        values(desk, id.clone()).end(),
        my_parts(&id).end(),
        sitting,
    ])
}

fn terminals_and_actions(desk: Desk, id: PartId) -> AnyView {
    let actions = styled("div", "actions").set("role", "group").set("aria-label", "With this part").all(
        [Action::Turn, Action::Mirror, Action::Keep, Action::LetGo, Action::Duplicate, Action::Delete]
            .map(|action| action_button(desk, action)),
    );
    let kind =
        desk.look(|state| state.session.document().network.part(&id).map_or("", |part| part.kind.name));
    several(vec![
        tag("h3").text("Terminals").end(),
        terminals(desk, id).end(),
        actions.end(),
        report_under("About this kind of part", format!("manual {kind}")).end(),
    ])
}

/// Opens what the workshop keeps of such parts; see `web/host/touch.js`.
fn my_parts(id: &PartId) -> Tag {
    let button = tag("button").set("type", "button").set("data-page", "my-parts");
    styled("div", "row").add(button.set("data-part", id.to_string()).text("My parts"))
}

fn reading(state: &State, id: &PartId) -> Option<String> {
    let answer = state.fresh()?;
    let reading = answer.parts.iter().find(|reading| reading.id == *id)?;
    let line = |state: &Option<String>, words: &engine::answer::Words| {
        let all = [state.clone(), words.amps.clone(), words.volts.clone(), words.watts.clone()];
        reading_line(&all, reading.assumed)
    };
    let mut lines = vec![line(&reading.state, &reading.words)];
    for (name, on, words) in &reading.loads {
        lines.push(format!("{name}: {}", line(on, words)));
    }
    if let Some(contact) = &reading.contact {
        lines
            .push(format!("contact: {}", reading_line(std::slice::from_ref(&contact.amps), reading.assumed)));
    }
    Some(lines.join("\n"))
}

/// The current path of the selected part, in words.
fn path(desk: Desk) -> AnyView {
    region(move || {
        let words = desk.read(&[Topic::Answer], |state| {
            let path = state.fresh().and_then(|answer| answer.path.as_ref());
            path.map(|path| path.words.clone()).unwrap_or_default()
        });
        if words.is_empty() {
            return nothing();
        }
        styled("div", "current-path")
            .add(tag("h3").text("Current path"))
            .add(
                styled("ol", "plain")
                    .all(words.into_iter().map(|words| tag("li").set("dir", "auto").text(words))),
            )
            .end()
    })
}

fn values(desk: Desk, id: PartId) -> Tag {
    let fields = {
        let id = id.clone();
        move || {
            desk.read(&[Topic::Document], |state| {
                let document = state.session.document();
                document.network.part(&id).map(|part| part_fields(document, part)).unwrap_or_default()
            })
        }
    };
    let enter = move |name: &str, text: &str, unit: &str| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let Some(part) = document.network.part(&id) else { return };
            let label = format!("change {}", part.title());
            let changed = changed_part(document, part, name, text, unit);
            result = changed.and_then(|changed| {
                state.session.edit(&label, Edit::ChangePart(changed)).map_err(|error| error.to_string())
            });
        });
        result
    };
    form(Source { fields: Box::new(fields), enter: Box::new(enter) })
}

/// The terminals of a part: what each is for, what it reads, what is joined to it, and wiring by
/// buttons, for keyboards and for those who would rather not aim.
fn terminals(desk: Desk, id: PartId) -> Tag {
    styled("ul", "plain terminals").region(move || {
        let rows = desk.read(&[Topic::Document], |state| {
            let network = &state.session.document().network;
            let Some(part) = network.part(&id) else { return Vec::new() };
            let mut rows = Vec::new();
            for terminal in part.terminals() {
                let at = TerminalRef { part: part.id.clone(), terminal: terminal.name };
                let far = |wire: &Wire| {
                    let other = if wire.from == at { &wire.to } else { &wire.from };
                    format!("{} to {}", wire.title(), network.terminal_in_full(other))
                };
                let wires: Vec<Tag> =
                    network.wires_at(&at).map(|wire| wire_button(desk, wire.id.clone(), far(wire))).collect();
                let joined = styled("div", "joined");
                let joined = if wires.is_empty() { joined.text("no wire") } else { joined.all(wires) };
                rows.push(row(desk, at, terminal.meaning, joined).end());
            }
            rows
        });
        several(rows)
    })
}

/// A wire at a terminal, which leads to its own details: the only way there without aiming at it.
fn wire_button(desk: Desk, id: WireId, caption: String) -> Tag {
    button(caption, move || {
        desk.act(|state| state.session.select(Selection::wire(id.clone())));
        crate::panel::focus_drawer();
    })
    .set("dir", "auto")
}

/// What the button at a terminal does now.
fn button_caption(desk: Desk, terminal: &TerminalRef) -> &'static str {
    desk.read(&[Topic::Tool], |state| match state.session.tool() {
        Tool::Wire { from: Some(from) } if from == terminal => "Stop this wire",
        Tool::Wire { from: Some(_) } => "Land here",
        _ => "Start wire",
    })
}

fn row(desk: Desk, terminal: TerminalRef, meaning: &'static str, joined: Tag) -> Tag {
    let name = terminal.terminal.to_string();
    let volts = {
        let terminal = terminal.clone();
        move || {
            desk.read(&[Topic::Answer], |state| {
                let Some(answer) = state.fresh() else { return String::new() };
                let found = answer.terminals.iter().find(|(other, _)| *other == terminal);
                found.map_or_else(String::new, |(_, volts)| {
                    volts.clone().unwrap_or_else(|| "no defined voltage".to_owned())
                })
            })
        }
    };
    let (shown, told, at) = (terminal.clone(), terminal.clone(), terminal);
    let press = plain_button(move || {
        desk.act(|state| match state.session.tool() {
            Tool::Wire { from: Some(from) } if *from == at => state.session.set_tool(Tool::Select),
            Tool::Wire { from: Some(_) } => state.session.land_wire(&at),
            _ => state.session.start_wire(&at),
        });
    })
    .set("data-terminal", name.clone())
    .live("aria-label", move || Some(format!("{}, terminal {}", button_caption(desk, &told), told.terminal)))
    .says(move || button_caption(desk, &shown).to_owned());
    styled("li", "terminal")
        .add(
            tag("p")
                .add(tag("b").text(name))
                .text(format!(": {meaning} "))
                .add(styled("span", "volts").says(volts)),
        )
        .add(joined)
        .add(press)
}
