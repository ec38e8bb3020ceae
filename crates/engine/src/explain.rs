//! How the readings and limits of one part or wire came about.

use std::collections::BTreeSet;

use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin};
use crate::endurance;
use crate::ids::TerminalRef;
use crate::kind::{Law, Role};
use crate::quantity::Unit;
use crate::resolve::LengthFrom;
use crate::solve::working::{basis_of, of_branch, potential};
use crate::solve::{Rest, Solution};
use crate::subject::Subject;
use crate::working::{Basis, Working};

/// The workings of everything that is read off `subject` in the situation that `solution` is of, and of its limits.
///
/// Empty for what is to be removed. Readings have none where the situation does not come to rest.
pub fn workings(circuit: &Circuit, solution: &Solution, subject: &Subject) -> Vec<Working> {
    let resolved = &circuit.resolved;
    let mut all = Vec::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        if circuit.subject(index) != *subject {
            continue;
        }
        let title = title(circuit, index, subject);
        if let Some(rest) = solution.shown().filter(|rest| circuit.closed(index, &rest.state)) {
            all.extend(of_branch(circuit, rest, index, &title));
            if branch.role == Role::Source {
                all.extend(endurance::working(circuit, rest, index, &title));
            }
        }
        if let Origin::Wire(wire) = branch.origin {
            let used = resolved.wires[wire].as_ref();
            all.extend(used.and_then(|used| used.ampacity_working(&title)));
            let follows =
                used.is_some_and(|used| matches!(used.length_from, LengthFrom::Way | LengthFrom::Plan));
            let way = resolved.ways.of(wire).filter(|_| follows);
            all.extend(way.and_then(|way| way.length_working(&title, &resolved.settings)));
        }
    }
    if let (Subject::Part(id), Some(rest)) = (subject, solution.shown())
        && let Some(part) = resolved.network.part(id)
    {
        let mut told = BTreeSet::from([CHASSIS]);
        for terminal in part.terminals() {
            let terminal = TerminalRef { part: id.clone(), terminal: terminal.name };
            if let Some(net) = circuit.net_of(&terminal).filter(|net| told.insert(*net)) {
                all.extend(of_terminal(circuit, rest, &terminal, net));
            }
        }
    }
    all
}

const STEP: &str =
    "Kirchhoff's voltage law: the voltage at the other end, less what the current loses on the way";

/// How the voltage of a terminal against the vehicle body came about: from that at the other end of what brings most
/// current, or takes most where nothing brings any. `None` where it is not defined.
fn of_terminal(circuit: &Circuit, rest: &Rest, terminal: &TerminalRef, net: NetIndex) -> Option<Working> {
    let volts = rest.steady.volts(net)?;
    let incoming = |index: usize| match circuit.branches[index].to == net {
        true => rest.steady.amps(index),
        false => -rest.steady.amps(index),
    };
    let is_way = |index: &usize| {
        let branch = &circuit.branches[*index];
        let is_known = match branch.law {
            Some(Law::Resistance(_)) => matches!(branch.role, Role::Path | Role::Protection(_)),
            Some(Law::Source { limit, .. }) => {
                branch.from == net && limit.is_none_or(|limit| incoming(*index) < limit.get() * (1.0 - 1e-9))
            }
            _ => false,
        };
        is_known && branch.from != branch.to && rest.steady.conducting(*index)
    };
    let ways = || circuit.at[net].iter().copied().filter(is_way);
    let most = |sign: f64| ways().max_by(|a, b| (sign * incoming(*a)).total_cmp(&(sign * incoming(*b))));
    let way = most(1.0).filter(|way| incoming(*way) > 0.0).or_else(|| most(-1.0))?;
    let amps = incoming(way);
    let far = circuit.far_end(way, net);
    let by = title(circuit, way, &circuit.subject(way));
    let from = rest.steady.volts(far)?;
    let what =
        format!("voltage of {} against the vehicle body", circuit.resolved.network.terminal_title(terminal));
    let (formula, emf, ohm) = match circuit.branches[way].law? {
        Law::Source { emf, internal, .. } => ("U = U_1 + E - R * I", Some(emf), internal),
        Law::Resistance(ohm) if amps < 0.0 => ("U = U_1 + R * I", None, ohm),
        Law::Resistance(ohm) => ("U = U_1 - R * I", None, ohm),
        _ => return None,
    };
    // A battery that is charged takes current, and its sign says so.
    let amps = if emf.is_some() { amps } else { amps.abs() };
    let mut working = Working::of(what, formula, volts, Unit::Volt, STEP)?.with(
        "U_1",
        potential(circuit, far),
        from,
        Unit::Volt,
        Basis::Calculated,
    );
    if let Some(emf) = emf {
        let what = format!("voltage of {by} without load");
        working = working.with("E", what, emf.get(), Unit::Volt, basis_of(circuit, way));
    }
    let resistance = format!("resistance of {by}");
    Some(working.with("R", resistance, ohm.get(), Unit::Ohm, Basis::Calculated).with(
        "I",
        format!("current of {by}"),
        amps,
        Unit::Ampere,
        Basis::Calculated,
    ))
}

/// The name of a branch: of the part or wire, and which of its branches it is where it has several.
fn title(circuit: &Circuit, index: usize, subject: &Subject) -> String {
    let title = subject.title(&circuit.resolved.network);
    let branch = &circuit.branches[index];
    let Origin::Part(part, _) = branch.origin else { return title };
    if circuit.branches_of_part(part).count() == 1 {
        return title;
    }
    match branch.role {
        Role::Source => title,
        Role::Path if branch.gate == crate::circuit::Gate::Always => format!("the strap or joint of {title}"),
        Role::Path => format!("the contact of {title}"),
        Role::Protection(_) => format!("the vehicle's own wiring to {title}"),
        Role::Coil { .. } => format!("the coil of {title}"),
        Role::Load(load) if load.name.is_empty() => title,
        Role::Load(load) => format!("the {} of {title}", load.name),
        Role::Suppression => format!("the diode across the coil of {title}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::{Settings, Situation};
    use crate::notation;
    use crate::solve::solve;

    #[test]
    fn the_voltage_of_a_terminal_follows_from_the_end_that_its_current_comes_from_or_goes_to() {
        let text = "battery G1\nfuse F1 rating_a=15\nlamp E1 watts=55\nearth X1
            wire w1 G1.+ F1.1 mm2=2.5 m=1\nwire w2 F1.2 E1.1 mm2=2.5 m=3\nwire w3 E1.2 X1.1 mm2=2.5 m=2";
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let solution = solve(&circuit, &Situation::at_rest());
        let told = |name: &str| -> Vec<(String, &'static str, String)> {
            let part = circuit.resolved.network.parts.iter().find(|part| part.title() == name).unwrap();
            let all = workings(&circuit, &solution, &Subject::Part(part.id.clone()));
            let of_terminals = all.into_iter().filter(|working| working.source == STEP);
            of_terminals
                .map(|working| (working.what, working.formula, working.inputs[0].what.clone()))
                .collect()
        };
        let potential = |terminal: &str| format!("voltage of {terminal} against the vehicle body");
        assert_eq!(
            told("E1"),
            [
                (potential("E1:1"), "U = U_1 - R * I", potential("F1:2")),
                (potential("E1:2"), "U = U_1 + R * I", potential("X1:1")),
            ]
        );
        assert_eq!(told("G1")[0].1, "U = U_1 + E - R * I");
    }
}
