//! What a finding asks for by itself, tried before anything is moved: what cures one may cure the others.

use super::changes::Change;
use super::{counts, key};
use crate::check::{
    Context, earth_overloaded, fuse_larger_than_wire, missing_earth_return, strap_overloaded,
    unconnected_terminal,
};
use crate::document::{Edit, Network, Part, Status, Wire};
use crate::finding::Finding;
use crate::given::Given;
use crate::ids::{PartId, TerminalRef};
use crate::kind::{Class, Terminal, Value};
use crate::protection::ratings::largest_up_to;
use crate::quantity::{Amps, Unit};
use crate::subject::Subject;

/// Most ends that one loose end is joined with.
const MOST_PARTNERS: usize = 4;

/// Most ratings of a fuse, and amperes by which no two that are made are closer.
const MOST_RATINGS: usize = 3;
const LEAST_STEP_A: f64 = 0.5;

/// The cures of these findings, in their order.
pub(super) fn cures(context: &Context<'_>, findings: &[Finding]) -> Vec<Change> {
    let mut all = Vec::new();
    for finding in findings.iter().filter(|finding| counts(finding)) {
        match finding.check {
            name if name == unconnected_terminal::CHECK.name => {
                connected(context, finding, findings, &mut all)
            }
            name if name == strap_overloaded::CHECK.name => {
                all.extend(as_usual(context, finding, "strap_ohm"))
            }
            name if name == earth_overloaded::CHECK.name => {
                all.extend(as_usual(context, finding, "joint_ohm"))
            }
            name if name == fuse_larger_than_wire::CHECK.name => {
                smaller(context, finding, &mut all);
                all.extend(thicker(finding));
            }
            name if name == missing_earth_return::CHECK.name => all.extend(returned(context, finding)),
            _ => {}
        }
    }
    all
}

/// A joint to the body with the resistance that is usual.
fn as_usual(context: &Context<'_>, finding: &Finding, value: &'static str) -> Option<Change> {
    let part = context.circuit.resolved.network.part(finding.subject.part()?)?;
    let mut other = part.clone();
    other.values.set(value, Given::NotKnown);
    (other != *part).then(|| Change {
        at: vec![part.id.clone()],
        cures: Some(key(finding)),
        likely_for: &[],
        text: finding.help.first().map_or_else(String::new, |help| help.text.clone()),
        seems: String::new(),
        edits: vec![Edit::ChangePart(other)],
        is_fix: false,
    })
}

/// The fuse that lets too much pass, with the largest ratings that its wires may allow.
fn smaller(context: &Context<'_>, finding: &Finding, all: &mut Vec<Change>) {
    let network = &context.circuit.resolved.network;
    let is_fuse = |part: &&Part| part.kind.class == Class::Protection && part.status == Status::New;
    let named = finding.because.iter().filter_map(|label| network.part(label.subject.part()?));
    let fuses: Vec<&Part> = named.filter(is_fuse).collect();
    let ([fuse], Some(allowed)) = (&fuses[..], finding.allowed.filter(|most| most.unit == Unit::Ampere))
    else {
        return;
    };
    // What is told is the worst wire, and another may allow less.
    let mut rating = Amps::new(allowed.value).and_then(largest_up_to);
    for _ in 0..MOST_RATINGS {
        let Some(amps) = rating else { break };
        let mut other = (*fuse).clone();
        other.values.set("rating_a", Given::Known(Value::Number(amps.get())));
        all.push(Change {
            at: vec![fuse.id.clone()],
            cures: Some(key(finding)),
            likely_for: &[],
            text: format!("fit {amps} as {}", Subject::Part(fuse.id.clone()).title(network)),
            seems: String::new(),
            edits: vec![Edit::ChangePart(other)],
            is_fix: true,
        });
        rating = Amps::new(amps.get() - LEAST_STEP_A).and_then(largest_up_to);
    }
}

/// The wires that are too thin for their fuse in the size that it asks for.
fn thicker(finding: &Finding) -> Option<Change> {
    let help = finding.help.iter().find(|help| !help.fix.is_empty())?;
    let wires = help.fix.iter().map(|edit| match edit {
        Edit::ChangeWire(wire) => Some(wire),
        _ => None,
    });
    let wires: Vec<&Wire> = wires.collect::<Option<_>>()?;
    Some(Change {
        at: wires.iter().flat_map(|wire| [wire.from.part.clone(), wire.to.part.clone()]).collect(),
        cures: Some(key(finding)),
        likely_for: &[],
        text: help.text.clone(),
        seems: String::new(),
        edits: help.fix.clone(),
        is_fix: true,
    })
}

