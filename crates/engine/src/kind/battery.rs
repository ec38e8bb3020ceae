//! Starter and second batteries.

use super::{
    Assumed, Class, End, Law, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins, no_positions, path,
    terminals,
};
use crate::kind::LEAST_OHM;
use crate::quantity::{Ohms, Unit, Volts};

declare_kind! {
    /// A lead-acid or lithium battery: a constant voltage behind an internal resistance.
    ///
    /// Its negative pole is tied to the vehicle body by a strap of its own unless `to_chassis` says otherwise.
    /// The open-circuit voltage assumed is that of a charged lead-acid battery at rest (common practice, no source).
    name: "battery",
    noun: "battery",
    letter: "G",
    class: Class::Battery,
    values: &[
        ValueSpec::number("open_circuit_v", Unit::Volt, (0.0, 100.0), Assumed::ByNominal(12.6, 25.2), "voltage without load"),
        ValueSpec::number("internal_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.01), "internal resistance"),
        ValueSpec::number("capacity_ah", Unit::AmpereHour, (0.0, 10_000.0), Assumed::Nothing, "capacity"),
        ValueSpec { name: "to_chassis", form: super::Form::Flag, assumed: Assumed::Flag(true), meaning: "negative pole tied to the vehicle body" },
        ValueSpec::number("strap_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.001), "resistance of the strap to the body"),
    ],
    terminals: |_| terminals(&[("+", "positive pole", true), ("-", "negative pole", false)]),
    positions: no_positions,
    joins: no_joins,
    branches: branches,
    views: |_| vec![glyph::block("main", &["+".to_owned()], &["-".to_owned()])],
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
