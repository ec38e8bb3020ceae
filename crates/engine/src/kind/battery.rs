//! Starter and second batteries.

use super::glyph::{Mark, View};
use super::{
    Assumed, Class, Counts, End, Law, ON_A_POLE, PartBranch, Role, Terminal, Used, ValueSpec, Values, When,
    Where, glyph, no_joins, no_positions, path, terminals,
};
use crate::kind::LEAST_OHM;
use crate::quantity::{Ohms, Unit, Volts};

declare_kind! {
    /// A lead-acid or lithium battery: a constant voltage behind an internal resistance.
    ///
    /// Its negative pole is tied to the vehicle body by a strap of its own unless `to_chassis` says otherwise.
    /// Its run time follows Peukert's law; the exponent assumed is one for lead-acid in general, the hours those of the
    /// usual rating (common practice, no source).
    /// The open-circuit voltage assumed is that of a charged lead-acid battery at rest; it, the internal resistance, which
    /// is twice as much for twice the cells, and that of the strap are common practice, no source.
    name: "battery",
    noun: "battery",
    letter: "G",
    class: Class::Battery,
    values: &[
        ValueSpec::number("open_circuit_v", Unit::Volt, (0.0, 100.0), Assumed::ByNominal(12.6, 25.2), "voltage without load"),
        ValueSpec::number("internal_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::ByNominal(0.01, 0.02), "internal resistance"),
        ValueSpec::number("capacity_ah", Unit::AmpereHour, (0.0, 10_000.0), Assumed::Nothing, "capacity"),
        ValueSpec::number("rate_h", Unit::Hour, (0.1, 1000.0), Assumed::Number(20.0), "hours of discharge for which the capacity holds").only(Counts::Beside("capacity_ah")),
        ValueSpec::number("peukert", Unit::One, (1.0, 2.0), Assumed::Number(1.2), "exponent by which a greater current shortens the run time").only(Counts::Beside("capacity_ah")).unknown_where(Where::Is("chemistry", "lithium"), "and of lithium cells none is known, so how long it lasts is not told"),
        ValueSpec::word("chemistry", &["flooded", "agm", "gel", "lithium"], "make of its cells"),
        ValueSpec::new("monitored", super::Form::Flag, Assumed::Nothing, "a sensor on its negative pole measures its current"),
        ValueSpec::new("to_chassis", super::Form::Flag, Assumed::Flag(true), "negative pole tied to the vehicle body"),
        ValueSpec::number("strap_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.001), "resistance of the strap to the body"),
    ],
    terminals: |_| poles(),
    positions: no_positions,
    joins: no_joins,
    branches: branches,
    views: symbol,
}

fn poles() -> Vec<Terminal> {
    let both = terminals(&[("+", "positive pole", true), ("-", "negative pole", false)]);
    both.into_iter().map(|pole| pole.holding(ON_A_POLE)).collect()
}

/// Two of its cells, the long stroke positive [06-15-01], and the strap that ties it to the body.
fn symbol(values: &Values) -> Vec<View> {
    let plate = |y: f64, half: f64| glyph::line((-half, y), (half, y));
    let mut marks = vec![
        plate(-1.0, 1.3),
        plate(-0.4, 0.6),
        Mark::Link(vec![(0.0, -0.4), (0.0, 0.4)]),
        plate(0.4, 1.3),
        plate(1.0, 0.6),
    ];
    let tied = super::ties_to_chassis(values);
    if tied {
        marks.extend(glyph::strap_to_chassis());
    }
    let view = glyph::two_terminal("+", "-", 1.0, marks);
    vec![if tied { View { body: glyph::STRAPPED, ..view } } else { view }]
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let source = || {
        Some(Law::Source {
            emf: Volts::new(used.number("open_circuit_v")?)?,
            internal: Ohms::new(used.number("internal_ohm")?.max(LEAST_OHM))?,
            limit: None,
            one_way: false,
        })
    };
    let mut branches = vec![PartBranch {
        from: End::terminal("+"),
        to: End::terminal("-"),
        law: source(),
        when: When::Always,
        role: Role::Source,
    }];
    if used.flag("to_chassis") {
        branches.push(path(End::terminal("-"), End::Chassis, used.number("strap_ohm"), When::Always));
    }
    branches
}
