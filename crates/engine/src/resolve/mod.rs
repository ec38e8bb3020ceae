//! From what was said to what is used: fills in assumed values and remembers each of them.
//!
//! Nothing assumed here is ever written back to the document. A removed part or wire is left out.

use std::sync::Arc;

use crate::document::{Network, Settings};
use crate::kind::Used;
use crate::quantity::Quantity;
use crate::subject::Subject;

mod part;
mod wire;

pub use part::{counting, made_for_v, rating};
pub use wire::UsedWire;

/// What a result rests on besides what was said: a value used because nothing or only a range was said, something left
/// out because nothing was said, or a simplification.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What it is about.
    pub subject: Subject,
    /// The key of the value in the job file.
    pub key: &'static str,
    /// The number used, when there is one.
    pub value: Option<Quantity>,
    /// The same in words: what is assumed and why; the same words for the same assumption about another subject.
    pub text: String,
    /// The value that is missing, in words, where checks therefore leave something out: no finding does not mean that
    /// all is well with it.
    pub unjudged: Option<String>,
}

/// The least, the used and the greatest value something may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<T> {
    /// Least.
    pub low: T,
    /// Used for readings.
    pub used: T,
    /// Greatest.
    pub high: T,
}

impl<T: Copy> Spread<T> {
    /// A value without doubt.
    pub fn exact(value: T) -> Spread<T> {
        Spread { low: value, used: value, high: value }
    }
}

/// A job ready for computation: parts and wires by their index in the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Resolved {
    /// The network this was made from.
    pub network: Arc<Network>,
    /// Nominal voltage in volts.
    pub nominal_v: f64,
    /// What holds for the whole job.
    pub settings: Settings,
    /// Values used by part; `None` for a part to be removed.
    pub parts: Vec<Option<Used>>,
    /// Values used by wire; `None` for a wire to be removed.
    pub wires: Vec<Option<UsedWire>>,
    /// Everything that was assumed.
    pub assumptions: Vec<Assumption>,
}

/// Decides every value of a job.
pub fn resolve(network: &Arc<Network>, settings: &Settings) -> Resolved {
    let mut assumptions = Vec::new();
    let part = |part| part::used(network, part, settings.nominal_v, &mut assumptions);
    let parts = network.parts.iter().map(part).collect();
    let wires = network.wires.iter().map(|wire| wire::used(wire, settings, &mut assumptions)).collect();
    Resolved {
        network: Arc::clone(network),
        nominal_v: settings.nominal_v,
        settings: settings.clone(),
        parts,
        wires,
        assumptions,
    }
}

#[cfg(test)]
mod tests;
