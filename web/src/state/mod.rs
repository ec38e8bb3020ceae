//! What the page shows: which job, and everything that follows from it.

pub mod derived;
pub mod jobs;
