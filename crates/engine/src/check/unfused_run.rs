//! Runs from a source without a fuse, or with the fuse too far away.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex, Origin};
use crate::document::{Status, Use, Wire};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Law, Role};
use crate::protection::zones::OVERLOAD_FACTOR;
use crate::quantity::Metres;
use crate::resolve::UsedWire;
use crate::solve::Rest;
use crate::subject::Subject;

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
    /// A lead that the fuse ahead of it does not protect is measured in the same way.
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
    explained_by: &["supply-shorted"],
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

/// A wire reached without a fuse.
#[derive(Clone, Debug)]
struct Reached {
    branch: usize,
    /// Net at its far end.
    far: NetIndex,
    /// Metres from the source point to its far end.
    distance: f64,
    /// Whether every wire since the source point is sleeved.
    sleeved: bool,
    /// Whether the source point is the post itself.
    at_post: bool,
    /// Whether the length of every wire since the source point was said.
    said: bool,
    /// The unfused wire before it.
    before: Option<usize>,
    /// The source it hangs on, by branch; `None` behind a fuse.
    source: Option<usize>,
}

/// What is wrong with a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fault {
    /// It hangs on a source that limits itself, at a current that was not said.
    LimitNotKnown,
    /// It leads to something that uses energy.
    NoFuse,
    /// It leads only to fuses, this far away.
    Far { metres: f64, allowed: f64, severity: Severity },
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
        Fault::Far { metres, .. } => (1, (metres * 1e6) as u64),
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

/// Whether a branch passes current on without a fuse in this state.
fn passes(circuit: &Circuit, rest: &Rest, index: usize, near: NetIndex) -> bool {
    let branch = &circuit.branches[index];
    let one_way = matches!(branch.law, Some(Law::Diode { .. }));
    branch.role == Role::Path
        && (rest.steady.conducting(index) || one_way && circuit.closed(index, &rest.state))
        && (!one_way || branch.from == near)
}

