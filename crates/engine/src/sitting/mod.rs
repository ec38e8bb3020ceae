//! Sitting: the places on the vehicle plan at which parts need the least copper and nothing new is found.
//!
//! Copper follows from where both ends of every wire sit, so that all choices of places can be gone through in the order
//! of it without any check. The checks are run on each choice as it comes, and the first that brings no Stop and no Look
//! that the job does not have is the best: all with less copper have been tried. Where the search ends at its limit, what
//! has not been tried needs at least what would have come next.

use std::cmp::Ordering;

use crate::arrange;
use crate::document::{Document, Edit, Part, Status};
use crate::finding::{Finding, Severity};
use crate::ids::{PartId, PlaceId, WireId};
use crate::kind::Class;
use crate::sitting::order::{Ascending, Next};
use crate::sitting::task::{Cost, Task, copper};
use crate::sitting::tried::Trial;
use crate::sizing::Reason;
use crate::subject::Subject;

mod order;
mod task;
mod tried;
mod words;

pub use task::moved;
pub use words::weight;

/// Most parts that are given places together.
pub const MOST_PARTS: usize = 6;

/// How far a search goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Most {
    /// Choices on which the checks are run, besides the job as it is.
    pub checked: usize,
    /// Choices of places for one or some of the parts that are looked at for their copper.
    pub begun: usize,
}

impl Default for Most {
    fn default() -> Most {
        Most { checked: 200, begun: 100_000 }
    }
}

/// Places for the parts, and what follows from them.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// The place of each part, in the order in which they were named.
    pub places: Vec<PlaceId>,
    /// Copper of the wires that change, in square millimetres times metres.
    pub copper: f64,
    /// Copper of all wires of the job, in square millimetres times metres.
    pub job_copper: f64,
    /// Length of the wires that change, in metres.
    pub wire_m: f64,
    /// How many times these wires lead through sheet metal.
    pub n_bulkheads: usize,
    /// The load among those that these wires feed or lead back from that loses most on the way, and the share of the
    /// nominal voltage that it loses; `None` when no such load works in a situation that is looked at.
    pub drop: Option<(Subject, f64)>,
    /// Findings of Stop in the whole job.
    pub n_stops: usize,
    /// Findings of Look in the whole job.
    pub n_looks: usize,
    /// Stops and Looks that the job does not have as it is.
    pub come: Vec<Finding>,
    /// Stops and Looks of the job as it is that are found no more.
    pub gone: Vec<Finding>,
    /// Copper and passes to compare by.
    cost: Cost,
    /// The places by index, to compare by.
    at: Vec<usize>,
}

impl Tried {
    /// How many findings of this severity the job does not have as it is.
    pub fn n_new(&self, severity: Severity) -> usize {
        self.come.iter().filter(|finding| finding.severity == severity).count()
    }

    /// Whether it is better than another: the first difference counts, of new Stops, new Looks, copper, passes through
    /// sheet metal, drop, and the order of the places in the plan.
    fn compare(&self, other: &Tried) -> Ordering {
        let new = |tried: &Tried| (tried.n_new(Severity::Stop), tried.n_new(Severity::Look));
        // In millionths of a percent: what rounding leaves decides nothing.
        let drop =
            |tried: &Tried| tried.drop.as_ref().map_or(0, |(_, share)| libm::round(share * 1e8) as u64);
        (new(self), self.cost, drop(self), &self.at).cmp(&(new(other), other.cost, drop(other), &other.at))
    }
}

/// Why the length of a wire does not hang on the place of its part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StaysAs {
    /// It was typed.
    Typed,
    /// This part at its other end sits nowhere.
    EndsNowhere(PartId),
}

/// A wire whose length stays as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stays {
    /// The wire.
    pub wire: WireId,
    /// Why.
    pub why: StaysAs,
}

