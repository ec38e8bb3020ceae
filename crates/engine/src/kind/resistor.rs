//! Resistors and heating loads.

use super::glyph::Mark;
use super::{
    Assumed, Class, Counts, End, Load, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins,
    no_positions, resistance, terminals,
};
use crate::quantity::{Unit, Watts};

declare_kind! {
    /// A resistance: a heater, a load resistor, or any load that may be taken as one.
    ///
    /// Either `ohm`, or `watts` at `at_v`.
    name: "resistor",
    noun: "resistor",
    letter: "R",
    class: Class::Load,
    values: &[
        ValueSpec::number("ohm", Unit::Ohm, (0.0, 1e9), Assumed::Nothing, "resistance")
            .unjudged("nor is its power, so its current is left out and not judged")
            .only(Counts::InPlaceOf("watts")),
        ValueSpec::number("watts", Unit::Watt, (0.0, 100_000.0), Assumed::Nothing, "power"),
        ValueSpec::number("at_v", Unit::Volt, (0.1, 100.0), Assumed::ByNominal(12.0, 24.0), "voltage at which the power holds").only(Counts::Beside("watts")),
    ],
    terminals: |_| terminals(&[("1", "first end", true), ("2", "second end", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: branches,
    views: |_| vec![glyph::two_terminal("1", "2", 1.5, vec![Mark::Outline(glyph::corners(-0.6, -1.5, 0.6, 1.5))])],
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let from_power = || {
        let (watts, at_v) = (used.number("watts").filter(|watts| *watts > 0.0)?, used.number("at_v")?);
        Some(at_v * at_v / watts)
    };
    let ohm = used.number("ohm").or_else(from_power);
    let rated = used
        .number("watts")
        .or_else(|| ohm.filter(|ohm| *ohm > 0.0).map(|ohm| used.nominal_v * used.nominal_v / ohm));
    vec![PartBranch {
        from: End::terminal("1"),
        to: End::terminal("2"),
        law: ohm.and_then(resistance),
        when: When::Always,
        role: Role::Load(Load { name: "", rated: rated.and_then(Watts::new), least: None, seen_from: None }),
    }]
}
