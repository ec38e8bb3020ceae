//! What the module offers to code outside of it: enough to compare what the worker draws with the native program.

use engine::document::Situation;
use engine::post::{self, Inquiry, Reply};
use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

/// What asks the worker to read a file.
#[wasm_bindgen]
pub fn wish_for(content: &[u8]) -> Vec<u8> {
    post::file(content)
}

/// What asks the worker for the picture of the job of its reply to that, with everything at rest.
#[wasm_bindgen]
pub fn picture_of(job: &[u8]) -> Result<Vec<u8>, JsError> {
    let Reply::Job(document, _) = Reply::from_bytes(job) else { return Err(JsError::new("this is no job")) };
    let inquiry = Inquiry { stamp: 0, situation: Situation::at_rest(), words: "picture".to_owned() };
    Ok(post::inquiry(&post::packed(&document), &inquiry))
}

/// The markup of a reply.
#[wasm_bindgen]
pub fn markup_of(reply: &[u8]) -> Result<String, JsError> {
    match Reply::from_bytes(reply) {
        Reply::Report(report) => Ok(report.markup),
        _ => Err(JsError::new("this is no report")),
    }
}
