//! The printed set of a job: its circuit on one sheet or several, and the lists that go with it.
//!
//! ```text
//! job ──Facts──> tables ──┐
//!  └──draw──> scene ──────┴──set──> Set ──svg, pdf──> text, bytes
//! ```
//!
//! * [`Facts`] is what the set tells of a job; everything in it is computed by the engine.
//! * [`set`](fn@set) puts it on sheets: marks in hundredths of a millimetre, each with its look.
//! * [`svg`](fn@svg) and [`pdf`](fn@pdf) write those marks, and decide nothing.
//! * [`tables`] gives the same lists as CSV, to be sorted and added up elsewhere.
//!
//! A set is a plain value that knows no job any more, and [`Set::to_bytes`] carries it to where it is written.
//! Nothing in here reads a clock or chance: the same job gives the same bytes.

mod bands;
mod broken;
mod bytes;
mod circuit;
mod columns;
mod cover;
mod cuts;
mod facts;
mod flow;
mod labels;
mod letterhead;
mod lists;
mod lozenge;
mod on_paper;
mod packing;
mod page;
mod pdf;
mod plan;
mod png;
mod runs;
mod set;
mod supply;
mod svg;

pub use facts::Facts;
pub use lists::tables;
pub use pdf::pdf;
pub use set::{Mark, Paper, Set, Sheet, Stamp, Wanted, set};
pub use svg::svg;
