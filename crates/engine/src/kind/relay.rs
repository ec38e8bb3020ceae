//! Relays.

use super::glyph::{Mark, Pin, View};
use super::{
    Assumed, Class, End, Law, PartBranch, Role, Terminal, Used, ValueSpec, Values, When, glyph, no_joins,
    path, resistance, terminals,
};
use crate::quantity::{Ohms, Unit, Volts};

declare_kind! {
    /// A plug-in relay with a make or change-over contact.
    ///
    /// Its terminals are marked as ISO 7588-1 has them (from memory); in DIN 72552:1971-03 `87` is the common input.
    /// The armature pulls in when the voltage across `86` and `85` reaches `pull_in_v` and drops out at `drop_out_v`;
    /// between the two it stays as it was.
    /// `coil_ohm` is what a meter reads across the coil, a suppression resistor included.
    /// A suppression diode has its anode at `85` and its cathode at `86`, so `86` must be the positive side.
    /// Coil and contact values assumed are those of a common plug-in relay (common practice, no source).
    name: "relay",
    noun: "relay",
    letter: "K",
    class: Class::Contact,
    values: &[
        ValueSpec::word("contact", &["make", "change-over"], "form of the contact").told(),
        super::AT_V,
        ValueSpec::number("coil_ohm", Unit::Ohm, (0.1, 100_000.0), Assumed::ByNominal(90.0, 320.0), "resistance of the coil at 20 degC"),
        ValueSpec::number("pull_in_v", Unit::Volt, (0.0, 100.0), Assumed::ByNominal(7.2, 14.4), "voltage at which it pulls in"),
        ValueSpec::number("drop_out_v", Unit::Volt, (0.0, 100.0), Assumed::ByNominal(1.2, 2.4), "voltage at which it drops out"),
        ValueSpec::word("suppression", &["none", "resistor", "diode"], "what limits the coil's switch-off voltage").told(),
        ValueSpec::number("contact_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of the make contact").at_worst_low(),
        ValueSpec::number("break_contact_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "rated current of the break contact").at_worst_low(),
        ValueSpec::number("contact_at_v", Unit::Volt, (0.1, 100.0), Assumed::Nothing, "voltage for which its contacts are rated").at_worst_low(),
        ValueSpec::number("inrush_a", Unit::Ampere, (0.0, 10_000.0), Assumed::Nothing, "inrush current the make contact is rated for").at_worst_low(),
        super::SEALED,
        ValueSpec::number("contact_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.005), "resistance of a closed contact"),
    ],
    terminals: relay_terminals,
    positions: super::no_positions,
    joins: no_joins,
    branches: branches,
    views: |values| vec![coil_symbol(values), contact_symbol(values)],
}

fn changes_over(values: &Values) -> bool {
    values.word_or("contact", "make") == "change-over"
}

/// Half the width and half the height of the rectangle of a coil.
const COIL_HALF: (f64, f64) = (2.0, 1.0);

/// A rectangle, leads on its long sides [07-15-01]; a suppression is drawn beside it.
fn coil_symbol(values: &Values) -> View {
    let (w, h) = COIL_HALF;
    let mut marks = vec![Mark::Outline(glyph::corners(-w, -h, w, h))];
    let suppression = values.word_or("suppression", "none");
    let mut body = glyph::SLIM;
    if suppression != "none" {
        // The bypass meets both leads where they leave the coil.
        let (x, y) = (3.2, 1.5);
        marks.push(Mark::Line(vec![(0.0, -y), (x, -y), (x, -0.6)]));
        marks.push(Mark::Line(vec![(0.0, y), (x, y), (x, 0.6)]));
        marks.push(Mark::Dot((0.0, -y), 0.2));
        marks.push(Mark::Dot((0.0, y), 0.2));
        body.2 = 4;
        match suppression {
            // Its cathode is at 86, so it points up.
            "diode" => {
                marks.push(Mark::Outline(vec![(x - 0.6, 0.6), (x + 0.6, 0.6), (x, -0.6)]));
                marks.push(glyph::line((x - 0.6, -0.6), (x + 0.6, -0.6)));
            }
            _ => marks.push(Mark::Outline(glyph::corners(x - 0.35, -0.7, x + 0.35, 0.7))),
        }
    }
    View { body, ..glyph::two_terminal("86", "85", h, marks).called("coil") }
}

/// The contact at rest, `30` above.
fn contact_symbol(values: &Values) -> View {
    let mut pins = vec![Pin::up("30", 0, -glyph::REACH), Pin::down("87", 0, glyph::REACH)];
    let marks = if changes_over(values) {
        pins.push(Pin::down("87a", -4, glyph::REACH));
        glyph::change_over_contact(4.0)
    } else {
        glyph::make_contact()
    };
    let left = if changes_over(values) { -5 } else { -2 };
    View::main(marks, pins, (left, -glyph::REACH, 2, glyph::REACH)).called("contact")
}

fn relay_terminals(values: &Values) -> Vec<Terminal> {
    let mut all = terminals(&[
        ("30", "input from the supply", true),
        ("87", "output to the load while the relay is on", !changes_over(values)),
    ]);
    if changes_over(values) {
        all.extend(terminals(&[("87a", "output while the relay is off", false)]));
    }
    all.extend(terminals(&[("86", "coil, positive side", true), ("85", "coil, negative side", true)]));
    all
}

/// Forward voltage and slope assumed of a suppression diode, in volts and ohms (common practice, no source).
const SUPPRESSION_DIODE: (f64, f64) = (0.8, 0.01);

fn branches(used: &Used) -> Vec<PartBranch> {
    let contact = used.number("contact_ohm");
    let thresholds =
        || Some((Volts::new(used.number("pull_in_v")?)?, Volts::new(used.number("drop_out_v")?)?));
    let mut branches = Vec::new();
    if let Some((pull_in, drop_out)) = thresholds() {
        branches.push(PartBranch {
            from: End::terminal("86"),
            to: End::terminal("85"),
            law: used.number("coil_ohm").and_then(resistance),
            when: When::Always,
            role: Role::Coil { pull_in, drop_out },
        });
    }
    branches.push(path(End::terminal("30"), End::terminal("87"), contact, When::Energized));
    if used.word("contact") == Some("change-over") {
        branches.push(path(End::terminal("30"), End::terminal("87a"), contact, When::Released));
    }
    if used.word("suppression") == Some("diode") {
        let (forward, slope) = SUPPRESSION_DIODE;
        let law = || Some(Law::Diode { forward: Volts::new(forward)?, slope: Ohms::new(slope)? });
        branches.push(PartBranch {
            from: End::terminal("85"),
            to: End::terminal("86"),
            law: law(),
            when: When::Always,
            role: Role::Suppression,
        });
    }
    branches
}
