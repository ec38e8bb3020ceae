//! What every wire carries when it carries most.

use crate::check::Context;
use crate::ids::WireId;
use crate::solve::{Rest, Verdict};

/// What a wire carries when it carries most.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// The wire.
    pub wire: WireId,
    /// Its branch of the circuit.
    pub branch: usize,
    /// Amperes, without a sign.
    pub amps: f64,
    /// Volts lost along it then; `None` when they are not known.
    pub volts: Option<f64>,
    /// Whether more may flow where something never settles.
    pub may_be_more: bool,
}

/// The most that each wire carries in the situations that the checks look at, as far as they may last. A wire of which no
/// current is told, because it is an ideal joint, is left out.
pub fn carried(context: &Context<'_>) -> Vec<Carried> {
    let circuit = context.circuit;
    let unsettled = Unsettled::of(context);
    let mut all = Vec::new();
    for (branch, wire, _) in context.wires() {
        if circuit.branches[branch].law.is_none() {
            continue;
        }
        let Some((amps, rest, _)) = context.survey.greatest_amps(branch, |one| one.may_last) else {
            continue;
        };
        let volts = rest.steady.between(circuit.branches[branch].from, circuit.branches[branch].to);
        all.push(Carried {
            wire: wire.id.clone(),
            branch,
            amps,
            volts: volts.map(f64::abs),
            may_be_more: unsettled.may_exceed(branch, amps),
        });
    }
    all
}

/// What is known of the situations that never settle.
struct Unsettled {
    /// The states they go through for ever. Without coils and capacities in the reckoning, what flows at any moment is
    /// what flows in one of them.
    passing: Vec<Rest>,
    /// Whether there is one of which no currents are known. Where it has no solution for one part of the circuit, none was
    /// looked for in the others.
    is_unknown: bool,
}

impl Unsettled {
    fn of(context: &Context<'_>) -> Unsettled {
        let mut found = Unsettled { passing: Vec::new(), is_unknown: false };
        for one in &context.survey.situations {
            match one.solution.verdict {
                Verdict::Settled | Verdict::History | Verdict::Race => {}
                Verdict::Chatter | Verdict::Flashing => {
                    found.passing.extend(context.survey.solver().enter(one.positions.clone()).passing);
                }
                Verdict::Collapse | Verdict::Unsolved => found.is_unknown = true,
            }
        }
        found
    }

    /// Whether a branch that carries `amps` elsewhere may carry more here.
    fn may_exceed(&self, branch: usize, amps: f64) -> bool {
        // What differs by less than is shown is no more.
        const SHOWN: f64 = 0.0005;
        let exceeds = |rest: &Rest| rest.steady.amps(branch).abs() > amps * (1.0 + SHOWN) + SHOWN;
        self.is_unknown || self.passing.iter().any(exceeds)
    }
}
