//! Hand switches.

use super::{
    Assumed, Class, End, Law, Load, PartBranch, Role, Terminal, Used, ValueSpec, Values, When, glyph,
    no_joins, path, terminals,
};
use crate::ids::TerminalName;
use crate::quantity::{Ohms, Unit, Watts};

declare_kind! {
    /// A switch worked by hand.
    ///
    /// `on-off` and `push` join `in` and `out`; `two-way` joins `in` to `out1` or `out2`; `three-way` has a middle
    /// position that joins nothing.
    /// A tell-tale sits between the first output and the terminal `lamp`, its return.
    name: "switch",
    noun: "switch",
    letter: "S",
    class: Class::Contact,
    values: &[
        ValueSpec::word("action", &["on-off", "push", "two-way", "three-way"], "how it works"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of its contact"),
        ValueSpec::number("contact_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.01), "resistance of a closed contact"),
        ValueSpec::word("telltale", &["none", "filament", "led"], "lamp in the switch"),
        ValueSpec::number("lamp_w", Unit::Watt, (0.0, 100.0), Assumed::Nothing, "power of a filament tell-tale"),
        ValueSpec::number("lamp_a", Unit::Ampere, (0.0, 10.0), Assumed::Nothing, "current of a light-emitting-diode tell-tale"),
    ],
    terminals: switch_terminals,
    positions: positions,
    joins: no_joins,
    branches: branches,
    views: |values| {
        let mut down: Vec<String> = outputs(values.word_or("action", "on-off")).iter().map(|s| (*s).to_owned()).collect();
        if values.word_or("telltale", "none") != "none" {
            down.push("lamp".to_owned());
        }
        vec![glyph::block("main", &["in".to_owned()], &down)]
    },
}

fn outputs(action: &str) -> &'static [&'static str] {
    match action {
        "two-way" | "three-way" => &["out1", "out2"],
        _ => &["out"],
    }
}

fn switch_terminals(values: &Values) -> Vec<Terminal> {
    let mut all = terminals(&[("in", "common side of the contact", true)]);
    all.extend(match values.word_or("action", "on-off") {
        // Either output of a change-over switch may be left free; a check looks at both together.
        "two-way" | "three-way" => {
            terminals(&[("out1", "joined in position 1", false), ("out2", "joined in position 2", false)])
        }
        _ => terminals(&[("out", "joined while it is on", true)]),
    });
    if values.word_or("telltale", "none") != "none" {
        all.push(Terminal {
            name: TerminalName::new("lamp"),
            meaning: "return of the tell-tale",
            needed: true,
        });
    }
    all
}

fn positions(values: &Values) -> &'static [&'static str] {
    match values.word_or("action", "on-off") {
        "push" => &["released", "pressed"],
        "two-way" => &["1", "2"],
        "three-way" => &["0", "1", "2"],
        _ => &["off", "on"],
    }
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let action = used.word("action").unwrap_or("on-off");
    let contacts: &[(&str, When)] = match action {
        "two-way" | "three-way" => &[("out1", When::In(&["1"])), ("out2", When::In(&["2"]))],
        "push" => &[("out", When::In(&["pressed"]))],
        _ => &[("out", When::In(&["on"]))],
    };
    let mut branches: Vec<_> = contacts
        .iter()
        .map(|(out, when)| path(End::terminal("in"), End::terminal(out), used.number("contact_ohm"), *when))
        .collect();
    let telltale = used.word("telltale").unwrap_or("none");
    if telltale != "none" {
        let watts = match telltale {
            "filament" => used.number("lamp_w"),
            _ => used.number("lamp_a").map(|amps| amps * used.nominal_v),
        };
        let law = match telltale {
            "filament" => super::lamp::filament(watts, used.nominal_v, super::lamp::COLD_RATIO),
            // A tell-tale diode and its series resistor, as one resistance: it decides no verdict.
            _ => used
                .number("lamp_a")
                .filter(|amps| *amps > 0.0)
                .and_then(|amps| Ohms::new(used.nominal_v / amps))
                .map(Law::Resistance),
        };
        branches.push(PartBranch {
            from: End::terminal(contacts[0].0),
            to: End::terminal("lamp"),
            law,
            when: When::Always,
            role: Role::Load(Load { name: "telltale", rated: watts.and_then(Watts::new), least: None }),
        });
    }
    branches
}
