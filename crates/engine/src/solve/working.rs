//! How the voltage, current and power of a branch came about.

use super::law::{self, FILAMENT_EXPONENT};
use super::{Rest, Steady};
use crate::circuit::{Circuit, NetIndex, Origin};
use crate::conductor::COPPER_OHM_MM2_PER_M;
use crate::kind::{Law, Role};
use crate::quantity::Unit;
use crate::working::{Basis, Working};

const OHM: &str = "Ohm's law";
const KIRCHHOFF: &str = "Kirchhoff's voltage law";
const POWER: &str = "first principles: power is voltage times current";
const COPPER: &str = "IEC 60028 (from memory): resistivity of copper at 20 degC";
const FILAMENT: &str = "lamp rerating: common practice, no source";
const ELECTRONIC: &str = "first principles: constant power";
const SOURCE: &str = "first principles: a source behind its internal resistance";
const DIODE: &str = "a diode as two straight lines; its values: common practice, no source";

/// How the voltage across a branch, its current and its power came about in a lasting state, and of a wire its
/// resistance; `title` names what the branch belongs to. Empty where nothing is known or nothing flows.
///
/// Currents and power are without a sign, as they are read off a meter.
pub fn of_branch(circuit: &Circuit, rest: &Rest, branch: usize, title: &str) -> Vec<Working> {
    let Some(across) = volts_across(circuit, &rest.steady, branch) else { return Vec::new() };
    let mut all = Vec::new();
    all.extend(current(circuit, rest, branch, title, across));
    all.extend(volts(circuit, &rest.steady, branch, title));
    all.extend(power(&rest.steady, branch, title, across));
    all.extend(resistance(circuit, branch, title));
    all
}

fn volts_across(circuit: &Circuit, steady: &Steady, branch: usize) -> Option<f64> {
    let branch = &circuit.branches[branch];
    steady.between(branch.from, branch.to)
}

/// What the voltage of a net is called.
pub fn potential(circuit: &Circuit, net: NetIndex) -> String {
    match circuit.nets[net].first() {
        Some(terminal) => {
            let title = circuit.resolved.network.terminal_title(terminal);
            format!("voltage of {title} against the vehicle body")
        }
        None => "voltage of the vehicle body".to_owned(),
    }
}

/// The voltage as the difference of what a meter shows at its ends, where these are defined.
fn volts(circuit: &Circuit, steady: &Steady, branch: usize, title: &str) -> Option<Working> {
    let ends = &circuit.branches[branch];
    let (from, to) = (steady.volts(ends.from)?, steady.volts(ends.to)?);
    let what = format!("voltage across {title}");
    let working = Working::of(what, "U = abs(U_1 - U_2)", (from - to).abs(), Unit::Volt, KIRCHHOFF)?;
    Some(working.with("U_1", potential(circuit, ends.from), from, Unit::Volt, Basis::Calculated).with(
        "U_2",
        potential(circuit, ends.to),
        to,
        Unit::Volt,
        Basis::Calculated,
    ))
}

fn power(steady: &Steady, branch: usize, title: &str, across: f64) -> Option<Working> {
    let amps = steady.amps(branch).abs();
    let what = match across * steady.amps(branch) < 0.0 {
        true => format!("power that {title} gives"),
        false => format!("power that {title} takes"),
    };
    let working = Working::of(what, "P = U * I", across.abs() * amps, Unit::Watt, POWER)?;
    Some(
        working
            .with("U", format!("voltage across {title}"), across.abs(), Unit::Volt, Basis::Calculated)
            .with("I", format!("current of {title}"), amps, Unit::Ampere, Basis::Calculated),
    )
}

