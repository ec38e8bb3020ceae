//! The fault walk: from what is complained of to its cause, by as few readings as will do.
//!
//! A [`Case`] is a job with every single cause solved in every situation. A [`Walk`] adds what is complained of and what
//! was read so far; where it [stands](Walk::stand) is a function of these alone, so that a reading is undone by leaving
//! it out. It tells how likely each cause is and why, and which reading to take next: the one that tells most for the
//! time that it takes.

use crate::document::{Complaint, Reading};

mod apart;
mod belief;
mod case;
mod cause;
mod choose;
mod drawn;
mod ends;
mod expected;
mod grouping;
mod next;
mod probes;
mod proof;
mod remake;
mod spread;
mod stand;
mod test_lamp;
mod variant;
mod weigh;
mod words;

pub use apart::Row;
pub use belief::{Reader, figure};
pub use case::{Case, Moment};
pub use cause::Cause;
pub use drawn::drawn;
pub use expected::{Expected, Told};
pub use probes::{Minutes, minutes};
pub use proof::{
    Awaited, HowTested, NOT_WHOLE, Proof, Ruled, Stand, Step, Tested, Unproved, Unshown, caution, conclusion,
    not_right, prove, proving_situations, ruled, steps_of,
};
pub use remake::{Remade, remade};
pub use spread::{share, tolerance};
pub use stand::{End, Proposal, Ranked, Standing};
pub use words::{about, all_about, all_of, found_in_words, is_passed_by, percent, wrong_in_words};

/// What is complained of, and what was read so far.
#[derive(Clone, Copy)]
pub struct Walk<'w> {
    /// The job.
    pub case: &'w Case,
    /// What is complained of.
    pub complaints: &'w [Complaint],
    /// The readings, in the order taken; those without an answer do not count.
    pub readings: &'w [Reading],
    /// How long it takes to get to parts and places.
    pub minutes: &'w Minutes,
}

#[cfg(test)]
mod tests;
