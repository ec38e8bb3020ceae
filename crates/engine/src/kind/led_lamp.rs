//! Electronic lamps.

use super::glyph::View;
use super::{
    Assumed, Class, Counts, End, Law, Load, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins,
    no_positions, terminals,
};
use crate::quantity::{Amps, Ohms, Unit, Volts, Watts};

/// Voltage below which an electronic lamp turns off: three quarters of nominal (common practice, no source).
pub(super) const OFF_BELOW_V: Assumed = Assumed::ByNominal(9.0, 18.0);

/// Voltage above which an electronic lamp turns on: seven eighths of nominal (common practice, no source).
pub(super) const ON_ABOVE_V: Assumed = Assumed::ByNominal(10.5, 21.0);

declare_kind! {
    /// A lamp with an electronic driver that takes constant power while it is on.
    ///
    /// It turns on above `on_above_v` and off below `off_below_v`; between the two it stays as it was.
    /// Connected the wrong way round it blocks unless `reverse` says that it conducts, or that nothing protects it, which
    /// destroys it.
    /// Its inrush, and what a pulsed supply does to it, are not known here and not judged.
    /// The two voltages assumed are three quarters and seven eighths of the nominal one (common practice, no source).
    name: "led-lamp",
    noun: "electronic lamp",
    letter: "E",
    class: Class::Load,
    values: &[
        ValueSpec::number("watts", Unit::Watt, (0.0, 10_000.0), Assumed::Nothing, "power while on").unjudged("so its current is left out and not judged"),
        super::AT_V,
        ValueSpec::number("off_below_v", Unit::Volt, (0.0, 100.0), OFF_BELOW_V, "it turns off below this voltage").only(Counts::Beside("watts")),
        ValueSpec::number("on_above_v", Unit::Volt, (0.0, 100.0), ON_ABOVE_V, "it turns on above this voltage").only(Counts::Beside("watts")),
        ValueSpec::number("limit_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "the most current it takes"),
        ValueSpec::word("reverse", &["blocks", "conducts", "none"], "what it does when connected the wrong way round").told().only(Counts::Beside("watts")),
        ValueSpec::number("leak_ohm", Unit::Ohm, (1.0, 1e9), Assumed::Nothing, "resistance while off").without("so it is taken not to leak, and no glow of it while off is computed").only(Counts::Beside("watts")),
        ValueSpec::word("function", super::lamp::FUNCTIONS, "what it is for on the vehicle"),
    ],
    terminals: |_| terminals(&[("+", "supply side", true), ("-", "earth side", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: |used| vec![branch(used, "", "+", "-", "")],
    views: |_| vec![View { body: (-3, -3, 2, 3), ..glyph::two_terminal("+", "-", glyph::ROUND, glyph::electronic_lamp(0.0, 0.0)) }],
}

/// The branch of an electronic lamp whose values carry `prefix`, between two terminals.
pub(super) fn branch(used: &Used, prefix: &str, from: &str, to: &str, name: &'static str) -> PartBranch {
    let number = |key: &str| used.number(&format!("{prefix}{key}"));
    let off_below = number("off_below_v").and_then(Volts::new);
    let law = || {
        Some(Law::Electronic {
            power: Watts::new(number("watts").filter(|watts| *watts > 0.0)?)?,
            limit: number("limit_a").and_then(Amps::new),
            off_below: off_below?,
            on_above: Volts::new(number("on_above_v")?)?,
            leak: number("leak_ohm").and_then(Ohms::new),
            conducts_reversed: used.word(&format!("{prefix}reverse")) == Some("conducts"),
        })
    };
    PartBranch {
        from: End::terminal(from),
        to: End::terminal(to),
        law: law(),
        when: When::Always,
        role: Role::Load(Load {
            name,
            rated: number("watts").and_then(Watts::new),
            least: off_below,
            seen_from: Amps::new(super::MODULE_SEEN_A),
        }),
    }
}
