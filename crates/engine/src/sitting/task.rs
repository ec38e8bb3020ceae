//! What is to be given a place, where that may be, and what each choice of places costs.

use std::cell::OnceCell;
use std::sync::Arc;

use crate::document::{Document, Edit, Network, Part, Status};
use crate::ids::{PartId, PlaceId};
use crate::laid;
use crate::resolve::Resolved;
use crate::route::{Roads, way_by};
use crate::sitting::{MOST_PARTS, Stays, StaysAs};
use crate::sizing::Reason;
use crate::subject::Subject;

/// Copper and passes through sheet metal of some wires in one number, so that the copper is compared first: copper in
/// millionths of a square millimetre times metre, and below it the number of passes.
pub(super) type Cost = u128;

/// Passes through sheet metal: fewer than this, as a job has fewer wires and each of them fewer routes.
const PASSES: Cost = 1 << 40;

/// The cost of one wire. It is rounded wire by wire, so that the order of adding decides nothing.
fn cost(mm2_m: f64, n_bulkheads: usize) -> Cost {
    libm::round(mm2_m * 1e6) as Cost * PASSES + n_bulkheads as Cost
}

/// The copper of a cost in square millimetres times metres.
pub(super) fn copper(cost: Cost) -> f64 {
    (cost / PASSES) as f64 / 1e6
}

/// A part that is to be given a place.
pub(super) struct Movable {
    /// Its index in the network.
    pub part: usize,
    /// The places it may have, by their index in the plan.
    pub places: Vec<usize>,
    /// What those of its wires that lead to nothing else that moves cost at each of them.
    pub alone: Vec<Cost>,
}

/// Wires between two parts that are both to be given a place.
pub(super) struct Between {
    /// The two, by their place among the movable ones.
    pub ends: [usize; 2],
    wires: Vec<usize>,
    /// By the places of both, worked out when they are first asked for.
    costs: Vec<OnceCell<Option<Cost>>>,
}

/// One end of a wire.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    /// At a place that stays, or at none.
    Fixed(Option<usize>),
    /// At a part that is to be given a place.
    Moved(usize),
}

/// A wire whose length hangs on what is chosen.
struct MovedWire {
    index: usize,
    ends: [End; 2],
    mm2: f64,
    via: Vec<usize>,
}

/// A job and what is asked of it.
pub(super) struct Task<'d> {
    pub document: &'d Document,
    roads: Roads<'d>,
    pub movable: Vec<Movable>,
    pub between: Vec<Between>,
    moved: Vec<MovedWire>,
    /// Wires of these parts whose length stays as it is.
    pub stays: Vec<Stays>,
    /// Places that a part cannot have because no routes lead from there to all it is wired to.
    pub not_joined: Vec<(PartId, PlaceId)>,
}

