//! Everything that follows from the job, as one chain of memos: each is computed once a change, and
//! only if what it reads has changed. The only place in the app that has circuits solved and checked.

use drawing::overlay::Overlay;
use engine::document::Document;
use engine::file::{self, ReadError};
use engine::finding::Finding;
use engine::{check, circuit};
use leptos::prelude::*;

use crate::state::jobs;

/// What follows from the job that is shown.
#[derive(Clone, Copy)]
pub struct Derived {
    /// The job, or why its file does not open.
    pub document: Memo<Result<Document, ReadError>>,
    /// What the checks report, the worst first; empty while there is no job.
    pub findings: Memo<Vec<Finding>>,
    /// The drawing as SVG text; empty while there is no job.
    pub drawing: Memo<String>,
}

impl Derived {
    /// Sets up the chain that starts at the number of the demonstration job.
    pub fn of(job: Signal<usize>) -> Derived {
        let document = Memo::new(move |_| open(jobs::ALL[job.get()].text));
        let findings =
            Memo::new(move |_| document.with(|document| document.as_ref().map(findings).unwrap_or_default()));
        let drawing = Memo::new(move |_| {
            document.with(|document| match document {
                Ok(document) => findings.with(|findings| picture(document, findings)),
                Err(_) => String::new(),
            })
        });
        Derived { document, findings, drawing }
    }
}

/// Opens a job from the text of its file.
pub fn open(text: &str) -> Result<Document, ReadError> {
    file::read_json(text)
}

/// The findings of a job, the worst first.
pub fn findings(document: &Document) -> Vec<Finding> {
    check::run_all(&circuit::build(&document.network, &document.settings), &document.situations)
}

/// The drawing of a job, its findings marked with their number in the list.
pub fn picture(document: &Document, findings: &[Finding]) -> String {
    drawing::picture(document, &Overlay::of_findings(findings))
}

/// The same with the job carried in it: a file that can be opened again.
pub fn annotated_picture(document: &Document) -> String {
    let overlay = Overlay::of_findings(&findings(document));
    drawing::annotated_picture(document, &overlay, file::job_element(document))
}

/// The manual of a check, as Markdown.
pub fn manual(check: &str) -> String {
    check::by_name(check).map(|check| check.manual()).unwrap_or_default()
}
