//! Sizing: the least copper and the smallest fuses that pass every check, and how far from the best that may be.
//!
//! Of a job only new wires and fuses change. Fuses come first: what a wire must stand grows with the fuse ahead of it.
//! Then the checks on single wires give each wire a least size, and the loss of voltage on the way of each load asks
//! for more where it is dearest to lose it. A result is one on which the checks themselves find nothing new: they are
//! run on the resized job, and what they name is raised until they are content. That no wire can be a size smaller is
//! tried out on them as well, and what they say then is what holds its size.

use std::collections::BTreeSet;

use crate::arrange;
use crate::document::{Document, Edit, Network, Size};
use crate::finding::Finding;
use crate::given::Given;
use crate::ids::WireId;
use crate::kind::Value;
use crate::quantity::Amps;
use crate::sizing::model::Model;
use crate::sizing::task::{Choice, Task, looked_at};
use crate::subject::Subject;

mod choose;
mod exact;
mod fuses;
mod model;
mod series;
mod task;

pub use series::{kilograms, ratings};

/// What keeps a wire from being a size smaller.
#[derive(Clone, Debug, PartialEq)]
pub enum Hold {
    /// Its current.
    Current,
    /// The fuse ahead of it.
    Fuse,
    /// The largest fuse among the loads it leads back from.
    Return,
    /// The voltage of this load.
    Drop(Subject),
    /// A short circuit: that it endures it, or that the fuse opens in time.
    ShortCircuit,
    /// The least size that lasts.
    SmallestSize,
    /// No smaller size is sold.
    SmallestSold,
    /// Another check, by its name.
    Check(&'static str),
}

impl Hold {
    /// In words, to stand in a table.
    pub fn words(&self, network: &Network) -> String {
        match self {
            Hold::Current => "current".to_owned(),
            Hold::Fuse => "fuse".to_owned(),
            Hold::Return => "fuse of the loads it leads back from".to_owned(),
            Hold::Drop(load) => format!("drop of {}", load.title(network)),
            Hold::ShortCircuit => "short circuit".to_owned(),
            Hold::SmallestSize => "smallest size that lasts".to_owned(),
            Hold::SmallestSold => "smallest size sold".to_owned(),
            Hold::Check(name) => (*name).to_owned(),
        }
    }

    /// The word in command replies.
    pub fn word(&self) -> &'static str {
        match self {
            Hold::Current => "current",
            Hold::Fuse => "fuse",
            Hold::Return => "return",
            Hold::Drop(_) => "drop",
            Hold::ShortCircuit => "short circuit",
            Hold::SmallestSize => "smallest size",
            Hold::SmallestSold => "smallest sold",
            Hold::Check(name) => name,
        }
    }
}

/// One wire that may change.
#[derive(Clone, Debug, PartialEq)]
pub struct SizedWire {
    /// The wire.
    pub subject: Subject,
    /// Its size as it is; `None` when that is not one size.
    pub before: Option<Size>,
    /// Its size as it should be.
    pub after: Size,
    /// What keeps it from being a size smaller.
    pub hold: Hold,
    /// What would be found if it were; empty where no smaller size is sold.
    pub otherwise: String,
}

/// One fuse that may change.
#[derive(Clone, Debug, PartialEq)]
pub struct SizedFuse {
    /// The fuse.
    pub subject: Subject,
    /// Its rating as it is; `None` when that is not known.
    pub before: Option<Amps>,
    /// Its rating as it should be.
    pub after: Amps,
}

/// A job given sizes and ratings that pass every check.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizing {
    /// The job with them.
    pub document: Document,
    /// The edits that lead to it.
    pub changes: Vec<Edit>,
    /// The wires that may change, in document order.
    pub wires: Vec<SizedWire>,
    /// The fuses that may change, in document order.
    pub fuses: Vec<SizedFuse>,
    /// Copper of these wires as they are, in square millimetres times metres; `None` when a size is not known.
    pub copper_before: Option<f64>,
    /// Copper of these wires as they should be, in square millimetres times metres.
    pub copper_after: f64,
    /// No sizes of the series that pass with these fuses, and the currents as they now are, have less copper.
    pub bound: f64,
}

impl Sizing {
    /// Whether no sizes that pass have less copper.
    pub fn is_least(&self) -> bool {
        self.gap() <= 1e-9
    }

