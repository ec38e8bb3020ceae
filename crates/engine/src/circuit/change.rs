//! A circuit in which something is otherwise than it was drawn.

use std::sync::Arc;

use super::{Branch, CHASSIS, Circuit, Gate, NetIndex, ends};
use crate::kind::{Law, Role};
use crate::quantity::Ohms;

/// One thing that is otherwise. Branches are those of the circuit that is changed, and keep their indices.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// A branch has another law; without one it carries nothing, as if it were cut.
    Law(usize, Option<Law>),
    /// A branch conducts at another time.
    Gate(usize, Gate),
    /// A branch joins other nets, its first and its second.
    Ends(usize, NetIndex, NetIndex),
    /// The middle of a branch, which is a plain resistance, touches the chassis by way of so many ohms.
    Touches(usize, Ohms),
}

impl Change {
    /// The branch that it is about.
    pub fn branch(self) -> usize {
        match self {
            Change::Law(branch, _)
            | Change::Gate(branch, _)
            | Change::Ends(branch, ..)
            | Change::Touches(branch, _) => branch,
        }
    }
}

impl Circuit {
    /// This circuit with these changes, made one after the other.
    ///
    /// What is added to it comes after what was there: a branch that touches the chassis becomes the half up to its
    /// middle, and the other half and the touch are two more branches, on one more net. A relay whose coil is cut never
    /// pulls in. A touch of what is no plain resistance changes nothing.
    pub fn changed(&self, changes: &[Change]) -> Circuit {
        let mut circuit = self.clone();
        let mut has_other_ends = false;
        for change in changes {
            match *change {
                Change::Law(branch, law) => {
                    circuit.branches[branch].law = law;
                    if let (None, Some(device)) = (law, circuit.device_of(branch)) {
                        circuit.devices[device].on_at = f64::INFINITY;
                    }
                }
                Change::Gate(branch, gate) => circuit.branches[branch].gate = gate,
                Change::Ends(branch, from, to) => {
                    (circuit.branches[branch].from, circuit.branches[branch].to) = (from, to);
                    has_other_ends = true;
                }
                Change::Touches(branch, ohm) => has_other_ends |= circuit.touch(branch, ohm),
            }
        }
        if has_other_ends {
            circuit.at = Arc::new(ends(&circuit.branches, circuit.nets.len()));
        }
        circuit
    }

    /// This circuit with something more between two nets; it is the last branch.
    pub fn with_between(&self, from: NetIndex, to: NetIndex, law: Law) -> Circuit {
        let mut circuit = self.clone();
        // What it belongs to is asked of nothing that is added for a moment.
        let Some(like) = self.branches.first() else { return circuit };
        circuit.branches.push(Branch {
            from,
            to,
            law: Some(law),
            gate: Gate::Always,
            role: Role::Path,
            ..like.clone()
        });
        circuit.device_of.resize(circuit.branches.len(), None);
        circuit.at = Arc::new(ends(&circuit.branches, circuit.nets.len()));
        circuit
    }

    /// Lets the middle of a branch touch the chassis; tells whether it can.
    fn touch(&mut self, index: usize, ohm: Ohms) -> bool {
        let branch = self.branches[index].clone();
        let Some(Law::Resistance(whole)) = branch.law else { return false };
        let Some(half) = Ohms::new(0.5 * whole.get()).map(Law::Resistance) else { return false };
        let middle = self.nets.len();
        Arc::make_mut(&mut self.nets).push(Vec::new());
        self.branches[index] = Branch { to: middle, law: Some(half), ..branch.clone() };
        let touch = Branch { from: middle, to: CHASSIS, law: Some(Law::Resistance(ohm)), ..branch.clone() };
        self.branches.push(Branch { from: middle, law: Some(half), ..branch });
        self.branches.push(Branch { gate: Gate::Always, role: Role::Path, ..touch });
        self.device_of.resize(self.branches.len(), None);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::{Settings, Situation};
    use crate::notation;
    use crate::solve::solve;

    fn lamp() -> Circuit {
        let text = "
            battery G1 open_circuit_v=12 internal_ohm=1 strap_ohm=0
            resistor R1 ohm=2
            wire w1 G1.+ R1.1 mm2=1 m=1
            wire w2 R1.2 G1.- mm2=1 m=1";
        build(&notation::network(text).unwrap(), &Settings::default())
    }

    fn amps(circuit: &Circuit, branch: usize) -> f64 {
        solve(circuit, &Situation::at_rest()).shown().unwrap().steady.amps(branch)
    }

    #[test]
    fn a_branch_without_a_law_carries_nothing() {
        assert!(amps(&lamp(), 0) > 3.9);
        assert_eq!(amps(&lamp().changed(&[Change::Law(0, None)]), 0), 0.0);
    }

    /// The source of 12 V behind 1 ohm and half a wire of 2 ohm, the touch of 1 ohm beside the other half and the load
    /// of 2 ohm: 12/(1 + 1 + 3/4) A come to the middle, and three quarters of them take the touch.
    #[test]
    fn a_wire_that_touches_the_chassis_does_so_in_its_middle() {
        let ohm = |ohm: f64| Ohms::new(ohm).unwrap();
        let changes = [
            Change::Law(0, Some(Law::Resistance(ohm(2.0)))),
            Change::Law(1, Some(Law::Resistance(ohm(1e-6)))),
            Change::Touches(0, ohm(1.0)),
        ];
        let touched = lamp().changed(&changes);
        assert!((amps(&touched, 0) - 12.0 / 2.75).abs() < 1e-5);
        assert!((amps(&touched, touched.branches.len() - 1) - 9.0 / 2.75).abs() < 1e-5);
    }

    #[test]
    fn a_relay_whose_coil_is_cut_stays_where_it_is() {
        let text = "
            battery G1
            relay K1
            lamp E1 watts=21
            wire w1 G1.+ K1.86 mm2=1 m=1
            wire w2 K1.85 G1.- mm2=1 m=1
            wire w3 G1.+ K1.30 mm2=1 m=1
            wire w4 K1.87 E1.1 mm2=1 m=1
            wire w5 E1.2 G1.- mm2=1 m=1";
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let (lamp, _) = circuit.loads().next().unwrap();
        assert!(amps(&circuit, lamp) > 1.0);
        let coil = circuit.devices[0].branch;
        assert_eq!(amps(&circuit.changed(&[Change::Law(coil, None)]), lamp), 0.0);
    }
}
