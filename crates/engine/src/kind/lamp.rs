//! Filament lamps.

use super::{
    Assumed, Class, Counts, End, Law, Load, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins,
    no_positions, terminals,
};
use crate::quantity::{Amps, Ohms, Unit, Volts, Watts};

/// Functions a lamp may have on the vehicle.
pub(super) const FUNCTIONS: &[&str] =
    &["other", "driving", "work", "reversing", "position", "fog", "interior"];

/// Hot resistance over cold resistance of a filament (common practice, no source: 10 to 15).
pub(super) const COLD_RATIO: f64 = 12.0;

declare_kind! {
    /// A filament lamp: its current follows the voltage to the power 0.55, from a cold resistance upwards.
    ///
    /// The exponent is that of lamp rerating (common practice, no source); the cold resistance is the hot one divided by
    /// `cold_ratio`.
    name: "lamp",
    noun: "lamp",
    letter: "E",
    class: Class::Load,
    values: &[
        ValueSpec::number("watts", Unit::Watt, (0.0, 10_000.0), Assumed::Nothing, "rated power").unjudged("so its current is left out and not judged"),
        ValueSpec::number("at_v", Unit::Volt, (0.1, 100.0), Assumed::ByNominal(12.0, 24.0), "voltage at which the rating holds").only(Counts::Beside("watts")),
        ValueSpec::number("cold_ratio", Unit::One, (1.0, 100.0), Assumed::Number(COLD_RATIO), "hot resistance over cold resistance").only(Counts::Beside("watts")),
        ValueSpec::word("function", FUNCTIONS, "what it is for on the vehicle"),
    ],
    terminals: |_| terminals(&[("1", "supply side", true), ("2", "earth side", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: |used| vec![branch(used, "", "1", "2", "")],
    views: |_| vec![glyph::two_terminal("1", "2", glyph::ROUND, glyph::filament_lamp(0.0, 0.0, glyph::ROUND))],
}

/// The law of a filament of `watts` at `at_v` volts; `None` when the power is not known or is nought.
pub(super) fn filament(watts: Option<f64>, at_v: f64, cold_ratio: f64) -> Option<Law> {
    let watts = watts.filter(|watts| *watts > 0.0)?;
    Some(Law::Filament {
        rated_v: Volts::new(at_v)?,
        rated_a: Amps::new(watts / at_v)?,
        cold: Ohms::new(at_v * at_v / watts / cold_ratio)?,
    })
}

/// The branch of a filament whose values carry `prefix`, between two terminals.
pub(super) fn branch(used: &Used, prefix: &str, from: &str, to: &str, name: &'static str) -> PartBranch {
    let number = |key: &str| used.number(&format!("{prefix}{key}"));
    let law = || filament(number("watts"), number("at_v")?, number("cold_ratio")?);
    PartBranch {
        from: End::terminal(from),
        to: End::terminal(to),
        law: law(),
        when: When::Always,
        role: Role::Load(Load {
            name,
            rated: number("watts").and_then(Watts::new),
            least: None,
            seen_from: None,
        }),
    }
}
