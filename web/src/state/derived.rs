//! Everything that follows from the job, as one chain of memos: each is computed once a change, and
//! only if what it reads has changed. The only place in the app that has circuits solved and checked.

use std::sync::Arc;

use engine::check;
use engine::circuit::{self, Circuit};
use engine::document::Document;
use engine::file::{self, ReadError};
use engine::finding::Finding;
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
        let circuit: Memo<Option<Arc<Circuit>>> = Memo::new(move |_| {
            let document = document.get().ok()?;
            Some(Arc::new(circuit::build(&document.network, &document.settings)))
        });
        let findings = Memo::new(move |_| match (circuit.get(), document.get()) {
            (Some(circuit), Ok(document)) => check::run_all(&circuit, &document.situations),
            _ => Vec::new(),
        });
        let drawing =
            Memo::new(move |_| document.get().map(|document| drawing(&document)).unwrap_or_default());
        Derived { document, findings, drawing }
    }
}

/// Opens a job from the text of its file.
pub fn open(text: &str) -> Result<Document, ReadError> {
    file::read_json(text)
}

/// Draws a job.
pub fn drawing(_document: &Document) -> String {
    String::new()
}

/// The manual of a check, as Markdown.
pub fn manual(check: &str) -> String {
    check::by_name(check).map(|check| check.manual()).unwrap_or_default()
}
