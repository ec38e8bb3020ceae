//! What the module offers to code outside of it: enough to compare it with the native program.

use drawing::board::Board;
use drawing::overlay::{FindingMark, Overlay};
use drawing::svg::{SvgOptions, svg};
use engine::answer::Request;
use engine::document::{Document, Situation, Standing};
use engine::file;
use engine::post::{self, Reply};
use wasm_bindgen::JsError;
use wasm_bindgen::prelude::wasm_bindgen;

/// What asks the worker to read a file.
#[wasm_bindgen]
pub fn wish_for(content: &[u8]) -> Vec<u8> {
    post::file(content)
}

/// What asks the worker about the job of its reply to that, with everything at rest.
#[wasm_bindgen]
pub fn question_about(job: &[u8]) -> Result<Vec<u8>, JsError> {
    let request = Request { revision: 1, situation: Situation::at_rest(), load: None };
    Ok(post::question(&post::packed(&read(job)?.0), &request))
}

/// The drawing of a job as the command line writes it, from the worker's replies: the job, and the answer about it.
#[wasm_bindgen]
pub fn drawing_of(job: &[u8], answer: &[u8]) -> Result<String, JsError> {
    let (document, standing) = read(job)?;
    let Reply::Answer(answer) = Reply::from_bytes(answer) else {
        return Err(JsError::new("this is no answer"));
    };
    let findings = answer.findings.into_iter();
    let findings =
        findings.map(|told| FindingMark { subject: told.subject, severity: told.severity }).collect();
    let overlay = Overlay { findings, ..Overlay::default() };
    let board = Board::laid_out(&document.network, &document.placement, &standing);
    let options = SvgOptions::of(&document, file::job_element(&document));
    Ok(svg(board.scene(), &overlay, &options))
}

fn read(job: &[u8]) -> Result<(Document, Vec<Standing>), JsError> {
    match Reply::from_bytes(job) {
        Reply::Job(document, standing) => Ok((document, standing)),
        Reply::Failure(why) => Err(JsError::new(&why)),
        Reply::Answer(_) | Reply::Report(_) => Err(JsError::new("this is no job")),
    }
}
