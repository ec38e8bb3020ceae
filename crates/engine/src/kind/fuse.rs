//! Fuses.

use super::glyph::{Mark, View};
use super::{
    Assumed, Class, End, Form, Join, PartBranch, Role, Used, ValueSpec, Values, When, Where, glyph,
    resistance, terminals,
};
use crate::ids::TerminalName;
use crate::quantity::{Amps, Unit};

/// The largest rating of blade links of types C and F, in amperes (ISO 8820-3:2015, from memory). What is rated higher
/// is of another type.
pub const LARGEST_BLADE_A: f64 = 40.0;

declare_kind! {
    /// A fuse, by itself or in a way of a fuse box.
    ///
    /// A fuse with a `seat` takes its feed from the box: its terminal `1` and the box's `feed` are one.
    /// Its cold resistance is left out of the solution unless `element_ohm` is given.
    name: "fuse",
    noun: "fuse",
    letter: "F",
    class: Class::Protection,
    values: &[
        ValueSpec::number("rating_a", Unit::Ampere, (0.1, 1000.0), Assumed::Nothing, "rated current").unjudged("so the wires behind it are not judged by it"),
        ValueSpec::word("family", &["blade-C", "blade-F", "blade-E", "strip", "glass"], "type of fuse link").told().unknown_where(Where::Above("rating_a", LARGEST_BLADE_A), "and the usual blade is not made for so much: how soon it opens and what it breaks is not known"),
        ValueSpec::number("element_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.0), "cold resistance"),
        ValueSpec::number("rated_v", Unit::Volt, (0.1, 1000.0), Assumed::Nothing, "highest voltage it is made for").at_worst_low(),
        ValueSpec::number("breaking_a", Unit::Ampere, (1.0, 1e6), Assumed::Nothing, "greatest current it breaks safely").at_worst_low().unknown_where(Where::Is("family", "glass"), "and of a glass tube that is not known, so what it breaks is not judged"),
        super::SEALED,
        ValueSpec::new("seat", Form::Seat, Assumed::Nothing, "the fuse-box way it sits in"),
    ],
    terminals: |values| terminals(&[("1", "feed side", values.seat("seat").is_none()), ("2", "load side", true)]),
    positions: |_| &["fitted", "out"],
    joins: joins,
    branches: branches,
    views: |_| vec![symbol()],
}

/// A narrow rectangle with the conductor running through it [07-21-01].
fn symbol() -> View {
    let marks =
        vec![Mark::Outline(glyph::corners(-0.6, -1.5, 0.6, 1.5)), glyph::line((0.0, -1.5), (0.0, 1.5))];
    glyph::two_terminal("1", "2", 1.5, marks)
}

fn joins(values: &Values) -> Vec<Join> {
    let one = |(fuse_box, _): (&crate::ids::PartId, u32)| {
        Join::Other(TerminalName::new("1"), fuse_box.clone(), TerminalName::new("feed"))
    };
    values.seat("seat").map(one).into_iter().collect()
}

fn branches(used: &Used) -> Vec<PartBranch> {
    vec![PartBranch {
        from: End::terminal("1"),
        to: End::terminal("2"),
        law: used.number("element_ohm").and_then(resistance),
        when: When::In(&["fitted"]),
        role: Role::Protection(used.number("rating_a").and_then(Amps::new)),
    }]
}
