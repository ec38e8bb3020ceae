//! The bar along the lower edge: the tools and everything that is needed often, within reach of a thumb.

use editor::{Action, Tool};
use leptos::prelude::*;

use super::{ActionButton, act, paste};
use crate::panel::focus;
use crate::state::desk::{Desk, Topic};

/// The bar.
#[component]
pub fn ThumbBar(desk: Desk) -> impl IntoView {
    let tool = move |caption: &'static str, hint: &'static str, is: fn(&Tool) -> bool, tool: fn() -> Tool| {
        let pressed = move || desk.read(&[Topic::Tool], |state| is(state.session.tool()));
        view! {
            <button
                type="button"
                title=hint
                aria-pressed=move || if pressed() { "true" } else { "false" }
                on:click=move |_| desk.act(|state| state.session.set_tool(tool()))
            >
                {caption}
            </button>
        }
    };
    let small = move |action: Action, shown: &'static str| {
        view! {
            <button type="button" aria-label=action.entry().name on:click=move |_| act(desk, action)>{shown}</button>
        }
    };
    let parts = move |_| {
        desk.act(|state| state.tray = !state.tray);
        request_animation_frame(|| focus("tray-title"));
    };
    let readings = move || desk.read(&[Topic::Panel], |state| state.readings);
    let nothing = move || {
        desk.read(&[Topic::Selection, Topic::Document], |state| {
            let selection = state.session.selection();
            selection.parts.is_empty() && selection.wires.is_empty()
        })
    };
    let adding = move || {
        desk.read(&[Topic::Tool, Topic::Selection, Topic::Panel], |state| state.session.adds_to_selection())
    };
    let copy = move |_| {
        desk.act(|state| {
            if let Some(clip) = state.session.copy() {
                state.clip = Some(clip);
                state.said = "Copied. Paste it here or in another job.".to_owned();
            }
        })
    };
    let has_clip = move || desk.read(&[Topic::Notice, Topic::Panel], |state| state.clip.is_some());
    view! {
        <nav class="thumb-bar" aria-label="Tools">
            <div class="selection-bar" role="group" aria-label="With what is selected" hidden=move || nothing() && !has_clip()>
                <ActionButton desk action=Action::Turn/>
                <ActionButton desk action=Action::Duplicate/>
                <button type="button" hidden=nothing on:click=copy>"Copy"</button>
                <button type="button" hidden=move || !has_clip() on:click=move |_| paste(desk)>"Paste"</button>
                <button
                    type="button"
                    aria-pressed=move || if adding() { "true" } else { "false" }
                    on:click=move |_| act(desk, Action::MoreSelect)
                >
                    "Select more"
                </button>
                <ActionButton desk action=Action::Delete/>
            </div>
            <div class="tools">
                <button type="button" class="parts" aria-controls="tray" on:click=parts>"Parts"</button>
                <div class="modes" role="group" aria-label="Tool">
                    {tool("Draw", "Select, move and wire", |tool| matches!(tool, Tool::Select), || Tool::Select)}
                    {tool("Run wire", "Every tap on a terminal starts or lands a wire", |tool| matches!(tool, Tool::Wire { .. }), || Tool::Wire { from: None })}
                    {tool("Try", "Work switches and see what happens; changes nothing", |tool| matches!(tool, Tool::Try), || Tool::Try)}
                </div>
                <div class="steps">
                    <ActionButton desk action=Action::Undo/>
                    <ActionButton desk action=Action::Redo/>
                </div>
                <div class="sizes">
                    {small(Action::ZoomOut, "−")}
                    <ActionButton desk action=Action::ShowAll/>
                    {small(Action::ZoomIn, "+")}
                    <button
                        type="button"
                        aria-pressed=move || if readings() { "true" } else { "false" }
                        on:click=move |_| desk.act(|state| state.readings = !state.readings)
                    >
                        "Readings"
                    </button>
                </div>
            </div>
        </nav>
    }
}
