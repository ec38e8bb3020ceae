//! One part: its reading, its positions, its values, its terminals and its current path.

use editor::form::{changed_part, part_fields};
use editor::{Action, Tool};
use engine::document::edit::Edit;
use engine::ids::{PartId, TerminalRef};
use engine::subject::Subject;
use leptos::prelude::*;

use super::{no_reading, reading_line};
use crate::panel::checks::about;
use crate::panel::form::{Form, enter};
use crate::panel::switches::Positions;
use crate::shell::ActionButton;
use crate::state::desk::{Desk, Topic};

/// One part.
#[component]
pub fn OnePart(desk: Desk, id: PartId) -> impl IntoView {
    let id = StoredValue::new(id);
    let fields = Memo::new(move |_| {
        desk.read(&[Topic::Document], |state| {
            let document = state.session.document();
            id.with_value(|id| {
                document.network.part(id).map(|part| part_fields(document, part)).unwrap_or_default()
            })
        })
    });
    let enter = enter(move |name, text, unit| {
        let mut result = Ok(());
        desk.act(|state| {
            let document = state.session.document();
            let Some(part) = id.with_value(|id| document.network.part(id)) else { return };
            let label = format!("change {}", part.title());
            let changed = changed_part(document, part, name, text, unit);
            result = changed.and_then(|changed| {
                state.session.edit(&label, Edit::ChangePart(changed)).map_err(|error| error.to_string())
            });
        });
        result
    });
    let title = move || {
        desk.read(&[Topic::Document], |state| {
            id.with_value(|id| Subject::Part(id.clone()).title(&state.session.document().network))
        })
    };
    let reading = move || {
        desk.read(&[Topic::Answer], |state| {
            let answer = state.fresh()?;
            let reading = id.with_value(|id| answer.parts.iter().find(|reading| reading.id == *id))?;
            let words = &reading.words;
            let own = [reading.state.clone(), words.volts.clone(), words.amps.clone(), words.watts.clone()];
            let mut lines = vec![reading_line(&own, reading.assumed)];
            for (name, on, words) in &reading.loads {
                let own = [on.clone(), words.volts.clone(), words.amps.clone(), words.watts.clone()];
                lines.push(format!("{name}: {}", reading_line(&own, reading.assumed)));
            }
            if let Some(contact) = &reading.contact {
                lines.push(format!("contact: {}", reading_line(&[contact.amps.clone()], reading.assumed)));
            }
            Some(lines.join("\n"))
        })
        .unwrap_or_else(|| no_reading(desk))
    };
    let positions = move || {
        desk.read(&[Topic::Document], |state| {
            let network = &state.session.document().network;
            id.with_value(|id| network.part(id).map(|part| (id.clone(), part.positions())))
        })
        .filter(|(_, positions)| positions.len() > 1)
        .map(|(part, positions)| view! { <Positions desk part positions/> })
    };
    let path = move || {
        desk.read(&[Topic::Answer], |state| {
            let path = state.fresh()?.path.as_ref()?;
            let is_load = !path.words.is_empty();
            is_load.then(|| {
                let lines: Vec<_> =
                    path.words.iter().map(|words| view! { <li dir="auto">{words.clone()}</li> }).collect();
                view! {
                    <div class="current-path">
                        <h3>"Current path"</h3>
                        <ol class="plain">{lines}</ol>
                    </div>
                }
            })
        })
    };
    let findings = move || about(desk, &Subject::Part(id.get_value()));
    view! {
        <h2 id="drawer-title" tabindex="-1" dir="auto">{title}</h2>
        <p class="reading" dir="auto">{reading}</p>
        {positions}
        {findings}
        <div class="actions" role="group" aria-label="With this part">
            <ActionButton desk action=Action::Turn/>
            <ActionButton desk action=Action::Mirror/>
            <ActionButton desk action=Action::Duplicate/>
            <ActionButton desk action=Action::Delete/>
        </div>
        {path}
        <Terminals desk id=id/>
        <h3>"Values"</h3>
        <Form fields enter/>
    }
}

/// A terminal as the list shows it.
#[derive(Clone, PartialEq)]
struct Row {
    terminal: TerminalRef,
    meaning: &'static str,
    wires: Vec<String>,
}

/// The terminals of a part: what each is for, what it reads, what is joined to it, and wiring by
/// buttons, for keyboards and for those who would rather not aim.
#[component]
fn Terminals(desk: Desk, id: StoredValue<PartId>) -> impl IntoView {
    let rows = Memo::new(move |_| {
        desk.read(&[Topic::Document], |state| {
            let network = &state.session.document().network;
            let Some(part) = id.with_value(|id| network.part(id)) else { return Vec::new() };
            part.terminals()
                .into_iter()
                .map(|terminal| {
                    let at = TerminalRef { part: part.id.clone(), terminal: terminal.name };
                    let far = |wire: &engine::document::Wire| {
                        let other = if wire.from == at { &wire.to } else { &wire.from };
                        format!("{} to {}", wire.title(), network.terminal_title(other))
                    };
                    let wires = network.wires_at(&at).map(far).collect();
                    Row { terminal: at, meaning: terminal.meaning, wires }
                })
                .collect()
        })
    });
    let started = Memo::new(move |_| {
        desk.read(&[Topic::Tool], |state| match state.session.tool() {
            Tool::Wire { from: Some(from) } => Some(from.clone()),
            _ => None,
        })
    });
    let row = move |row: Row| {
        let terminal = StoredValue::new(row.terminal.clone());
        let volts = move || {
            desk.read(&[Topic::Answer], |state| {
                let answer = state.fresh()?;
                let (_, volts) =
                    terminal.with_value(|at| answer.terminals.iter().find(|(other, _)| other == at))?;
                Some(volts.clone().unwrap_or_else(|| "no defined voltage".to_owned()))
            })
        };
        let from_here = move || started.with(|from| terminal.with_value(|at| from.as_ref() == Some(at)));
        let caption = move || match (started.with(Option::is_some), from_here()) {
            (_, true) => "Stop this wire",
            (true, false) => "Land here",
            (false, _) => "Start wire",
        };
        let name = row.terminal.terminal.to_string();
        let press = move |_| {
            desk.act(|state| {
                let at = terminal.get_value();
                match state.session.tool() {
                    Tool::Wire { from: Some(from) } if *from == at => state.session.set_tool(Tool::Select),
                    Tool::Wire { from: Some(_) } => state.session.land_wire(&at),
                    _ => state.session.start_wire(&at),
                }
            });
        };
        view! {
            <li class="terminal">
                <p>
                    <b>{name.clone()}</b>
                    ": "
                    {row.meaning}
                    {move || volts().map(|volts| view! { <span class="volts">{volts}</span> })}
                </p>
                <p class="joined" dir="auto">
                    {if row.wires.is_empty() { "no wire".to_owned() } else { row.wires.join(", ") }}
                </p>
                <button
                    type="button"
                    data-terminal=name.clone()
                    aria-label=move || format!("{}, terminal {}", caption(), terminal.with_value(|at| at.terminal.to_string()))
                    on:click=press
                >
                    {caption}
                </button>
            </li>
        }
    };
    view! {
        <h3>"Terminals"</h3>
        <ul class="plain terminals">
            {move || rows.get().into_iter().map(|one| row(one).into_any()).collect::<Vec<_>>()}
        </ul>
    }
}
