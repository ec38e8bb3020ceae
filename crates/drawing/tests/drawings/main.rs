//! Whole drawings of random and of small circuits, held to what must be true of every one.

#![expect(clippy::unwrap_used, reason = "a circuit made for a test that is not one fails the test")]

mod board;
mod faults;
mod geometry;
mod hits;
mod picture;
mod plan;
mod poses;
mod restarts;
mod support;
mod tidied;
