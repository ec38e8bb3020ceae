//! The editing session without a user interface: edits, undo, tools and hit testing belong here.
//!
//! The crate holds its place in the order of dependencies (`engine <- drawing <- editor <- web`)
//! and hands the two below it on, so that the app reaches them by one way only. Nothing in it may
//! know a browser, a signal or a clock.

pub use drawing;
pub use engine;
