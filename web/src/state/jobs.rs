//! The demonstration jobs, which lie beside the app and are fetched when one is chosen.

use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Response;

/// A job that can be chosen.
pub struct Demonstration {
    /// What it is called where one is chosen.
    pub name: &'static str,
    /// Its file below the page.
    pub path: &'static str,
}

/// Every demonstration job; the first is shown when the page opens.
pub static ALL: &[Demonstration] = &[
    Demonstration { name: "Flatbed", path: "jobs/apiary-flatbed.json" },
    Demonstration { name: "Flatbed, as bought", path: "jobs/apiary-flatbed-as-bought.json" },
    Demonstration { name: "Truck switched on the earth side", path: "jobs/switched-earth-donor.json" },
    Demonstration { name: "Honey stall trailer", path: "jobs/honey-stall-trailer.json" },
    Demonstration { name: "Dark lamps", path: "jobs/dark-lamps.json" },
];

/// The text of a file below the page, or why it did not come.
pub async fn fetch(path: &str) -> Result<String, String> {
    let told = |error: JsValue| format!("`{path}` could not be fetched: {error:?}");
    let response = JsFuture::from(leptos::prelude::window().fetch_with_str(path)).await.map_err(told)?;
    let response: Response = response.dyn_into().map_err(told)?;
    if !response.ok() {
        return Err(format!("`{path}` could not be fetched: {}", response.status_text()));
    }
    let text = JsFuture::from(response.text().map_err(told)?).await.map_err(told)?;
    text.as_string().ok_or_else(|| format!("`{path}` is not text"))
}
