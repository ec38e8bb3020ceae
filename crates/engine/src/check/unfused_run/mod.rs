//! Runs from a source without a fuse, or with the fuse too far away.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::series::chains;
use crate::circuit::{CHASSIS, Circuit, Gate, Origin};
use crate::document::{Status, Use};
use crate::finding::{Finding, Harm, Severity};
use crate::kind::{Law, Role};
use crate::resolve::UsedWire;
use crate::solve::Rest;

use leads::{Reached, leads_behind_fuses, passes, spread};
use told::finding;

mod leads;
mod put_in;
mod told;

declare_check! {
    /// Finds wires that a battery feeds without a fuse, and leads whose fuse sits too far from it.
    ///
    /// # What it checks
    ///
    /// In each state the circuit comes to, everything that a battery's positive pole reaches without passing a fuse or
    /// breaker.
    /// A lead that ends at a fuse is measured along the wire from its source point (the post, a bar, or where it
    /// leaves a larger wire): up to 200 mm passes, in a sleeve up to 1.0 m, in a sleeve straight from the post up to
    /// 1.83 m is a Note; up to half a metre more is Look, beyond is Stop, or Look where the length is not known.
    /// A lead that the fuse ahead of it does not protect is measured in the same way, and so is the link between two
    /// batteries in series, unless a starter cable begins at their post: then it is one.
    /// Exempt are wires marked as starter cable, existing wiring that nothing new is joined to, signals from a circuit of
    /// the vehicle, which has a fuse of its own, and from an alternator wires that can carry the most it delivers.
    ///
    /// # Why it matters
    ///
    /// A battery drives hundreds of amperes into a short circuit; an unfused wire that chafes through burns the vehicle.
    ///
    /// # Example
    ///
    /// A relay fed straight from the battery post, its fuse forgotten.
    ///
    /// # What to do
    ///
    /// Put a fuse at the source point, sized for the thinnest wire behind it.
    name: "unfused-run",
    summary: "a battery feeds a wire without a fuse near enough",
    harm: Harm::Fire,
    explained_by: &["supply-shorted", "fuse-larger-than-wire"],
    run: run,
}

/// Longest lead to its fuse in metres: bare (ISO 10133:2000 clause 8.1), in a sleeve (33 CFR 183.455(b)(2): 40 in,
/// here 1.0 m), and in a sleeve straight from the post (ABYC E-11: 72 in).
const BARE_M: f64 = 0.2;
const SLEEVED_M: f64 = 1.0;
const SLEEVED_AT_POST_M: f64 = 1.83;

/// How much farther is still Look (common practice, no source).
const LOOK_BEYOND_M: f64 = 0.5;

const SOURCE: &str =
    "ISO 10133:2000 clause 8.1 (200 mm); 33 CFR 183.455(b)(2) (in a sleeve); ABYC E-11 (at the post)";

/// What is wrong with a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fault {
    /// It hangs on a source that limits itself, at a current that was not said.
    LimitNotKnown,
    /// It leads to something that uses energy.
    NoFuse,
    /// It leads only to fuses, this far away.
    Far { metres: f64, allowed: f64, severity: Severity },
    /// It leads only to the next of batteries in series, this far away.
    Link { metres: f64, allowed: f64, severity: Severity },
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let sources: Vec<usize> = circuit.sources().collect();
    let mut faults: BTreeMap<usize, (Reached, Fault)> = BTreeMap::new();
    // Many situations close the same contacts; one of each kind is enough.
    let mut seen = BTreeSet::new();
    for surveyed in &context.survey.situations {
        for reached in &surveyed.solution.reached {
            let closed: Vec<bool> =
                (0..circuit.branches.len()).map(|index| circuit.closed(index, &reached.rest.state)).collect();
            if !seen.insert(closed) {
                continue;
            }
            for source in &sources {
                for found in spread(context, &reached.rest, *source) {
                    if let Some(fault) = judge(context, &reached.rest, *source, &found) {
                        let graver = |old: &(Reached, Fault)| weight(&fault) > weight(&old.1);
                        if faults.get(&found.branch).is_none_or(graver) {
                            faults.insert(found.branch, (found, fault));
                        }
                    }
                }
            }
        }
    }
    for found in leads_behind_fuses(context) {
        if let Some(fault) = too_far(&found) {
            faults.entry(found.branch).or_insert((found, fault));
        }
    }
    // Wires that follow one another without a fuse are one fault, told at the first of them.
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for branch in faults.keys() {
        groups.entry(first(&faults, *branch)).or_default().push(*branch);
    }
    for (root, members) in groups {
        findings.push(finding(context, &faults, root, &members));
    }
}

fn weight(fault: &Fault) -> (u8, u64) {
    match fault {
        Fault::LimitNotKnown => (0, 0),
        Fault::NoFuse => (2, 0),
        Fault::Far { metres, .. } | Fault::Link { metres, .. } => (1, (metres * 1e6) as u64),
    }
}