/// What lacks a way back joined with an earth point: with one that is loose, if there is one.
fn returned(context: &Context<'_>, finding: &Finding) -> Option<Change> {
    let network = &context.circuit.resolved.network;
    let first_end = |part: &Part, is_free: bool| {
        let own = |terminal: Terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name };
        part.terminals().into_iter().map(own).find(|end| !is_free || context.ends_at(end) == 0)
    };
    let told = || finding.because.iter().map(|label| &label.subject);
    let bare = told().find_map(|subject| match subject {
        Subject::Terminal(end) if context.ends_at(end) == 0 => Some(end.clone()),
        _ => None,
    });
    let from = bare.or_else(|| first_end(network.part(finding.subject.part()?)?, true))?;
    let is_earth = |part: &&Part| part.kind.class == Class::Earth && part.status != Status::Remove;
    let loose = told().filter_map(|subject| network.part(subject.part()?)).find(is_earth);
    let to = first_end(loose.or_else(|| network.parts.iter().find(is_earth))?, false)?;
    joined(context, finding, &from, &to)
}

/// A loose end joined with another, or with a free terminal that what else was found hangs on.
fn connected(context: &Context<'_>, loose: &Finding, findings: &[Finding], all: &mut Vec<Change>) {
    let network = &context.circuit.resolved.network;
    let Subject::Terminal(from) = &loose.subject else { return };
    let mut partners: Vec<&TerminalRef> = Vec::new();
    let told = findings.iter().filter(|finding| counts(finding)).flat_map(|finding| {
        let because = finding.because.iter().map(|label| &label.subject);
        std::iter::once(&finding.subject).chain(because).chain(&finding.touches)
    });
    for subject in told {
        let Subject::Terminal(to) = subject else { continue };
        let is_new = || network.part(&to.part).is_some_and(|part| part.status == Status::New);
        let is_joint = |part: &PartId| {
            network
                .part(part)
                .is_some_and(|part| part.kind.class == Class::Joint && part.box_ways().is_none())
        };
        // One free way of a splice is as good as another.
        let is_known =
            partners.iter().any(|known| *known == to || known.part == to.part && is_joint(&to.part));
        if to.part != from.part && context.ends_at(to) == 0 && is_new() && !is_known {
            partners.push(to);
        }
    }
    for to in partners.into_iter().take(MOST_PARTNERS) {
        all.extend(joined(context, loose, from, to));
    }
}

/// A wire between two ends.
fn joined(context: &Context<'_>, finding: &Finding, from: &TerminalRef, to: &TerminalRef) -> Option<Change> {
    let network = &context.circuit.resolved.network;
    let like = serving(network, [&from.part, &to.part])?;
    let wire = Wire {
        id: network.fresh_wire_id(),
        label: String::new(),
        from: from.clone(),
        to: to.clone(),
        status: Status::New,
        ..like
    };
    Some(Change {
        at: vec![from.part.clone(), to.part.clone()],
        cures: Some(key(finding)),
        likely_for: &[],
        text: format!("run a wire from {} to {}", network.terminal_title(from), network.terminal_title(to)),
        seems: String::new(),
        edits: vec![Edit::Add { parts: Vec::new(), wires: vec![wire], poses: Vec::new() }],
        // How long it is nobody has said.
        is_fix: false,
    })
}

/// The thickest wire of some parts, as short as the shortest of them: it serves for one that is missing.
fn serving(network: &Network, parts: [&PartId; 2]) -> Option<Wire> {
    let is_of_them = |wire: &&Wire| [&wire.from, &wire.to].iter().any(|end| parts.contains(&&end.part));
    let wires = || network.wires.iter().filter(|wire| wire.status != Status::Remove).filter(is_of_them);
    let mm2 = |wire: &Wire| wire.size.known().map_or(0.0, |size| size.area().get());
    let thickest = wires().max_by(|one, other| mm2(one).total_cmp(&mm2(other)))?;
    let lengths = wires().filter_map(|wire| wire.length.known());
    let shortest = lengths.min_by(|one, other| one.get().total_cmp(&other.get()));
    let length = shortest.map_or(Given::NotKnown, Given::Known);
    Some(Wire { length, ..thickest.clone() })
}