impl<'d> Task<'d> {
    /// What is asked when `parts` are to be given places.
    pub fn new(document: &'d Document, parts: &[PartId]) -> Result<Task<'d>, Reason> {
        let network = &document.network;
        let plain = |what: &str| Reason { what: what.to_owned(), subject: None };
        if document.plan.places.iter().all(|place| place.passing) {
            return Err(plain("the job has no vehicle plan with a place where a part can sit"));
        }
        if parts.is_empty() {
            return Err(plain("no part is named"));
        }
        if parts.len() > MOST_PARTS {
            return Err(plain(&format!("at most {MOST_PARTS} parts are given places together")));
        }
        let mut indices: Vec<usize> = Vec::new();
        for id in parts {
            let index = movable(network, id)?;
            if !indices.contains(&index) {
                indices.push(index);
            }
        }
        let roads = Roads::new(&document.plan);
        let movable = indices.into_iter();
        let movable = movable.map(|part| Movable { part, places: Vec::new(), alone: Vec::new() });
        let mut task = Task {
            document,
            roads,
            movable: movable.collect(),
            between: Vec::new(),
            moved: Vec::new(),
            stays: Vec::new(),
            not_joined: Vec::new(),
        };
        task.take_wires(&laid::circuit(document).resolved);
        task.take_places()?;
        task.take_pairs();
        Ok(task)
    }

    /// The end of a wire at a part.
    fn end_at(&self, part: &Part) -> End {
        let is_at = |id: &PartId| {
            self.movable.iter().position(|movable| self.document.network.parts[movable.part].id == *id)
        };
        if let Some(movable) = is_at(&part.id).or_else(|| is_at(part.holder()?)) {
            return End::Moved(movable);
        }
        let place = self.document.network.place_of(part);
        End::Fixed(place.and_then(|place| self.roads.index(place)))
    }

    /// Sorts the wires at the movable parts into those whose length changes and those that stay.
    fn take_wires(&mut self, resolved: &Resolved) {
        let network = &self.document.network;
        for (index, wire) in network.wires.iter().enumerate() {
            let parts = [&wire.from, &wire.to].map(|end| network.part(&end.part));
            let (Some(used), [Some(from), Some(to)]) = (&resolved.wires[index], parts) else { continue };
            let ends = [self.end_at(from), self.end_at(to)];
            if !ends.iter().any(|end| matches!(end, End::Moved(_))) {
                continue;
            }
            let nowhere = ends.iter().zip([from, to]).find(|(end, _)| **end == End::Fixed(None));
            let why = match nowhere {
                _ if wire.length.is_said() => Some(StaysAs::Typed),
                Some((_, part)) => Some(StaysAs::EndsNowhere(part.id.clone())),
                None => None,
            };
            match why {
                Some(why) => self.stays.push(Stays { wire: wire.id.clone(), why }),
                None => self.moved.push(MovedWire {
                    index,
                    ends,
                    mm2: used.area.used.get(),
                    via: wire.via.iter().filter_map(|id| self.roads.index(id)).collect(),
                }),
            }
        }
    }

    /// Finds the places that each part may have.
    fn take_places(&mut self) -> Result<(), Reason> {
        for number in 0..self.movable.len() {
            let part = &self.document.network.parts[self.movable[number].part];
            let (mut places, mut alone) = (Vec::new(), Vec::new());
            for (place, told) in self.document.plan.places.iter().enumerate() {
                if told.passing {
                    continue;
                }
                let at = |end: End| match end {
                    End::Fixed(place) => Some(place),
                    End::Moved(other) => (other == number).then_some(Some(place)),
                };
                // Wires to another part that moves are seen to with that.
                let costs = self.moved.iter().filter_map(|wire| {
                    let ends = [at(wire.ends[0])?, at(wire.ends[1])?];
                    wire.ends.contains(&End::Moved(number)).then(|| self.cost_of(wire, [ends[0]?, ends[1]?]))
                });
                match costs.sum::<Option<Cost>>() {
                    Some(cost) => {
                        places.push(place);
                        alone.push(cost);
                    }
                    None => self.not_joined.push((part.id.clone(), told.id.clone())),
                }
            }
            if places.is_empty() {
                let subject = Subject::Part(part.id.clone());
                let title = subject.title(&self.document.network);
                let what = format!("from no place do routes lead to all that {title} is wired to");
                return Err(Reason { what, subject: Some(subject) });
            }
            (self.movable[number].places, self.movable[number].alone) = (places, alone);
        }
        Ok(())
    }

    fn take_pairs(&mut self) {
        for one in 0..self.movable.len() {
            for other in one + 1..self.movable.len() {
                let joins = |wire: &MovedWire| {
                    wire.ends.contains(&End::Moved(one)) && wire.ends.contains(&End::Moved(other))
                };
                let wires: Vec<usize> =
                    (0..self.moved.len()).filter(|wire| joins(&self.moved[*wire])).collect();
                if !wires.is_empty() {
                    let n_costs = self.movable[one].places.len() * self.movable[other].places.len();
                    let costs = vec![OnceCell::new(); n_costs];
                    self.between.push(Between { ends: [one, other], wires, costs });
                }
            }
        }
    }

    /// What a wire costs between two places; `None` when no routes join them.
    fn cost_of(&self, wire: &MovedWire, ends: [usize; 2]) -> Option<Cost> {
        let Document { plan, settings, .. } = self.document;
        let way = way_by(plan, settings, &self.roads, ends, &wire.via).ok()?;
        Some(cost(wire.mm2 * way.length.high.get(), way.n_bulkheads(plan)))
    }

    /// What the wires between two parts cost at these of their places; `None` when no routes join them.
    pub fn cost_between(&self, between: &Between, at: [usize; 2]) -> Option<Cost> {
        let [one, other] = between.ends.map(|end| &self.movable[end]);
        *between.costs[at[0] * other.places.len() + at[1]].get_or_init(|| {
            let place = |end: End| match end {
                End::Moved(end) if end == between.ends[0] => Some(one.places[at[0]]),
                End::Moved(_) => Some(other.places[at[1]]),
                End::Fixed(place) => place,
            };
            let of = |wire: &usize| {
                let wire = &self.moved[*wire];
                self.cost_of(wire, [place(wire.ends[0])?, place(wire.ends[1])?])
            };
            between.wires.iter().map(of).sum()
        })
    }

    /// What everything that changes costs when each part is at this one of its places.
    pub fn cost(&self, at: &[usize]) -> Option<Cost> {
        let alone: Cost = self.movable.iter().zip(at).map(|(movable, at)| movable.alone[*at]).sum();
        let pairs =
            self.between.iter().map(|between| self.cost_between(between, between.ends.map(|end| at[end])));
        Some(alone + pairs.sum::<Option<Cost>>()?)
    }

    /// The places that the parts have now, if all have one that they may have.
    pub fn now(&self) -> Option<Vec<usize>> {
        let at = self.movable.iter().map(|movable| {
            let part = &self.document.network.parts[movable.part];
            let place = self.roads.index(part.place.as_ref()?)?;
            movable.places.iter().position(|other| *other == place)
        });
        let at: Vec<usize> = at.collect::<Option<_>>()?;
        self.cost(&at).map(|_| at)
    }

    /// The parts that change, with their places.
    fn changed(&self, at: &[usize]) -> Vec<Part> {
        let Document { network, plan, .. } = self.document;
        let places = self.movable.iter().zip(at).map(|(movable, at)| (movable.part, movable.places[*at]));
        places.flat_map(|(part, place)| changed(network, part, &plan.places[place].id)).collect()
    }

    /// The edits that make a choice.
    pub fn edits(&self, at: &[usize]) -> Vec<Edit> {
        self.changed(at).into_iter().map(Edit::ChangePart).collect()
    }

    /// The job with a choice made.
    pub fn document(&self, at: &[usize]) -> Document {
        with(self.document, self.changed(at))
    }

    /// The wires whose length hangs on what is chosen, by their index in the network.
    pub fn wires(&self) -> Vec<usize> {
        self.moved.iter().map(|wire| wire.index).collect()
    }
}

/// What changes when a part is moved to a place: the part, and the fuses with a seat in it that are said to sit at a place
/// of their own.
fn changed(network: &Network, part: usize, place: &PlaceId) -> Vec<Part> {
    let moves = |index: usize, part_of: &Part| {
        index == part || (part_of.holder() == Some(&network.parts[part].id) && part_of.place.is_some())
    };
    let parts = network.parts.iter().enumerate().filter(|(index, part)| moves(*index, part));
    let changed = parts.filter(|(_, part)| part.place.as_ref() != Some(place));
    changed.map(|(_, part)| Part { place: Some(place.clone()), ..part.clone() }).collect()
}

/// A job with some of its parts as they become.
fn with(document: &Document, changed: Vec<Part>) -> Document {
    let mut document = document.clone();
    if !changed.is_empty() {
        let network = Arc::make_mut(&mut document.network);
        for part in changed {
            if let Some(old) = network.parts.iter_mut().find(|old| old.id == part.id) {
                *old = part;
            }
        }
    }
    document
}

/// A job with parts moved to places; `None` when there is no such part that can be moved, or no such place for parts.
pub fn moved(document: &Document, places: &[(PartId, PlaceId)]) -> Option<Document> {
    let mut now = document.clone();
    for (part, place) in places {
        let part = movable(&document.network, part).ok()?;
        let place = document.plan.place(place).filter(|place| !place.passing)?;
        now = with(&now, changed(&now.network, part, &place.id));
    }
    Some(now)
}

/// The index of a part, if it can be given a place.
fn movable(network: &Network, id: &PartId) -> Result<usize, Reason> {
    let subject = Subject::Part(id.clone());
    let title = subject.title(network);
    let refuse = |what: String| Err(Reason { what, subject: Some(subject) });
    let Some(index) = network.parts.iter().position(|part| part.id == *id) else {
        return Err(Reason { what: format!("there is no part `{id}`"), subject: None });
    };
    let part = &network.parts[index];
    if part.status == Status::Remove {
        return refuse(format!("{title} is to be removed"));
    }
    match part.holder().filter(|holder| network.part(holder).is_some()) {
        Some(holder) => {
            let holder = Subject::Part(holder.clone()).title(network);
            refuse(format!("{title} has its seat in {holder} and goes where that goes"))
        }
        None => Ok(index),
    }
}
