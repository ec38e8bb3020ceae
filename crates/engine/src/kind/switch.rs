//! Hand switches.

use super::glyph::{Mark, Pin, View};
use super::{
    Assumed, Class, Counts, End, Form, Law, Load, PartBranch, Role, Terminal, Used, ValueSpec, Values, When,
    glyph, no_joins, path, terminals,
};
use crate::quantity::{Amps, Ohms, Unit, Watts};

declare_kind! {
    /// A switch worked by hand.
    ///
    /// `on-off` and `push` join `in` and `out`; `two-way` joins `in` to `out1` or `out2`; `three-way` has a middle
    /// position that joins nothing.
    /// A tell-tale sits between the first output and the terminal `lamp`, its return.
    /// The resistance of a contact assumed is common practice, no source.
    name: "switch",
    noun: "switch",
    letter: "S",
    class: Class::Contact,
    values: &[
        ValueSpec::word("action", &["on-off", "push", "two-way", "three-way"], "how it works"),
        ValueSpec::number("rating_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of its contact").at_worst_low(),
        ValueSpec::new("rated_for", Form::Word(&["resistive", "lamp", "motor", "inductive"]), Assumed::Nothing, "what its rated current holds for"),
        ValueSpec::number("rating_v", Unit::Volt, (0.1, 1000.0), Assumed::Nothing, "voltage for which its rated current holds").at_worst_low(),
        super::SEALED,
        ValueSpec::number("contact_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.01), "resistance of a closed contact"),
        ValueSpec::word("telltale", &["none", "filament", "led"], "lamp in the switch"),
        ValueSpec::number("lamp_w", Unit::Watt, (0.0, 100.0), Assumed::Nothing, "power of a filament tell-tale")
            .unjudged("so its current is left out and not judged")
            .simplified(Counts::With("telltale", "filament"), "taken as rated at the nominal voltage, 12 times its cold resistance when hot")
            .only(Counts::With("telltale", "filament")),
        ValueSpec::number("lamp_a", Unit::Ampere, (0.0, 10.0), Assumed::Nothing, "current of a light-emitting-diode tell-tale")
            .unjudged("so its current is left out and not judged")
            .simplified(Counts::With("telltale", "led"), "taken as a plain resistance at the nominal voltage")
            .only(Counts::With("telltale", "led")),
    ],
    terminals: switch_terminals,
    positions: positions,
    joins: no_joins,
    branches: branches,
    views: |values| vec![symbol(values)],
}

/// The contact at rest, what works it, and the tell-tale if there is one.
fn symbol(values: &Values) -> View {
    let lower = |name: &str, x: i32| Pin::down(name, x, glyph::REACH);
    let action = values.word_or("action", "on-off");
    let (mut marks, mut pins, first_output) = match action {
        "two-way" => (glyph::change_over_contact(4.0), vec![lower("out1", -4), lower("out2", 0)], -4.0),
        "three-way" => (center_off_contact(), vec![lower("out1", -2), lower("out2", 2)], -2.0),
        _ => (glyph::make_contact(), vec![lower("out", 0)], 0.0),
    };
    pins.insert(0, Pin::up("in", 0, -glyph::REACH));
    marks.extend(if action == "push" { glyph::worked_by_push() } else { glyph::worked_by_hand() });
    let mut body = match action {
        "two-way" => (-5, -glyph::REACH, 2, glyph::REACH),
        "three-way" => (-3, -glyph::REACH, 3, glyph::REACH),
        _ => (-3, -glyph::REACH, 2, glyph::REACH),
    };
    if values.word_or("telltale", "none") != "none" {
        // It is led around the side on which its output lies, so that it crosses no contact.
        let (way, lamp) = if first_output < 0.0 { (-6.0, -8.0) } else { (1.8, 4.0) };
        let radius = 0.8;
        marks.extend([
            Mark::Dot((first_output, 1.4), 0.2),
            Mark::Line(vec![(first_output, 1.4), (way, 1.4), (way, -1.6), (lamp, -1.6), (lamp, -radius)]),
            glyph::lower_lead(lamp, radius),
        ]);
        marks.extend(glyph::filament_lamp(lamp, 0.0, radius));
        pins.push(lower("lamp", lamp as i32));
        if first_output < 0.0 {
            body.0 = -10;
        } else {
            body.2 = 6;
        }
    }
    View::main(marks, pins, body)
}

/// A contact with a middle position that touches neither side.
fn center_off_contact() -> Vec<Mark> {
    let fixed = |x: f64, tip: f64| Mark::Line(vec![(x, f64::from(glyph::REACH)), (x, 1.0), (tip, 1.0)]);
    vec![
        glyph::upper_lead(0.0, -1.0),
        glyph::line((0.0, -1.0), (0.0, 1.3)),
        fixed(-2.0, -1.0),
        fixed(2.0, 1.0),
    ]
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
        all.extend(terminals(&[("lamp", "return of the tell-tale", true)]));
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
            role: Role::Load(Load {
                name: "telltale",
                rated: watts.and_then(Watts::new),
                least: None,
                seen_from: Amps::new(super::BARE_DIODE_SEEN_A).filter(|_| telltale == "led"),
            }),
        });
    }
    branches
}
