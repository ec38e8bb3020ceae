//! What may be the cause of what is complained of.

use crate::circuit::Circuit;
use crate::fault::Fault;

/// How likely it is, beside one fault of its own, that a job is built as it is drawn (common practice, no source).
///
/// Faults are the exception: each of them is told by how much less likely it is than this.
pub(super) const AS_DRAWN: f64 = 1.0;

/// Something that may be the cause of what is complained of.
#[derive(Clone, Debug, PartialEq)]
pub enum Cause {
    /// The vehicle is as it is drawn: what is complained of is what the drawing asks for.
    AsDrawn,
    /// A single fault.
    Fault(Fault),
}

impl Cause {
    /// How likely it is before anything is looked at, beside the others; only ratios count.
    pub fn odds(&self) -> f64 {
        match self {
            Cause::AsDrawn => AS_DRAWN,
            Cause::Fault(fault) => fault.odds,
        }
    }

    /// The fault, where it is one.
    pub fn fault(&self) -> Option<&Fault> {
        match self {
            Cause::AsDrawn => None,
            Cause::Fault(fault) => Some(fault),
        }
    }

    /// What is wrong, as a sentence without a full stop.
    pub fn in_words(&self, circuit: &Circuit) -> String {
        match self {
            Cause::AsDrawn => "everything is built as it is drawn".to_owned(),
            Cause::Fault(fault) => fault.in_words(&circuit.resolved.network),
        }
    }
}
