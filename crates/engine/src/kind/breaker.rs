//! Circuit breakers.

use super::glyph::{Mark, View};
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
        ValueSpec::number("rating_a", Unit::Ampere, (0.1, 1000.0), Assumed::Nothing, "rated current").unjudged("so the wires behind it are not judged by it"),
        ValueSpec::word("reset", &["manual", "automatic"], "how it closes again").told(),
        ValueSpec::number("element_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.0), "resistance when closed"),
        ValueSpec::number("rated_v", Unit::Volt, (0.1, 1000.0), Assumed::Nothing, "highest voltage it is made for").at_worst_low(),
        ValueSpec::number("breaking_a", Unit::Ampere, (1.0, 1e6), Assumed::Nothing, "greatest current it breaks safely").at_worst_low().unjudged("so whether it can break a short circuit is not judged"),
        ValueSpec::number("trip_s", Unit::Second, (0.001, 3600.0), Assumed::Nothing, "longest time to trip at twice its rating").at_worst_high(),
        super::SEALED,
    ],
    terminals: |_| terminals(&[("1", "feed side", true), ("2", "load side", true)]),
    positions: |_| &["closed", "open"],
    joins: no_joins,
    branches: branches,
    views: |_| vec![symbol()],
}

/// A contact, drawn open, with a cross at its fixed side and the box of its release [07-13-05].
fn symbol() -> View {
    let marks = vec![
        glyph::line((-0.4, -1.4), (0.4, -0.6)),
        glyph::line((-0.4, -0.6), (0.4, -1.4)),
        glyph::line((0.0, 1.0), (-1.2, -1.1)),
        Mark::Link(vec![(-0.6, 0.0), (-1.4, 0.0)]),
        Mark::Outline(glyph::corners(-2.4, -0.6, -1.4, 0.6)),
    ];
    let view = glyph::two_terminal("1", "2", 1.0, marks);
    View { body: (-3, -3, 2, 3), ..view }
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
