//! What to tap first, and where the work can hurt someone.

use editor::action;
use leptos::prelude::AnyView;

use super::head;
use crate::panel::cautions::cautions;
use crate::piece::{Tag, several, styled, tag};
use crate::state::desk::Desk;

const FIRST_STEPS: [(&str, &str); 5] = [
    (
        "Parts",
        "choose a battery, then tap the drawing where it should stand. Go on with a fuse, a switch, a lamp and an earth \
         point.",
    ),
    ("Wires", "tap a terminal (the small ring), then the terminal where the wire ends."),
    (
        "Values",
        "tap a part or a wire and say what you know of it: watts, amperes, size, length. What you do not know stays \
         empty; what is assumed for it carries the mark ≈.",
    ),
    (
        "Try",
        "tap the switch. The readings show what every wire carries; tap a load to see the way its current takes.",
    ),
    ("Checks", "each finding says what is wrong, where, and what to do."),
];

const ON_THE_DRAWING: [&str; 4] = [
    "Two fingers move and zoom the drawing, whatever they touch. A tap of two fingers takes the last step back.",
    "One finger on a part moves it; on empty ground it moves the drawing.",
    "Put a fuse or a switch onto a wire, and it is inserted there. End a wire on a wire, and a splice joins them.",
    "Everything can be undone. The job is kept on this device with every change; Save makes a copy that is yours.",
];

const KEYS: [(&str, &str); 6] = [
    ("From part to part", "Arrows"),
    ("Move what is selected", "Shift+Arrows"),
    ("Details of the part", "Enter"),
    ("Start or land a wire", "W"),
    ("Work a switch", "P"),
    ("Wire list: all of it without the picture", "F2"),
];

/// The first steps, also shown on an empty drawing.
pub fn first_steps() -> Tag {
    let steps = FIRST_STEPS.map(|(what, how)| tag("li").add(tag("b").text(what)).text(format!(": {how}")));
    styled("ol", "first-steps").all(steps)
}

/// The help.
pub fn help(desk: Desk) -> AnyView {
    let row = |name: &'static str, keys: &'static str| {
        tag("tr").add(tag("th").set("scope", "row").text(name)).add(tag("td").add(tag("kbd").text(keys)))
    };
    let actions = action::ALL.iter().filter(|entry| !entry.shortcut.is_empty());
    let keys = KEYS
        .iter()
        .map(|(name, keys)| row(name, keys))
        .chain(actions.map(|entry| row(entry.name, entry.shortcut)));
    several(vec![
        head(desk, "Help").end(),
        tag("h3").text("What to tap first").end(),
        first_steps().end(),
        tag("h3").text("On the drawing").end(),
        tag("ul").all(ON_THE_DRAWING.map(|line| tag("li").text(line))).end(),
        tag("h3").text("With keys, while the drawing has the focus").end(),
        styled("table", "keys").add(tag("tbody").all(keys)).end(),
        cautions().end(),
    ])
}