    /// How much more copper it has than the bound, as a share of the bound.
    pub fn gap(&self) -> f64 {
        if self.bound > 0.0 { self.copper_after / self.bound - 1.0 } else { 0.0 }
    }
}

/// Why no sizes pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Reason {
    /// In words: which wire or load, and what it fails.
    pub what: String,
    /// The wire or load, where it is one.
    pub subject: Option<Subject>,
}

/// Whether a check is one about sizes and ratings: what it finds on what may change has to go.
fn finds_sizes(check: &str) -> bool {
    matches!(
        check,
        "undersized-conductor"
            | "fuse-larger-than-wire"
            | "volt-drop"
            | "short-circuit-withstand"
            | "fault-too-small-to-blow"
            | "too-thin-to-handle"
    )
}

/// Gives the new wires and fuses of a job sizes and ratings that pass every check; with `chosen` only these wires.
///
/// # Errors
///
/// When nothing passes, or what must be known is not: which wire or load, and why.
pub fn size(document: &Document, chosen: Option<&[WireId]>) -> Result<Sizing, Reason> {
    let task = Task::new(document, chosen)?;
    let mut choice = task.ample();
    fuses::raise(&task, &mut choice);
    let mut held: Option<(f64, Choice)> = None;
    // Once with the currents of the largest sizes, and again with those of what came out.
    for _ in 0..2 {
        let model = match looked_at(&task.document(&choice), |context| Model::of(context, &task)) {
            Ok(model) => model,
            Err(reason) if held.is_none() => return Err(reason),
            // What passes is held; only nothing better comes of other currents.
            Err(_) => break,
        };
        let Some(sizes) = choose::greedy(&model) else { break };
        choice.sizes = sizes;
        match content(&task, &mut choice) {
            Ok(()) => {}
            Err(reason) if held.is_none() => return Err(reason),
            Err(_) => break,
        }
        let copper = task.copper(&choice);
        if held.as_ref().is_none_or(|(known, _)| copper < *known) {
            held = Some((copper, choice.clone()));
        }
    }
    let Some((_, mut choice)) = held else {
        return Err(Reason { what: "no sizes leave every load enough voltage".to_owned(), subject: None });
    };
    fuses::keep(&task, &mut choice);
    let mut holds = lower(&task, &mut choice);
    let mut model = model_at(&task, &choice);
    let mut bound = choose::bound(&model, task.copper(&choice));
    // What the search finds better is taken when the checks agree, and then the currents are others once more.
    for _ in 0..MOST_SEARCHES {
        let found = exact::search(&model, choice.sizes.clone(), &bound);
        bound.copper = bound.copper.max(found.at_least);
        let mut better = Choice { sizes: found.sizes, ratings: choice.ratings.clone() };
        if better == choice || content(&task, &mut better).is_err() {
            break;
        }
        let holds_better = lower(&task, &mut better);
        if better.ratings != choice.ratings || task.copper(&better) >= task.copper(&choice) {
            break;
        }
        (choice, holds) = (better, holds_better);
        model = model_at(&task, &choice);
        bound = choose::bound(&model, task.copper(&choice));
    }
    Ok(told(&task, &choice, holds, bound.copper))
}

/// The model with the currents of a choice that passes.
fn model_at(task: &Task<'_>, choice: &Choice) -> Model {
    let model = looked_at(&task.document(choice), |context| Model::of(context, task));
    // Where even the largest sizes do not do what the model asks, it tells nothing of what passes.
    let mut model = model.unwrap_or_else(|_| Model::free(task));
    model.admit(&choice.sizes);
    model
}

/// Most searches for something better, each with the currents of what the one before found.
const MOST_SEARCHES: usize = 4;

/// Raises what the checks name until they are content.
fn content(task: &Task<'_>, choice: &mut Choice) -> Result<(), Reason> {
    loop {
        let objections = task.objections(choice);
        let Some(first) = objections.first() else { return Ok(()) };
        // Currents grow with sizes, and some fuses have to stand more than their loads.
        if fuses::raise_named(task, choice, &objections) {
            continue;
        }
        let raised: BTreeSet<usize> =
            arrange::set_of(objections.iter().filter_map(|finding| cheapest_touched(task, choice, finding)));
        for wire in &raised {
            choice.sizes[*wire] += 1;
        }
        if raised.is_empty() {
            let what = format!("nothing passes: {}", first.message);
            return Err(Reason { what, subject: Some(first.subject.clone()) });
        }
    }
}

