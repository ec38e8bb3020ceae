//! Whether a short circuit at the end of a wire blows its fuse.

use std::collections::{BTreeMap, BTreeSet};

use engine::circuit::{CHASSIS, NetIndex};
use engine::given::Given;
use engine::kind::{Law, Role};

use super::{Plan, far, wire_of};
use crate::cable;
use crate::judge::limits::{mm2, wire_stands};
use crate::judge::{Fault, Harm, id};

/// The lowest corner of a short circuit (all common practice, no source): volts for 12 V nominal, ohms of the battery,
/// of the body and of each contact, and how many times its rating blows a fuse at once.
const FAULT_V: f64 = 12.0;
const FAULT_BATTERY_OHM: f64 = 0.020;
const FAULT_JOINT_OHM: f64 = 0.005;
const BLOWS_AT: f64 = 2.0;

impl Plan<'_> {
    /// Feed wires at whose end a short circuit to the body does not blow the fuse soon.
    pub(super) fn short_circuits(&self, faults: &mut BTreeSet<Fault>) {
        let circuit = self.circuit;
        let volts = FAULT_V * circuit.resolved.nominal_v / 12.0;
        let batteries: Vec<NetIndex> =
            self.sources.iter().filter(|(_, _, limit)| limit.is_none()).map(|(net, ..)| *net).collect();
        // Ohms and smallest fuse on the way of least resistance.
        let mut best: BTreeMap<NetIndex, (f64, f64)> = BTreeMap::new();
        let mut waiting: Vec<(NetIndex, f64, f64)> = batteries
            .iter()
            .map(|post| (*post, FAULT_BATTERY_OHM + FAULT_JOINT_OHM, f64::INFINITY))
            .collect();
        while let Some((net, ohm, fuse)) = waiting.pop() {
            if net == CHASSIS || best.get(&net).is_some_and(|(known, _)| *known <= ohm) {
                continue;
            }
            best.insert(net, (ohm, fuse));
            for &branch in &circuit.at[net] {
                let other = far(circuit, branch, net);
                let step = match (circuit.branches[branch].role, wire_of(circuit, branch)) {
                    (Role::Path, Some(wire)) => {
                        let celsius = wire.insulation.map_or(100.0, |insulation| insulation.limit_c());
                        match (mm2(wire), wire.length) {
                            (Some(mm2), Given::Known(metres)) => {
                                Some((cable::ohms(mm2, metres.get(), celsius), fuse))
                            }
                            _ => None,
                        }
                    }
                    (Role::Path, None) => match circuit.branches[branch].law {
                        Some(Law::Resistance(_)) => Some((FAULT_JOINT_OHM, fuse)),
                        _ => None,
                    },
                    (Role::Protection(Some(rating)), None) => {
                        let own = match circuit.branches[branch].law {
                            Some(Law::Resistance(ohm)) => ohm.get(),
                            _ => 0.0,
                        };
                        Some((own, fuse.min(rating.get())))
                    }
                    _ => None,
                };
                if let Some((more, fuse)) = step {
                    waiting.push((other, ohm + more, fuse));
                }
            }
        }
        for branch in 0..circuit.branches.len() {
            let Some(wire) = wire_of(circuit, branch) else { continue };
            let own = &circuit.branches[branch];
            let ends = [best.get(&own.from), best.get(&own.to)];
            let [Some(one), Some(other)] = ends else { continue };
            let (ohm, fuse) = if one.0 > other.0 { one } else { other };
            let amps = volts / ohm;
            if fuse.is_finite()
                && amps < BLOWS_AT * fuse
                && wire_stands(circuit, wire).is_some_and(|i| amps > i)
            {
                faults.insert(Fault { harm: Harm::FaultNotCleared, of: id(circuit, branch) });
            }
        }
    }
}
