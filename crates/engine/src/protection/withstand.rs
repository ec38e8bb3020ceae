//! How long a wire endures a short circuit.
//!
//! Within a few seconds no heat leaves the conductor, and what it endures is an integral: `I^2 t = k^2 S^2` with
//! `k = 226 sqrt(ln((234.5 + end) / (234.5 + start)))` A s^0.5/mm2 for copper (IEC 60949:1988). The temperature it
//! starts from and `k` belong together. Beyond 5 s what it gives off counts as well.

use crate::conductor::temperature_factor;
use crate::quantity::{Amps, Celsius, Metres, SquareMillimetres};
use crate::resolve::UsedWire;

/// Source of the limit, for findings.
pub const SOURCE: &str = "IEC 60949:1988 for the integral a conductor endures; 160 degC at its end as for PVC (IEC 60364-4-43), above class 110 degC 50 K over the class (thermal overload of ISO 6722-1:2011, from memory)";

/// The constant of copper, in A s^0.5/mm2, and minus the temperature at which its resistance would vanish, in degC
/// (IEC 60949:1988).
const COPPER_K: f64 = 226.0;
const COPPER_ZERO_C: f64 = 234.5;

/// Heat that copper takes up, in joule per kelvin and cubic millimetre (IEC 60949:1988, from memory). With it, 234.5
/// and the resistivity of IEC 60028 the constant above comes out as 226.
const COPPER_HEAT: f64 = 3.45e-3;

/// Longest time for which no heat is taken to leave the conductor, in seconds (IEC 60949:1988).
pub const ADIABATIC_S: f64 = 5.0;

/// End temperature of PVC in a short circuit in degrees Celsius (IEC 60364-4-43 Table 43A, up to 300 mm2).
const PVC_END_C: f64 = 160.0;

/// What a class of ISO 6722-1:2011 stands above its own temperature in the test of thermal overload, in kelvin (from
/// memory). Taken as the end temperature of insulation that stands more than PVC, for want of another.
const OVERLOAD_K: f64 = 50.0;

/// What copper endures from one temperature to another, in A s^0.5/mm2; nought where the end is no warmer.
pub fn k(start: Celsius, end: Celsius) -> f64 {
    let ratio = (COPPER_ZERO_C + end.get()) / (COPPER_ZERO_C + start.get());
    if ratio > 1.0 { COPPER_K * libm::log(ratio).sqrt() } else { 0.0 }
}

/// The temperature that insulation of this class may reach in a short circuit.
pub fn end_temperature(class: Celsius) -> Celsius {
    Celsius::new(PVC_END_C.max(class.get() + OVERLOAD_K)).expect("a finite class gives a finite end")
}

/// What a wire endures, starting as warm as its insulation stands for good.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Withstand {
    /// Temperature it starts from.
    pub start: Celsius,
    /// Temperature it may reach.
    pub end: Celsius,
    /// Integral of current squared over time that it endures, in A2 s.
    pub integral: f64,
    slow: Option<Slow>,
}

/// A conductor that gives off heat: its temperature follows that of equilibrium with one time constant.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Slow {
    /// Time constant in seconds.
    tau: f64,
    /// Square of the current that holds it at the start temperature, in A2.
    holds: f64,
    /// Square of the current that would just reach the end temperature.
    reaches: f64,
}

impl Withstand {
    /// What a wire endures; `None` when its size is not known.
    pub fn of(used: &UsedWire) -> Option<Withstand> {
        let size = used.size?.low;
        let mut withstand =
            Withstand::adiabatic(size.area(), used.insulation, end_temperature(used.insulation));
        let per_metre = crate::conductor::greatest_resistance(size, Metres::new(1.0)?)?.get();
        withstand.slow = Slow::new(
            size.area(),
            per_metre,
            used.ampacity()?.low,
            used.ambient,
            withstand.start,
            withstand.end,
        );
        Some(withstand)
    }

