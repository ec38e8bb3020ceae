//! Branch laws as the solution needs them: current, and its straight-line companion, at a voltage.

use crate::kind::Law;

/// The straight line `i = conductance * u + offset` that stands for a law near one voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Companion {
    /// Slope in siemens; negative only for an electronic load, which takes less current at more voltage.
    pub conductance: f64,
    /// Current at no voltage, in amperes.
    pub offset: f64,
}

/// How far a diode may stand below its forward voltage, in volts, and still join its ends.
///
/// A diode that feeds an open end carries nothing and stands exactly at the corner of its law. There rounding
/// would decide whether the open end follows the supply, so the corner is moved by more than rounding can do and
/// less than any meter shows.
const CORNER: f64 = 1e-11;

/// The companion of what carries nothing.
pub(super) const NOTHING: Companion = Companion { conductance: 0.0, offset: 0.0 };

/// Exponent of filament current over voltage (lamp rerating practice).
pub const FILAMENT_EXPONENT: f64 = 0.55;

/// Forward voltage and slope of an electronic load that conducts when reversed, in volts and ohms
/// (common practice, no source): its protective diode.
const REVERSED_DIODE: (f64, f64) = (0.8, 0.01);

/// The companion of `law` at the voltage `u`; `on` is the state of an electronic load.
pub(super) fn companion(law: &Law, u: f64, on: bool) -> Companion {
    match *law {
        Law::Resistance(ohm) => Companion { conductance: 1.0 / ohm.get(), offset: 0.0 },
        Law::Source { emf, internal, limit, one_way } => {
            let (emf, conductance) = (emf.get(), 1.0 / internal.get());
            let current = (u - emf) * conductance;
            match limit {
                Some(limit) if -current > limit.get() => Companion { conductance: 0.0, offset: -limit.get() },
                _ if one_way && u - emf > CORNER => NOTHING,
                _ => Companion { conductance, offset: -emf * conductance },
            }
        }
        Law::Filament { rated_v, rated_a, cold } => filament(rated_v.get(), rated_a.get(), cold.get(), u),
        Law::Electronic { power, limit, leak, conducts_reversed, .. } => {
            let (forward, slope) = REVERSED_DIODE;
            if u < 0.0 {
                return if conducts_reversed && u < CORNER - forward {
                    Companion { conductance: 1.0 / slope, offset: forward / slope }
                } else {
                    NOTHING
                };
            }
            if !on {
                return leak.map_or(NOTHING, |ohm| Companion { conductance: 1.0 / ohm.get(), offset: 0.0 });
            }
            let current = power.get() / u;
            match limit {
                Some(limit) if current > limit.get() => Companion { conductance: 0.0, offset: limit.get() },
                _ => Companion { conductance: -current / u, offset: 2.0 * current },
            }
        }
        Law::Diode { forward, slope } => {
            if u > forward.get() - CORNER {
                Companion { conductance: 1.0 / slope.get(), offset: -forward.get() / slope.get() }
            } else {
                NOTHING
            }
        }
    }
}

/// Amperes at the voltage `u` through a law that is no electronic load's.
pub(super) fn current(law: &Law, u: f64) -> f64 {
    let Companion { conductance, offset } = companion(law, u, false);
    conductance * u + offset
}

/// The companion of `law` at a voltage that the last step turned round.
///
/// The tangent of a filament near no voltage overshoots to the other side, and back, for ever smaller; the straight
/// line through no voltage and no current does not.
pub(super) fn companion_after_reversal(law: &Law, u: f64, on: bool) -> Companion {
    let tangent = companion(law, u, on);
    match law {
        Law::Filament { .. } => {
            Companion { conductance: tangent.conductance + tangent.offset / u, offset: 0.0 }
        }
        _ => tangent,
    }
}

fn filament(rated_v: f64, rated_a: f64, cold: f64, u: f64) -> Companion {
    let size = u.abs();
    let current = rated_a * libm::pow(size / rated_v, FILAMENT_EXPONENT);
    // Near no voltage the power law would ask for more current than the cold filament lets through.
    if current * cold >= size {
        return Companion { conductance: 1.0 / cold, offset: 0.0 };
    }
    let conductance = FILAMENT_EXPONENT * current / size;
    Companion { conductance, offset: (current - conductance * size) * u.signum() }
}

