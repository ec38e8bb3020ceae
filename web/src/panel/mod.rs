//! The panels: one folder each, with its style sheet.

pub mod cautions;
pub mod checks;
pub mod drawer;
pub mod form;
pub mod job;
pub mod prove;
pub mod selected;
pub mod switches;
pub mod tray;

use leptos::prelude::AnyView;

use crate::piece::{Tag, styled};
use crate::state::desk::{Desk, Side};

/// What a side of the drawer shows.
pub fn side(desk: Desk, side: Side) -> AnyView {
    match side {
        Side::Selected => selected::selected(desk),
        Side::Checks => checks::checks(desk).end(),
        Side::Switches => switches::switches(desk),
        Side::Prove => prove::prove(desk),
        Side::Job => job::job(desk),
    }
}

/// The title of the side of the drawer that is shown; whoever opens the drawer by keyboard lands here.
fn title() -> Tag {
    styled("h2", "drawer-title").set("id", "drawer-title").set("tabindex", "-1").set("dir", "auto")
}

/// Gives the focus to the drawer's title, from where the fields follow.
pub fn focus_drawer() {
    crate::piece::focus("drawer-title");
}
