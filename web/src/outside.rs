//! What the module offers to code outside of it: enough to compare what the worker draws with the native program.

use engine::document::Situation;
use engine::post::{self, Inquiry, Reply};
use wasm_bindgen::prelude::wasm_bindgen;

use crate::rest;

/// What asks the worker to read a file.
#[wasm_bindgen]
pub fn wish_for(content: &[u8]) -> Vec<u8> {
    post::file(content)
}

/// What asks the worker for the picture of the job of its reply to that, with everything at rest. Nothing while the second
/// half of the program is not here, or when that is no job.
#[wasm_bindgen]
pub fn picture_of(job: &[u8]) -> Option<Vec<u8>> {
    (rest::fetched()?.picture_of)(job)
}

/// The markup of a reply. Nothing while the second half of the program is not here, or when that is no report.
#[wasm_bindgen]
pub fn markup_of(reply: &[u8]) -> Option<String> {
    (rest::fetched()?.markup_of)(reply)
}

pub(crate) fn question_for_picture(job: &[u8]) -> Option<Vec<u8>> {
    let Reply::Job(document, _) = Reply::from_bytes(job) else { return None };
    let inquiry = Inquiry { stamp: 0, situation: Situation::at_rest(), words: "picture".to_owned() };
    Some(post::inquiry(&post::packed(&document), &inquiry))
}

pub(crate) fn markup_in(reply: &[u8]) -> Option<String> {
    match Reply::from_bytes(reply) {
        Reply::Report(report) => Some(report.markup),
        _ => None,
    }
}
