//! Within what time a fuse link or a breaker opens.
//!
//! A standard gives a link *gates*: at a multiple of the rated current it must not open before one time and must have
//! opened by another. What lies between two gates is not in any standard. The slowest link allowed is taken as a
//! straight line on logarithmic axes from gate to gate, and beyond the last gate as one that needs the same integral of
//! current squared over time as there, because by then no heat leaves it; the fastest likewise.
//! How long a wire must endure follows from the slowest link, nuisance blowing from the fastest.

use crate::kind::LARGEST_BLADE_A;
use crate::quantity::Amps;

/// How long a link may take at one multiple of its rated current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Current over rated current.
    pub multiple: f64,
    /// It does not open before this many seconds; `None` where nothing is known.
    pub least_s: Option<f64>,
    /// It has opened after this many seconds; `None` where it need not open at all.
    pub most_s: Option<f64>,
    /// Where the gate comes from.
    pub source: &'static str,
}

const fn gate(multiple: f64, least_s: Option<f64>, most_s: Option<f64>, source: &'static str) -> Gate {
    Gate { multiple, least_s, most_s, source }
}

/// Read in figures of two makers, or of one.
const PRINTED: &str = "printed for links declared to ISO 8820-3; the standard's own table was not read; lower gate at 3.5 the lower of two";
const PRINTED_ONCE: &str =
    "printed by one maker for links declared to ISO 8820-3; the standard's own table was not read";
const SLOWER_OF_TWO: &str = "printed by one maker for links declared to ISO 8820-3, the slower of it and a value from memory; the standard's own table was not read";
const STRIP: &str = "ISO 8820-5, from memory";
const GLASS: &str = "SAE J554 AUG87, from memory";

/// Types C (medium blade) and F (miniature blade) of ISO 8820-3.
const BLADE: &[Gate] = &[
    gate(1.10, Some(360_000.0), None, PRINTED),
    gate(1.35, Some(0.75), Some(600.0), PRINTED),
    gate(1.60, Some(0.25), Some(50.0), PRINTED),
    gate(2.00, Some(0.15), Some(5.0), PRINTED),
    gate(3.50, Some(0.04), Some(0.5), PRINTED),
    gate(6.00, Some(0.03), Some(0.1), PRINTED_ONCE),
];

/// The same for 35 and 40 A, which one maker allows more time at six times the rated current.
const LARGE_BLADE: &[Gate] = &[
    gate(1.10, Some(360_000.0), None, PRINTED),
    gate(1.35, Some(0.75), Some(600.0), PRINTED),
    gate(1.60, Some(0.25), Some(50.0), PRINTED),
    gate(2.00, Some(0.15), Some(5.0), PRINTED),
    gate(3.50, Some(0.04), Some(0.5), PRINTED),
    gate(6.00, Some(0.03), Some(0.15), PRINTED_ONCE),
];

/// Type E (high-current blade) of ISO 8820-3.
const HIGH_CURRENT_BLADE: &[Gate] = &[
    gate(1.00, Some(360_000.0), None, PRINTED_ONCE),
    gate(1.35, Some(60.0), Some(1800.0), PRINTED_ONCE),
    gate(2.00, Some(2.0), Some(60.0), SLOWER_OF_TWO),
    gate(3.50, Some(0.2), Some(7.0), PRINTED_ONCE),
    gate(6.00, Some(0.04), Some(1.0), PRINTED_ONCE),
];

/// Type SF30 of ISO 8820-5, a strip between bolts.
const SF30: &[Gate] = &[
    gate(1.00, Some(14_400.0), None, STRIP),
    gate(1.35, Some(60.0), Some(1800.0), STRIP),
    gate(2.00, Some(1.0), Some(15.0), STRIP),
    gate(3.50, Some(0.3), Some(5.0), STRIP),
    gate(5.00, Some(0.1), Some(1.0), STRIP),
];

/// Type SF51 of ISO 8820-5.
const SF51: &[Gate] = &[
    gate(1.00, Some(14_400.0), None, STRIP),
    gate(1.35, Some(120.0), Some(1800.0), STRIP),
    gate(2.00, Some(1.0), Some(15.0), STRIP),
    gate(3.50, Some(0.3), Some(5.0), STRIP),
    gate(6.00, Some(0.1), Some(1.0), STRIP),
];

/// A glass tube with caps.
const GLASS_TUBE: &[Gate] = &[
    gate(1.10, Some(14_400.0), None, GLASS),
    gate(1.35, None, Some(3600.0), GLASS),
    gate(2.00, None, Some(10.0), GLASS),
];

/// From this rating on a blade link has the wider gates, in amperes.
const LARGE_BLADE_A: f64 = 35.0;

