//! Fuse boxes.

use super::{Assumed, Class, Form, ValueSpec, glyph, no_joins, no_positions, terminals};

declare_kind! {
    /// A fuse box with one common feed; the fuses in it are parts of their own that take seats.
    name: "fuse-box",
    noun: "fuse box",
    letter: "X",
    class: Class::Joint,
    values: &[
        ValueSpec::count("ways", (1, 100), 6, "number of fuse ways"),
        ValueSpec { name: "sealed", form: Form::Flag, assumed: Assumed::Nothing, meaning: "keeps water out" },
    ],
    terminals: |_| terminals(&[("feed", "common feed of its fuses", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: |_| Vec::new(),
    views: |_| vec![glyph::block("main", &["feed".to_owned()], &[])],
}
