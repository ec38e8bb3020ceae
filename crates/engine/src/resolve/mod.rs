//! From what was said to what is used: fills in assumed values and remembers each of them.
//!
//! Nothing assumed here is ever written back to the document. A removed part or wire is left out.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::document::{Network, Part, Plan, Settings, Status, Surroundings, Wire};
use crate::ids::WireId;
use crate::kind::Used;
use crate::quantity::Quantity;
use crate::route::{self, Ways};
use crate::subject::Subject;

mod part;
mod wire;

pub use part::{counting, made_for_v, rating};
pub use wire::{LengthFrom, UsedWire};

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
    /// The places and routes that wires are led along.
    pub plan: Arc<Plan>,
    /// The way of each wire.
    pub ways: Arc<Ways>,
    /// How many wires carry a load beside a wire, itself included, as far as that was worked out from currents.
    pub loaded: Arc<Loaded>,
    /// Values used by part; `None` for a part to be removed.
    pub parts: Vec<Option<Used>>,
    /// Values used by wire; `None` for a wire to be removed.
    pub wires: Vec<Option<UsedWire>>,
    /// Everything that was assumed.
    pub assumptions: Vec<Assumption>,
}

/// How many wires carry a load on the fullest piece of the way of each wire, itself included.
pub type Loaded = BTreeMap<WireId, u32>;

/// Decides every value of a job without a plan.
pub fn resolve(network: &Arc<Network>, settings: &Settings) -> Resolved {
    resolve_laid(network, settings, &Arc::default(), &Arc::default())
}

/// Decides every value of a job whose wires are led along a plan. Of wires that are not in `loaded`, everything that lies
/// beside them counts as carrying a load.
pub fn resolve_laid(
    network: &Arc<Network>,
    settings: &Settings,
    plan: &Arc<Plan>,
    loaded: &Arc<Loaded>,
) -> Resolved {
    let mut assumptions = Vec::new();
    let part = |part| part::used(network, part, settings.nominal_v, &mut assumptions);
    let parts = network.parts.iter().map(part).collect();
    let ways = route::ways(network, plan, settings);
    let on_routes = ways.on_routes(plan);
    let is_there = |wire: &Wire| wire.status != Status::Remove;
    let n_without_way =
        network.wires.iter().zip(&ways.wires).filter(|(wire, way)| is_there(wire) && way.is_err()).count();
    let wires = network.wires.iter().zip(&ways.wires).map(|(wire, way)| {
        let loaded = loaded.get(&wire.id).copied();
        let beside = wire::Beside { way, plan, on_routes: &on_routes, loaded, n_without_way };
        wire::used(wire, &beside, settings, &mut assumptions)
    });
    let wires = wires.collect();
    Resolved {
        network: Arc::clone(network),
        nominal_v: settings.nominal_v,
        settings: settings.clone(),
        plan: Arc::clone(plan),
        ways: Arc::new(ways),
        loaded: Arc::clone(loaded),
        parts,
        wires,
        assumptions,
    }
}

impl Resolved {
    /// What the air around a part is like: as said of it, else as at its place.
    pub fn surroundings_of(&self, part: &Part) -> Option<Surroundings> {
        route::surroundings_of(&self.network, &self.plan, part)
    }

    /// Whether a part gets wet; `None` when that is not known.
    pub fn is_wet(&self, part: &Part) -> Option<bool> {
        route::is_wet(&self.network, &self.plan, part)
    }
}

#[cfg(test)]
mod tests;