/// The multiple of its rated current at which the time of a breaker is given.
const BREAKER_MULTIPLE: f64 = 2.0;

/// The band of times within which a link or breaker opens.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Gates that bound it from above: multiple and seconds, both one way.
    slowest: Vec<(f64, f64)>,
    /// Gates that bound it from below.
    fastest: Vec<(f64, f64)>,
    /// Whether the fastest link is known beyond its first gate.
    is_fastest_known: bool,
    /// Where each of the gates that bound it from above comes from.
    sources: Vec<&'static str>,
}

impl Band {
    /// The band of a link of this family, by the words of the job file; `None` for a family without known gates, and for a
    /// rating that the family does not have.
    pub fn of_link(family: &str, rated: Amps) -> Option<Band> {
        match family {
            "blade-C" | "blade-F" if rated.get() > LARGEST_BLADE_A => None,
            "blade-C" | "blade-F" if rated.get() >= LARGE_BLADE_A => {
                Some(Band::of_gates(LARGE_BLADE, LARGE_BLADE))
            }
            "blade-C" | "blade-F" => Some(Band::of_gates(BLADE, BLADE)),
            "blade-E" => Some(Band::of_gates(HIGH_CURRENT_BLADE, HIGH_CURRENT_BLADE)),
            // Which of the two types a strip is was not said: the slower counts for the wire, the faster for nuisance.
            "strip" => Some(Band::of_gates(SF51, SF30)),
            "glass" => Some(Band::of_gates(GLASS_TUBE, GLASS_TUBE)),
            _ => None,
        }
    }

    /// The band of a breaker that trips within `seconds` at twice its rated current; nothing is known of lower
    /// currents, and higher ones are taken to need the same integral of current squared.
    pub fn of_breaker(seconds: f64) -> Band {
        Band {
            slowest: vec![(BREAKER_MULTIPLE, seconds)],
            fastest: Vec::new(),
            is_fastest_known: false,
            sources: vec!["the time given for twice its rated current"],
        }
    }

    fn of_gates(above: &[Gate], below: &[Gate]) -> Band {
        let slowest = above.iter().filter_map(|gate| Some((gate.multiple, gate.most_s?))).collect();
        let fastest: Vec<(f64, f64)> =
            below.iter().filter_map(|gate| Some((gate.multiple, gate.least_s?))).collect();
        let is_fastest_known = fastest.len() > 1;
        let sources = above.iter().filter(|gate| gate.most_s.is_some()).map(|gate| gate.source).collect();
        Band { slowest, fastest, is_fastest_known, sources }
    }

    /// The longest it may take at a multiple of its rated current, in seconds; infinite where it need not open.
    pub fn slowest_s(&self, multiple: f64) -> f64 {
        along(&self.slowest, multiple)
    }

    /// The shortest it may take, in seconds; infinite where it must not open, `None` where that is not known.
    pub fn fastest_s(&self, multiple: f64) -> Option<f64> {
        let first = self.fastest.first()?;
        (multiple < first.0 || self.is_fastest_known).then(|| along(&self.fastest, multiple))
    }

    /// The least integral of current squared over time that opens it, in seconds times the rated current squared, for a
    /// current of this multiple.
    pub fn least_integral(&self, multiple: f64) -> Option<f64> {
        self.fastest_s(multiple).map(|seconds| multiple * multiple * seconds)
    }

    /// The multiple from which on it opens at all, however long it takes, and where that is from.
    pub fn opens_from(&self) -> (f64, &'static str) {
        (self.slowest[0].0, self.sources[0])
    }

    /// The multiples at which the slowest and the fastest time change their course, rising within each.
    pub fn corners(&self) -> impl Iterator<Item = f64> + '_ {
        self.slowest.iter().chain(&self.fastest).map(|(multiple, _)| *multiple)
    }

    /// Where the gate comes from that the longest time at a multiple of its rated current hangs on: the last one up to it.
    pub fn source(&self, multiple: f64) -> &'static str {
        let up_to = self
            .slowest
            .iter()
            .zip(&self.sources)
            .take_while(|((gate, _), _)| *gate <= multiple * (1.0 + 1e-9));
        up_to.last().map_or(self.sources[0], |(_, source)| source)
    }
}