/// Where parts should sit.
#[derive(Clone, Debug, PartialEq)]
pub struct Sitting {
    /// The parts, in the order in which they were named.
    pub parts: Vec<PartId>,
    /// Where they sit now; `None` when one of them sits nowhere, or where it cannot stay.
    pub now: Option<Tried>,
    /// Everything that was tried, the best first; there is always one.
    pub tried: Vec<Tried>,
    /// Whether nothing better is possible.
    pub is_proved: bool,
    /// Where the search ended at its limit, the copper that everything left out has at least, in square millimetres times
    /// metres.
    pub left_out: Option<f64>,
    /// The wires whose length changes.
    pub wires: Vec<WireId>,
    /// Those among them that have no size, or a range of them: their copper is that of the size assumed.
    pub assumed: Vec<WireId>,
    /// The wires of these parts whose length stays.
    pub stays: Vec<Stays>,
    /// Places that a part cannot have because no routes lead from there to all it is wired to.
    pub not_joined: Vec<(PartId, PlaceId)>,
    /// The edits that give the parts the best places; none when they sit there.
    pub changes: Vec<Edit>,
    /// The job with them.
    pub document: Document,
}

impl Sitting {
    /// The best places that were tried.
    pub fn best(&self) -> &Tried {
        &self.tried[0]
    }

    /// Whether the parts sit at the best places.
    pub fn is_now_best(&self) -> bool {
        self.changes.is_empty() && self.now.is_some()
    }
}

/// Whether a part is one to ask about unasked: not what was there before, and not what stands where it stands because of
/// what it is.
pub fn may_be_moved(part: &Part) -> bool {
    let stands = matches!(part.kind.class, Class::Battery | Class::Donor | Class::Earth);
    part.status == Status::New && !stands
}

/// Finds the places at which parts need the least copper and nothing new is found.
///
/// Of one part every place is tried. Of several, choices are tried in the order of their copper until nothing better can
/// come. At most [`MOST_PARTS`] are asked about together, and the search goes as far as `most` lets it.
///
/// # Errors
///
/// When there is no plan, a part cannot be given a place, or no place is joined with all that it is wired to.
pub fn sit(document: &Document, parts: &[PartId], most: Most) -> Result<Sitting, Reason> {
    let task = Task::new(document, parts)?;
    let mut trial = Trial::new(&task);
    let now = task.now().map(|at| trial.of(&at));
    let mut tried: Vec<Tried> = now.iter().cloned().collect();
    let mut all = Ascending::new(&task, most.begun);
    let mut left = most.checked.max(1);
    let (mut good, mut bound): (Option<Cost>, Option<Cost>) = (None, None);
    loop {
        let (cost, at) = match all.next() {
            Next::Choice(cost, at) => (cost, at),
            Next::Limit(cost) => {
                bound = Some(cost);
                break;
            }
            Next::End => break,
        };
        // Of equal cost the drop decides, which only the circuit tells.
        if task.movable.len() > 1 && good.is_some_and(|good| cost > good) {
            break;
        }
        if now.as_ref().is_some_and(|now| now.at == at) {
            good = good.or(Some(cost));
            continue;
        }
        if left == 0 {
            bound = Some(cost);
            break;
        }
        left -= 1;
        let next = trial.of(&at);
        if next.come.is_empty() {
            good = good.or(Some(cost));
        }
        tried.push(next);
    }
    let Some(best) = tried.iter().min_by(|one, other| one.compare(other)).cloned() else {
        let what = match bound {
            None => "no routes join the places that the parts may have",
            Some(_) => "the search ended at its limit before each part had a place",
        };
        return Err(Reason { what: what.to_owned(), subject: None });
    };
    arrange::sort_by(&mut tried, Tried::compare);
    let is_proved = bound.is_none_or(|bound| best.come.is_empty() && copper(best.cost) <= copper(bound));
    let network = &document.network;
    let wires = task.wires();
    let has_a_size = |wire: &usize| network.wires[*wire].size.known().is_some();
    let id = |wire: &usize| network.wires[*wire].id.clone();
    Ok(Sitting {
        parts: task.movable.iter().map(|movable| network.parts[movable.part].id.clone()).collect(),
        now,
        is_proved,
        left_out: bound.map(copper),
        wires: wires.iter().map(id).collect(),
        assumed: wires.iter().filter(|wire| !has_a_size(wire)).map(id).collect(),
        changes: task.edits(&best.at),
        document: task.document(&best.at),
        tried,
        stays: task.stays,
        not_joined: task.not_joined,
    })
}

#[cfg(test)]
mod tests;
