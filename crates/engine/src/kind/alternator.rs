//! Alternators.

use super::glyph::View;
use super::{
    Assumed, Class, Counts, End, Form, Law, PartBranch, Role, Used, ValueSpec, Values, When, glyph, no_joins,
    path, terminals,
};
use crate::kind::LEAST_OHM;
use crate::quantity::{Amps, Ohms, Unit, Volts};

declare_kind! {
    /// An alternator with its regulator: a set voltage behind an internal resistance, up to its current limit.
    ///
    /// Its rectifiers let no current back in, so a battery above the set voltage is not discharged through it.
    /// The set voltage assumed is that of a conventional regulator; it, the internal resistance and that of the way to
    /// the body are common practice, no source.
    name: "alternator",
    noun: "alternator",
    letter: "G",
    class: Class::Generator,
    values: &[
        ValueSpec::number("set_v", Unit::Volt, (0.0, 100.0), Assumed::ByNominal(14.2, 28.4), "voltage it regulates to"),
        ValueSpec::number("internal_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.02), "internal resistance"),
        ValueSpec::number("limit_a", Unit::Ampere, (0.0, 10_000.0), Assumed::Nothing, "the most it delivers").without("no limit assumed"),
        ValueSpec::number("idle_a", Unit::Ampere, (0.0, 10_000.0), Assumed::Nothing, "the most it delivers with the engine idling").without("40 % of the most it delivers assumed").only(Counts::Beside("limit_a")),
        ValueSpec::word("regulation", &["fixed", "smart"], "whether its voltage is lowered and raised on the road").told().only(Counts::AmongBatteries),
        ValueSpec::new("to_chassis", Form::Flag, Assumed::Flag(true), "negative pole tied to the vehicle body"),
        ValueSpec::number("strap_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.001), "resistance of its way to the body"),
    ],
    terminals: |_| terminals(&[("B+", "output", true), ("B-", "negative pole", false)]),
    positions: |_| &["stopped", "running"],
    joins: no_joins,
    branches: branches,
    views: symbol,
}

/// A machine, and the way its case is tied to the body.
fn symbol(values: &Values) -> Vec<View> {
    let mut marks = glyph::machine("G");
    let tied = super::ties_to_chassis(values);
    if tied {
        marks.extend(glyph::strap_to_chassis());
    }
    let view = glyph::two_terminal("B+", "B-", glyph::ROUND, marks);
    vec![if tied { View { body: glyph::STRAPPED, ..view } } else { view }]
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let source = || {
        Some(Law::Source {
            emf: Volts::new(used.number("set_v")?)?,
            internal: Ohms::new(used.number("internal_ohm")?.max(LEAST_OHM))?,
            limit: used.number("limit_a").and_then(Amps::new),
            one_way: true,
        })
    };
    let mut branches = vec![PartBranch {
        from: End::terminal("B+"),
        to: End::terminal("B-"),
        law: source(),
        when: When::In(&["running"]),
        role: Role::Source,
    }];
    if used.flag("to_chassis") {
        branches.push(path(End::terminal("B-"), End::Chassis, used.number("strap_ohm"), When::Always));
    }
    branches
}