    /// What a conductor endures that gives off no heat.
    pub fn adiabatic(area: SquareMillimetres, start: Celsius, end: Celsius) -> Withstand {
        let root = k(start, end) * area.get();
        Withstand { start, end, integral: root * root, slow: None }
    }

    /// How long it endures a current, in seconds: by the integral up to 5 s, beyond as a conductor that gives off heat,
    /// where that is longer. Infinite where the current never warms it to the end temperature.
    pub fn seconds(&self, amps: f64) -> f64 {
        let square = amps * amps;
        let adiabatic = if square > 0.0 { self.integral / square } else { f64::INFINITY };
        match self.slow {
            Some(slow) if adiabatic > ADIABATIC_S => adiabatic.max(slow.seconds(square)),
            _ => adiabatic,
        }
    }
}

impl Slow {
    /// `None` where the surroundings are as warm as the insulation stands.
    fn new(
        area: SquareMillimetres,
        ohm_per_metre: f64,
        stands: Amps,
        ambient: Celsius,
        start: Celsius,
        end: Celsius,
    ) -> Option<Slow> {
        let rise = start.get() - ambient.get();
        if rise <= 0.0 || stands.get() <= 0.0 {
            return None;
        }
        let holds = stands.get() * stands.get();
        let heat_per_metre = COPPER_HEAT * area.get() * 1000.0;
        let at = |celsius: Celsius| ohm_per_metre * temperature_factor(celsius.get());
        // The heat that leaves it per kelvin is what it makes at its ampacity; the resistance it ends with is the
        // greatest on the way, so both the course and the current that reaches the end lie on the safe side.
        let given_off_per_k = holds * at(start) / rise;
        let reaches = (end.get() - ambient.get()) * given_off_per_k / at(end);
        let holds = rise * given_off_per_k / at(end);
        Some(Slow { tau: heat_per_metre / given_off_per_k, holds, reaches })
    }

