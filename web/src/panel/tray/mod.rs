//! The part tray: every kind of part, by what it is for.

use editor::Tool;
use engine::kind::{self, Class, Kind};
use leptos::prelude::*;

use crate::panel::focus;
use crate::state::desk::{Desk, Topic};

/// The headings, and the classes under each.
const GROUPS: &[(&str, &[Class])] = &[
    ("Supply", &[Class::Battery, Class::Generator]),
    ("Signal from the vehicle", &[Class::Donor]),
    ("Protection", &[Class::Protection]),
    ("Switching", &[Class::Contact, Class::Valve]),
    ("Loads", &[Class::Load]),
    ("Joints", &[Class::Joint]),
    ("Earth", &[Class::Earth]),
];

/// The tray.
#[component]
pub fn Tray(desk: Desk) -> impl IntoView {
    let groups: Vec<_> = GROUPS
        .iter()
        .map(|(heading, classes)| {
            let of_group = kind::ALL.iter().filter(|kind| classes.contains(&kind.class));
            let entries: Vec<_> = of_group.map(|kind| entry(desk, kind)).collect();
            view! {
                <div class="tray-group" role="group" aria-label=*heading>
                    <h3>{*heading}</h3>
                    <div class="tray-entries">{entries}</div>
                </div>
            }
        })
        .collect();
    let class = move || desk.read(&[Topic::Panel], |state| if state.tray { "tray open" } else { "tray" });
    view! {
        <section class=class id="tray" aria-labelledby="tray-title">
            <div class="tray-head">
                <h2 id="tray-title" tabindex="-1">"Parts"</h2>
                <button type="button" class="tray-close" on:click=move |_| desk.act(|state| state.tray = false)>"Close"</button>
            </div>
            <p class="hint">"Choose a part, then tap the drawing where it should stand."</p>
            {groups}
        </section>
    }
}

fn entry(desk: Desk, kind: &'static Kind) -> impl IntoView {
    let chosen = move || {
        desk.read(
            &[Topic::Tool],
            |state| matches!(state.session.tool(), Tool::Put { kind: other, .. } if *other == kind),
        )
    };
    let choose = move |_| {
        desk.act(|state| {
            state.session.set_tool(Tool::Put { kind, at: None });
            state.tray = false;
        });
        // From here the arrow keys move the part and Enter puts it.
        focus("drawing");
    };
    view! {
        <button
            type="button"
            class="tray-entry"
            data-kind=kind.name
            aria-pressed=move || if chosen() { "true" } else { "false" }
            on:click=choose
        >
            <span class="tray-symbol" aria-hidden="true" inner_html=drawing::symbol_picture(kind)></span>
            <span>{kind.noun}</span>
        </button>
    }
}
