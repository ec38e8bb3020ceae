//! What a source reaches without a fuse, and how far along the wires.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, NetIndex};
use crate::document::{Status, Use};
use crate::kind::{Class, Law, Role};
use crate::resolve::UsedWire;
use crate::solve::Rest;

/// A wire reached without a fuse.
#[derive(Clone, Debug)]
pub(super) struct Reached {
    pub(super) branch: usize,
    /// Net at its far end.
    pub(super) far: NetIndex,
    /// Metres from the source point to its far end.
    pub(super) distance: f64,
    /// Metres of the wire itself.
    pub(super) own_m: f64,
    /// Whether every wire since the source point is sleeved.
    pub(super) sleeved: bool,
    /// Whether the source point is the post itself.
    pub(super) at_post: bool,
    /// Whether the length of every wire since the source point was said.
    pub(super) said: bool,
    /// The unfused wire before it.
    pub(super) before: Option<usize>,
    /// The source it hangs on, by branch; `None` behind a fuse.
    pub(super) source: Option<usize>,
}

/// Whether a branch passes current on without a fuse in this state.
pub(super) fn passes(circuit: &Circuit, rest: &Rest, index: usize, near: NetIndex) -> bool {
    let branch = &circuit.branches[index];
    let one_way = matches!(branch.law, Some(Law::Diode { .. }));
    branch.role == Role::Path
        && (rest.steady.conducting(index) || one_way && circuit.closed(index, &rest.state))
        && (!one_way || branch.from == near)
}

/// The wires a source reaches without a fuse, each over the shortest way.
pub(super) fn spread(context: &Context<'_>, rest: &Rest, source: usize) -> Vec<Reached> {
    let circuit = context.circuit;
    let post = circuit.branches[source].from;
    // Distances as whole micrometres, so that they can be ordered.
    let whole = |metres: f64| (metres * 1e6) as u64;
    let mut best: BTreeMap<NetIndex, Option<Reached>> = BTreeMap::new();
    let mut waiting = BinaryHeap::new();
    waiting.push(Reverse((0, post, usize::MAX)));
    let mut pending: BTreeMap<usize, Reached> = BTreeMap::new();
    let mut all = Vec::new();
    while let Some(Reverse((_, net, by))) = waiting.pop() {
        if best.contains_key(&net) {
            continue;
        }
        let here = pending.get(&by).cloned();
        best.insert(net, here.clone());
        for &index in &context.circuit.at[net] {
            let far = circuit.far_end(index, net);
            if far == CHASSIS || best.contains_key(&far) || !passes(circuit, rest, index, net) {
                continue;
            }
            let next = match context.wire_of(index) {
                Some((_, used)) => {
                    let found =
                        along(context, here.as_ref(), index, far, used, is_source_point(context, net));
                    Reached { source: Some(source), ..found }
                }
                // A contact or connector passes the distance on.
                None => Reached { far, ..here.clone().unwrap_or_else(|| at_post(index, far)) },
            };
            waiting.push(Reverse((whole(next.distance), far, index)));
            if context.wire_of(index).is_some() {
                all.push(next.clone());
            }
            pending.insert(index, next);
        }
    }
    all
}

fn at_post(branch: usize, far: NetIndex) -> Reached {
    Reached {
        branch,
        far,
        distance: 0.0,
        own_m: 0.0,
        sleeved: true,
        at_post: true,
        said: true,
        before: None,
        source: None,
    }
}

/// Whether a net is a bar or stud at which a thinner lead may begin.
fn is_source_point(context: &Context<'_>, net: NetIndex) -> bool {
    let network = &context.circuit.resolved.network;
    let is_bar = |part: &crate::document::Part| {
        part.kind.class == Class::Joint
            && part.kind.value("rating_a").is_some()
            && part.kind.value("contact_ohm").is_none()
    };
    context.circuit.nets[net].iter().any(|terminal| network.part(&terminal.part).is_some_and(is_bar))
}