/// Which piece of its law a branch stands on at the voltage `u`, where the law is made of several: from one piece to
/// another a companion may change at once, however little the voltage does.
pub(super) fn piece(law: &Law, u: f64, on: bool) -> u8 {
    match *law {
        Law::Resistance(_) => 0,
        Law::Source { emf, internal, limit, one_way } => match limit {
            Some(limit) if (emf.get() - u) / internal.get() > limit.get() => 1,
            _ if one_way && u - emf.get() > CORNER => 2,
            _ => 0,
        },
        // The cold piece ends far below a tenth of the rated voltage for anything that glows.
        Law::Filament { rated_v, rated_a, cold } => {
            let size = u.abs();
            let may_be_cold = size < 0.1 * rated_v.get();
            let current = || rated_a.get() * libm::pow(size / rated_v.get(), FILAMENT_EXPONENT);
            u8::from(may_be_cold && current() * cold.get() >= size)
        }
        Law::Electronic { power, limit, conducts_reversed, .. } => {
            if u < 0.0 {
                return if conducts_reversed && u < CORNER - REVERSED_DIODE.0 { 1 } else { 0 };
            }
            let is_limited = limit.is_some_and(|limit| power.get() > limit.get() * u);
            if on { 2 + u8::from(is_limited) } else { 4 }
        }
        Law::Diode { forward, .. } => u8::from(u > forward.get() - CORNER),
    }
}

/// The companion to begin with, before any voltage is known: loads as they are at their rating, diodes blocking
/// because most of them stand on coils or on what is switched off, electronic loads drawing nothing so that the first
/// voltages are the highest.
pub(super) fn first(law: &Law) -> Companion {
    match *law {
        Law::Filament { rated_v, rated_a, .. } => {
            Companion { conductance: rated_a.get() / rated_v.get(), offset: 0.0 }
        }
        Law::Electronic { .. } | Law::Diode { .. } => NOTHING,
        Law::Source { emf, .. } => companion(law, emf.get(), false),
        Law::Resistance(_) => companion(law, 0.0, false),
    }
}

/// Whether current can pass at the voltage `u`, for telling which nets are connected.
pub(super) fn conducts(law: &Law, u: f64, on: bool) -> bool {
    let Companion { conductance, offset } = companion(law, u, on);
    conductance != 0.0 || offset != 0.0
}

/// Whether a diode stands at the corner of its law, where it joins its ends but carries nothing.
pub(super) fn is_at_corner(law: &Law, u: f64) -> bool {
    matches!(law, Law::Diode { forward, .. } if (u - forward.get()).abs() <= CORNER)
}

/// Whether the law is a straight line everywhere.
pub(super) fn is_linear(law: &Law) -> bool {
    matches!(law, Law::Resistance(_) | Law::Source { limit: None, one_way: false, .. })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Amps, Ohms, Volts};

    fn lamp() -> Law {
        // 55 W at 12 V, cold resistance a twelfth of the hot one.
        Law::Filament {
            rated_v: Volts::new(12.0).unwrap(),
            rated_a: Amps::new(55.0 / 12.0).unwrap(),
            cold: Ohms::new(144.0 / 55.0 / 12.0).unwrap(),
        }
    }

    fn current(law: &Law, u: f64) -> f64 {
        let line = companion(law, u, true);
        line.conductance * u + line.offset
    }

    /// Lamp rerating: 12.0 V on a lamp rated at 13.2 V gives (12/13.2)^0.55 = 0.949 of its current.
    #[test]
    fn filament_current_follows_the_voltage_to_the_power_0_55() {
        let ratio = current(&lamp(), 12.0 / 1.1) / current(&lamp(), 12.0);
        assert!((ratio - 0.949).abs() < 5e-4, "{ratio}");
        assert!((current(&lamp(), -6.0) + current(&lamp(), 6.0)).abs() < 1e-12);
    }

    #[test]
    fn filament_current_is_continuous_where_it_leaves_the_cold_line() {
        let law = lamp();
        let mut last = 0.0;
        for step in 1..4000 {
            let now = current(&law, f64::from(step) * 1e-3);
            assert!(now > last && now - last < 0.005, "{step}: {last} to {now}");
            last = now;
        }
    }
}