/// The time at `multiple` along gates, infinite before the first.
fn along(gates: &[(f64, f64)], multiple: f64) -> f64 {
    let Some(last) = gates.last().filter(|_| multiple >= gates[0].0) else { return f64::INFINITY };
    for pair in gates.windows(2) {
        let ((m0, t0), (m1, t1)) = (pair[0], pair[1]);
        if multiple < m1 {
            return t0 * libm::pow(t1 / t0, libm::log(multiple / m0) / libm::log(m1 / m0));
        }
    }
    last.1 * (last.0 / multiple) * (last.0 / multiple)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FAMILIES: [&str; 5] = ["blade-C", "blade-F", "blade-E", "strip", "glass"];

    fn band(family: &str, rated: f64) -> Band {
        Band::of_link(family, Amps::new(rated).unwrap()).unwrap()
    }

    fn is_near(value: f64, expected: f64) -> bool {
        (value / expected - 1.0).abs() < 1e-9
    }

    /// Figures printed for blade links declared to ISO 8820-3.
    #[test]
    fn a_link_keeps_its_gates() {
        let blade = band("blade-C", 10.0);
        for (multiple, slowest) in [(1.35, 600.0), (1.6, 50.0), (2.0, 5.0), (3.5, 0.5), (6.0, 0.1)] {
            assert!(is_near(blade.slowest_s(multiple), slowest), "{multiple}");
        }
        assert!(is_near(band("blade-F", 40.0).slowest_s(6.0), 0.15));
        assert!(is_near(band("blade-E", 40.0).slowest_s(2.0), 60.0));
        assert_eq!(Band::of_link("cartridge", Amps::new(10.0).unwrap()), None);
    }

    #[test]
    fn a_blade_of_a_rating_that_is_not_made_has_no_band() {
        for family in ["blade-C", "blade-F"] {
            assert!(Band::of_link(family, Amps::new(40.0).unwrap()).is_some());
            assert_eq!(Band::of_link(family, Amps::new(50.0).unwrap()), None);
        }
        assert!(Band::of_link("blade-E", Amps::new(50.0).unwrap()).is_some());
    }

    #[test]
    fn a_time_has_the_source_of_its_gate() {
        let blade = band("blade-C", 10.0);
        assert_eq!(
            [1.2, 2.0, 4.0, 6.0].map(|multiple| blade.source(multiple)),
            [PRINTED, PRINTED, PRINTED, PRINTED_ONCE]
        );
        assert_eq!(Band::of_breaker(5.0).source(3.0), "the time given for twice its rated current");
    }

    #[test]
    fn where_a_link_begins_to_open_is_that_of_its_family() {
        assert_eq!(band("blade-C", 10.0).opens_from(), (1.35, PRINTED));
        assert_eq!(band("blade-E", 60.0).opens_from(), (1.35, PRINTED_ONCE));
        assert_eq!(band("strip", 60.0).opens_from(), (1.35, STRIP));
        assert_eq!(band("glass", 10.0).opens_from(), (1.35, GLASS));
        assert_eq!(Band::of_breaker(5.0).opens_from().0, 2.0);
    }

    #[test]
    fn between_gates_the_time_is_a_straight_line_on_logarithmic_axes() {
        // Halfway between 2 and 3.5 on such axes stands the root of their product, and so do the times.
        let middle = (2.0_f64 * 3.5).sqrt();
        assert!(is_near(band("blade-C", 10.0).slowest_s(middle), (5.0_f64 * 0.5).sqrt()));
    }

    #[test]
    fn beyond_the_last_gate_the_integral_stays() {
        let blade = band("blade-C", 10.0);
        assert!(is_near(blade.slowest_s(60.0), 0.1 / 100.0));
        assert!(is_near(blade.least_integral(60.0).unwrap(), 36.0 * 0.03));
        assert!(is_near(blade.least_integral(6.0).unwrap(), 36.0 * 0.03));
    }

    #[test]
    fn below_its_first_gates_a_link_need_not_open_and_must_not() {
        for family in FAMILIES {
            assert_eq!(band(family, 10.0).slowest_s(1.349), f64::INFINITY, "{family}");
            assert_eq!(band(family, 10.0).fastest_s(0.99), Some(f64::INFINITY), "{family}");
        }
    }

    #[test]
    fn more_current_never_takes_longer_and_the_fastest_is_never_the_slower() {
        for family in FAMILIES {
            let band = band(family, 10.0);
            let mut last = f64::INFINITY;
            for step in 100..2000 {
                let multiple = f64::from(step) * 0.01;
                let slowest = band.slowest_s(multiple);
                assert!(slowest <= last, "{family} at {multiple}");
                assert!(
                    band.fastest_s(multiple).is_none_or(|fastest| fastest <= slowest),
                    "{family} at {multiple}"
                );
                last = slowest;
            }
        }
    }

    #[test]
    fn how_fast_a_glass_tube_or_a_breaker_may_be_is_not_known() {
        assert_eq!(band("glass", 10.0).fastest_s(2.0), None);
        assert_eq!(Band::of_breaker(10.0).fastest_s(5.0), None);
        assert!(is_near(Band::of_breaker(10.0).slowest_s(4.0), 2.5));
        assert_eq!(Band::of_breaker(10.0).slowest_s(1.9), f64::INFINITY);
    }
}
