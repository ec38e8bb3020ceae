//! How far sources reach without a fuse, and what fuses let pass.

use std::collections::BTreeSet;

use engine::circuit::{CHASSIS, Circuit, NetIndex, Origin};
use engine::document::{Status, Wire};
use engine::given::Given;
use engine::kind::{Law, Role};

use super::{Fault, Solved, is_path};

mod flow;
mod reach;
mod short;

/// Metres from the source to the fuse, bare and sheathed (ABYC E-11, edition not known to us; 33 CFR 183.460).
const BARE_M: f64 = 0.2;
const SHEATHED_M: f64 = 1.0;

/// In place of a branch, when none is left out.
const NONE: usize = usize::MAX;

/// The circuit as protection sees it.
struct Plan<'c> {
    circuit: &'c Circuit,
    /// Whether a branch conducts in some situation.
    conducts: Vec<bool>,
    /// Positive poles: net, branch, and the most the source gives where it limits itself.
    sources: Vec<(NetIndex, usize, Option<f64>)>,
}

/// Adds what is not protected.
pub(super) fn missing(circuit: &Circuit, solved: &[Solved<'_>], faults: &mut BTreeSet<Fault>) {
    let rests = || solved.iter().flat_map(|solved| &solved.rests);
    let conducts = (0..circuit.branches.len())
        .map(|branch| rests().any(|rest| circuit.closed(branch, &rest.state)))
        .collect();
    let sources = circuit
        .sources()
        .map(|source| {
            let limit = match circuit.branches[source].law {
                Some(Law::Source { limit, one_way: true, .. }) => limit.map(|limit| limit.get()),
                _ => None,
            };
            (circuit.branches[source].from, source, limit)
        })
        .collect();
    let plan = Plan { circuit, conducts, sources };
    let mut found = BTreeSet::new();
    plan.reach(&mut found);
    plan.feeds(&mut found);
    plan.returns(&mut found);
    plan.short_circuits(&mut found);
    // What was there before is protected as the vehicle's maker saw fit.
    let wires = &circuit.resolved.network.wires;
    let is_new =
        |fault: &Fault| wires.iter().any(|wire| wire.id.as_str() == fault.of && wire.status == Status::New);
    faults.extend(found.into_iter().filter(is_new));
}

fn wire_of(circuit: &Circuit, branch: usize) -> Option<&Wire> {
    match circuit.branches[branch].origin {
        Origin::Wire(wire) => Some(&circuit.resolved.network.wires[wire]),
        Origin::Part(..) => None,
    }
}

fn far(circuit: &Circuit, branch: usize, near: NetIndex) -> NetIndex {
    circuit.branches[branch].from + circuit.branches[branch].to - near
}

/// Whether a wire by itself is longer than a lead to its own fuse may be.
fn is_too_long(wire: &Wire) -> bool {
    let allowed = if wire.sleeve.is_some() { SHEATHED_M } else { BARE_M };
    matches!(wire.length, Given::Known(metres) if metres.get() > allowed + 1e-9)
}

impl Plan<'_> {
    /// Nets joined with `start` without passing a fuse, `but` or the chassis.
    fn joined(&self, start: NetIndex, but: usize) -> BTreeSet<NetIndex> {
        let mut met = BTreeSet::from([start]);
        let mut waiting = vec![start];
        while let Some(net) = waiting.pop() {
            for &branch in &self.circuit.at[net] {
                let other = far(self.circuit, branch, net);
                if branch != but && is_path(self.circuit, branch) && other != CHASSIS && met.insert(other) {
                    waiting.push(other);
                }
            }
        }
        met
    }

    /// The sides of what lies beyond a wire: whether something uses or gives current there, and whether fuses do.
    fn beyond(&self, wire: usize, net: NetIndex, source: usize) -> (bool, bool) {
        let (mut uses, mut fuses) = (false, false);
        for net in self.joined(net, wire) {
            for &branch in &self.circuit.at[net] {
                match self.circuit.branches[branch].role {
                    Role::Load(_) | Role::Coil { .. } => uses = true,
                    Role::Source if branch != source => uses = true,
                    Role::Protection(_) => fuses = true,
                    _ => {}
                }
            }
        }
        (uses, fuses)
    }
}
