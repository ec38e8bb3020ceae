//! The engine: from a job to what every wire carries and what is wrong.
//!
//! The document is a plain value; everything else is a pure function of it:
//!
//! ```text
//! file ──read──> Document ──resolve──> Resolved ──build──> Circuit ──solve──> Solution ──check──> findings
//! ```
//!
//! * [`document`] holds what the user authored and nothing derived from it.
//! * [`kind`] describes the part kinds, one file each: terminals, values, positions, behavior, symbol.
//! * [`route`] finds the ways that wires take along the vehicle, and what follows from them.
//! * [`resolve`] adds what is assumed where nothing was said, and remembers that it was assumed.
//! * [`circuit`] turns resolved parts and wires into nets and branches.
//! * [`solve`] finds voltages and currents of one situation, relays and electronic loads settled.
//! * [`path`] tells the ways current takes through a load.
//! * [`working`] is how a number came about, ready to be worked out again.
//! * [`bundle`] tells how thick wires are that lie together, and what tubing, hole and clips they need.
//! * [`sweep`] goes through every state that working switches and donors one at a time can lead to.
//! * [`protection`] tells what fuses let pass, what a fault draws, and whether fuse and wire go together.
//! * [`fault`] is every single thing that can be wrong with a circuit, and what it leads to.
//! * [`diagnose`] leads from a complaint to its cause by as few readings as will do.
//! * [`check`] reports what is dangerous, does not work or is outside good practice.
//! * [`laid`] makes the circuit of a job whose wires lie beside one another along the plan.
//! * [`mend`] tries the fixes of findings, and keeps those that help.
//! * [`sizing`] finds the least copper and the smallest fuses that pass every check.
//! * [`sitting`] finds the places on the plan where parts need the least copper and nothing new is found.
//! * [`donor_survey`] tells from readings at its plug what a donor is, and wires a relay to it.
//! * [`fitting_order`] is the order of work of a job.
//! * [`mistakes`] tells what every single mistake would do, the worst first.
//! * [`inspect`] judges a layout drawn as found, with what is not known of it carried through the checks.
//! * [`reading`] takes voltages, currents and states off a solution.
//! * [`endurance`] is how long a battery lasts, and [`charge`] what comes in and goes out in each situation.
//! * [`explain`] shows how the readings and limits of one part or wire came about.
//! * [`answer`] tells all of this in words, ready to be shown.
//! * [`file`](mod@file) reads and writes jobs; it is the only module that knows JSON or SVG.
//! * [`post`] carries jobs and answers between the page of the browser app and its worker.
//!
//! Nothing in here does input or output, knows the time, or uses chance.

pub mod arrange;

pub mod quantity;

pub mod ids;

pub mod given;

pub mod kind;

pub mod document;

pub use document::subject;

pub mod working;

pub mod conductor;

pub mod bundle;

pub mod route;

pub mod resolve;

pub mod circuit;

pub mod solve;

pub mod path;

pub mod sweep;

pub mod notation;

pub mod file;

pub mod finding;

pub mod protection;

pub mod fault;

pub mod endurance;

pub mod charge;

pub mod check;

pub mod laid;

pub mod diagnose;

pub mod mend;

pub mod sizing;

pub mod sitting;

pub mod donor_survey;

pub mod fitting_order;

pub mod mistakes;

pub mod inspect;

pub mod reading;

pub mod explain;

pub mod answer;

pub mod post;
