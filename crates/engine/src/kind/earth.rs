//! Earth points.

use super::glyph::{Pin, View};
use super::{
    Assumed, Class, End, Form, ON_AN_EARTH_STUD, ValueSpec, When, glyph, no_joins, no_positions, path,
    terminals,
};
use crate::quantity::Unit;

declare_kind! {
    /// A point where wires are joined to the vehicle body.
    ///
    /// The resistance assumed is that of a good joint (common practice, no source).
    name: "earth",
    noun: "earth point",
    letter: "X",
    class: Class::Earth,
    values: &[
        ValueSpec::number("joint_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.001), "resistance of the joint"),
        ValueSpec::new("surface", Form::Word(&["bare metal", "painted", "bolted through"]), Assumed::Nothing, "what the joint was made on"),
    ],
    terminals: |_| terminals(&[("1", "stud", true)]).into_iter().map(|stud| stud.holding(ON_AN_EARTH_STUD)).collect(),
    positions: no_positions,
    joins: no_joins,
    branches: |used| vec![path(End::terminal("1"), End::Chassis, used.number("joint_ohm"), When::Always)],
    views: |_| vec![symbol()],
}

/// The frame of the vehicle at the end of a short lead.
fn symbol() -> View {
    let mut marks = vec![glyph::line((0.0, -1.0), (0.0, 0.0))];
    marks.extend(glyph::chassis(0.0, 0.0));
    View::main(marks, vec![Pin::up("1", 0, -1).unnamed()], (-1, -1, 1, 1))
}
