//! Distribution bars.

use super::{Assumed, Class, ON_A_TERMINAL, ValueSpec, all_one, counted_terminals, glyph, no_positions};
use crate::quantity::Unit;

declare_kind! {
    /// A bar of studs that distributes one supply or collects one return.
    name: "bar",
    noun: "distribution bar",
    letter: "X",
    class: Class::Joint,
    values: &[
        ValueSpec::count("ways", (2, 24), 4, "number of studs"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 10_000.0), Assumed::Nothing, "rated current").at_worst_low(),
        super::SEALED,
    ],
    terminals: |values| counted_terminals(values.count_or("ways", 4), "stud, joined with the others", ON_A_TERMINAL),
    positions: no_positions,
    joins: |values| all_one(values.count_or("ways", 4)),
    branches: |_| Vec::new(),
    views: |values| vec![glyph::bar(values.count_or("ways", 4))],
}
