//! The part tray: first what every job is drawn with, in the order in which it is drawn, then every
//! other kind of part by what it is for.

use editor::{Tool, groups};
use engine::kind::Kind;
use leptos::prelude::{Get, RwSignal, Set};

use crate::piece::{Tag, after_this, button, focus, plain_button, several, soon, styled, tag};
use crate::state::desk::{Desk, Topic};

/// The tray.
pub fn tray(desk: Desk) -> Tag {
    // The words are enough to begin with; the symbols are drawn once the page can be used.
    let drawn = RwSignal::new(false);
    after_this(move || after_this(move || drawn.set(true)));
    let group = move |heading: &'static str, kinds: &[&'static Kind]| {
        styled("div", "tray-group")
            .set("role", "group")
            .set("aria-label", heading)
            .add(tag("h3").text(heading))
            .add(styled("div", "tray-entries").all(kinds.iter().map(|kind| entry(desk, kind, drawn))))
    };
    let groups =
        move || several(groups::groups().map(|(heading, kinds)| group(heading, &kinds).end()).collect());
    let class = move || desk.read(&[Topic::Panel], |state| if state.tray { "tray open" } else { "tray" });
    tag("section")
        .live("class", move || Some(class().to_owned()))
        .set("id", "tray")
        .set("aria-labelledby", "tray-title")
        .add(
            styled("div", "tray-head")
                .add(tag("h2").set("id", "tray-title").set("tabindex", "-1").text("Parts"))
                .add(
                    button("Close", move || {
                        desk.act(|state| state.tray = false);
                        focus("parts");
                    })
                    .set("class", "tray-close"),
                ),
        )
        .add(styled("p", "hint").text("Choose a part, then tap the drawing where it should stand."))
        // They make up more than half of the page, and nobody reaches for them in its first frame.
        .child(soon(groups))
}

fn entry(desk: Desk, kind: &'static Kind, drawn: RwSignal<bool>) -> Tag {
    plain_button(move || {
        desk.act(|state| {
            state.session.set_tool(Tool::Put { kind, at: None });
            state.tray = false;
        });
        // From here the arrow keys move the part and Enter puts it.
        focus("drawing");
    })
    .set("class", "tray-entry")
    .set("data-kind", kind.name)
    .pressed(move || {
        desk.read(
            &[Topic::Tool],
            |state| matches!(state.session.tool(), Tool::Put { kind: other, .. } if *other == kind),
        )
    })
    .add(
        styled("span", "tray-symbol")
            .set("aria-hidden", "true")
            .markup(move || if drawn.get() { drawing::symbol_picture(kind) } else { String::new() }),
    )
    .add(tag("span").text(kind.noun))
}
