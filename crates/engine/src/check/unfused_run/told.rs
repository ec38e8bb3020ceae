//! What is told of a run without a fuse.

use std::collections::BTreeMap;

use super::leads::Reached;
use super::put_in;
use super::{BARE_M, CHECK, Fault, LOOK_BEYOND_M, SOURCE, weight};
use crate::check::Context;
use crate::circuit::CHASSIS;
use crate::circuit::reach::walk;
use crate::document::{Edit, Status};
use crate::finding::{Basis, Finding, Help, Label, Severity};
use crate::kind::Role;
use crate::quantity::{Metres, Unit};
use crate::subject::Subject;
use crate::working::Working;

pub(super) fn finding(
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
        Fault::Far { metres, allowed, severity } | Fault::Link { metres, allowed, severity } => {
            let is_link = matches!(fault, Fault::Link { .. });
            let at = |metres: f64| Metres::new(metres).map_or_else(String::new, |metres| metres.to_string());
            let runs = match faults[&root].0.said {
                true if is_link => {
                    format!("{title} joins batteries in series over {} without a fuse", at(*metres))
                }
                false if is_link => format!(
                    "how far {title} runs between batteries in series is not given, {} is assumed",
                    at(*metres)
                ),
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
    // Without any fuse no distance to it is short enough.
    let is_distance = matches!(fault, Fault::Far { .. });
    let said = members.iter().all(|member| faults[member].0.said);
    let follows = members.iter().any(|member| {
        context.wire_of(*member).is_some_and(|(_, used)| used.length_basis() == Basis::Calculated)
    });
    // What was there before is no more than a Look, and says so.
    let message = if existing { format!("{message}; it was there before this job") } else { message };
    Finding {
        check: CHECK.name,
        // What was there before is somebody else's work: it may be wrong, it is not this job's to condemn.
        severity: if existing { severity.max(Severity::Look) } else { severity },
        message,
        subject,
        because,
        measured: Metres::new(measured).filter(|_| is_distance).map(Into::into),
        basis: match (said, follows) {
            (false, _) => Basis::Assumed,
            (true, true) => Basis::Calculated,
            (true, false) => Basis::Entered,
        },
        allowed: Metres::new(allowed).filter(|_| is_distance).map(Into::into),
        help: vec![
            Help::words(remedy(fault, said, faults[&root].0.sleeved).to_owned())
                .with_fix(fuse_put_in(context, faults, root, members)),
        ],
        source: SOURCE.to_owned(),
        working: if is_distance { working(measured, allowed, members, faults, &title) } else { Vec::new() },
        touches: members.iter().flat_map(|member| touched(context, *member)).collect(),
    }
}

/// A wire, and what lies between a pole and the fuses ahead of it: where one of them is too large for that as well, it is
/// the matter.
fn touched(context: &Context<'_>, member: usize) -> Vec<Subject> {
    let circuit = context.circuit;
    let is_pole = |net: usize| {
        circuit
            .sources()
            .any(|source| [circuit.branches[source].from, circuit.branches[source].to].contains(&net))
    };
    let on_path = |index: usize, near: usize| {
        circuit.branches[index].role == Role::Path && !is_pole(near) && near != CHASSIS
    };
    let run = context.run_of(circuit.branches[member].from);
    let mut touched = vec![circuit.subject(member)];
    for fuse in circuit.branches.iter().filter(|branch| matches!(branch.role, Role::Protection(_))) {
        let beyond = [(fuse.from, fuse.to), (fuse.to, fuse.from)];
        for (_, far) in beyond.into_iter().filter(|(near, _)| context.run_of(*near) == run) {
            let met = walk(circuit, &[far], on_path);
            if met.iter().any(|(net, _)| is_pole(*net)) {
                touched.extend(met.into_iter().filter_map(|(_, by)| by).map(|by| circuit.subject(by)));
            }
        }
    }
    touched
}

/// A fuse where there is none; where one is too far off, its place is what has to change.
fn fuse_put_in(
    context: &Context<'_>,
    faults: &BTreeMap<usize, (Reached, Fault)>,
    root: usize,
    members: &[usize],
) -> Vec<Edit> {
    let (reached, fault) = &faults[&root];
    match (fault, reached.source) {
        (Fault::NoFuse, Some(source)) => put_in::fuse(context, source, root, members),
        _ => Vec::new(),
    }
}

/// How the distance and its limit came about.
fn working(
    measured: f64,
    allowed: f64,
    members: &[usize],
    faults: &BTreeMap<usize, (Reached, Fault)>,
    title: &str,
) -> Vec<Working> {
    // The farthest of the wires that follow one another; what lies before its own length is theirs.
    let farthest = members.iter().map(|member| &faults[member].0).find(|one| one.distance == measured);
    let own = farthest.map_or(measured, |one| one.own_m);
    let basis = Basis::said(farthest.is_none_or(|one| one.said));
    let distance = Working::of(
        format!("distance from the source point along {title}"),
        "L = L_before + L_wire",
        measured,
        Unit::Metre,
        "first principles: lengths of wires that follow one another",
    );
    let distance = distance.map(|working| {
        working
            .with("L_before", "length of the wires before the last", measured - own, Unit::Metre, basis)
            .with("L_wire", "length of the last wire", own, Unit::Metre, basis)
    });
    let limit = Working::of("longest lead without a fuse", "L_max = L_rule", allowed, Unit::Metre, SOURCE)
        .map(|working| working.with("L_rule", "limit for this lead", allowed, Unit::Metre, Basis::Tabled));
    distance.into_iter().chain(limit).collect()
}

/// What to do about it: only what has no fuse needs another one.
fn remedy(fault: &Fault, said: bool, sleeved: bool) -> &'static str {
    match fault {
        Fault::NoFuse => "put a fuse at the source point, sized for the thinnest wire behind it",
        Fault::LimitNotKnown => {
            "give the most it delivers, or put a fuse at the source point, sized for the thinnest wire behind it"
        }
        Fault::Far { .. } if said && sleeved => "move the fuse to the source point",
        Fault::Far { .. } if said => {
            "move the fuse to the source point, or sleeve the run where that is enough"
        }
        Fault::Link { .. } if said => {
            "shorten it, sleeve it where that is enough, or mark it as starter cable if the batteries crank an engine"
        }
        Fault::Link { .. } => {
            "measure it and give its length, or mark it as starter cable if the batteries crank an engine"
        }
        Fault::Far { .. } => "measure the run from the source point to the fuse and give its length",
    }
}
