//! The module that runs in a worker of the browser and answers questions about a job: solver and checks are in here, so
//! that the page neither loads them before it can be used nor waits for them while somebody draws.
//!
//! It holds no rule of its own: text in, text out, and in between [`engine::answer`].

use std::cell::RefCell;

use engine::answer::{Prepared, Request};
use engine::file::{self, ReadError};
use wasm_bindgen::prelude::wasm_bindgen;

/// What was found out about the job of the last question.
struct Kept {
    job: String,
    prepared: Prepared,
    /// The question, while its findings are still to be told.
    unchecked: Option<Request>,
}

thread_local! {
    static KEPT: RefCell<Option<Kept>> = const { RefCell::new(None) };
}

/// Makes a stop inside the module arrive at its caller as an exception with the words of the stop.
#[wasm_bindgen(start)]
pub fn start() {
    std::panic::set_hook(Box::new(|panic| wasm_bindgen::throw_str(&panic.to_string())));
}

/// Answers a question as far as that goes without running checks, both as [`engine::file`] writes them. A question
/// that cannot be read is answered with why.
#[wasm_bindgen]
pub fn answer(question: &str) -> String {
    KEPT.with_borrow_mut(|kept| {
        reply(kept, question).unwrap_or_else(|error| file::write_failure(&error.to_string()))
    })
}

/// The whole answer to the question before, unless it was whole already.
#[wasm_bindgen]
pub fn checked() -> Option<String> {
    KEPT.with_borrow_mut(|kept| whole(kept.as_mut()?))
}

fn reply(kept: &mut Option<Kept>, question: &str) -> Result<String, ReadError> {
    let (request, job) = file::read_request(question)?;
    let mut now = match kept.take() {
        // A switch was worked, or something selected: the job is the same to the letter.
        Some(last) if last.job == job => last,
        last => {
            let document = file::read_json(job)?;
            let prepared = match last {
                Some(last) if last.prepared.serves(&document) => last.prepared,
                _ => Prepared::new(&document),
            };
            Kept { job: job.to_owned(), prepared, unchecked: None }
        }
    };
    let answer = now.prepared.at_once(&request);
    now.unchecked = (!answer.checked).then_some(request);
    *kept = Some(now);
    Ok(file::write_answer(&answer))
}

fn whole(kept: &mut Kept) -> Option<String> {
    let request = kept.unchecked.take()?;
    Some(file::write_answer(&kept.prepared.answer(&request)))
}

#[cfg(test)]
mod tests {
    use engine::answer::Answer;
    use engine::document::{Document, Situation};
    use engine::ids::PartId;

    use super::*;

    const JOB: &str = include_str!("../../../fixtures/files/v1/first-job.json");

    fn request(position: &str) -> Request {
        let set = [(PartId::new("s1").unwrap(), position.to_owned())].into();
        Request { revision: 1, situation: Situation { name: String::new(), set }, load: None, manual: None }
    }

    fn told(kept: &mut Option<Kept>, document: &Document, request: &Request) -> Answer {
        let question = file::write_request(&file::write_json(document), request);
        let early = reply(kept, &question).unwrap();
        // Findings that are known already come at once, and then nothing more is to come.
        let late = kept.as_mut().and_then(whole);
        let early = file::read_answer(&early).unwrap();
        assert_eq!(early.checked, late.is_none());
        late.map_or(early, |late| file::read_answer(&late).unwrap())
    }

    #[test]
    fn what_is_kept_gives_the_answer_that_a_fresh_start_gives() {
        let mut kept = None;
        let first = file::read_json(JOB).unwrap();
        let other = file::read_json(&JOB.replace("\"watts\": 21", "\"watts\": 55")).unwrap();
        assert_ne!(first, other);
        let mut moved = first.clone();
        let text = file::write_json(&first).replace(
            "\"id\": \"lamp\",",
            "\"id\": \"lamp\", \"at\": [{\"view\": \"main\", \"x\": 4, \"y\": 4, \"turn\": 0}],",
        );
        moved.placement = file::read_json(&text).unwrap().placement;
        assert_ne!(moved, first);
        for document in [&first, &first, &moved, &other, &first] {
            for position in ["on", "off"] {
                let request = request(position);
                assert_eq!(told(&mut kept, document, &request), engine::answer::answer(document, &request));
            }
        }
    }

    #[test]
    fn a_job_that_does_not_open_is_answered_with_why_and_leaves_nothing_broken() {
        let mut kept = None;
        let document = file::read_json(JOB).unwrap();
        told(&mut kept, &document, &request("on"));
        let broken = file::write_request("{}", &request("on"));
        let error = reply(&mut kept, &broken).unwrap_err();
        assert_eq!(error.to_string(), "format: missing; a job says `loomwright-job`");
        assert_eq!(file::read_answer(&answer(&broken)).unwrap_err().to_string(), error.to_string());
        assert_eq!(told(&mut kept, &document, &request("on")).verdict, "settled");
    }
}