fn along(
    context: &Context<'_>,
    here: Option<&Reached>,
    index: usize,
    far: NetIndex,
    used: &UsedWire,
    bar: bool,
) -> Reached {
    let alone = lead_alone(index, far, used);
    let fresh = |at_post: bool, before: Option<usize>| Reached { at_post, before, ..alone.clone() };
    let Some(here) = here else { return fresh(true, None) };
    let Some((last, last_used)) = context.wire_of(here.branch) else { return fresh(here.at_post, None) };
    let leaves_larger = used.area.used.get() < last_used.area.used.get();
    if last.used_for == Some(Use::StarterCable) || leaves_larger || bar {
        return fresh(false, Some(here.branch));
    }
    Reached {
        branch: index,
        far,
        distance: here.distance + alone.distance,
        sleeved: here.sleeved && alone.sleeved,
        at_post: here.at_post,
        said: here.said && alone.said,
        before: Some(here.branch),
        ..alone
    }
}

/// A lead that begins with this wire, away from the post.
fn lead_alone(branch: usize, far: NetIndex, used: &UsedWire) -> Reached {
    Reached {
        branch,
        far,
        distance: used.length.high.get(),
        own_m: used.length.high.get(),
        sleeved: used.sleeved,
        at_post: false,
        said: used.length_said(),
        before: None,
        source: None,
    }
}

/// Leads to fuses of their own that the fuses ahead of them do not protect.
pub(super) fn leads_behind_fuses(context: &Context<'_>) -> Vec<Reached> {
    let circuit = context.circuit;
    let zones = context.zones();
    let mut leads: BTreeMap<usize, (NetIndex, Reached)> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let flow = zones.inflow(zones.of(circuit.branches[branch].from));
        let factor = context.fuse_rule().factor;
        let is_protected = |amps: f64| used.ampacity().is_none_or(|stands| amps <= factor * stands.low.get());
        if flow.is_none_or(|(amps, _)| is_protected(amps)) {
            continue;
        }
        let Some(lead) = zones.lead(branch) else { continue };
        let new_fuse = lead
            .fuses
            .iter()
            .any(|fuse| context.part_of(*fuse).is_some_and(|(_, part)| part.status == Status::New));
        if wire.status == Status::New || new_fuse {
            leads.insert(branch, (lead.near, lead_alone(branch, lead.far, used)));
        }
    }
    // A lead of several wires is measured from the first of them; a thicker wire ahead is where it begins.
    leads
        .values()
        .map(|(near, last)| {
            let mut whole = last.clone();
            let (mut near, mut here, mut seen) = (*near, last.branch, BTreeSet::from([last.branch]));
            while let Some((next_near, next)) =
                wire_before(context, &leads, near, here).filter(|(_, next)| seen.insert(next.branch))
            {
                whole.distance += next.distance;
                whole.sleeved &= next.sleeved;
                whole.said &= next.said;
                whole.before = whole.before.or(Some(next.branch));
                (near, here) = (*next_near, next.branch);
            }
            whole
        })
        .collect()
}

/// The lead that ends where another begins, no thicker than it.
fn wire_before<'l>(
    context: &Context<'_>,
    leads: &'l BTreeMap<usize, (NetIndex, Reached)>,
    near: NetIndex,
    here: usize,
) -> Option<&'l (NetIndex, Reached)> {
    let circuit = context.circuit;
    let joint = walk(circuit, &[near], |index, _| {
        circuit.branches[index].role == Role::Path && context.wire_of(index).is_none()
    });
    if joint.iter().any(|(net, _)| is_source_point(context, *net)) {
        return None;
    }
    let area = |branch: usize| context.wire_of(branch).map_or(0.0, |(_, used)| used.area.used.get());
    let mut before = leads.values().filter(|(_, lead)| {
        lead.branch != here
            && joint.iter().any(|(net, _)| *net == lead.far)
            && area(lead.branch) <= area(here)
    });
    before.next()
}
