//! Loads that are fed and have no way back.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{Branch, CHASSIS, NetIndex};
use crate::document::Part;
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::ids::TerminalRef;
use crate::kind::{Class, Role};
use crate::subject::Subject;

declare_check! {
    /// Finds loads that are fed on one side but have no way back to the battery's negative pole.
    ///
    /// # What it checks
    ///
    /// With every contact taken as closed: a load with one side on the supply and no side that reaches the chassis or
    /// a negative pole, be it through other loads in series.
    /// Loads that share the missing return are reported once.
    ///
    /// # Why it matters
    ///
    /// Current flows only in a closed circuit; a load without a return does nothing, or finds its way back through
    /// another lamp and lights both dimly.
    ///
    /// # Example
    ///
    /// Two work lamps whose earth wires meet in a splice that was never taken to the body.
    ///
    /// # What to do
    ///
    /// Run a wire from the load's earth side to an earth point or the battery's negative pole.
    name: "missing-earth-return",
    summary: "a load is fed but has no way back",
    harm: Harm::Failure,
    explained_by: &[],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let mut by_piece: BTreeMap<Vec<NetIndex>, Vec<usize>> = BTreeMap::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        // How much it takes does not matter: without a way back nothing flows.
        let is_own = context.part_of(index).is_some_and(|(_, part)| part.kind.class != Class::Donor);
        let is_load = matches!(branch.role, Role::Load(_)) && is_own;
        if !is_load || context.returned[branch.from] || context.returned[branch.to] {
            continue;
        }
        let Some(open_side) = open_side(context, branch) else { continue };
        let piece = piece(context, index, open_side);
        if !piece.iter().any(|net| context.returned[*net]) {
            by_piece.entry(piece).or_default().push(index);
        }
    }
    // What lost a common joint lacks one return, in several pieces.
    let is_of_joint = |piece: &Vec<NetIndex>| {
        let ends = piece.iter().flat_map(|net| &circuit.nets[*net]);
        let parts: Vec<Subject> = ends.map(|end| Subject::Part(end.part.clone())).collect();
        !context.pieces_at(&parts).is_empty()
    };
    let (of_joint, alone): (Vec<_>, Vec<_>) = by_piece.into_iter().partition(|(piece, _)| is_of_joint(piece));
    let joined = of_joint.into_iter().reduce(|(mut piece, mut loads), (other, more)| {
        piece.extend(other);
        loads.extend(more);
        (piece, loads)
    });
    for (piece, loads) in alone.into_iter().chain(joined) {
        findings.push(finding(context, &piece, &loads));
    }
}

/// The side of a fed load that ought to lead back; `None` when it is not fed.
fn open_side(context: &Context<'_>, branch: &Branch) -> Option<NetIndex> {
    match (context.supplied[branch.from], context.supplied[branch.to]) {
        (true, false) => Some(branch.to),
        (false, true) => Some(branch.from),
        _ => None,
    }
}

/// What hangs on the open side of a load, through other loads too but not back into the supply.
fn piece(context: &Context<'_>, load: usize, open_side: NetIndex) -> Vec<NetIndex> {
    let circuit = context.circuit;
    let part = context.part_of(load).map(|(part, _)| part);
    let met = walk(circuit, &[open_side], |index, near| {
        let branch = &circuit.branches[index];
        let far = if branch.from == near { branch.to } else { branch.from };
        let same_part = part.is_some() && context.part_of(index).map(|(part, _)| part) == part;
        let leads_on = branch.law.is_some() || matches!(branch.role, Role::Load(_));
        leads_on && !same_part && near != CHASSIS && !context.supplied[far]
    });
    let mut nets: Vec<NetIndex> = met.into_iter().map(|(net, _)| net).collect();
    arrange::sort(&mut nets);
    nets
}

/// The joint in which several loads' earth sides meet.
fn joint(context: &Context<'_>, piece: &[NetIndex]) -> Option<Subject> {
    let network = &context.circuit.resolved.network;
    let terminals = piece.iter().flat_map(|net| &context.circuit.nets[*net]);
    terminals
        .filter_map(|terminal| network.part(&terminal.part))
        .find(|part| part.kind.class == Class::Joint)
        .map(|part| Subject::Part(part.id.clone()))
}

/// Earth points that no wire leads to.
fn bare_earths<'c>(context: &'c Context<'_>) -> impl Iterator<Item = Subject> + 'c {
    let parts = context.circuit.resolved.network.parts.iter().filter(|part| part.kind.class == Class::Earth);
    let is_bare = |part: &&Part| {
        part.terminals().into_iter().all(|terminal| {
            context.ends_at(&TerminalRef { part: part.id.clone(), terminal: terminal.name }) == 0
        })
    };
    parts.filter(is_bare).map(|part| Subject::Part(part.id.clone()))
}

fn finding(context: &Context<'_>, piece: &[NetIndex], loads: &[usize]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let mut touches: Vec<Subject> = loads.iter().map(|load| circuit.subject(*load)).collect();
    touches.dedup();
    let title = touches[0].title(network);
    let shared = if touches.len() > 1 { joint(context, piece) } else { None };
    let message = match touches.len() {
        1 => format!("{title} has no way back to the battery's negative pole"),
        2 => format!("{title} and one other share an earth side that leads nowhere"),
        n => format!("{title} and {} others share an earth side that leads nowhere", n - 1),
    };
    let first_piece = context.pieces_of_a_joint().first().filter(|piece| {
        let is_it = |joint: &Subject| context.pieces_at(std::slice::from_ref(joint)).contains(piece);
        shared.as_ref().is_some_and(is_it)
    });
    let subject = first_piece.cloned().or(shared).unwrap_or_else(|| touches[0].clone());
    let because = touches
        .iter()
        .filter(|other| **other != subject)
        .map(|other| Label { subject: other.clone(), text: "has the same missing return".to_owned() })
        .collect();
    // An earth point without a wire is the other end of the wire that is missing.
    touches.extend(bare_earths(context));
    Finding {
        check: CHECK.name,
        severity: Severity::Stop,
        message,
        subject,
        because,
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words(
            "run a wire from the earth side to an earth point or to the battery's negative pole".to_owned(),
        )],
        source: "first principles: current needs a closed circuit".to_owned(),
        working: Vec::new(),
        touches,
    }
}
