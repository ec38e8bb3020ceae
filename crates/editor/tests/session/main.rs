//! The session as the app uses it: scripts of inputs, and what becomes of the job.

#![expect(clippy::unwrap_used, reason = "a script that cannot be run is a test that fails")]

mod bench;
mod gestures;
mod gloves;
mod keys;
mod moving;
mod putting;
mod selecting;
mod steps;
mod wiring;
