//! What the page shows: the session, what the worker told of it, and where the job is kept.

pub mod desk;
pub mod jobs;
