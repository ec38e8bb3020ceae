//! What can be wrong with a circuit that was drawn right: every single mistake of fitting and every single thing that
//! gives way.
//!
//! [`faults`] lists them, read off the branches, gates and terminals of the circuit, so that a part kind brings its own
//! by what it is made of. [`Fault::changes`] is what each does to the circuit.

use crate::circuit::{Change, Circuit};
use crate::document::{Network, Seen};
use crate::ids::{TerminalName, TerminalRef};
use crate::kind::{Law, Load};
use crate::quantity::Ohms;
use crate::solve::Rest;
use crate::subject::Subject;

mod list;
mod outcome;
mod words;

pub use list::faults;
pub use outcome::{Blown, Outcome, Trial};

/// One thing that may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// What it is about.
    pub subject: Subject,
    /// What is wrong with it.
    pub mode: Mode,
    /// How likely it is beside the others; only ratios count.
    pub odds: f64,
    /// What it does to the circuit.
    does: Does,
}

/// What may be wrong with a part or a wire.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    /// Broken, or off one of its terminals.
    Open,
    /// A bad joint, at one of its ends or within: corroded, loose, painted, burnt.
    Resistive,
    /// A bad joint in what the vehicle feeds a donor circuit by.
    BadFeed,
    /// Worn through to the body.
    TouchesBody,
    /// A fuse blown, or a breaker open.
    Blown,
    /// A fuse of another rating than drawn sits in its place.
    WrongFuse,
    /// The coil of a relay broken.
    CoilOpen,
    /// A contact that does not close, up to this terminal.
    NeverCloses(TerminalName),
    /// A contact that never opens, up to this terminal.
    Welded(TerminalName),
    /// A contact that is burnt, up to this terminal.
    BurntContact(TerminalName),
    /// A load that does not take current any more; with its name where the part has several.
    Dead(&'static str),
    /// A load connected the wrong way round.
    Reversed,
    /// A diode that conducts both ways.
    Shorted,
    /// Two wires exchanged between these terminals.
    Swapped(TerminalName, TerminalName),
    /// Everything that is at this terminal is off it.
    TerminalOff(TerminalName),
    /// Every wire is off a joint.
    Apart,
    /// A wire that taps a donor circuit sits at this terminal instead.
    WrongTap(TerminalRef),
    /// A source that is flat or gives nothing.
    Flat,
}

/// What a fault does to the circuit.
#[derive(Clone, Debug, PartialEq)]
enum Does {
    /// These changes.
    Changes(Vec<Change>),
    /// A resistance comes in series with this branch.
    Adds(usize),
    /// Nothing that flows or does not flow.
    Nothing,
}

/// The least and the greatest resistance of a bad joint, in ohms (common practice, no source).
pub const BAD_JOINT_OHM: (f64, f64) = (0.05, 50.0);

/// Resistance of a touch between a bare conductor and the body, in ohms (common practice, no source).
pub const TOUCH_OHM: f64 = 0.01;

/// Voltage of a battery that is flat, without load, as a share of what it shows when charged: 11.6 V of 12.6 V is
/// printed for an empty one; one that has broken down shows less (common practice, no source).
pub const FLAT_SHARE: f64 = 0.7;

impl Fault {
    /// The parts and wires that it is about.
    pub fn subjects(&self) -> Vec<Subject> {
        let mut subjects = vec![self.subject.clone()];
        if let Mode::WrongTap(terminal) = &self.mode {
            subjects.push(Subject::Part(terminal.part.clone()));
        }
        subjects
    }

    /// Whether it is a bad joint, so that its resistance may be anything within [`BAD_JOINT_OHM`].
    pub fn is_resistive(&self) -> bool {
        self.joint().is_some()
    }

    /// The branch that a bad joint is in.
    pub fn joint(&self) -> Option<usize> {
        match self.does {
            Does::Adds(branch) => Some(branch),
            Does::Changes(_) | Does::Nothing => None,
        }
    }

    /// What it does to the circuit; a bad joint has this resistance.
    pub fn changes(&self, circuit: &Circuit, joint: Ohms) -> Vec<Change> {
        match &self.does {
            Does::Changes(changes) => changes.clone(),
            Does::Nothing => Vec::new(),
            Does::Adds(branch) => match circuit.branches[*branch].law {
                Some(Law::Resistance(own)) => {
                    vec![Change::Law(*branch, Ohms::new(own.get() + joint.get()).map(Law::Resistance))]
                }
                _ => Vec::new(),
            },
        }
    }

    /// What is wrong, as a sentence without a full stop: `wire W5 is broken, or off its terminal at one end`.
    pub fn in_words(&self, network: &Network) -> String {
        words::of(self, network)
    }

    /// What mends it, as a sentence.
    pub fn remedy(&self, network: &Network) -> String {
        words::remedy(self, network)
    }
}

/// How bright a load is in a lasting state: of what glows by its voltage beside the rated one, of a driver by whether it
/// is on.
///
/// A filament at 80 % of its voltage gives less than half its light, which is noticed; at a fifth it only glows red
/// (common practice, no source).
pub fn seen(circuit: &Circuit, rest: &Rest, branch: usize, load: &Load) -> Seen {
    match brightness(circuit, rest, branch, load) {
        share if share >= BRIGHT_SHARE => Seen::Lit,
        share if share >= GLOW_SHARE => Seen::Dim,
        _ => Seen::Dark,
    }
}

/// The share of its voltage that [`seen`] goes by; 1 of a driver that is on, and nought of what carries no current.
pub fn brightness(circuit: &Circuit, rest: &Rest, branch: usize, load: &Load) -> f64 {
    let steady = &rest.steady;
    let own = &circuit.branches[branch];
    if let Some(Law::Electronic { .. }) = own.law {
        return if crate::sweep::works(circuit, rest, branch, load) { 1.0 } else { 0.0 };
    }
    if steady.amps(branch).abs() <= crate::path::LEAST_AMPS {
        return 0.0;
    }
    let volts = steady.between(own.from, own.to).unwrap_or(0.0).abs();
    match own.law {
        Some(Law::Filament { rated_v, .. }) => volts / rated_v.get(),
        _ if load.least.is_some_and(|least| volts < least.get()) => 0.0,
        _ => volts / circuit.resolved.nominal_v,
    }
}

/// The shares of its voltage from which on a lamp passes for bright, and for dim (common practice, no source).
pub const BRIGHT_SHARE: f64 = 0.8;
/// See [`BRIGHT_SHARE`].
pub const GLOW_SHARE: f64 = 0.2;

#[cfg(test)]
mod tests;
