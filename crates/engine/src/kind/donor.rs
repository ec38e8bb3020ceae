//! Circuits of the vehicle that a signal is tapped from.

use super::glyph::{Mark, Pin, View};
use super::{
    Assumed, Class, Counts, End, Form, Law, PartBranch, Role, Used, ValueSpec, Values, When, glyph, no_joins,
    path, terminals,
};
use crate::kind::{LEAST_OHM, Load};
use crate::quantity::{Amps, Ohms, Unit, Volts, Watts};

/// What a circuit of the vehicle may be for.
const SIGNALS: &[&str] = &[
    "main beam",
    "dipped beam",
    "position lamps",
    "front fog",
    "reverse gear",
    "brake",
    "ignition",
    "other",
];

declare_kind! {
    /// A lamp circuit of the vehicle itself, seen at the two wires of its lamp.
    ///
    /// With `switching` at `positive` the feed is switched and the return is earth; at `earth` the feed comes from the
    /// battery and the return is switched to earth.
    /// `line_ohm` is the vehicle's own wiring from the battery to the feed, `fuse_a` the vehicle's own fuse in it.
    /// A module's `reduced` and `pwm` levels are solved at their peak; their mean is not known here.
    /// The resistance of the wiring and the fuse assumed are common practice, no source.
    name: "donor",
    noun: "donor circuit",
    letter: "E",
    class: Class::Donor,
    values: &[
        ValueSpec::new("signal", Form::Word(SIGNALS), Assumed::Nothing, "what the vehicle uses it for"),
        ValueSpec::word("switching", &["positive", "earth"], "which side the vehicle switches").told(),
        ValueSpec::new("common_feed", Form::Word(&["permanent", "switched"]), Assumed::Nothing, "whether the feed of an earth-switched lamp is live with the lights off").without("permanent assumed").only(Counts::With("switching", "earth")),
        ValueSpec::word("drive", &["contact", "module"], "what drives the lamp").told().simplified(Counts::With("drive", "module"), "reduced and pulsed light solved at its peak, its mean is not known"),
        ValueSpec::number("lamp_w", Unit::Watt, (0.0, 10_000.0), Assumed::Nothing, "power of the vehicle's own lamp")
            .without("so its current is left out and not judged")
            .simplified(Counts::Always, "taken as a filament rated at the nominal voltage, 12 times its cold resistance when hot"),
        ValueSpec::number("line_ohm", Unit::Ohm, (0.0, 1000.0), Assumed::Number(0.05), "resistance of the vehicle's own wiring, besides 0.001 ohm of its joint to the body"),
        ValueSpec::number("fuse_a", Unit::Ampere, (0.0, 1000.0), Assumed::Number(15.0), "the vehicle's own fuse (common practice, no source)"),
        ValueSpec::number("spare_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "current that may be tapped").at_worst_low(),
        ValueSpec::new("battery", Form::Part, Assumed::Nothing, "which battery feeds it, else the first one").without("the first one assumed").only(Counts::AmongBatteries),
    ],
    terminals: |_| terminals(&[("feed", "the lamp's positive wire", false), ("return", "the lamp's negative wire", false)]),
    positions: positions,
    joins: no_joins,
    branches: branches,
    views: |values| vec![symbol(values)],
}

/// The vehicle's own lamp in a dashed border that says which of its sides is switched.
///
/// Both wires leave downwards: a signal is tapped from them.
fn symbol(values: &Values) -> View {
    let switched = match values.word_or("switching", "positive") {
        "earth" => "earth switched",
        _ => "+ switched",
    };
    let reach = f64::from(glyph::REACH);
    let mut marks = vec![
        glyph::dashed_border(-2.0, -3.8, 8.0, 1.4),
        Mark::Word((3.0, -2.9), switched),
        Mark::Line(vec![(0.0, reach), (0.0, -0.4), (1.5, -0.4)]),
        Mark::Line(vec![(6.0, reach), (6.0, -0.4), (4.5, -0.4)]),
    ];
    marks.extend(glyph::filament_lamp(3.0, -0.4, glyph::ROUND));
    let pins = vec![Pin::down("feed", 0, glyph::REACH), Pin::down("return", 6, glyph::REACH)];
    View::main(marks, pins, (-2, -4, 8, glyph::REACH))
}

fn positions(values: &Values) -> &'static [&'static str] {
    match values.word_or("drive", "contact") {
        "module" => &["off", "on", "reduced", "pwm"],
        _ => &["off", "on"],
    }
}

/// Every position but `off`.
const LIVE: When = When::In(&["on", "reduced", "pwm"]);

/// Resistance assumed of the lamp's own earth joint, in ohms; that of [`super::earth`] (common practice, no source).
const EARTH_JOINT_OHM: f64 = 0.001;

fn branches(used: &Used) -> Vec<PartBranch> {
    let earth_switched = used.word("switching") == Some("earth");
    let (feed_when, return_when) = match (earth_switched, used.word("common_feed")) {
        (false, _) => (LIVE, When::Always),
        (true, Some("switched")) => (LIVE, LIVE),
        // Without a word on it the feed is taken as live: the case in which more can go wrong.
        (true, _) => (When::Always, LIVE),
    };
    let line = || Ohms::new(used.number("line_ohm")?.max(LEAST_OHM)).map(Law::Resistance);
    let rated = used.number("lamp_w").and_then(Watts::new);
    vec![
        PartBranch {
            from: End::terminal("feed"),
            to: End::terminal("return"),
            law: super::lamp::filament(used.number("lamp_w"), used.nominal_v, super::lamp::COLD_RATIO),
            when: When::Always,
            role: Role::Load(Load { name: "", rated, least: None::<Volts>, seen_from: None }),
        },
        PartBranch {
            from: End::Supply,
            to: End::terminal("feed"),
            law: line(),
            when: feed_when,
            role: Role::Protection(used.number("fuse_a").and_then(Amps::new)),
        },
        path(End::terminal("return"), End::Chassis, Some(EARTH_JOINT_OHM), return_when),
    ]
}
