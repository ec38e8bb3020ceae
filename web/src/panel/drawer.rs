//! The drawer: what is selected, the checks, the switches and the job, one side at a time.
//!
//! Beside the drawing where there is room; else a sheet over its lower part with three stops, which
//! the buttons of its tabs open and close.

use leptos::prelude::*;

use crate::panel::checks::{Checks, brief};
use crate::panel::job::Job;
use crate::panel::selected::Selected;
use crate::panel::switches::Switches;
use crate::state::desk::{Desk, Side, Stop, Topic};

/// The drawer.
#[component]
pub fn Drawer(desk: Desk) -> impl IntoView {
    let side = Memo::new(move |_| desk.read(&[Topic::Panel], |state| state.side));
    let class = move || {
        desk.read(&[Topic::Panel], |state| match state.stop {
            Stop::Peek => "drawer peek",
            Stop::Half => "drawer half",
            Stop::Full => "drawer full",
        })
    };
    let content = move || match side.get() {
        Side::Selected => view! { <Selected desk/> }.into_any(),
        Side::Checks => view! { <Checks desk/> }.into_any(),
        Side::Switches => view! { <Switches desk/> }.into_any(),
        Side::Job => view! { <Job desk/> }.into_any(),
    };
    let checks = move || format!("Checks {}", brief(desk));
    view! {
        <section class=class aria-label="Details">
            <div class="tabs" role="group" aria-label="What the details show">
                {tab(desk, Side::Selected, || "Selected".to_owned()).into_any()}
                {tab(desk, Side::Checks, checks).into_any()}
                {tab(desk, Side::Switches, || "Switches".to_owned()).into_any()}
                {tab(desk, Side::Job, || "Job".to_owned()).into_any()}
                <button
                    type="button"
                    class="stop"
                    aria-label=move || desk.read(&[Topic::Panel], |state| match state.stop {
                        Stop::Peek => "Open the details",
                        Stop::Half => "Open the details wide",
                        Stop::Full => "Close the details",
                    })
                    on:click=move |_| desk.act(|state| {
                        state.stop = match state.stop {
                            Stop::Peek => Stop::Half,
                            Stop::Half => Stop::Full,
                            Stop::Full => Stop::Peek,
                        };
                    })
                >
                    <svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
                        <path d=move || desk.read(&[Topic::Panel], |state| match state.stop {
                            Stop::Full => "M5 9l7 7 7-7",
                            _ => "M5 15l7-7 7 7",
                        })/>
                    </svg>
                </button>
            </div>
            <div class="drawer-content">{content}</div>
        </section>
    }
}

fn tab(desk: Desk, side: Side, caption: impl Fn() -> String + Send + Sync + 'static) -> impl IntoView {
    let shown = move || desk.read(&[Topic::Panel], |state| state.side == side);
    view! {
        <button
            type="button"
            aria-pressed=move || if shown() { "true" } else { "false" }
            on:click=move |_| desk.act(|state| {
                // A second tap on the side that is shown closes the sheet again.
                state.stop = match (state.side == side, state.stop) {
                    (true, Stop::Half | Stop::Full) => Stop::Peek,
                    (_, Stop::Full) => Stop::Full,
                    _ => Stop::Half,
                };
                state.side = side;
            })
        >
            {caption}
        </button>
    }
}
