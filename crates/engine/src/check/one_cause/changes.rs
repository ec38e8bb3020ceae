//! Single changes of the wiring, as a fitter would think of them.

use std::collections::{BTreeMap, BTreeSet};

use super::{FEW, Key, MOST_TRIED};
use crate::check::{Context, remedy};
use crate::document::{Edit, Part, Status, Wire};
use crate::ids::{PartId, TerminalRef};
use crate::kind::{Class, Law, Role};
use crate::subject::Subject;

/// What a tap on another donor circuit mostly shows in, a wire too many, two fuses whose wires are exchanged, and two
/// terminals of a relay or switch.
const OF_A_TAP: &[&str] = &["interlock-broken", "switched-earth-donor"];
const OF_A_SECOND_FEED: &[&str] = &["back-feed", "fuse-larger-than-wire"];
const OF_FUSES: &[&str] = &["fuse-larger-than-wire", "parked-drain"];
const OF_A_CONTACT: &[&str] = &["fuse-too-small", "tap-without-signal"];

/// A change of the wiring.
pub(super) struct Change {
    /// The parts at whose terminals it is made.
    pub at: Vec<PartId>,
    /// The finding that asks for it; `None` for what is tried because it may be the cause.
    pub cures: Option<Key>,
    /// The checks whose findings it is the likeliest cause of.
    pub likely_for: &'static [&'static str],
    /// What to do, without a full stop.
    pub text: String,
    /// What seems to be wrong where it is made.
    pub seems: String,
    pub edits: Vec<Edit>,
    /// Whether the edits can be offered as they are, with no number in them that was made up to try them.
    pub is_fix: bool,
}

/// One change in so many is tried because it mostly shows so.
const LIKELY_EVERY: usize = 3;

/// What several findings may come from, the likeliest first: what is made where most of them are told, then what most of
/// them have in common; of few findings what mostly shows so comes in between.
///
/// `alone` are the findings as the checks gave them, `heads` those that are left.
pub(super) fn changes(
    context: &Context<'_>,
    near: &BTreeMap<PartId, BTreeSet<Key>>,
    heads: &BTreeSet<Key>,
    alone: &BTreeSet<Key>,
) -> Vec<Change> {
    let network = &context.circuit.resolved.network;
    let parts: Vec<&Part> = network.parts.iter().filter(|part| near.contains_key(&part.id)).collect();
    let mut all = Vec::new();
    for part in &parts {
        moved(context, part, &mut all);
    }
    for part in &parts {
        exchanged(context, part, &mut all);
    }
    all.extend(crossed(context, &parts));
    all.extend(tapped_elsewhere(context, &parts));
    for wire in network.wires.iter().filter(|wire| wire.status == Status::New) {
        let is_near = [&wire.from, &wire.to].iter().all(|end| near.contains_key(&end.part));
        all.extend(Some(wire).filter(|_| is_near).and_then(|wire| superfluous(context, wire)));
    }
    let parts_of = |subject: &Subject| match subject {
        Subject::Wire(id) => {
            network.wire(id).map_or_else(Vec::new, |wire| vec![wire.from.part.clone(), wire.to.part.clone()])
        }
        other => other.part().cloned().into_iter().collect(),
    };
    let told_at: BTreeSet<PartId> = heads.iter().flat_map(|(_, subject)| parts_of(subject)).collect();
    crate::arrange::sort_by_key(&mut all, |change| {
        let told_there = |part: &&PartId| told_at.contains(*part);
        let n_told = change.at.iter().collect::<BTreeSet<_>>().into_iter().filter(told_there).count();
        let n_near = change.at.iter().filter_map(|part| near.get(part)).map(BTreeSet::len).max();
        std::cmp::Reverse((n_told, n_near))
    });
    if heads.len() > FEW {
        return all;
    }
    let is_likely = |change: &Change| alone.iter().any(|(check, _)| change.likely_for.contains(check));
    let mut merged = Vec::new();
    while merged.len() < MOST_TRIED && !all.is_empty() {
        let likeliest = all.iter().position(is_likely).filter(|_| merged.len() % LIKELY_EVERY == 0);
        merged.push(all.remove(likeliest.unwrap_or(0)));
    }
    merged.extend(all);
    merged
}

/// Whether it matters on which of its terminals a wire of the part ends.
fn has_sides(part: &Part) -> bool {
    !matches!(part.kind.class, Class::Joint | Class::Protection | Class::Earth)
}

fn terminals(part: &Part) -> Vec<TerminalRef> {
    let own =
        |terminal: crate::kind::Terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name };
    part.terminals().into_iter().map(own).collect()
}

/// A wire of a part on a terminal of it that has none, from where there are several first; or, at the poles of a
/// battery, on the other one.
fn moved(context: &Context<'_>, part: &Part, all: &mut Vec<Change>) {
    if !has_sides(part) {
        return;
    }
    let network = &context.circuit.resolved.network;
    let terminals = terminals(part);
    let mut found = Vec::new();
    for to in &terminals {
        if context.ends_at(to) > 0 && part.kind.class != Class::Battery {
            continue;
        }
        for from in terminals.iter().filter(|from| *from != to) {
            let n_there = context.ends_at(from);
            for wire in network.wires_at(from).filter(|wire| wire.status == Status::New) {
                found.extend(taken_to(context, wire, from, to).map(|change| (n_there < 2, change)));
            }
        }
    }
    crate::arrange::sort_by_key(&mut found, |(alone, _)| *alone);
    all.extend(found.into_iter().map(|(_, change)| change));
}

