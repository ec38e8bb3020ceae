//! Protection: what may flow where before a fuse opens, and how long fuse and wire take it.
//!
//! [`zones`] tells what current may pass lastingly, [`band`] the time a fuse takes, [`withstand`] the time a wire
//! endures.

pub mod band;
pub mod withstand;
pub mod zones;

pub use band::Band;
pub use withstand::Withstand;
