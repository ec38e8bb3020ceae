//! Circuit breakers.

use super::{
    Assumed, Class, End, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins, resistance, terminals,
};
use crate::quantity::{Amps, Unit};

declare_kind! {
    /// A circuit breaker that opens on too much current and is closed again by hand or by itself.
    name: "breaker",
    noun: "circuit breaker",
    letter: "F",
    class: Class::Protection,
    values: &[
        ValueSpec::number("rating_a", Unit::Ampere, (0.1, 1000.0), Assumed::Nothing, "rated current"),
        ValueSpec::word("reset", &["manual", "automatic"], "how it closes again"),
        ValueSpec::number("element_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.0), "resistance when closed"),
    ],
    terminals: |_| terminals(&[("1", "feed side", true), ("2", "load side", true)]),
    positions: |_| &["closed", "open"],
    joins: no_joins,
    branches: branches,
    views: |_| vec![glyph::block("main", &["1".to_owned()], &["2".to_owned()])],
}

fn branches(used: &Used) -> Vec<PartBranch> {
    vec![PartBranch {
        from: End::terminal("1"),
        to: End::terminal("2"),
        law: used.number("element_ohm").and_then(resistance),
        when: When::In(&["closed"]),
        role: Role::Protection(used.number("rating_a").and_then(Amps::new)),
    }]
}
