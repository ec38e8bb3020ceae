//! Diodes.

use super::glyph::Mark;
use super::{
    Assumed, Class, End, Law, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins, no_positions,
    terminals,
};
use crate::kind::LEAST_OHM;
use crate::quantity::{Ohms, Unit, Volts};

declare_kind! {
    /// A diode: open below its forward voltage, a straight slope above it.
    ///
    /// The forward voltage and the slope assumed are those of a silicon power diode (common practice, no source).
    name: "diode",
    noun: "diode",
    letter: "R",
    class: Class::Valve,
    values: &[
        ValueSpec::number("forward_v", Unit::Volt, (0.0, 10.0), Assumed::Number(0.8), "voltage at which it begins to conduct"),
        ValueSpec::number("slope_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.01), "resistance above the forward voltage"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current").at_worst_low(),
        ValueSpec::number("reverse_v", Unit::Volt, (0.0, 10_000.0), Assumed::Nothing, "the reverse voltage it stands").at_worst_low(),
    ],
    terminals: |_| terminals(&[("A", "anode", true), ("K", "cathode", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: branches,
    views: |_| vec![glyph::two_terminal("A", "K", 1.0, diode_strokes())],
}

/// Triangle and bar, with the conductor running through.
fn diode_strokes() -> Vec<Mark> {
    let mut marks = glyph::diode(0.0, 0.0, 1.0);
    marks.push(glyph::line((0.0, -1.0), (0.0, 1.0)));
    marks
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let law = || {
        Some(Law::Diode {
            forward: Volts::new(used.number("forward_v")?)?,
            slope: Ohms::new(used.number("slope_ohm")?.max(LEAST_OHM))?,
        })
    };
    vec![PartBranch {
        from: End::terminal("A"),
        to: End::terminal("K"),
        law: law(),
        when: When::Always,
        role: Role::Path,
    }]
}
