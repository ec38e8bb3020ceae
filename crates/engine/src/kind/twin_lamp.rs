//! Lamps with two light sources on one earth.

use super::glyph::{Mark, Pin, View};
use super::{
    Assumed, Class, Counts, PartBranch, Used, ValueSpec, Values, glyph, lamp, led_lamp, no_joins,
    no_positions, terminals,
};
use crate::quantity::Unit;

/// The values of one light source: those of a lamp and of an electronic lamp.
macro_rules! source_values {
    ($($prefix:literal),+) => {
        &[$(
            ValueSpec::word(concat!($prefix, ".kind"), &["lamp", "led-lamp"], "filament or electronic").told(),
            ValueSpec::number(concat!($prefix, ".watts"), Unit::Watt, (0.0, 10_000.0), Assumed::Nothing, "rated power").unjudged("so its current is left out and not judged"),
            ValueSpec::number(concat!($prefix, ".at_v"), Unit::Volt, (0.1, 100.0), Assumed::ByNominal(12.0, 24.0), "filament: voltage at which the rating holds").only(Counts::With(concat!($prefix, ".kind"), "lamp")),
            ValueSpec::number(concat!($prefix, ".cold_ratio"), Unit::One, (1.0, 100.0), Assumed::Number(lamp::COLD_RATIO), "filament: hot resistance over cold resistance").only(Counts::With(concat!($prefix, ".kind"), "lamp")),
            ValueSpec::number(concat!($prefix, ".off_below_v"), Unit::Volt, (0.0, 100.0), led_lamp::OFF_BELOW_V, "electronic: it turns off below this voltage").only(Counts::With(concat!($prefix, ".kind"), "led-lamp")),
            ValueSpec::number(concat!($prefix, ".on_above_v"), Unit::Volt, (0.0, 100.0), led_lamp::ON_ABOVE_V, "electronic: it turns on above this voltage").only(Counts::With(concat!($prefix, ".kind"), "led-lamp")),
            ValueSpec::number(concat!($prefix, ".limit_a"), Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "electronic: the most current it takes"),
            ValueSpec::word(concat!($prefix, ".reverse"), &["blocks", "conducts", "none"], "electronic: what it does when connected the wrong way round").told().only(Counts::With(concat!($prefix, ".kind"), "led-lamp")),
            ValueSpec::number(concat!($prefix, ".leak_ohm"), Unit::Ohm, (1.0, 1e9), Assumed::Nothing, "electronic: resistance while off").without("so it is taken not to leak, and no glow of it while off is computed").only(Counts::With(concat!($prefix, ".kind"), "led-lamp")),
            ValueSpec::word(concat!($prefix, ".function"), lamp::FUNCTIONS, "what it is for on the vehicle"),
        )+]
    };
}

declare_kind! {
    /// A lamp with a beam and a position light on one earth, each filament or electronic.
    ///
    /// What is assumed of each is what is assumed of a lamp or of an electronic lamp.
    name: "twin-lamp",
    noun: "twin lamp",
    letter: "E",
    class: Class::Load,
    values: source_values!("beam", "position"),
    terminals: |_| terminals(&[("beam", "feed of the beam", true), ("position", "feed of the position light", false), ("earth", "common earth side", true)]),
    positions: no_positions,
    joins: no_joins,
    branches: |used| vec![source(used, "beam", "beam."), source(used, "position", "position.")],
    views: |values| vec![symbol(values)],
}

fn source(used: &Used, name: &'static str, prefix: &str) -> PartBranch {
    match used.word(&format!("{prefix}kind")) {
        Some("led-lamp") => led_lamp::branch(used, prefix, name, "earth", name),
        _ => lamp::branch(used, prefix, name, "earth", name),
    }
}

/// Two lamps side by side, their earth sides joined.
fn symbol(values: &Values) -> View {
    let mut marks = vec![
        Mark::Line(vec![(0.0, glyph::ROUND), (0.0, 2.2), (6.0, 2.2), (6.0, glyph::ROUND)]),
        glyph::line((3.0, 2.2), (3.0, f64::from(glyph::REACH + 1))),
        Mark::Dot((3.0, 2.2), 0.2),
    ];
    for (x, key) in [(0.0, "beam.kind"), (6.0, "position.kind")] {
        marks.push(glyph::upper_lead(x, -glyph::ROUND));
        marks.extend(match values.word_or(key, "lamp") {
            "led-lamp" => glyph::electronic_lamp(x, 0.0),
            _ => glyph::filament_lamp(x, 0.0, glyph::ROUND),
        });
    }
    let pins = vec![
        Pin::up("beam", 0, -glyph::REACH),
        Pin::up("position", 6, -glyph::REACH),
        Pin::down("earth", 3, glyph::REACH + 1),
    ];
    View::main(marks, pins, (-3, -glyph::REACH, 8, glyph::REACH + 1))
}
