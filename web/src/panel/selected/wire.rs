//! One wire: what it carries, what is said of it, and what it joins.

use editor::Action;
use editor::form::{changed_wire, same_as, wire_fields};
use engine::document::Wire;
use engine::document::edit::Edit;
use engine::ids::WireId;
use engine::quantity::by_hand;
use engine::subject::Subject;
use leptos::prelude::AnyView;

use super::{WORKING, findings, no_reading, reading_line};
use crate::panel::form::{Source, form};
use crate::panel::title;
use crate::piece::{Tag, button, nothing, region, report_under, several, soon, styled};
use crate::shell::action_button;
use crate::state::desk::{Desk, State, Topic};

/// One wire.
pub fn one_wire(desk: Desk, id: WireId) -> AnyView {
    let named = {
        let id = id.clone();
        move || {
            desk.read(&[Topic::Document], |state| {
                let network = &state.session.document().network;
                let Some(wire) = network.wire(&id) else { return String::new() };
                let (from, to) = (network.terminal_in_full(&wire.from), network.terminal_in_full(&wire.to));
                format!("{}, {from} to {to}", Subject::Wire(wire.id.clone()).title(network))
            })
        }
    };
    let reading = {
        let id = id.clone();
        move || desk.read(&[Topic::Answer], |state| reading(state, &id)).unwrap_or_else(|| no_reading(desk))
    };
    let like = {
        let id = id.clone();
        region(move || as_the_last(desk, id.clone()))
    };
    several(vec![
        title().says(named).end(),
        styled("p", "reading").set("dir", "auto").says(reading).end(),
        report_under(WORKING, format!("working {id}")).end(),
        findings(desk, Subject::Wire(id.clone())),
        // Nothing may slide under a finger when this goes, least of all what deletes.
        styled("div", "actions").child(like).end(),
        soon(move || values_and_actions(desk, id)),
    ])
}

fn values_and_actions(desk: Desk, id: WireId) -> AnyView {
    let actions = styled("div", "actions")
        .set("role", "group")
        .set("aria-label", "With this wire")
        .add(action_button(desk, Action::Delete));
    several(vec![values(desk, id).end(), actions.end()])
}

fn reading(state: &State, id: &WireId) -> Option<String> {
    let answer = state.fresh()?;
    let reading = answer.wires.iter().find(|reading| reading.id == *id)?;
    let drop = reading.drop.as_ref().map(|drop| match &reading.share {
        Some(share) => format!("{drop} lost ({share})"),
        None => format!("{drop} lost"),
    });
    Some(reading_line(&[reading.amps.clone(), drop], reading.assumed))
}

/// The button that takes over the conductor of the wire changed last, unless this one has it already.
fn as_the_last(desk: Desk, id: WireId) -> AnyView {
    let said = desk.read(&[Topic::Document], |state| {
        let wire = state.session.document().network.wire(&id)?;
        let last = state.last_wire.as_ref()?;
        (same_as(wire, last) != *wire).then(|| said_of(last))
    });
    let Some(said) = said else { return nothing() };
    button(format!("As the last one: {said}"), move || {
        desk.act(|state| {
            let network = &state.session.document().network;
            if let (Some(wire), Some(last)) = (network.wire(&id), &state.last_wire) {
                let changed = same_as(wire, last);
                if let Err(error) = change(state, changed) {
                    state.said = error;
                }
            }
        });
    })
    .end()
}

/// What the next wire could take over.
fn said_of(wire: &Wire) -> String {
    let size = wire.size.known().map(|size| by_hand(&size.title()));
    let color = wire.color.map(|color| color.title());
    let words: Vec<String> = [size, color].into_iter().flatten().collect();
    if words.is_empty() { "same conductor".to_owned() } else { words.join(" ") }
}

fn change(state: &mut State, changed: Wire) -> Result<(), String> {
    let label = format!("change {}", changed.title());
    let edit = Edit::ChangeWire(changed.clone());
    state.session.edit(&label, edit).map_err(|error| error.to_string())?;
    state.last_wire = Some(changed);
    Ok(())
}

fn values(desk: Desk, id: WireId) -> Tag {
    let fields = {
        let id = id.clone();
        move || {
            desk.read(&[Topic::Document], |state| {
                let document = state.session.document();
                let fields = |wire| wire_fields(&document.plan, wire);
                document.network.wire(&id).map(fields).unwrap_or_default()
            })
        }
    };
    let enter = move |name: &str, text: &str, _: &str| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let Some(wire) = document.network.wire(&id) else { return };
            let changed = changed_wire(&document.plan, wire, name, text);
            result = changed.and_then(|changed| change(state, changed));
        });
        result
    };
    form(Source { fields: Box::new(fields), enter: Box::new(enter) })
}
