//! Power sockets.

use super::glyph::{Mark, Side, View};
use super::{
    Assumed, Class, Counts, End, Law, Load, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins,
    terminals,
};
use crate::quantity::{Ohms, Unit, Watts};

declare_kind! {
    /// A power socket; what is plugged in draws `drawn_a` at nominal voltage.
    ///
    /// When `drawn_a` is not said, what is plugged in is taken to draw the whole `rating_a`.
    name: "socket",
    noun: "socket",
    letter: "X",
    class: Class::Load,
    values: &[
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current")
            .unjudged("nor is the current drawn, so it is left out and not judged")
            .only(Counts::InPlaceOf("drawn_a")),
        ValueSpec::number("drawn_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "current of what is plugged in")
            .without("the whole rated current assumed, as a plain resistance")
            .simplified(Counts::Always, "taken as a plain resistance"),
        super::AT_V,
        super::SEALED,
    ],
    terminals: |_| terminals(&[("+", "supply side", true), ("-", "earth side", true)]),
    positions: |_| &["empty", "in use"],
    joins: no_joins,
    branches: branches,
    views: |_| vec![symbol()],
}

/// A socket-outlet: a half circle that opens to the side, its two poles led into it [11-13-01].
fn symbol() -> View {
    let marks = vec![
        Mark::HalfCircle((0.0, 0.0), 1.4, Side::Left),
        glyph::line((0.0, -1.4), (0.0, 1.4)),
        glyph::line((-1.4, 0.0), (-0.4, 0.0)),
    ];
    glyph::two_terminal("+", "-", 1.4, marks)
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let amps = used.number("drawn_a").or_else(|| used.number("rating_a")).filter(|amps| *amps > 0.0);
    vec![PartBranch {
        from: End::terminal("+"),
        to: End::terminal("-"),
        law: amps.and_then(|amps| Ohms::new(used.nominal_v / amps)).map(Law::Resistance),
        when: When::In(&["in use"]),
        role: Role::Load(Load {
            name: "",
            rated: amps.and_then(|amps| Watts::new(amps * used.nominal_v)),
            least: None,
            seen_from: None,
        }),
    }]
}
