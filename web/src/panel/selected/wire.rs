//! One wire: what it carries, what is said of it, and what it joins.

use editor::Action;
use editor::form::{changed_wire, same_as, wire_fields};
use engine::document::Wire;
use engine::document::edit::Edit;
use engine::ids::WireId;
use engine::subject::Subject;
use leptos::prelude::*;

use super::{no_reading, reading_line};
use crate::panel::checks::about;
use crate::panel::form::{Form, enter};
use crate::shell::ActionButton;
use crate::state::desk::{Desk, State, Topic};

/// One wire.
#[component]
pub fn OneWire(desk: Desk, id: WireId) -> impl IntoView {
    let id = StoredValue::new(id);
    let fields = Memo::new(move |_| {
        desk.read(&[Topic::Document], |state| {
            let network = &state.session.document().network;
            id.with_value(|id| network.wire(id).map(wire_fields).unwrap_or_default())
        })
    });
    let enter = enter(move |name, text, _| {
        let mut result = Ok(());
        desk.act(|state| {
            let network = &state.session.document().network;
            let Some(wire) = id.with_value(|id| network.wire(id)) else { return };
            let changed = changed_wire(wire, name, text);
            result = changed.and_then(|changed| change(state, changed));
        });
        result
    });
    let title = move || {
        desk.read(&[Topic::Document], |state| {
            let network = &state.session.document().network;
            let Some(wire) = id.with_value(|id| network.wire(id)) else { return String::new() };
            let (from, to) = (network.terminal_title(&wire.from), network.terminal_title(&wire.to));
            format!("{}, {from} to {to}", Subject::Wire(wire.id.clone()).title(network))
        })
    };
    let reading = move || {
        desk.read(&[Topic::Answer], |state| {
            let answer = state.fresh()?;
            let reading = id.with_value(|id| answer.wires.iter().find(|reading| reading.id == *id))?;
            let drop = reading.drop.as_ref().map(|drop| match &reading.share {
                Some(share) => format!("{drop} lost ({share})"),
                None => format!("{drop} lost"),
            });
            Some(reading_line(&[reading.amps.clone(), drop], reading.assumed))
        })
        .unwrap_or_else(|| no_reading(desk))
    };
    // The wire changed last, unless it is this one or nothing would be taken from it.
    let like = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Selection], |state| {
            let wire = id.with_value(|id| state.session.document().network.wire(id).cloned())?;
            let last = state.last_wire.as_ref()?;
            (same_as(&wire, last) != wire).then(|| said_of(last))
        })
    });
    let take = move |_| {
        desk.act(|state| {
            let network = &state.session.document().network;
            if let (Some(wire), Some(last)) = (id.with_value(|id| network.wire(id)), &state.last_wire) {
                let changed = same_as(wire, last);
                if let Err(error) = change(state, changed) {
                    state.said = error;
                }
            }
        });
    };
    let findings = move || about(desk, &Subject::Wire(id.get_value()));
    view! {
        <h2 id="drawer-title" tabindex="-1" dir="auto">{title}</h2>
        <p class="reading" dir="auto">{reading}</p>
        {findings}
        <div class="actions" role="group" aria-label="With this wire">
            {move || like.get().map(|like| view! {
                <button type="button" on:click=take>{format!("As the last one: {like}")}</button>
            })}
            <ActionButton desk action=Action::Delete/>
        </div>
        <Form fields enter/>
    }
}

/// What the next wire could take over.
fn said_of(wire: &Wire) -> String {
    let size = wire.size.known().map(|size| size.title().replace("mm2", "mm²"));
    let color = wire.color.map(|color| color.title());
    let words: Vec<String> = [size, color].into_iter().flatten().collect();
    if words.is_empty() { "same conductor".to_owned() } else { words.join(" ") }
}

fn change(state: &mut State, changed: Wire) -> Result<(), String> {
    let label = format!("change {}", changed.title());
    state.last_wire = Some(changed.clone());
    state.session.edit(&label, Edit::ChangeWire(changed)).map_err(|error| error.to_string())
}
