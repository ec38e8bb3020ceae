//! What a set tells of a job.

use engine::answer::Prepared;
use engine::circuit::Circuit;
use engine::document::Document;
use engine::finding::Finding;

/// A job with what was computed of it.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    prepared: &'a Prepared,
}

impl<'a> Facts<'a> {
    /// The facts of a job. Its checks are run when they were not before.
    pub fn of(prepared: &'a Prepared) -> Facts<'a> {
        Facts { prepared }
    }

    /// The job.
    pub fn document(&self) -> &'a Document {
        self.prepared.document()
    }

    /// Its circuit.
    pub fn circuit(&self) -> &'a Circuit {
        self.prepared.circuit()
    }

    /// What the checks found, the worst first.
    pub fn findings(&self) -> &'a [Finding] {
        self.prepared.findings()
    }

    pub(crate) fn prepared(&self) -> &'a Prepared {
        self.prepared
    }
}
