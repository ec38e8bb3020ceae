//! The drawer: what is selected, the checks, the switches, the work at the vehicle and the job, one side at
//! a time.
//!
//! Beside the drawing where there is room; else below it with three stops, to which its tabs and its button lead, and
//! fingers that draw it up or down; those are followed by `web/host/drawer.js`.

use leptos::prelude::{Get, Memo};

use crate::host;
use crate::panel::checks::brief;
use crate::piece::{Tag, after_this, by_id, follow, plain_button, styled, tag};
use crate::state::desk::{Desk, Side, Stop, Topic};

/// The drawer.
pub fn drawer(desk: Desk) -> Tag {
    let stop = move || desk.read(&[Topic::Panel], |state| state.stop);
    let class = move || match stop() {
        Stop::Peek => "drawer peek",
        Stop::Half => "drawer half",
        Stop::Full => "drawer full",
    };
    // Browsers keep how far closed details were scrolled; what they hold by then may be something else.
    let is_open = Memo::new(move |_| stop() != Stop::Peek);
    follow(move || {
        if is_open.get() {
            to_the_top();
        }
    });
    let further = plain_button(move || {
        desk.act(|state| {
            state.stop = match state.stop {
                Stop::Peek => Stop::Half,
                Stop::Half => Stop::Full,
                Stop::Full => Stop::Peek,
            };
        });
    })
    .set("class", "stop")
    .live("aria-label", move || {
        let name = match stop() {
            Stop::Peek => "Open the details",
            Stop::Half => "Open the details wide",
            Stop::Full => "Close the details",
        };
        Some(name.to_owned())
    })
    .markup(move || {
        let arrow = if stop() == Stop::Full { "M5 9l7 7 7-7" } else { "M5 15l7-7 7 7" };
        format!("<svg viewBox=\"0 0 24 24\" width=\"24\" height=\"24\" aria-hidden=\"true\"><path d=\"{arrow}\"/></svg>")
    });
    let tabs = styled("div", "tabs")
        .set("role", "group")
        .set("aria-label", "What the details show")
        .add(tab(desk, Side::Selected).text("Selected"))
        .add(tab(desk, Side::Checks).text("Checks ").add(styled("span", "worst").says(move || brief(desk))))
        .add(tab(desk, Side::Switches).text("Switches"))
        .add(tab(desk, Side::Prove).text("Prove"))
        .add(tab(desk, Side::Job).text("Job"))
        .add(further);
    let side = Memo::new(move |_| desk.read(&[Topic::Panel], |state| state.side as u32));
    let content = styled("div", "drawer-content").set("id", "drawer-content").region(move || {
        side.get();
        to_the_top();
        match desk.rest() {
            Some(rest) => (rest.side)(desk, desk.look(|state| state.side)),
            None => styled("p", "hint").text("Fetching the details …").end(),
        }
    });
    tag("section")
        .live("class", move || Some(class().to_owned()))
        .set("aria-label", "Details")
        .on("drawn", move |event| {
            let stop = match host::number_of(&event, "detail") {
                Some(0.0) => Stop::Peek,
                Some(1.0) => Stop::Half,
                _ => Stop::Full,
            };
            desk.act(|state| state.stop = stop);
        })
        .add(tabs)
        .add(content)
}

/// What is new in the drawer is read from its title on.
pub fn to_the_top() {
    after_this(|| {
        if let Some(content) = by_id::<web_sys::Element>("drawer-content") {
            content.set_scroll_top(0);
        }
    });
}

fn tab(desk: Desk, side: Side) -> Tag {
    plain_button(move || {
        desk.act(|state| {
            // A second tap on the side that is shown closes the sheet again.
            state.stop = match (state.side == side, state.stop) {
                (true, Stop::Half | Stop::Full) => Stop::Peek,
                (_, Stop::Full) => Stop::Full,
                _ => Stop::Half,
            };
            state.side = side;
        });
    })
    .pressed(move || desk.read(&[Topic::Panel], |state| state.side == side))
}
