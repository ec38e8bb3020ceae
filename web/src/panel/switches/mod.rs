//! What can be worked: every part with positions, and the situations of the job by name.

use engine::document::{AT_REST, Situation};
use engine::ids::PartId;
use leptos::prelude::*;

use crate::state::desk::{Desk, Topic};

/// The positions of a part as buttons, the present one pressed.
#[component]
pub fn Positions(desk: Desk, part: PartId, positions: &'static [&'static str]) -> impl IntoView {
    let now = {
        let part = part.clone();
        move || {
            desk.read(&[Topic::Situation], |state| {
                let situation = state.session.situation();
                situation.set.get(&part).cloned().unwrap_or_else(|| positions[0].to_owned())
            })
        }
    };
    let now = Memo::new(move |_| now());
    let buttons: Vec<_> = positions
        .iter()
        .map(|position| {
            let part = part.clone();
            view! {
                <button
                    type="button"
                    aria-pressed=move || if now.get() == *position { "true" } else { "false" }
                    on:click=move |_| desk.act(|state| {
                        state.session.set_position(&part, position);
                    })
                >
                    {*position}
                </button>
            }
        })
        .collect();
    view! { <div class="positions" role="group" aria-label="Position">{buttons}</div> }
}

/// Everything that can be worked.
#[component]
pub fn Switches(desk: Desk) -> impl IntoView {
    let parts = Memo::new(move |_| {
        desk.read(&[Topic::Document], |state| {
            let parts = &state.session.document().network.parts;
            parts
                .iter()
                .filter(|part| part.positions().len() > 1)
                .map(|part| {
                    (part.id.clone(), format!("{} {}", part.kind.noun, part.title()), Shown(part.positions()))
                })
                .collect::<Vec<_>>()
        })
    });
    let rows = move || {
        let rows: Vec<_> = parts
            .get()
            .into_iter()
            .map(|(part, title, Shown(positions))| {
                view! {
                    <li class="switch-row">
                        <span dir="auto">{title}</span>
                        <Positions desk part positions/>
                    </li>
                }
            })
            .collect();
        if rows.is_empty() {
            return view! { <p>"Nothing in this job can be switched yet. Put a switch or a donor circuit on the drawing."</p> }
                .into_any();
        }
        view! { <ul class="plain">{rows}</ul> }.into_any()
    };
    let situations = Memo::new(move |_| {
        desk.read(&[Topic::Document, Topic::Situation], |state| {
            let now = state.session.situation().name;
            let named = state.session.document().situations.iter().map(|situation| situation.name.clone());
            std::iter::once(AT_REST.to_owned())
                .chain(named)
                .map(|name| (name == now, name))
                .collect::<Vec<_>>()
        })
    });
    let buttons = move || {
        situations
            .get()
            .into_iter()
            .map(|(pressed, name)| {
                let wanted = name.clone();
                view! {
                    <button
                        type="button"
                        dir="auto"
                        aria-pressed=if pressed { "true" } else { "false" }
                        on:click=move |_| desk.act(|state| {
                            let known = state.session.document().situations.iter().find(|one| one.name == wanted);
                            let situation = known.cloned().unwrap_or_else(Situation::at_rest);
                            state.session.set_situation(&situation);
                        })
                    >
                        {name}
                    </button>
                }
            })
            .collect::<Vec<_>>()
    };
    let name = RwSignal::new(String::new());
    let unnamed = move || situations.get().iter().all(|(pressed, _)| !pressed);
    let keep = move |_| {
        let wanted = name.get_untracked().trim().to_owned();
        desk.act(|state| {
            state.said = crate::shell::keep_situation(&mut state.session, &wanted);
        });
        name.set(String::new());
    };
    view! {
        <h2 id="drawer-title" tabindex="-1">"Switches"</h2>
        <p class="hint">"The readings and the lit paths are those of these positions. Working a switch changes nothing in the job."</p>
        <div class="situations" role="group" aria-label="Situations of this job">{buttons}</div>
        <div class="keep-situation" hidden=move || !unnamed()>
            <label class="field">
                <span class="caption">"Keep these positions as a situation called"</span>
                <input type="text" prop:value=name on:input=move |event| name.set(event_target_value(&event))/>
            </label>
            <button type="button" on:click=keep>"Keep"</button>
        </div>
        {rows}
    }
}

/// Positions compare by what they say.
#[derive(Clone, Copy, PartialEq)]
struct Shown(&'static [&'static str]);
