//! Splices.

use super::{Class, ON_A_WAY, ValueSpec, all_one, counted_terminals, glyph, no_positions};

declare_kind! {
    /// A permanent joint of several wires.
    name: "splice",
    noun: "splice",
    letter: "X",
    class: Class::Joint,
    values: &[ValueSpec::count("ways", (2, 24), 3, "number of wires it takes"), super::SEALED],
    terminals: |values| counted_terminals(values.count_or("ways", 3), "joined with the others", ON_A_WAY),
    positions: no_positions,
    joins: |values| all_one(values.count_or("ways", 3)),
    branches: |_| Vec::new(),
    views: |values| vec![glyph::joint(values.count_or("ways", 3))],
}