/// The current by the law of the branch. Through a resistance so small that the voltage across it is lost in rounding,
/// the current is what its neighbors bring, and what is shown is the voltage that makes.
fn current(circuit: &Circuit, rest: &Rest, branch: usize, title: &str, across: f64) -> Option<Working> {
    const STIFF_OHM: f64 = 0.002;
    let law = circuit.branches[branch].law?;
    let amps = rest.steady.amps(branch).abs();
    let u = across.abs();
    let what = format!("current of {title}");
    let volts = |working: Working| {
        working.with("U", format!("voltage across {title}"), u, Unit::Volt, Basis::Calculated)
    };
    let own = |symbol, what: &str, value, unit| (symbol, format!("{what} of {title}"), value, unit);
    let with = |working: Working, (symbol, what, value, unit): (&'static str, String, f64, Unit), basis| {
        working.with(symbol, what, value, unit, basis)
    };
    let basis = basis_of(circuit, branch);
    match law {
        Law::Resistance(ohm) if ohm.get() <= STIFF_OHM => {
            let working = Working::of(format!("voltage lost in {title}"), "U = I * R", u, Unit::Volt, OHM)?;
            let working = working.with("I", what, amps, Unit::Ampere, Basis::Calculated);
            Some(with(working, own("R", "resistance", ohm.get(), Unit::Ohm), basis))
        }
        Law::Resistance(ohm) => {
            let working = volts(Working::of(what, "I = U / R", amps, Unit::Ampere, OHM)?);
            Some(with(working, own("R", "resistance", ohm.get(), Unit::Ohm), basis))
        }
        Law::Source { limit: Some(limit), .. } if amps >= limit.get() * (1.0 - 1e-9) => {
            let working = Working::of(what, "I = I_max", amps, Unit::Ampere, SOURCE)?;
            Some(with(working, own("I_max", "limit", limit.get(), Unit::Ampere), basis))
        }
        Law::Source { emf, internal, .. } if amps > 0.0 => {
            let working = volts(Working::of(what, "I = abs(E - U) / R_i", amps, Unit::Ampere, SOURCE)?);
            let working = with(working, own("E", "voltage without load", emf.get(), Unit::Volt), basis);
            Some(with(working, own("R_i", "internal resistance", internal.get(), Unit::Ohm), basis))
        }
        Law::Filament { rated_v, rated_a, cold } => {
            if law::companion(&law, u, true).offset == 0.0 {
                let working = volts(Working::of(what, "I = U / R_cold", amps, Unit::Ampere, FILAMENT)?);
                return Some(with(working, own("R_cold", "cold resistance", cold.get(), Unit::Ohm), basis));
            }
            let working = volts(Working::of(what, "I = I_r * (U / U_r) ^ n", amps, Unit::Ampere, FILAMENT)?);
            let working = with(working, own("I_r", "rated current", rated_a.get(), Unit::Ampere), basis);
            let working = with(working, own("U_r", "rated voltage", rated_v.get(), Unit::Volt), basis);
            Some(working.with(
                "n",
                "exponent of filament current",
                FILAMENT_EXPONENT,
                Unit::One,
                Basis::Tabled,
            ))
        }
        Law::Electronic { power, limit, .. }
            if amps > 0.0 && across > 0.0 && is_on(circuit, rest, branch) =>
        {
            match limit {
                Some(limit) if power.get() / u > limit.get() => {
                    let working = Working::of(what, "I = I_max", amps, Unit::Ampere, ELECTRONIC)?;
                    Some(with(working, own("I_max", "limit", limit.get(), Unit::Ampere), basis))
                }
                _ => {
                    let working = volts(Working::of(what, "I = P / U", amps, Unit::Ampere, ELECTRONIC)?);
                    Some(with(working, own("P", "power", power.get(), Unit::Watt), basis))
                }
            }
        }
        Law::Electronic { leak: Some(ohm), .. } if amps > 0.0 && across > 0.0 => {
            let working = volts(Working::of(what, "I = U / R", amps, Unit::Ampere, OHM)?);
            Some(with(working, own("R", "resistance while off", ohm.get(), Unit::Ohm), basis))
        }
        Law::Diode { forward, slope } if amps > 1e-6 => {
            let working = volts(Working::of(what, "I = (U - U_f) / R_d", amps, Unit::Ampere, DIODE)?);
            let working = with(working, own("U_f", "forward voltage", forward.get(), Unit::Volt), basis);
            Some(with(working, own("R_d", "slope", slope.get(), Unit::Ohm), basis))
        }
        Law::Source { .. } | Law::Electronic { .. } | Law::Diode { .. } => None,
    }
}

fn is_on(circuit: &Circuit, rest: &Rest, branch: usize) -> bool {
    let device = circuit.devices.iter().position(|device| device.branch == branch);
    device.is_some_and(|device| rest.state.devices[device])
}

/// Whether what a law is made of was entered; of parts it may be some of each, and then it counts as assumed.
pub fn basis_of(circuit: &Circuit, branch: usize) -> Basis {
    let subject = circuit.subject(branch);
    match circuit.branches[branch].origin {
        // The resistance of a wire follows from its size and length.
        Origin::Wire(_) => Basis::Calculated,
        Origin::Part(..) => {
            Basis::said(circuit.resolved.assumptions.iter().all(|assumption| assumption.subject != subject))
        }
    }
}

/// The resistance of a wire at 20 degC.
fn resistance(circuit: &Circuit, branch: usize, title: &str) -> Option<Working> {
    let Origin::Wire(wire) = circuit.branches[branch].origin else { return None };
    let used = circuit.resolved.wires[wire].as_ref()?;
    debug_assert_eq!(circuit.branches[branch].role, Role::Path);
    let ohm = used.expected()?.get();
    let working = Working::of(format!("resistance of {title}"), "R = rho * L / S", ohm, Unit::Ohm, COPPER)?;
    Some(
        working
            .with("rho", "resistivity of copper in ohm mm2/m", COPPER_OHM_MM2_PER_M, Unit::One, Basis::Tabled)
            .with("L", "length", used.length.used.get(), Unit::Metre, used.length_basis())
            .with(
                "S",
                "cross-section",
                used.area.used.get(),
                Unit::SquareMillimetre,
                Basis::said(used.size.is_some()),
            ),
    )
}
