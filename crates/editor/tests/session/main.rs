//! The session as the app uses it: scripts of inputs, and what becomes of the job.

mod bench;
mod gestures;
mod keys;
mod moving;
mod putting;
mod selecting;
mod steps;
mod wiring;
