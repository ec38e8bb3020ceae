//! Fuse boxes.

use super::glyph::{Mark, Pin, View};
use super::{Class, ValueSpec, glyph, no_joins, no_positions, terminals};

declare_kind! {
    /// A fuse box with one common feed; the fuses in it are parts of their own that take seats.
    name: "fuse-box",
    noun: "fuse box",
    letter: "X",
    class: Class::Joint,
    values: &[
        ValueSpec::count("ways", (1, 100), 6, "number of fuse ways"),
        super::SEALED,
    ],
    terminals: |_| terminals(&[("feed", "common feed of its fuses", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: |_| Vec::new(),
    views: |_| vec![symbol()],
}

/// A dashed enclosure with the rail that its fuses sit on.
fn symbol() -> View {
    let mut marks = vec![
        glyph::dashed_border(-3.0, -1.5, 3.0, 1.5),
        glyph::upper_lead(0.0, -0.6),
        Mark::Solid(glyph::corners(-2.4, -0.75, 2.4, -0.45)),
    ];
    for x in [-1.6, 0.0, 1.6] {
        marks.push(Mark::Outline(glyph::corners(x - 0.25, -0.2, x + 0.25, 0.9)));
        marks.push(glyph::line((x, -0.5), (x, 1.2)));
    }
    View::main(marks, vec![Pin::up("feed", 0, -glyph::REACH)], (-3, -glyph::REACH, 3, 2))
}
