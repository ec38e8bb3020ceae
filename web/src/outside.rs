//! What the module offers to code outside of it: enough to compare it with the native program.

use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

use crate::state::derived;

/// The drawing of a job with its findings marked, as SVG text, from the text of its file.
#[wasm_bindgen]
pub fn drawing_of(job: &str) -> Result<String, JsError> {
    match derived::open(job) {
        Ok(document) => Ok(derived::picture(&document, &derived::findings(&document))),
        Err(error) => Err(JsError::new(&error.to_string())),
    }
}
