//! The current paths of one part, as what lights up on the drawing and as sentences.

use super::{LitPath, dark};
use crate::circuit::{Circuit, Origin};
use crate::ids::PartId;
use crate::kind::Role;
use crate::path::{CurrentPath, LEAST_AMPS, Step, current_paths, in_words};
use crate::quantity::{Amps, Quantity};
use crate::solve::Solution;
use crate::subject::Subject;

/// The current paths of a part in the situation that came to `solution`; `None` when there is no such part, or it uses
/// no current.
///
/// Those of its loads; a relay has those of its coil.
pub(super) fn path(circuit: &Circuit, solution: &Solution, id: &PartId) -> Option<LitPath> {
    let network = &circuit.resolved.network;
    let index = network.parts.iter().position(|part| part.id == *id)?;
    let title = Subject::Part(id.clone()).title(network);
    let mut lit = LitPath::default();
    if circuit.resolved.parts[index].is_none() {
        lit.words.push(format!("The {title} is to be removed, so it is no part of the circuit."));
        return Some(lit);
    }
    let users: Vec<(usize, &str)> = circuit
        .branches_of_part(index)
        .filter_map(|(branch, own)| match &own.role {
            Role::Load(load) => Some((branch, load.name)),
            Role::Coil { .. } => Some((branch, "")),
            _ => None,
        })
        .collect();
    if users.is_empty() {
        return None;
    }
    let Some(rest) = solution.shown() else {
        lit.words.push(solution.verdict.meaning().to_owned());
        return Some(lit);
    };
    let carries = |branch: usize| rest.steady.amps(branch).abs() > LEAST_AMPS;
    for &(branch, name) in &users {
        // A motor that runs or is stalled has one branch for each and no name for either: the one that carries current
        // is told of, and else both have the same to say.
        if !carries(branch) && users.iter().any(|&(other, its)| its == name && carries(other)) {
            continue;
        }
        // One of several loads in a part is told by its name.
        let whose = if name.is_empty() { String::new() } else { format!("{name}: ") };
        let paths = current_paths(circuit, rest, branch);
        for path in &paths {
            add(&mut lit, path);
            lit.words.push(format!("{whose}{}", in_words(circuit, path)));
        }
        if !paths.is_empty() {
            continue;
        }
        let what = match name {
            "" => title.clone(),
            name => format!("{name} of {title}"),
        };
        let amps = Amps::new(rest.steady.amps(branch).abs()).filter(|amps| amps.get() > LEAST_AMPS);
        if let Some(amps) = amps {
            let amps = Quantity::from(amps).to_the_thousandth();
            lit.words.push(format!("The {what} carries {amps}, but only by way of other loads."));
        } else {
            let why = dark::why(circuit, rest, branch);
            push_new(&mut lit.words, format!("The {what} carries no current: {}.", why.words));
            for part in why.parts {
                push_new(&mut lit.blocked_by, part);
            }
        }
    }
    Some(lit)
}

/// Adds the parts and wires of a path that are not there yet.
fn add(lit: &mut LitPath, path: &CurrentPath) {
    for step in &path.steps {
        match step {
            Step::Terminal(terminal) => push_new(&mut lit.parts, terminal.part.clone()),
            Step::Wire(wire) => push_new(&mut lit.wires, wire.clone()),
            Step::Chassis => {}
        }
    }
}

fn push_new<T: PartialEq>(list: &mut Vec<T>, new: T) {
    if !list.contains(&new) {
        list.push(new);
    }
}

/// The part a branch belongs to, by its index.
pub(super) fn part_of(circuit: &Circuit, branch: usize) -> Option<usize> {
    match circuit.branches[branch].origin {
        Origin::Part(part, _) => Some(part),
        Origin::Wire(_) => None,
    }
}
