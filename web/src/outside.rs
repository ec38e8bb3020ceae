//! What the module offers to code outside of it: enough to compare it with the native program.

use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

use crate::state::derived;

/// The drawing of a job as the command line writes it, from the text of the job's file.
#[wasm_bindgen]
pub fn drawing_of(job: &str) -> Result<String, JsError> {
    match derived::open(job) {
        Ok(document) => Ok(derived::annotated_picture(&document)),
        Err(error) => Err(JsError::new(&error.to_string())),
    }
}
