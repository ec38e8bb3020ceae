//! Relays at the corners of their supply: warm at a charged battery, and at a battery that is low.

use std::collections::BTreeSet;
use std::sync::Arc;

use engine::circuit::Circuit;
use engine::document::Document;
use engine::given::Given;
use engine::kind::{Class, Role, Value};
use engine::solve::Solver;

use super::{Fault, Harm, Solved, id};

/// Volts at the battery for 12 V nominal, and how warm the coil is in degrees Celsius (common practice, no source): 50
/// degC in the cabin and 20 K of its own; a low battery at 20 degC.
const CORNERS: [(f64, f64); 2] = [(13.0, 70.0), (10.5, 20.0)];

/// Adds the relays that hold in some situation with the engine stopped, but not at every corner.
///
/// The current at which a coil pulls in stays, so the voltage rises with its resistance.
pub(super) fn weak(
    document: &Document,
    circuit: &Circuit,
    solved: &[Solved<'_>],
    faults: &mut BTreeSet<Fault>,
) {
    let relays: Vec<usize> =
        (0..circuit.devices.len()).filter(|device| circuit.devices[*device].relay).collect();
    // One situation that holds it is enough for each relay; the one with the most switched on loads the supply most.
    let mut asked: Vec<(usize, &Solved<'_>)> = Vec::new();
    for device in relays {
        let holds = |solved: &&Solved<'_>| {
            !solved.setting.engine && solved.rests.first().is_some_and(|rest| rest.state.devices[device])
        };
        if let Some(solved) = solved.iter().filter(holds).max_by_key(|solved| solved.setting.set.len()) {
            asked.push((device, solved));
        }
    }
    if asked.is_empty() {
        return;
    }
    for (volts, celsius) in CORNERS {
        let corner = at_corner(document, volts, celsius);
        let circuit_there = engine::laid::circuit(&corner);
        let solver = Solver::new(&circuit_there);
        for (device, solved) in &asked {
            let solution = solver.solve(circuit_there.positions(&solved.setting.situation()));
            let holds = solution.shown().is_some_and(|rest| rest.state.devices[*device]);
            if !holds {
                faults
                    .insert(Fault { harm: Harm::CoilWeak, of: id(circuit, circuit.devices[*device].branch) });
            }
        }
    }
}

fn at_corner(document: &Document, volts: f64, celsius: f64) -> Document {
    let volts = volts * document.settings.nominal_v / 12.0;
    let warm = 1.0 + 0.00393 * (celsius - 20.0);
    let circuit = engine::laid::circuit(document);
    let mut network = (*document.network).clone();
    for (index, part) in network.parts.iter_mut().enumerate() {
        let mut set = |name, number| part.values.set(name, Given::Known(Value::Number(number)));
        if part.kind.class == Class::Battery {
            set("open_circuit_v", volts);
            set("internal_ohm", 1e-3);
        }
        // What an electronic lamp does at a low battery is not asked here: it takes its power at any voltage.
        for (name, volts) in [("off_below_v", 0.5), ("on_above_v", 1.0)] {
            if part.kind.value(name).is_some() {
                set(name, volts);
            }
        }
        let Some(used) = &circuit.resolved.parts[index] else { continue };
        let is_relay =
            circuit.branches_of_part(index).any(|(_, branch)| matches!(branch.role, Role::Coil { .. }));
        if is_relay {
            for name in ["coil_ohm", "pull_in_v", "drop_out_v"] {
                if let Some(number) = used.number(name) {
                    set(name, number * warm);
                }
            }
        }
    }
    Document { network: Arc::new(network), ..document.clone() }
}
