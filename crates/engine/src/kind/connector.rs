//! Plug connectors.

use super::glyph::{Mark, Pin, Side, View};
use super::{
    Assumed, Class, End, ON_A_WAY, PartBranch, Terminal, Used, ValueSpec, Values, When, glyph, no_joins, path,
};
use crate::ids::TerminalName;
use crate::quantity::Unit;

declare_kind! {
    /// A plug and its socket: way `n` joins `na` and `nb` while they are mated.
    ///
    /// The resistance assumed is that of a contact at the end of its life (SAE USCAR-2 and ISO 8092-2, both from memory).
    name: "connector",
    noun: "connector",
    letter: "X",
    class: Class::Joint,
    values: &[
        ValueSpec::count("ways", (1, 64), 1, "number of ways"),
        ValueSpec::number("contact_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.005), "resistance of one way"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of one way").at_worst_low(),
        super::SEALED,
    ],
    terminals: connector_terminals,
    positions: |_| &["mated", "apart"],
    joins: no_joins,
    branches: branches,
    views: |values| (1..=values.count_or("ways", 1)).filter_map(way_symbol).collect(),
}

/// The names of the views: one a way, so that each way stands in the current path it belongs to.
const WAYS: [&str; 64] = [
    "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15", "16", "17", "18", "19",
    "20", "21", "22", "23", "24", "25", "26", "27", "28", "29", "30", "31", "32", "33", "34", "35", "36",
    "37", "38", "39", "40", "41", "42", "43", "44", "45", "46", "47", "48", "49", "50", "51", "52", "53",
    "54", "55", "56", "57", "58", "59", "60", "61", "62", "63", "64",
];

/// Plug and socket of one way: a filled bar entering an arc [03-03-05].
fn way_symbol(way: u32) -> Option<View> {
    let name = WAYS.get(way.checked_sub(1)? as usize)?;
    let marks = vec![
        glyph::upper_lead(0.0, -0.8),
        Mark::Solid(glyph::corners(-0.25, -0.8, 0.25, 0.4)),
        Mark::HalfCircle((0.0, 0.1), 0.8, Side::Down),
        glyph::lower_lead(0.0, 0.9),
    ];
    let pins =
        vec![Pin::up(&format!("{name}a"), 0, -glyph::REACH), Pin::down(&format!("{name}b"), 0, glyph::REACH)];
    Some(View::main(marks, pins, (-1, -glyph::REACH, 1, glyph::REACH)).called(name))
}

fn connector_terminals(values: &Values) -> Vec<Terminal> {
    let side = |name: String, meaning| Terminal {
        name: TerminalName::new(&name),
        meaning,
        needed: false,
        holds: ON_A_WAY,
    };
    (1..=values.count_or("ways", 1))
        .flat_map(|i| [side(format!("{i}a"), "plug side"), side(format!("{i}b"), "socket side")])
        .collect()
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let ways = used.number("ways").unwrap_or(1.0) as u32;
    (1..=ways)
        .map(|i| {
            let (a, b) = (End::terminal(&format!("{i}a")), End::terminal(&format!("{i}b")));
            path(a, b, used.number("contact_ohm"), When::In(&["mated"]))
        })
        .collect()
}
