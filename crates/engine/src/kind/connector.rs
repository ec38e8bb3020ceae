//! Plug connectors.

use super::{
    Assumed, Class, End, Form, PartBranch, Terminal, Used, ValueSpec, Values, When, glyph, no_joins, path,
};
use crate::ids::TerminalName;
use crate::quantity::Unit;

declare_kind! {
    /// A plug and its socket: way `n` joins `na` and `nb` while they are mated.
    name: "connector",
    noun: "connector",
    letter: "X",
    class: Class::Joint,
    values: &[
        ValueSpec::count("ways", (1, 64), 1, "number of ways"),
        ValueSpec::number("contact_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.005), "resistance of one way"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of one way"),
        ValueSpec { name: "sealed", form: Form::Flag, assumed: Assumed::Nothing, meaning: "keeps water out" },
    ],
    terminals: connector_terminals,
    positions: |_| &["mated", "apart"],
    joins: no_joins,
    branches: branches,
    views: |values| {
        let (up, down): (Vec<String>, Vec<String>) = (1..=values.count_or("ways", 1)).map(|i| (format!("{i}a"), format!("{i}b"))).unzip();
        vec![glyph::block("main", &up, &down)]
    },
}

fn connector_terminals(values: &Values) -> Vec<Terminal> {
    let side = |name: String, meaning| Terminal { name: TerminalName::new(&name), meaning, needed: false };
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
