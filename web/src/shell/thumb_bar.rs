//! The bar along the lower edge: the tools and everything that is needed often, within reach of a thumb.

use editor::action::Entry;
use editor::{Action, Tool};

use super::{act, action_button, copy, paste};
use crate::piece::{Tag, button, focus, styled, tag};
use crate::state::desk::{Desk, Topic};

/// The bar.
pub fn thumb_bar(desk: Desk) -> Tag {
    let parts = button("Parts", move || {
        desk.act(|state| state.tray = !state.tray);
        focus("tray-title");
    });
    let expanded = move || Some(desk.read(&[Topic::Panel], |state| state.tray).to_string());
    let modes = styled("div", "modes")
        .set("role", "group")
        .set("aria-label", "Tool")
        .add(tool(
            desk,
            "Draw",
            "Select, move and wire",
            |tool| matches!(tool, Tool::Select),
            || Tool::Select,
        ))
        .add(tool(
            desk,
            "Run wire",
            "Every tap on a terminal starts or lands a wire",
            |tool| matches!(tool, Tool::Wire { .. }),
            || Tool::Wire { from: None },
        ))
        .add(tool(
            desk,
            "Try",
            "Work switches and see what happens; changes nothing",
            |tool| matches!(tool, Tool::Try),
            || Tool::Try,
        ));
    let small = |action: Action, shown: &'static str| {
        button(shown, move || act(desk, action)).set("aria-label", action.entry().name)
    };
    let readings = button("Readings", move || desk.act(|state| state.readings = !state.readings))
        .pressed(move || desk.read(&[Topic::Readings], |state| state.readings));
    // What it opens is fetched by the script of the page; see `web/host/plan.js`.
    let plan =
        tag("button").set("type", "button").set("id", "plan").set("aria-pressed", "false").text("Plan");
    let tools = styled("div", "tools")
        .add(
            parts
                .set("class", "parts")
                .set("id", "parts")
                .set("aria-controls", "tray")
                .live("aria-expanded", expanded),
        )
        .add(modes)
        .add(readings.set("class", "readings"))
        .add(plan)
        .add(
            styled("div", "steps")
                .all([Action::Undo, Action::Redo].map(|action| action_button(desk, action))),
        )
        .add(
            styled("div", "sizes")
                .add(small(Action::ZoomOut, "−"))
                .add(action_button(desk, Action::ShowAll))
                .add(small(Action::ZoomIn, "+")),
        );
    styled("nav", "thumb-bar").set("aria-label", "Tools").add(tools)
}

fn tool(
    desk: Desk,
    caption: &'static str,
    hint: &'static str,
    is: fn(&Tool) -> bool,
    make: fn() -> Tool,
) -> Tag {
    let take = move || {
        desk.act(|state| {
            state.said.clear();
            state.session.set_tool(make());
        });
    };
    button(caption, take)
        .set("title", hint)
        .pressed(move || desk.read(&[Topic::Tool], |state| is(state.session.tool())))
}

/// What can be done with the selection, over the lower edge of the drawing while there is one.
pub fn selection_bar(desk: Desk) -> Tag {
    let nothing = move || desk.read(&[Topic::Selection], |state| state.session.selection().is_empty());
    let no_clip = move || desk.read(&[Topic::Selection], |state| state.clip.is_none());
    // A wire may have to end on what the bar would cover.
    let under_way = move || {
        desk.read(&[Topic::Tool], |state| matches!(state.session.tool(), Tool::Wire { from: Some(_) }))
    };
    let cannot =
        move |action: Action| move || desk.read(&[Topic::Selection], |state| !state.session.can(action));
    // The whole name would take a phone a second row.
    let Entry { name, shortcut, .. } = Action::Keep.entry();
    let keep = button("Keep", move || act(desk, Action::Keep));
    let keep = keep.set("title", format!("{name} ({shortcut})")).set("aria-label", *name);
    let copy = button("Copy", move || copy(desk));
    let more = button("Select more", move || act(desk, Action::MoreSelect))
        .pressed(move || desk.read(&[Topic::Selection], |state| state.session.adds_to_selection()));
    styled("div", "selection-bar")
        .set("role", "group")
        .set("aria-label", "With what is selected")
        .hidden(move || (nothing() && no_clip()) || under_way())
        .add(action_button(desk, Action::Turn).hidden(nothing))
        .add(action_button(desk, Action::Duplicate).hidden(nothing))
        .add(keep.set("class", "keeping").hidden(cannot(Action::Keep)))
        .add(action_button(desk, Action::LetGo).set("class", "keeping").hidden(cannot(Action::LetGo)))
        .add(copy.hidden(nothing))
        .add(button("Paste", move || paste(desk)).hidden(no_clip))
        .add(more.hidden(nothing))
        .add(action_button(desk, Action::Delete).hidden(nothing))
}
