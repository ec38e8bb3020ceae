//! Edits that carry out the advice of a finding. Only what this job adds is ever changed.
//!
//! An edit here is an offer: [`crate::mend`] tries it and keeps it only where it helps.

use crate::conductor::{SOLD_MM2, ampacity};
use crate::document::wire::{CLASSES, GAUGES};
use crate::document::{Edit, Insulation, Network, Size, Status, Wire};
use crate::given::Given;
use crate::ids::{TerminalRef, WireId};
use crate::quantity::SquareMillimetres;
use crate::resolve::UsedWire;

/// The new wire with this id.
fn new_wire<'n>(network: &'n Network, id: &WireId) -> Option<&'n Wire> {
    network.wire(id).filter(|wire| wire.status == Status::New)
}

/// The smallest size that is sold and has at least `mm2`, in the system that `like` is of.
fn sold(mm2: f64, like: Option<Size>) -> Option<Size> {
    // Equal sizes may differ in the last digit, according to how they were computed.
    let enough = |size: &Size| size.area().get() >= mm2 * (1.0 - 1e-9);
    match like {
        Some(Size::Gauge(_)) => GAUGES.iter().copied().map(Size::Gauge).find(enough),
        _ => SOLD_MM2.iter().filter_map(|one| SquareMillimetres::new(*one)).map(Size::Metric).find(enough),
    }
}

/// A new wire in the smallest size that has at least `mm2`; nothing where it has as much already.
pub(super) fn larger(network: &Network, id: &WireId, mm2: f64) -> Vec<Edit> {
    let change = || {
        let wire = new_wire(network, id)?;
        let now = wire.size.known()?;
        let size = sold(mm2, Some(now)).filter(|size| size.area() > now.area())?;
        Some(Edit::ChangeWire(Wire { size: Given::Known(size), ..wire.clone() }))
    };
    change().into_iter().collect()
}

/// A new wire in the smallest size that can carry so many amperes where it runs.
pub(super) fn carrying(network: &Network, id: &WireId, used: &UsedWire, amps: f64) -> Vec<Edit> {
    let carries = |mm2: &f64| {
        SquareMillimetres::new(*mm2).is_some_and(|area| {
            ampacity(used.table, area, used.insulation, used.ambient, used.bundle).get() >= amps
        })
    };
    SOLD_MM2.iter().copied().find(carries).map_or_else(Vec::new, |mm2| larger(network, id, mm2))
}

/// A new wire with insulation of the first class that stands at least `celsius`.
pub(super) fn hotter(network: &Network, id: &WireId, celsius: f64) -> Vec<Edit> {
    let change = || {
        let wire = new_wire(network, id)?;
        let (class, _) = CLASSES.iter().find(|(_, stands)| *stands >= celsius)?;
        Some(Edit::ChangeWire(Wire { insulation: Some(Insulation::Class(*class)), ..wire.clone() }))
    };
    change().into_iter().collect()
}

/// What ends on two terminals exchanged; nothing where a wire that was there before would have to be moved.
pub(super) fn exchanged(network: &Network, one: &TerminalRef, other: &TerminalRef) -> Vec<Edit> {
    moved(network, |end| match end {
        end if end == one => Some(other),
        end if end == other => Some(one),
        _ => None,
    })
}

/// What ends on one terminal moved to another.
pub(super) fn taken_over(network: &Network, from: &TerminalRef, to: &TerminalRef) -> Vec<Edit> {
    moved(network, |end| (end == from).then_some(to))
}

/// Every end of a wire taken to where `to` says, if it says anything.
fn moved<'t>(network: &Network, to: impl Fn(&TerminalRef) -> Option<&'t TerminalRef>) -> Vec<Edit> {
    let mut edits = Vec::new();
    for wire in network.wires.iter().filter(|wire| wire.status != Status::Remove) {
        let [from, to] = [&wire.from, &wire.to].map(|end| to(end).unwrap_or(end));
        if (from, to) == (&wire.from, &wire.to) {
            continue;
        }
        if wire.status != Status::New {
            return Vec::new();
        }
        edits.push(Edit::ChangeWire(Wire { from: from.clone(), to: to.clone(), ..wire.clone() }));
    }
    edits
}

/// A new wire with something about it changed.
pub(super) fn changed(network: &Network, id: &WireId, change: impl FnOnce(&mut Wire)) -> Vec<Edit> {
    let Some(wire) = new_wire(network, id) else { return Vec::new() };
    let mut other = wire.clone();
    change(&mut other);
    vec![Edit::ChangeWire(other)]
}
