//! A test lamp instead of a meter. It takes current, so a bad joint or a coil ahead of it leaves it dim or dark where a
//! meter shows the full voltage.

use super::Case;
use crate::circuit::NetIndex;
use crate::kind::Law;
use crate::quantity::{Amps, Ohms, Volts};
use crate::solve::Solver;

/// What a test lamp takes at the voltage of the system, in watts (common practice, no source).
pub const WATTS: f64 = 5.0;

/// The resistance of its filament when hot, as a multiple of when cold (from memory: about ten).
const COLD_RATIO: f64 = 10.0;

/// The share of its voltage that a test lamp between two nets gets; nought where nothing is between them, or nothing
/// comes to rest with it.
///
/// The circuit is solved with the lamp in it: filaments in series get warm, and relays may let go.
pub(super) fn brightness(case: &Case, variant: usize, moment: usize, from: NetIndex, to: NetIndex) -> f64 {
    let nominal_v = case.circuit.resolved.nominal_v;
    let is_joined =
        case.row(variant, moment).rest.as_ref().is_some_and(|rest| rest.steady.between(from, to).is_some());
    let Some(law) = law(nominal_v).filter(|_| is_joined) else { return 0.0 };
    let circuit = case.changed(variant).with_between(from, to, law);
    let solver = Solver::new(&circuit);
    let settled = solver.enter(case.moments[moment].positions.clone());
    let volts = settled.shown().and_then(|rest| rest.steady.between(from, to));
    volts.map_or(0.0, |volts| volts.abs() / nominal_v)
}

fn law(nominal_v: f64) -> Option<Law> {
    let rated_v = Volts::new(nominal_v)?;
    let rated_a = Amps::new(WATTS / nominal_v)?;
    Some(Law::Filament { rated_v, rated_a, cold: Ohms::new(nominal_v * nominal_v / WATTS / COLD_RATIO)? })
}

#[cfg(test)]
mod tests {
    use super::super::Walk;
    use super::super::probes::Minutes;
    use super::*;
    use crate::circuit::build;
    use crate::document::{Complaint, Found, Probe, Reading, Seen, Settings, Situation};
    use crate::fault::{BRIGHT_SHARE, GLOW_SHARE};
    use crate::ids::{PartId, TerminalRef};
    use crate::notation;

    fn case(resistor: &str) -> Case {
        let text = format!(
            "battery G1
            earth X1
            fuse F1 rating_a=10 family=blade-C
            resistor R1 ohm={resistor}
            lamp E1 watts=21
            wire w1 G1.+ F1.1 mm2=2.5 m=0.3
            wire w2 F1.2 R1.1 mm2=2.5 m=1
            wire w3 R1.2 E1.1 mm2=2.5 m=1
            wire w4 E1.2 X1.1 mm2=2.5 m=1"
        );
        let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
        Case::new(&circuit, &[])
    }

    fn share(case: &Case, part: &str, terminal: &str) -> f64 {
        let at = TerminalRef::new(&PartId::new(part).unwrap(), terminal);
        brightness(case, 0, 0, case.circuit.net_of(&at).unwrap(), crate::circuit::CHASSIS)
    }

    #[test]
    fn it_shines_at_a_feed_and_is_dark_behind_what_lets_little_through() {
        let sound = case("0.001");
        // Within what ten milliohms and its wires drop, it has the voltage of the battery.
        let lit = share(&sound, "F1", "2");
        assert!(lit > 12.4 / 12.0 && lit < 12.7 / 12.0, "{lit}");
        assert!(share(&sound, "E1", "2") < GLOW_SHARE);
        // Behind a kilohm no current to speak of: dark, though a meter would show half of the voltage between two of them.
        assert!(share(&case("1000"), "E1", "1") < GLOW_SHARE);
        // A few ohms ahead of both lamps leave less than half.
        let dim = share(&case("20"), "E1", "1");
        assert!(dim > 0.0 && dim < BRIGHT_SHARE, "{dim}");
    }

    /// A lamp that lost its earth, and the test lamp from its earth terminal to the body: two filaments in series take one
    /// current, which goes with the power 0.55 of the voltage, so that `P1/V^1.55 u1^0.55 = P2/V^1.55 u2^0.55`.
    #[test]
    fn behind_a_filament_it_shares_the_voltage() {
        for (watts, seen) in [(21.0, "lit"), (5.0, "dim")] {
            let text = format!(
                "battery G1
                lamp E1 watts={watts}
                wire w1 G1.+ E1.1 mm2=2.5 m=0.3"
            );
            let circuit = build(&notation::network(&text).unwrap(), &Settings::default());
            let case = Case::new(&circuit, &[]);
            let own = share(&case, "E1", "2");
            // u1/u2 = (P2/P1)^(1/0.55), together the battery's 12.6 V over 12 V.
            let ratio = libm::pow(WATTS / watts, 1.0 / 0.55);
            let expected = 12.6 / 12.0 / (1.0 + ratio);
            assert!((own - expected).abs() < 0.02, "{own} {expected}");
            assert_eq!(if own >= BRIGHT_SHARE { "lit" } else { "dim" }, seen);
        }
    }

    #[test]
    fn what_it_shows_speaks_for_a_cause_like_any_reading() {
        let case = case("0.001");
        let lamp = Probe::Look(PartId::new("E1").unwrap(), String::new());
        let complaint = Complaint {
            situation: Situation::at_rest(),
            probe: lamp,
            should: Found::Seen(Seen::Lit),
            found: Found::Seen(Seen::Dark),
        };
        let at = TerminalRef::new(&PartId::new("E1").unwrap(), "1");
        let reading = |seen| Reading {
            situation: Situation::at_rest(),
            probe: Probe::TestLamp { at: at.clone(), against: None },
            expected: String::new(),
            found: Some(Found::Seen(seen)),
            is_right: None,
        };
        let share_of_dead = |seen| {
            let readings = [reading(seen)];
            let minutes = Minutes::new();
            let walk = Walk {
                case: &case,
                complaints: std::slice::from_ref(&complaint),
                readings: &readings,
                minutes: &minutes,
            };
            let standing = walk.stand();
            let words = |one: &&super::super::Ranked| walk.cause_in_words(one).contains("itself is dead");
            standing.causes.iter().find(words).map_or(0.0, |one| one.share)
        };
        let (lit, dark) = (share_of_dead(Seen::Lit), share_of_dead(Seen::Dark));
        assert!(lit > 0.5 && dark < 0.1, "{lit} {dark}");
    }
}