/// What ends on two terminals of a part, exchanged.
fn exchanged(context: &Context<'_>, part: &Part, all: &mut Vec<Change>) {
    if !has_sides(part) || works_either_way_round(context, part) {
        return;
    }
    let terminals = terminals(part);
    for (index, one) in terminals.iter().enumerate() {
        for other in &terminals[index + 1..] {
            if context.ends_at(one) > 0 || context.ends_at(other) > 0 {
                let likely_for = if part.kind.class == Class::Contact { OF_A_CONTACT } else { &[] };
                let change = exchange(context, one, other);
                all.extend(change.map(|change| Change { likely_for, ..change }));
            }
        }
    }
}

/// Whether a part lies between two terminals alone and lets current pass either way alike.
fn works_either_way_round(context: &Context<'_>, part: &Part) -> bool {
    let circuit = context.circuit;
    let parts = &circuit.resolved.network.parts;
    let of_it =
        |branch: &&crate::circuit::Branch| branch.origin.part().is_some_and(|of| parts[of].id == part.id);
    let mut branches = circuit.branches.iter().filter(of_it);
    let is_even = |law: Option<Law>| matches!(law, None | Some(Law::Resistance(_) | Law::Filament { .. }));
    part.terminals().len() == 2 && branches.all(|branch| branch.role != Role::Source && is_even(branch.law))
}

fn exchange(context: &Context<'_>, one: &TerminalRef, other: &TerminalRef) -> Option<Change> {
    let network = &context.circuit.resolved.network;
    let edits = remedy::exchanged(network, one, other);
    let title = |end: &TerminalRef| network.terminal_title(end);
    (!edits.is_empty()).then(|| Change {
        at: vec![one.part.clone(), other.part.clone()],
        text: format!("exchange what ends on {} and {}", title(one), title(other)),
        seems: format!("what ends on {} and {} seems to be exchanged", title(one), title(other)),
        edits,
        cures: None,
        likely_for: &[],
        is_fix: true,
    })
}

/// The load sides of two fuses, or the feeds of two loads, exchanged; one of the two is near.
fn crossed(context: &Context<'_>, near: &[&Part]) -> Vec<Change> {
    let mut all = Vec::new();
    for class in [Class::Protection, Class::Load] {
        let side = |part: &Part| {
            let mut ends = terminals(part).into_iter();
            let end = if class == Class::Protection { ends.next_back() } else { ends.next() };
            end.filter(|end| part.status == Status::New && context.ends_at(end) > 0)
        };
        let of_class: Vec<&Part> =
            context.circuit.resolved.network.parts.iter().filter(|part| part.kind.class == class).collect();
        let is_near = |part: &Part| near.iter().any(|other| other.id == part.id);
        for (index, one) in of_class.iter().enumerate() {
            for other in &of_class[index + 1..] {
                // Where a load is not near, nothing is told of it.
                let are_near = match class {
                    Class::Load => is_near(one) && is_near(other),
                    _ => is_near(one) || is_near(other),
                };
                if let (true, Some(one), Some(other)) = (are_near, side(one), side(other)) {
                    let likely_for = if class == Class::Protection { OF_FUSES } else { &[] };
                    let change = exchange(context, &one, &other);
                    all.extend(change.map(|change| Change { likely_for, ..change }));
                }
            }
        }
    }
    all
}

/// A tap on the same wire of another donor circuit.
fn tapped_elsewhere(context: &Context<'_>, near: &[&Part]) -> Vec<Change> {
    let network = &context.circuit.resolved.network;
    let donors: Vec<&Part> = network.parts.iter().filter(|part| part.kind.class == Class::Donor).collect();
    let mut all = Vec::new();
    for donor in near.iter().filter(|part| part.kind.class == Class::Donor) {
        for from in terminals(donor) {
            for wire in network.wires_at(&from).filter(|wire| wire.status == Status::New) {
                for other in donors.iter().filter(|other| other.id != donor.id) {
                    let to = TerminalRef { part: other.id.clone(), terminal: from.terminal.clone() };
                    let change = taken_to(context, wire, &from, &to);
                    all.extend(change.map(|change| Change { likely_for: OF_A_TAP, ..change }));
                }
            }
        }
    }
    all
}

/// The end of a wire taken to another terminal.
fn taken_to(context: &Context<'_>, wire: &Wire, from: &TerminalRef, to: &TerminalRef) -> Option<Change> {
    let network = &context.circuit.resolved.network;
    let edit = |end: &TerminalRef| if end == from { to.clone() } else { end.clone() };
    let there = Wire { from: edit(&wire.from), to: edit(&wire.to), ..wire.clone() };
    let title = Subject::Wire(wire.id.clone()).title(network);
    let mut at = vec![from.part.clone(), to.part.clone()];
    at.dedup();
    (there.from != there.to).then(|| Change {
        at,
        text: format!("move {title} from {} to {}", network.terminal_title(from), network.terminal_title(to)),
        seems: format!("{title} seems to be on the wrong terminal, {}", network.terminal_title(from)),
        edits: vec![Edit::ChangeWire(there)],
        cures: None,
        likely_for: &[],
        is_fix: true,
    })
}

/// A wire without which both of its ends still have one, taken out.
fn superfluous(context: &Context<'_>, wire: &Wire) -> Option<Change> {
    let network = &context.circuit.resolved.network;
    let title = Subject::Wire(wire.id.clone()).title(network);
    [&wire.from, &wire.to].iter().all(|end| context.ends_at(end) > 1).then(|| Change {
        at: vec![wire.from.part.clone(), wire.to.part.clone()],
        text: format!("take out {title}"),
        seems: format!("{title} seems to be one too many"),
        edits: vec![Edit::Remove { parts: Vec::new(), wires: vec![wire.id.clone()] }],
        cures: None,
        likely_for: OF_A_SECOND_FEED,
        is_fix: true,
    })
}