/// The wires a source reaches without a fuse, each over the shortest way.
fn spread(context: &Context<'_>, rest: &Rest, source: usize) -> Vec<Reached> {
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
            let branch = &circuit.branches[index];
            let far = if branch.from == net { branch.to } else { branch.from };
            if far == CHASSIS || best.contains_key(&far) || !passes(circuit, rest, index, net) {
                continue;
            }
            let next = match context.wire_of(index) {
                Some((wire, used)) => {
                    let found =
                        along(context, here.as_ref(), index, far, wire, used, is_source_point(context, net));
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
    wire: &Wire,
    used: &UsedWire,
    bar: bool,
) -> Reached {
    let alone = lead_alone(index, far, wire, used);
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
fn lead_alone(branch: usize, far: NetIndex, wire: &Wire, used: &UsedWire) -> Reached {
    Reached {
        branch,
        far,
        distance: used.length.high.get(),
        sleeved: wire.sleeve.is_some(),
        at_post: false,
        said: used.length_said,
        before: None,
        source: None,
    }
}

/// Leads to fuses of their own that the fuses ahead of them do not protect.
fn leads_behind_fuses(context: &Context<'_>) -> Vec<Reached> {
    let circuit = context.circuit;
    let zones = context.zones();
    let mut leads: BTreeMap<usize, (NetIndex, Reached)> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let flow = zones.inflow(zones.of(circuit.branches[branch].from));
        let is_protected =
            |amps: f64| used.ampacity().is_none_or(|stands| amps <= OVERLOAD_FACTOR * stands.low.get());
        if flow.is_none_or(|(amps, _)| is_protected(amps)) {
            continue;
        }
        let Some(lead) = zones.lead(branch) else { continue };
        let new_fuse = lead
            .fuses
            .iter()
            .any(|fuse| context.part_of(*fuse).is_some_and(|(_, part)| part.status == Status::New));
        if wire.status == Status::New || new_fuse {
            leads.insert(branch, (lead.near, lead_alone(branch, lead.far, wire, used)));
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
    let mut fuses = false;
    let mut new_work = wire.status == Status::New;
    for (net, by) in &beyond {
        new_work |= by.and_then(|by| context.wire_of(by)).is_some_and(|(wire, _)| wire.status == Status::New);
        for &index in &context.circuit.at[*net] {
            let branch = &circuit.branches[index];
            match branch.role {
                Role::Load(_) | Role::Coil { .. } => uses_energy = true,
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
    if uses_energy || !fuses {
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

fn finding(
    context: &Context<'_>,
    faults: &BTreeMap<usize, (Reached, Fault)>,
    root: usize,
    members: &[usize],
) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let (_, fault) = &faults[&root];
    let fault = members.iter().map(|m| &faults[m].1).max_by_key(|fault| weight(fault)).unwrap_or(fault);
    let subject = circuit.subject(root);
    let title = subject.title(network);
    let existing = members
        .iter()
        .all(|member| context.wire_of(*member).is_some_and(|(wire, _)| wire.status == Status::Existing));
    let (severity, message, measured, allowed) = match fault {
        Fault::NoFuse | Fault::LimitNotKnown => {
            let reach = members.iter().map(|m| faults[m].0.distance).fold(0.0, f64::max);
            let source = faults[&root].0.source.map(|source| circuit.subject(source).title(network));
            let source = source.unwrap_or_default();
            if *fault == Fault::NoFuse {
                let message = format!("{source} feeds {title} without a fuse");
                (Severity::Stop, message, reach, BARE_M)
            } else {
                let message = format!(
                    "{source} feeds {title} without a fuse, and how much {source} delivers at most is not given"
                );
                (Severity::Look, message, reach, BARE_M)
            }
        }
        Fault::Far { metres, allowed, severity } => {
            let at = |metres: f64| Metres::new(metres).map_or_else(String::new, |metres| metres.to_string());
            let runs = match faults[&root].0.said {
                true => format!("{title} runs {} from its source point to its fuse", at(*metres)),
                false => format!(
                    "how far {title} runs from its source point to its fuse is not given, {} is assumed",
                    at(*metres)
                ),
            };
            let danger = at(allowed + LOOK_BEYOND_M);
            let limit = match severity {
                Severity::Stop => format!("more than {danger} is dangerous, {} is allowed", at(*allowed)),
                Severity::Look => format!("{} is allowed, more than {danger} is dangerous", at(*allowed)),
                Severity::Note => format!("{} is better", at(*allowed)),
            };
            let message = format!("{runs}: {limit}");
            (*severity, message, *metres, *allowed)
        }
    };
    let because = members
        .iter()
        .filter(|member| **member != root)
        .map(|member| Label {
            subject: circuit.subject(*member),
            text: "follows it without a fuse".to_owned(),
        })
        .collect();
    let said = members.iter().all(|member| faults[member].0.said);
    // What was there before is no more than a Look, and says so.
    let message = if existing { format!("{message}; it was there before this job") } else { message };
    Finding {
        check: CHECK.name,
        // What was there before is somebody else's work: it may be wrong, it is not this job's to condemn.
        severity: if existing { severity.max(Severity::Look) } else { severity },
        message,
        subject,
        because,
        measured: Metres::new(measured).map(Into::into),
        basis: if said { Basis::Entered } else { Basis::Assumed },
        allowed: Metres::new(allowed).map(Into::into),
        help: vec![Help { text: remedy(fault, said).to_owned() }],
        source: SOURCE,
        touches: members.iter().map(|member| circuit.subject(*member)).collect::<Vec<Subject>>(),
    }
}

/// What to do about it: only what has no fuse needs another one.
fn remedy(fault: &Fault, said: bool) -> &'static str {
    match fault {
        Fault::NoFuse => "put a fuse at the source point, sized for the thinnest wire behind it",
        Fault::LimitNotKnown => {
            "give the most it delivers, or put a fuse at the source point, sized for the thinnest wire behind it"
        }
        Fault::Far { .. } if said => {
            "move the fuse to the source point, or sleeve the run where that is enough"
        }
        Fault::Far { .. } => "measure the run from the source point to the fuse and give its length",
    }
}
