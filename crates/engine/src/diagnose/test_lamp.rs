//! A test lamp instead of a meter. It takes current, so a bad joint or a coil ahead of it leaves it dim or dark where a
//! meter shows the full voltage.

use super::Case;
use crate::circuit::NetIndex;
use crate::kind::Law;
use crate::quantity::{Amps, Ohms, Volts};
use crate::solve::current;

/// What a test lamp takes at the voltage of the system, in watts (common practice, no source).
pub const WATTS: f64 = 5.0;

/// The resistance of its filament when hot, as a multiple of when cold (from memory: about ten).
const COLD_RATIO: f64 = 10.0;

/// Halvings of the range in which its voltage is looked for: to a millionth of it.
const HALVINGS: usize = 20;

/// The share of its voltage that a test lamp between two nets gets; nought where nothing is between them.
///
/// The circuit is taken as the source that it is in the state without the lamp: whether a relay lets go over a few
/// hundred milliamperes is not asked.
pub(super) fn brightness(case: &Case, variant: usize, moment: usize, from: NetIndex, to: NetIndex) -> f64 {
    let rest = case.row(variant, moment).rest.as_ref();
    let open_v = rest.and_then(|rest| rest.steady.between(from, to)).map_or(0.0, f64::abs);
    let nominal_v = case.circuit.resolved.nominal_v;
    let (Some(law), Some(ohm)) = (law(nominal_v), case.source_ohm(variant, moment, from, to)) else {
        return 0.0;
    };
    let (mut low, mut high) = (0.0, open_v);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle + ohm * current(&law, middle) > open_v { high = middle } else { low = middle }
    }
    low / nominal_v
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

    /// The lamp by hand: 12 V 5 W behind a resistance, the current to the power 0.55 of the voltage.
    #[test]
    fn its_voltage_balances_the_source() {
        let case = case("20");
        let at = TerminalRef::new(&PartId::new("E1").unwrap(), "1");
        let net = case.circuit.net_of(&at).unwrap();
        let ohm = case.source_ohm(0, 0, net, crate::circuit::CHASSIS).unwrap();
        let open_v = case.row(0, 0).rest.as_ref().unwrap().steady.volts(net).unwrap();
        let volts = 12.0 * share(&case, "E1", "1");
        let amps = current(&law(12.0).unwrap(), volts);
        assert!((open_v - ohm * amps - volts).abs() < 1e-4, "{open_v} {ohm} {amps} {volts}");
        assert!(ohm > 1.0 && ohm < 20.0, "{ohm}");
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
