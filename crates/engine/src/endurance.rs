//! How long a battery lasts at a current: Peukert's law, counted from the rated hours.

use crate::circuit::{Circuit, Origin};
use crate::kind::Class;
use crate::quantity::Unit;
use crate::solve::Rest;
use crate::working::{Basis, Working};

/// Hours in which a battery is empty that holds `capacity_ah` when it is emptied in `rated_h` hours, at `amps`:
/// `t = H (C / (I H))^k`. At the current of its rating it lasts its rated hours.
///
/// The short form `C / I^k` is right only where `C` is the capacity at 1 A, and is not used.
pub fn hours(capacity_ah: f64, rated_h: f64, exponent: f64, amps: f64) -> f64 {
    rated_h * libm::pow(capacity_ah / (amps * rated_h), exponent)
}

const SOURCE: &str =
    "Peukert's law in the form for a rated time; exponents of lead-acid in general 1.1 to 1.3";

/// Currents below which a battery counts as at rest, in amperes: it empties itself as fast (common practice, no source).
pub const AT_REST_A: f64 = 0.001;

/// How long the battery whose source is this branch lasts in a lasting state, from full; `title` names it.
///
/// `None` when its capacity is not known, or when it is charged or at rest.
pub fn working(circuit: &Circuit, rest: &Rest, source: usize, title: &str) -> Option<Working> {
    let Origin::Part(index, _) = circuit.branches[source].origin else { return None };
    let part = &circuit.resolved.network.parts[index];
    if part.kind.class != Class::Battery {
        return None;
    }
    let used = circuit.resolved.parts[index].as_ref()?;
    let number = |key: &str| used.number(key);
    let (capacity, rated, exponent) = (number("capacity_ah")?, number("rate_h")?, number("peukert")?);
    // Counted from the positive pole to the negative one, what a battery gives is negative.
    let amps = -rest.steady.amps(source);
    if amps < AT_REST_A || capacity <= 0.0 {
        return None;
    }
    let said = |key: &str| Basis::said(part.values.said(key).is_some());
    let working = Working::of(
        format!("time until {title} is empty, from full"),
        "t = H * (C / (I * H)) ^ k",
        hours(capacity, rated, exponent, amps),
        Unit::Hour,
        SOURCE,
    )?;
    Some(
        working
            .with("C", "capacity", capacity, Unit::AmpereHour, said("capacity_ah"))
            .with("H", "hours for which the capacity holds", rated, Unit::Hour, said("rate_h"))
            .with("k", "exponent", exponent, Unit::One, said("peukert"))
            .with("I", "current it gives", amps, Unit::Ampere, Basis::Calculated),
    )
}

#[cfg(test)]
mod tests {
    use super::hours;

    /// 100 Ah at 20 h, exponent 1.2, at 10 A: 8.7 h (from memory) and 8.7055 h by the formula; 87 Ah of the 100.
    #[test]
    fn a_battery_lasts_less_than_in_proportion_at_twice_its_rated_current() {
        let time = hours(100.0, 20.0, 1.2, 10.0);
        assert!((time - 8.7055).abs() < 5e-5, "{time}");
        assert!((10.0 * time - 87.06).abs() < 5e-3, "{time}");
    }

    /// 70 Ah at 3.5 A: the 20 h of its rating (Lessons in Electric Circuits, DC, batteries), whatever the exponent.
    #[test]
    fn at_its_rated_current_a_battery_lasts_its_rated_hours() {
        for exponent in [1.0, 1.1, 1.2, 1.3] {
            assert!((hours(70.0, 20.0, exponent, 3.5) - 20.0).abs() < 1e-12);
        }
        assert!((hours(100.0, 20.0, 1.2, 5.0) - 20.0).abs() < 1e-12);
    }
}
