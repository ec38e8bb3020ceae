//! The panels: one folder each, with its style sheet.

pub mod cautions;
pub mod checks;
pub mod drawer;
pub mod form;
pub mod job;
pub mod selected;
pub mod switches;
pub mod tray;

use leptos::prelude::document;
use wasm_bindgen::JsCast;

/// Gives the focus to the drawer's title, from where the fields follow.
pub fn focus_drawer() {
    leptos::prelude::request_animation_frame(|| focus("drawer-title"));
}

/// Gives the focus to the element with this id, if it is there and takes it.
pub fn focus(id: &str) {
    if let Some(element) =
        document().get_element_by_id(id).and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
    {
        let _ = element.focus();
    }
}