    fn seconds(&self, square: f64) -> f64 {
        if square <= self.reaches {
            return f64::INFINITY;
        }
        self.tau * libm::log((square - self.holds) / (square - self.reaches))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;

    fn celsius(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }

    /// BS 7671 Table 43.1 and 54.2, which are those of IEC 60364-4-43 and -5-54, as reproduced in a pocket guide; of a
    /// separate protective conductor the last two; rubber of 85 degC from memory.
    #[test]
    fn k_agrees_with_the_tables_of_bs_7671() {
        for (start, end, printed) in [
            (70.0, 160.0, 115.0),
            (70.0, 140.0, 103.0),
            (90.0, 160.0, 100.0),
            (90.0, 250.0, 143.0),
            (60.0, 200.0, 141.0),
            (85.0, 220.0, 134.0),
            (30.0, 160.0, 143.0),
            (30.0, 250.0, 176.0),
        ] {
            let computed = k(celsius(start), celsius(end));
            assert!((computed - printed).abs() <= 0.5, "{start} to {end}: {computed}");
        }
    }

    /// IEC 60949:1988, computed: to 160 degC from the temperatures of vehicle cable, and to the melting of copper.
    #[test]
    fn k_of_other_temperatures_follows_the_formula() {
        for (start, end, computed) in [
            (70.0, 160.0, 115.00),
            (90.0, 250.0, 143.08),
            (85.0, 160.0, 103.8),
            (105.0, 160.0, 87.6),
            (20.0, 160.0, 149.62),
            (105.0, 250.0, 134.78),
            (30.0, 1083.0, 286.37),
        ] {
            assert!((k(celsius(start), celsius(end)) - computed).abs() < 0.05, "{start} to {end}");
        }
        assert_eq!(k(celsius(160.0), celsius(160.0)), 0.0);
    }

    /// 400 A on 1.5 mm2 with k 115: (115 x 1.5/400)^2 s.
    #[test]
    fn a_short_circuit_of_400_a_is_endured_for_0_186_s() {
        let area = SquareMillimetres::new(1.5).unwrap();
        let wire = Withstand::adiabatic(area, celsius(70.0), celsius(160.0));
        assert!((wire.seconds(400.0) - 0.1860).abs() < 5e-5, "{}", wire.seconds(400.0));
    }

    /// A 10 A blade link at 3.5 times its rating needs 35^2 x 0.5 = 612.5 A2s; 1.5 mm2 with k 115 endures 29 756.
    #[test]
    fn a_10_a_blade_link_protects_1_5_mm2_at_3_5_times_its_rating() {
        let area = SquareMillimetres::new(1.5).unwrap();
        let wire = Withstand::adiabatic(area, celsius(70.0), celsius(160.0));
        let link = super::super::band::Band::of_link("blade-C", Amps::new(10.0).unwrap()).unwrap();
        let needs = 35.0 * 35.0 * link.slowest_s(3.5);
        assert!((needs - 612.5).abs() < 1e-9);
        assert!((wire.integral - 29_756.0).abs() < 3.0, "{}", wire.integral);
        assert!((wire.integral / needs - 48.6).abs() < 0.05);
    }

    /// The heat capacity and the constant of IEC 60949:1988 say the same: K^2 = heat (234.5 + 20) / resistivity.
    #[test]
    fn the_heat_that_copper_takes_up_is_that_behind_the_constant() {
        let resistivity = crate::conductor::COPPER_OHM_MM2_PER_M / 1000.0;
        let constant = (COPPER_HEAT * (COPPER_ZERO_C + 20.0) / resistivity).sqrt();
        assert!((constant - COPPER_K).abs() < 0.5, "{constant}");
    }

    #[test]
    fn insulation_above_pvc_ends_50_k_over_its_class() {
        for (class, end) in [(70.0, 160.0), (85.0, 160.0), (100.0, 160.0), (105.0, 160.0), (125.0, 175.0)] {
            assert_eq!(end_temperature(celsius(class)).get(), end);
        }
    }

    fn wire(text: &str) -> Withstand {
        let job = format!("lamp E1 watts=5\nearth X1\nwire w1 E1.2 X1.1 {text}");
        let circuit = build(&notation::network(&job).unwrap(), &Settings::default());
        Withstand::of(circuit.resolved.wires[0].as_ref().unwrap()).unwrap()
    }

    #[test]
    fn beyond_5_s_a_wire_gives_off_heat_and_endures_its_own_current_for_good() {
        let w1 = wire("mm2=2.5 m=1 insulation=B surroundings=cabin");
        // 34.1 A is its ampacity, and 160 degC needs half as much again.
        assert_eq!(w1.seconds(34.0), f64::INFINITY);
        let brief = w1.seconds(200.0);
        assert!(brief < ADIABATIC_S && (brief - w1.integral / 40_000.0).abs() < 1e-12);
        let long = w1.seconds(60.0);
        assert!(long > w1.integral / 3600.0 && long.is_finite(), "{long}");
    }

    #[test]
    fn more_current_is_never_endured_for_longer() {
        let w1 = wire("mm2=1.5 m=1 insulation=B surroundings=engine_bay");
        let mut last = f64::INFINITY;
        for step in 1..4000 {
            let seconds = w1.seconds(f64::from(step) * 0.1);
            assert!(seconds <= last, "{step}");
            last = seconds;
        }
    }

    #[test]
    fn a_wire_of_unknown_size_has_no_limit_and_one_too_hot_around_has_no_reserve() {
        let job = "lamp E1 watts=5\nearth X1\nwire w1 E1.2 X1.1 m=1";
        let circuit = build(&notation::network(job).unwrap(), &Settings::default());
        assert_eq!(Withstand::of(circuit.resolved.wires[0].as_ref().unwrap()), None);
        let hot = wire("mm2=1.5 m=1 insulation=A surroundings=engine_bay");
        assert!(hot.seconds(20.0) == f64::INFINITY && hot.seconds(40.0).is_finite());
        let hotter = wire("mm2=1.5 m=1 insulation=A ambient_c=90");
        assert_eq!(hotter.seconds(20.0), hotter.integral / 400.0);
    }
}
