//! What the module offers to code outside of it: enough to compare it with the native program.

use drawing::overlay::{FindingMark, Overlay};
use engine::file;
use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

/// The drawing of a job as the command line writes it, from the text of the job's file and the worker's
/// answer to a question about it.
#[wasm_bindgen]
pub fn drawing_of(job: &str, answer: &str) -> Result<String, JsError> {
    let document = file::read_json(job).map_err(|error| JsError::new(&error.to_string()))?;
    let answer = file::read_answer(answer).map_err(|error| JsError::new(&error.to_string()))?;
    let findings = answer.findings.into_iter();
    let findings =
        findings.map(|told| FindingMark { subject: told.subject, severity: told.severity }).collect();
    let overlay = Overlay { findings, ..Overlay::default() };
    Ok(drawing::annotated_picture(&document, &overlay, file::job_element(&document)))
}
