//! Protection: what may flow where before a fuse opens, how much a fault draws, and how long fuse and wire take it.
//!
//! [`zones`] tells what current may pass lastingly. [`corner`] and [`fault`] give the current of a fault that is yet to
//! come, [`guard`] the fuses that stand in its way, [`prospect`] all of it over the states a circuit comes to.
//! [`ratings`] are those fuses are made for, [`band`] is the time a fuse takes, [`withstand`] the time a wire endures, and [`against`] puts the
//! two together. [`rules`] are those a job goes by. [`ledger`] lists all of it by fuse and by wire.

pub mod against;
pub mod band;
pub mod corner;
pub mod fault;
pub mod guard;
pub mod ledger;
mod mix;
pub mod prospect;
pub mod ratings;
pub mod rules;
pub mod withstand;
pub mod zones;

pub use band::Band;
pub use corner::Corner;
pub use fault::Place;
pub use guard::{Guard, Link};
pub use prospect::{Case, Prospects};
pub use rules::FuseRule;
pub use withstand::Withstand;
