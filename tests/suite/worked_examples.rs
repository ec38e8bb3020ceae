//! Examples worked in print, run through the engine.
//!
//! Every test is one example: its numbers, its answer as printed, and where it is printed. Where the printed answer
//! is known to be a misprint or rounded oddly, the test says so and holds the engine to the answer that closes.

#[path = "worked_examples/bench.rs"]
mod bench;
#[path = "worked_examples/circuits.rs"]
mod circuits;
#[path = "worked_examples/conductors.rs"]
mod conductors;
#[path = "worked_examples/tables.rs"]
mod tables;
