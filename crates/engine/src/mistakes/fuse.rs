//! What a fuse of another rating takes away.

use crate::check::{Context, unprotected_with};
use crate::circuit::{Circuit, Origin};
use crate::fault::{Fault, Mode};
use crate::quantity::Amps;
use crate::sizing::ratings;
use crate::subject::Subject;

/// Wires that a larger fuse does not protect any more.
#[derive(Clone, Debug, PartialEq)]
pub struct Unprotected {
    /// The least rating that is sold for the same holder and takes the protection from a wire.
    pub rating: Amps,
    /// The wires that lose their protection at that rating, in document order.
    pub wires: Vec<Subject>,
}

/// What the fuse that a fault is about takes away when it is larger than drawn, besides the wires that are without
/// protection already; `None` for any other fault, and where no larger one of its family is sold or nothing of that is
/// known.
pub(super) fn lost(context: &Context<'_>, already: &[usize], fault: &Fault) -> Option<Unprotected> {
    if fault.mode != Mode::WrongFuse {
        return None;
    }
    let circuit = context.circuit;
    let fuse = branch_of(circuit, &fault.subject)?;
    let Origin::Part(part, _) = circuit.branches[fuse].origin else { return None };
    let family = circuit.resolved.parts[part].as_ref()?.word("family")?;
    let rated = circuit.rating(fuse)?.high;
    let larger =
        ratings(family).iter().filter_map(|rating| Amps::new(*rating)).filter(|rating| *rating > rated);
    larger.into_iter().find_map(|rating| {
        let wires: Vec<Subject> = unprotected_with(context, fuse, rating)
            .into_iter()
            .filter(|branch| !already.contains(branch))
            .map(|branch| circuit.subject(branch))
            .collect();
        (!wires.is_empty()).then_some(Unprotected { rating, wires })
    })
}

fn branch_of(circuit: &Circuit, fuse: &Subject) -> Option<usize> {
    let is_it = |branch: &usize| circuit.rating(*branch).is_some() && circuit.subject(*branch) == *fuse;
    (0..circuit.branches.len()).find(is_it)
}
