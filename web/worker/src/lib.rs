//! The module that runs in a worker of the browser: it reads files, lays out jobs and answers questions about them.
//! Reader, layout, solver and checks are in here, so that the page neither loads them before it can be used nor waits for
//! them while somebody draws.
//!
//! It holds no rule of its own: bytes in, bytes out as [`engine::post`] has them, and in between [`engine::file`],
//! [`drawing::layout`] and [`engine::answer`].

use std::cell::RefCell;
use std::ops::ControlFlow;

use drawing::layout::lay_out;
use engine::answer::{Prepared, Request};
use engine::file;
use engine::post::{self, Inquiry, Reply, Wanted};
use engine::sweep::Progress;
use wasm_bindgen::prelude::wasm_bindgen;

mod report;

/// What was found out about the job of the last question.
struct Kept {
    job: Vec<u8>,
    prepared: Prepared,
    /// The question, while its findings are still to be told.
    unchecked: Option<Request>,
    /// What was made of it for the last reports.
    made: report::Made,
}

#[wasm_bindgen]
extern "C" {
    /// Tells the page how far a long computation is: how much is done, of how much as far as is known.
    #[wasm_bindgen(js_name = progress)]
    fn tell_progress(done: f64, total: f64);
}

thread_local! {
    static KEPT: RefCell<Option<Kept>> = const { RefCell::new(None) };
}

/// Makes a stop inside the module arrive at its caller as an exception with the words of the stop.
#[wasm_bindgen(start)]
pub fn start() {
    std::panic::set_hook(Box::new(|panic| wasm_bindgen::throw_str(&panic.to_string())));
}

/// Reads a file, or answers a question as far as that goes without running checks. What cannot be done is replied to
/// with why.
#[wasm_bindgen]
pub fn reply(wanted: &[u8]) -> Vec<u8> {
    let mut progress = |done: u64, total: u64| {
        tell_progress(done as f64, total as f64);
        // Who wants it no more ends the worker.
        ControlFlow::Continue(())
    };
    KEPT.with_borrow_mut(|kept| reply_to(kept, wanted, &mut progress)).to_bytes()
}

/// The whole answer to the question before, unless it was whole already.
#[wasm_bindgen]
pub fn checked() -> Option<Vec<u8>> {
    KEPT.with_borrow_mut(|kept| whole(kept.as_mut()?)).map(|reply| reply.to_bytes())
}

fn reply_to(kept: &mut Option<Kept>, wanted: &[u8], progress: Progress<'_>) -> Reply {
    let made = match post::wanted(wanted) {
        Some(Wanted::Answer(request, job)) => answer(kept, request, job),
        Some(Wanted::Report(inquiry, job)) => report(kept, &inquiry, job, progress),
        Some(Wanted::Job(content)) => match file::read(content) {
            Ok(document) => {
                let standing = lay_out(&document.network, &document.placement).standing(&document.network);
                Some(Reply::Job(document, standing))
            }
            Err(error) => Some(Reply::Failure(error.to_string())),
        },
        None => None,
    };
    made.unwrap_or_else(|| Reply::Failure("a question of the page was not understood".to_owned()))
}

/// What is found out about this job, as far as it is known.
fn about(kept: &mut Option<Kept>, job: &[u8]) -> Option<Kept> {
    Some(match kept.take() {
        // A switch was worked, or something selected: the job is the same to the last byte.
        Some(last) if last.job == job => last,
        last => {
            let document = post::unpacked(job)?;
            let (prepared, made) = match last {
                Some(last) if last.prepared.serves(&document) => (last.prepared, last.made.for_another()),
                _ => (Prepared::new(&document), Default::default()),
            };
            Kept { job: job.to_owned(), prepared, unchecked: None, made }
        }
    })
}

fn answer(kept: &mut Option<Kept>, request: Request, job: &[u8]) -> Option<Reply> {
    let mut now = about(kept, job)?;
    let answer = now.prepared.at_once(&request);
    now.unchecked = (!answer.checked).then_some(request);
    *kept = Some(now);
    Some(Reply::Answer(Box::new(answer)))
}

/// A report leaves the question before it as it is: its findings may still be to come.
fn report(kept: &mut Option<Kept>, inquiry: &Inquiry, job: &[u8], progress: Progress<'_>) -> Option<Reply> {
    let mut now = about(kept, job)?;
    let told = report::report(&post::unpacked(job)?, &now.prepared, inquiry, &mut now.made, progress);
    *kept = Some(now);
    told.map(Box::new).map(Reply::Report)
}

fn whole(kept: &mut Kept) -> Option<Reply> {
    let request = kept.unchecked.take()?;
    Some(Reply::Answer(Box::new(kept.prepared.answer(&request))))
}

#[cfg(test)]
mod tests {
    use engine::answer::Answer;
    use engine::document::{Document, Situation};
    use engine::ids::PartId;

    use super::*;

    const JOB: &str = include_str!("../../../fixtures/files/v7/first-job.json");

    fn request(position: &str) -> Request {
        let set = [(PartId::new("s1").unwrap(), position.to_owned())].into();
        Request { revision: 1, situation: Situation { name: String::new(), set }, load: None }
    }

    /// As without a page to tell of progress.
    fn reply_to(kept: &mut Option<Kept>, wanted: &[u8]) -> Reply {
        super::reply_to(kept, wanted, &mut |_, _| ControlFlow::Continue(()))
    }

    fn told(kept: &mut Option<Kept>, document: &Document, request: &Request) -> Answer {
        let question = post::question(&post::packed(document), request);
        let Reply::Answer(early) = reply_to(kept, &question) else { panic!("no answer") };
        // Findings that are known already come at once, and then nothing more is to come.
        let late = kept.as_mut().and_then(whole);
        assert_eq!(early.checked, late.is_none());
        match late {
            Some(Reply::Answer(late)) => *late,
            Some(_) => panic!("no answer"),
            None => *early,
        }
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
    fn a_file_is_read_beside_the_questions() {
        let mut kept = None;
        let document = file::read_json(JOB).unwrap();
        told(&mut kept, &document, &request("on"));
        let Reply::Job(read, standing) = reply_to(&mut kept, &post::file(JOB.as_bytes())) else {
            panic!("no job")
        };
        assert_eq!(read, document);
        // Every part of this job is one symbol.
        let stands = standing.iter().map(|standing| &standing.pose.part);
        assert!(stands.eq(document.network.parts.iter().map(|part| &part.id)));
        let refused = "format: missing; a job says `loomwright-job`".to_owned();
        assert_eq!(reply_to(&mut kept, &post::file(b"{}")), Reply::Failure(refused));
        assert_eq!(told(&mut kept, &document, &request("on")).verdict, "settled");
    }

    #[test]
    fn a_question_that_is_none_leaves_nothing_broken() {
        let mut kept = None;
        let document = file::read_json(JOB).unwrap();
        for wanted in [vec![], vec![9], post::question(b"no job", &request("on"))] {
            assert!(matches!(reply_to(&mut kept, &wanted), Reply::Failure(_)));
        }
        assert_eq!(told(&mut kept, &document, &request("on")).verdict, "settled");
    }
}
