//! The jobs that come with the app, as the page lists them; their files are fetched when they are chosen.

use wasm_bindgen::JsValue;

use crate::host;

/// A job that comes with the app.
#[derive(Clone)]
pub struct Carried {
    /// What it is called where one is chosen.
    pub title: String,
    /// Where its file lies.
    pub path: String,
}

/// The ready circuits, and the demonstration jobs.
pub fn shelf() -> (Vec<Carried>, Vec<Carried>) {
    let shelf = host::shelf();
    let list = |name: &str| {
        let all = js_sys::Reflect::get(&shelf, &JsValue::from_str(name)).unwrap_or_default();
        js_sys::Array::from(&all)
            .iter()
            .map(|job| Carried { title: host::text_of(&job, "title"), path: host::text_of(&job, "path") })
            .collect()
    };
    (list("starts"), list("demonstrations"))
}