fn first(faults: &BTreeMap<usize, (Reached, Fault)>, branch: usize) -> usize {
    let mut root = branch;
    let mut seen = BTreeSet::new();
    while let Some(before) = faults[&root].0.before
        && faults.contains_key(&before)
        && seen.insert(root)
    {
        root = before;
    }
    root
}

/// What is wrong with a lead that ends at a fuse, by its length.
fn too_far(found: &Reached) -> Option<Fault> {
    let passes = if found.sleeved { SLEEVED_M } else { BARE_M };
    let tolerated = if found.sleeved && found.at_post { SLEEVED_AT_POST_M } else { passes };
    let (allowed, severity) = if found.distance <= passes {
        return None;
    } else if found.distance <= tolerated {
        (passes, Severity::Note)
    } else if found.distance <= tolerated + LOOK_BEYOND_M || !found.said {
        (tolerated, Severity::Look)
    } else {
        (tolerated, Severity::Stop)
    };
    Some(Fault::Far { metres: found.distance, allowed, severity })
}

/// Whether a source delivers no more than a wire stands; `None` when the most it delivers is not known.
fn stands_all_of(context: &Context<'_>, source: usize, used: &UsedWire) -> Option<bool> {
    match context.circuit.branches[source].law {
        Some(Law::Source { limit, one_way: true, .. }) => {
            let limit = limit?;
            Some(used.ampacity().is_some_and(|stands| stands.low >= limit))
        }
        _ => Some(false),
    }
}

fn judge(context: &Context<'_>, rest: &Rest, source: usize, found: &Reached) -> Option<Fault> {
    let circuit = context.circuit;
    let (wire, used) = context.wire_of(found.branch)?;
    let stands_it = stands_all_of(context, source, used);
    if wire.used_for == Some(Use::StarterCable) || stands_it == Some(true) {
        return None;
    }
    let near = circuit.branches[found.branch].from + circuit.branches[found.branch].to - found.far;
    let beyond = walk(circuit, &[found.far], |index, at| {
        let branch = &circuit.branches[index];
        let other = if branch.from == at { branch.to } else { branch.from };
        index != found.branch && other != near && other != CHASSIS && passes(circuit, rest, index, at)
    });
    let mut uses_energy = false;
    let mut next_in_series = None;
    let mut fuses = false;
    let mut new_work = wire.status == Status::New;
    for (net, by) in &beyond {
        new_work |= by.and_then(|by| context.wire_of(by)).is_some_and(|(wire, _)| wire.status == Status::New);
        for &index in &context.circuit.at[*net] {
            let branch = &circuit.branches[index];
            match branch.role {
                Role::Load(_) | Role::Coil { .. } => uses_energy = true,
                Role::Source if *net == branch.to && stands_on(circuit, rest, index, source) => {
                    next_in_series = Some(index);
                }
                Role::Source if index != source => uses_energy = true,
                Role::Protection(_) if branch.gate != Gate::Always => fuses |= true,
                _ => {}
            }
            if let Origin::Part(part, _) = branch.origin
                && !matches!(branch.role, Role::Source)
            {
                new_work |= circuit.resolved.network.parts[part].status == Status::New;
            }
        }
    }
    if !new_work {
        return None;
    }
    if stands_it.is_none() {
        return Some(Fault::LimitNotKnown);
    }
    if uses_energy {
        return Some(Fault::NoFuse);
    }
    if let Some(next) = next_in_series {
        return link(context, rest, next, found);
    }
    if !fuses {
        return Some(Fault::NoFuse);
    }
    // Only leads that end right at a fuse are measured; the ones before them are part of the way.
    let at_fuse = context.circuit.at[found.far]
        .iter()
        .any(|index| matches!(circuit.branches[*index].role, Role::Protection(_)));
    if !at_fuse {
        return None;
    }
    too_far(found)
}

/// Whether a source is the battery next above another in series.
fn stands_on(circuit: &Circuit, rest: &Rest, upper: usize, lower: usize) -> bool {
    let chains = chains(circuit, &rest.state);
    chains.iter().any(|chain| chain.sources.windows(2).any(|pair| pair == [lower, upper]))
}

/// What is wrong with a link between batteries in series. It belongs to the supply and may be as long as a lead to a
/// fuse; of batteries that crank it carries the cranking current, as a starter cable does.
fn link(context: &Context<'_>, rest: &Rest, upper: usize, found: &Reached) -> Option<Fault> {
    let circuit = context.circuit;
    let chains = chains(circuit, &rest.state);
    let chain = chains.iter().find(|chain| chain.sources.contains(&upper))?;
    let (post, _) = chain.posts(circuit);
    let is_starter_cable = |branch: &usize| {
        context.wire_of(*branch).is_some_and(|(wire, _)| wire.used_for == Some(Use::StarterCable))
    };
    if circuit.at[post].iter().any(is_starter_cable) {
        return None;
    }
    match too_far(found)? {
        Fault::Far { metres, allowed, severity } => Some(Fault::Link { metres, allowed, severity }),
        other => Some(other),
    }
}
