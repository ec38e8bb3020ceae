//! The two ends of what a fault may draw, as a resistance or a source for every branch.
//!
//! How much flows into a short circuit depends on the charge and age of the battery, the warmth of the wires and the
//! state of every joint. The most decides what a fuse must be able to break, the least whether it opens at all; the two
//! are never mixed. What is assumed of them is common practice, no source, and stands below.

use crate::circuit::{Circuit, Origin};
use crate::conductor::{expected_resistance, greatest_resistance, temperature_factor};
use crate::given::Given;
use crate::kind::{Class, LEAST_OHM, Law, Role, Value};
use crate::quantity::{Amps, Celsius};
use crate::resolve::UsedWire;

/// How resistances and voltages are taken. Everything in it is common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Voltage of a battery over the one it shows without load when charged.
    pub volts: f64,
    /// Internal resistance of a battery of which none was given, in ohms for each 12.6 V.
    pub internal_unsaid: f64,
    /// The least internal resistance, in ohms for each 12.6 V.
    pub internal_least: f64,
    /// Whether the higher end counts of an internal resistance that was given as a range; else the lower.
    pub is_internal_highest: bool,
    /// Whether alternators run.
    pub is_engine_running: bool,
    /// How wires are taken.
    pub wires: Wires,
    /// The least resistance of a contact, a joint or the way of a pole to the body, in ohms; `None` for none at all.
    pub joint_least: Option<f64>,
    /// Factor on the cold resistance of a fuse.
    pub fuse_factor: f64,
    /// Whether a fuse has a typical resistance where none was given, and its holder one too.
    pub is_fuse_typical: bool,
}

/// How wires are taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wires {
    /// As they should be, at this temperature.
    Expected(Celsius),
    /// As bad as their size allows, at the temperature their insulation stands.
    Greatest,
}

/// Voltage without load of a charged lead-acid battery of six cells, for which internal resistances are given here.
const SIX_CELLS_V: f64 = 12.6;

/// Share of the voltage of charged cells by which that without load may differ for it to be one of so many.
const SAME_CELLS: f64 = 0.1;

/// The voltage without load that a battery has when charged which now shows `volts`: that of 6, 12 or 24 V with lead-acid
/// cells where it is near, else the same.
fn charged_v(volts: f64) -> f64 {
    let nominal = [0.5, 1.0, 2.0].map(|batteries| batteries * SIX_CELLS_V);
    nominal.into_iter().find(|charged| (volts - charged).abs() <= SAME_CELLS * charged).unwrap_or(volts)
}

fn at_20() -> Celsius {
    Celsius::new(20.0).expect("20 is finite")
}

/// The most a fault may draw: 12.8 V a battery of 12.6 V, its internal resistance as given, else 6 milliohm, cold wires,
/// no joints, and alternators that add all they deliver.
pub fn highest() -> Corner {
    Corner {
        volts: 12.8 / SIX_CELLS_V,
        internal_unsaid: 0.006,
        internal_least: 0.0,
        is_internal_highest: false,
        is_engine_running: true,
        wires: Wires::Expected(at_20()),
        joint_least: None,
        fuse_factor: 1.0,
        is_fuse_typical: true,
    }
}

/// The most that a fuse is asked to break: as [`highest`], but a lead-acid battery of which no internal resistance was
/// given has that of the readings, 10 milliohm for each 12.6 V (common practice, no source). The least that one may
/// have would condemn every fuse near a battery nobody knows.
pub fn to_break() -> Corner {
    Corner { internal_unsaid: 0.010, ..highest() }
}

/// The least: 12.0 V a battery of 12.6 V behind 20 milliohm at least, alternators stopped, wires as warm as their
/// insulation stands, 5 milliohm a contact, an earth point and the way of a pole to the body, and warm fuses.
pub fn lowest() -> Corner {
    Corner {
        volts: 12.0 / SIX_CELLS_V,
        internal_unsaid: 0.020,
        internal_least: 0.020,
        is_internal_highest: true,
        is_engine_running: false,
        wires: Wires::Greatest,
        joint_least: Some(0.005),
        fuse_factor: 1.5,
        is_fuse_typical: true,
    }
}

