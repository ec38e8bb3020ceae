//! Several things at once: what can be done with them, and what the wires among them share.

use editor::form::{changed_wires, shared_wire_fields};
use editor::{Action, Selection};
use engine::document::Wire;
use engine::document::edit::Edit;
use engine::ids::WireId;
use leptos::prelude::AnyView;

use crate::panel::form::{Source, form};
use crate::panel::title;
use crate::piece::{Tag, nothing, several, styled, tag};
use crate::shell::action_button;
use crate::state::desk::{Desk, State, Topic};

/// Several parts and wires, said to be `count`.
pub fn several_things(desk: Desk, count: String, selection: &Selection) -> AnyView {
    let wires = selection.wires.clone();
    let values = match wires.len() {
        0 | 1 => nothing(),
        n => {
            several(vec![tag("h3").text(format!("Values of the {n} wires")).end(), values(desk, wires).end()])
        }
    };
    let actions = if selection.parts.is_empty() {
        vec![Action::Delete]
    } else {
        vec![Action::Turn, Action::Mirror, Action::Keep, Action::LetGo, Action::Duplicate, Action::Delete]
    };
    let actions = styled("div", "actions")
        .set("role", "group")
        .set("aria-label", "With these")
        .all(actions.into_iter().map(|action| action_button(desk, action)));
    several(vec![
        title().text(count).end(),
        tag("p").text("They are moved, turned, copied and deleted together.").end(),
        values,
        actions.end(),
    ])
}

/// Those of the wires that there are still.
fn found<'a>(state: &'a State, ids: &[WireId]) -> Vec<&'a Wire> {
    let network = &state.session.document().network;
    ids.iter().filter_map(|id| network.wire(id)).collect()
}

fn values(desk: Desk, ids: Vec<WireId>) -> Tag {
    let fields = {
        let ids = ids.clone();
        move || {
            desk.read(&[Topic::Document], |state| {
                shared_wire_fields(&state.session.document().plan, &found(state, &ids))
            })
        }
    };
    let enter = move |name: &str, text: &str, _: &str| {
        let mut result = Ok(());
        desk.act(|state| {
            let plan = &state.session.document().plan;
            result = changed_wires(plan, &found(state, &ids), name, text).and_then(|changed| {
                let label = format!("change {} wires", changed.len());
                let last = changed.last().cloned();
                let edits: Vec<Edit> = changed.into_iter().map(Edit::ChangeWire).collect();
                state.session.edit_all(&label, &edits).map_err(|error| error.to_string())?;
                state.last_wire = last.or(state.last_wire.take());
                Ok(())
            });
        });
        result
    };
    form(Source { fields: Box::new(fields), enter: Box::new(enter) })
}