/// The free wire that a finding touches whose next size costs the least copper, of those that can be raised.
fn cheapest_touched(task: &Task<'_>, choice: &Choice, finding: &Finding) -> Option<usize> {
    let costs = |wire: usize| {
        let copper = &task.wires[wire].copper;
        copper.get(choice.sizes[wire] + 1).map(|next| next - copper[choice.sizes[wire]])
    };
    // What a finding is about comes before what merely lies on the way.
    let own = task.touched(finding).find(|wire| task.wires[*wire].subject == finding.subject);
    let of = |wire: usize| Some((costs(wire)?, wire));
    let touched = || task.touched(finding).filter_map(of).min_by(|a, b| a.0.total_cmp(&b.0));
    own.and_then(of).or_else(touched).map(|(_, wire)| wire)
}

/// Makes each wire as small as the checks let it be, the one that saves most first, and tells what holds it there.
fn lower(task: &Task<'_>, choice: &mut Choice) -> Vec<Option<Finding>> {
    let mut holds: Vec<Option<Finding>> = vec![None; task.wires.len()];
    let mut order: Vec<usize> = (0..task.wires.len()).collect();
    let copper: Vec<f64> =
        task.wires.iter().zip(&choice.sizes).map(|(wire, size)| wire.copper[*size]).collect();
    arrange::sort_by(&mut order, |a, b| copper[*b].total_cmp(&copper[*a]));
    for wire in order {
        while choice.sizes[wire] > 0 {
            choice.sizes[wire] -= 1;
            let objections = task.objections(choice);
            let about_it = |finding: &&Finding| task.touched(finding).any(|touched| touched == wire);
            let objection = objections.iter().find(about_it).or(objections.first()).cloned();
            if objection.is_some() {
                choice.sizes[wire] += 1;
                holds[wire] = objection;
                break;
            }
        }
    }
    holds
}

fn told(task: &Task<'_>, choice: &Choice, holds: Vec<Option<Finding>>, bound: f64) -> Sizing {
    let document = task.document(choice);
    let copper_after = task.copper(choice);
    let earth_side = looked_at(&document, |context| {
        let is_earth_side = |subject: &Subject| {
            let circuit = context.circuit;
            let branch = (0..circuit.branches.len()).find(|branch| circuit.subject(*branch) == *subject);
            branch.is_some_and(|branch| !context.supplied[circuit.branches[branch].from])
        };
        task.wires.iter().map(|wire| is_earth_side(&wire.subject)).collect::<Vec<bool>>()
    });
    let wires = task.wires.iter().zip(&choice.sizes).zip(holds).zip(earth_side);
    let wires = wires.map(|(((wire, size), finding), earth_side)| SizedWire {
        subject: wire.subject.clone(),
        before: match task.document.network.wires[wire.index].size {
            Given::Known(size) => Some(size),
            _ => None,
        },
        after: wire.series[*size],
        hold: finding.as_ref().map_or(Hold::SmallestSold, |finding| hold(finding, earth_side)),
        otherwise: finding.map_or_else(String::new, |finding| finding.message),
    });
    let fuses = task.fuses.iter().zip(&choice.ratings).filter_map(|(fuse, rating)| {
        let before = match task.document.network.parts[fuse.index].values.get("rating_a") {
            Given::Known(Value::Number(amps)) => Amps::new(amps),
            _ => None,
        };
        Some(SizedFuse { subject: fuse.subject.clone(), before, after: Amps::new(fuse.series[*rating])? })
    });
    Sizing {
        wires: wires.collect(),
        fuses: fuses.collect(),
        changes: task.edits(choice),
        copper_before: task.copper_before(),
        copper_after,
        bound,
        document,
    }
}

/// What a finding says holds a wire.
fn hold(finding: &Finding, earth_side: bool) -> Hold {
    match finding.check {
        "undersized-conductor" => Hold::Current,
        "fuse-larger-than-wire" if earth_side => Hold::Return,
        "fuse-larger-than-wire" => Hold::Fuse,
        "volt-drop" => Hold::Drop(finding.subject.clone()),
        "short-circuit-withstand" | "fault-too-small-to-blow" => Hold::ShortCircuit,
        "too-thin-to-handle" => Hold::SmallestSize,
        name => Hold::Check(name),
    }
}

#[cfg(test)]
mod tests;