/// Volts that a typical link drops at its rated current while cold: blades and tubes, and links for high currents
/// (common practice, no source).
const BLADE_DROP_V: f64 = 0.075;
const STRIP_DROP_V: f64 = 0.050;

/// Resistance of the two contacts of a fuse that is plugged in, in ohms (common practice, no source).
const HOLDER_OHM: f64 = 0.002;

/// The straight line `i = conductance * u + offset` that a branch is in a fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Siemens.
    pub conductance: f64,
    /// Current at no voltage, in amperes.
    pub offset: f64,
}

impl Line {
    /// What carries nothing.
    pub const NOTHING: Line = Line { conductance: 0.0, offset: 0.0 };

    fn resistance(ohm: f64) -> Line {
        Line { conductance: 1.0 / ohm.max(LEAST_OHM), offset: 0.0 }
    }

    fn source(emf: f64, internal: f64) -> Line {
        let conductance = 1.0 / internal.max(LEAST_OHM);
        Line { conductance, offset: -emf * conductance }
    }
}

/// Conductance beside an alternator at its limit, in siemens: so small that it takes nothing, it gives the alternator a
/// voltage where it has no battery.
const BESIDE_A_LIMIT: f64 = 1e-6;

impl Corner {
    /// What every branch is in this corner while it is closed.
    pub fn lines(&self, circuit: &Circuit) -> Vec<Line> {
        (0..circuit.branches.len()).map(|branch| self.line(circuit, branch)).collect()
    }

    /// What a branch is in this corner while it is closed; nothing for what uses energy, because a fault leaves it
    /// nothing.
    pub fn line(&self, circuit: &Circuit, branch: usize) -> Line {
        let found = &circuit.branches[branch];
        let Some(law) = found.law else { return Line::NOTHING };
        match (found.origin, found.role) {
            (Origin::Wire(wire), _) => match &circuit.resolved.wires[wire] {
                Some(used) => self.wire(used),
                None => Line::NOTHING,
            },
            (Origin::Part(part, _), Role::Source) => self.source(circuit, part, law),
            (Origin::Part(part, _), Role::Protection(_)) => self.fuse(circuit, part, branch, law),
            (Origin::Part(..), Role::Path) => self.path(law),
            _ => Line::NOTHING,
        }
    }

    fn wire(&self, used: &UsedWire) -> Line {
        let ohm = match self.wires {
            Wires::Expected(celsius) => expected_resistance(used.area.high, used.length.low)
                .map(|ohm| ohm.get() * temperature_factor(celsius.get())),
            Wires::Greatest => match used.size {
                Some(size) => greatest_resistance(size.low, used.length.high),
                None => expected_resistance(used.area.low, used.length.high),
            }
            .map(|ohm| ohm.get() * temperature_factor(used.insulation.get())),
        };
        ohm.map_or(Line::NOTHING, Line::resistance)
    }

    fn source(&self, circuit: &Circuit, part: usize, law: Law) -> Line {
        let Law::Source { emf, internal, limit, .. } = law else { return Line::NOTHING };
        let part = &circuit.resolved.network.parts[part];
        if part.kind.class != Class::Battery {
            // Of a range the higher end is the worse, as alternators only count for the most.
            let limit = match part.values.get("limit_a") {
                Given::Between(_, Value::Number(high)) => Some(high),
                _ => limit.map(Amps::get),
            };
            return match limit {
                _ if !self.is_engine_running => Line::NOTHING,
                Some(limit) => Line { conductance: BESIDE_A_LIMIT, offset: -limit },
                None => Line::source(emf.get(), internal.get()),
            };
        }
        let batteries = emf.get() / SIX_CELLS_V;
        // What one shows today is neither the most nor the least it may have when something fails.
        let (shown, then) = (emf.get(), charged_v(emf.get()) * self.volts);
        let emf = if self.is_internal_highest { then.min(shown) } else { then.max(shown) };
        let internal = match part.values.get("internal_ohm") {
            Given::NotKnown => self.internal_unsaid * batteries,
            Given::Between(Value::Number(low), Value::Number(high)) => {
                if self.is_internal_highest {
                    high
                } else {
                    low
                }
            }
            _ => internal.get(),
        };
        Line::source(emf, internal.max(self.internal_least * batteries))
    }

    fn fuse(&self, circuit: &Circuit, part: usize, branch: usize, law: Law) -> Line {
        let Law::Resistance(given) = law else { return Line::NOTHING };
        let network = &circuit.resolved.network;
        let family = circuit.resolved.parts[part].as_ref().and_then(|used| used.word("family"));
        // What knows no family is a breaker, or the wiring of the vehicle with the fuse in it.
        if network.parts[part].kind.value("family").is_none() {
            return Line::resistance(given.get());
        }
        // Of a fuse whose type nobody knows the most of a fault is that of a bolted one, the least that of one with
        // blades.
        let family = family.unwrap_or(if self.joint_least.is_some() { "blade-C" } else { "strip" });
        let is_bolted = family == "strip";
        let own = match (network.parts[part].values.get("element_ohm"), circuit.branches[branch].role) {
            (Given::NotKnown, Role::Protection(Some(rated))) if self.is_fuse_typical => {
                let drop = if is_bolted || family == "blade-E" { STRIP_DROP_V } else { BLADE_DROP_V };
                drop / rated.get()
            }
            _ => given.get(),
        };
        let holder = if is_bolted || !self.is_fuse_typical { 0.0 } else { HOLDER_OHM };
        Line::resistance(own * self.fuse_factor + holder)
    }

    fn path(&self, law: Law) -> Line {
        match law {
            Law::Resistance(given) => {
                Line::resistance(self.joint_least.map_or(0.0, |least| given.get().max(least)))
            }
            Law::Diode { forward, slope } => Line::source(forward.get(), slope.get()),
            _ => Line::NOTHING,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation::network;

    #[test]
    fn what_a_battery_shows_today_is_neither_the_most_nor_the_least() {
        let volts = |shows: f64, corner: Corner| {
            let text = format!("battery G1 open_circuit_v={shows} internal_ohm=0.03");
            let circuit = build(&network(&text).unwrap(), &Settings::default());
            let line = corner.line(&circuit, circuit.sources().next().unwrap());
            -line.offset / line.conductance
        };
        for (shows, most, least) in
            [(11.8, 12.8, 11.8), (12.2, 12.8, 12.0), (12.6, 12.8, 12.0), (13.3, 13.3, 12.0)]
        {
            assert!((volts(shows, highest()) - most).abs() < 1e-9, "{shows}: {}", volts(shows, highest()));
            assert!((volts(shows, lowest()) - least).abs() < 1e-9, "{shows}: {}", volts(shows, lowest()));
        }
    }

    /// 50 mV at 60 A without a holder, and 1.5 times 75 mV at 60 A with one of 2 milliohm.
    #[test]
    fn a_fuse_of_a_type_nobody_knows_has_the_resistance_that_is_worse() {
        let ohm = |fuse: &str, corner: Corner| {
            let text = format!("fuse F1 {fuse}\nfuse F2\nwire w1 F1.2 F2.1 mm2=6 m=1");
            let circuit = build(&network(&text).unwrap(), &Settings::default());
            let found =
                circuit.branches.iter().position(|branch| matches!(branch.role, Role::Protection(Some(_))));
            1.0 / corner.line(&circuit, found.unwrap()).conductance
        };
        assert!((ohm("rating_a=60", highest()) - 0.05 / 60.0).abs() < 1e-9);
        assert!((ohm("rating_a=60", lowest()) - (1.5 * 0.075 / 60.0 + 0.002)).abs() < 1e-9);
        assert!((ohm("rating_a=40", highest()) - (0.075 / 40.0 + 0.002)).abs() < 1e-9);
    }

    #[test]
    fn a_range_of_internal_resistance_counts_with_its_low_end_for_the_most_and_its_high_end_for_the_least() {
        let mut network = (*network("battery G1").unwrap()).clone();
        network.parts[0]
            .values
            .set("internal_ohm", Given::Between(Value::Number(0.004), Value::Number(0.05)));
        let circuit = build(&std::sync::Arc::new(network), &Settings::default());
        let source = circuit.sources().next().unwrap();
        let siemens = |corner: Corner| corner.line(&circuit, source).conductance;
        assert_eq!(siemens(highest()), 1.0 / 0.004);
        assert_eq!(siemens(lowest()), 1.0 / 0.05);
    }
}
