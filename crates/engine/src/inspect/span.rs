//! What a value may be of which nothing was said: what is usual in the trade.
//!
//! A value that is not listed here has no bounds that anybody could name: what hangs on it cannot be judged, and that is
//! said.

use crate::document::{Insulation, Part, Settings, Surroundings};
use crate::kind::{Class, LARGEST_BLADE_A};
use crate::protection::ratings::between;
use crate::resolve::UsedWire;

/// The end of a span that is mostly the worse one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Worse {
    /// The least.
    Low,
    /// The greatest.
    High,
}

/// What is usual.
pub(super) struct Usual {
    /// Least.
    pub least: f64,
    /// Greatest.
    pub most: f64,
    /// Where that is from.
    pub source: &'static str,
}

/// The source of a span that was given with the job.
pub(super) const AS_SAID: &str = "as given";

/// The source of a length that follows from the vehicle plan.
pub(super) const AS_ITS_WAY: &str = "from its way along the vehicle plan";

/// From a link between two parts in one box to the way from the front of a lorry to the end of its trailer.
pub(super) const LENGTH: Usual =
    Usual { least: 0.1, most: 15.0, source: "0.1 m to 15 m: common practice, no source" };

/// What wires of accessories have: from the thinnest of a vehicle's own looms to the feed of a second battery; of the
/// starter cable what starter cables have.
pub(super) fn size(starter_cable: bool) -> Usual {
    match starter_cable {
        true => Usual { least: 16.0, most: 120.0, source: "16 mm2 to 120 mm2: common practice, no source" },
        false => Usual { least: 0.35, most: 35.0, source: "0.35 mm2 to 35 mm2: common practice, no source" },
    }
}

/// From old PVC without a class to class C, the hottest that is usual outside special harnesses.
pub(super) const INSULATIONS: &[(Insulation, &str)] = &[
    (Insulation::Rated(70.0), "old PVC, 70 degC"),
    (Insulation::Class('A'), "class A, 85 degC"),
    (Insulation::Class('B'), "class B, 100 degC"),
    (Insulation::Class('C'), "class C, 125 degC"),
];

/// Where [`INSULATIONS`] are from.
pub(super) const INSULATION_SOURCE: &str =
    "old PVC to class C: common practice, no source; temperatures of ISO 6722-1:2011 Table 1 (from memory)";

/// Where the air around a wire is from.
pub(super) const AIR_SOURCE: &str =
    "anywhere on the vehicle, with the air that the job's settings have there";

/// Numbers of loaded wires lying together at which the factor on their current changes, up to what a small accessory
/// loom has.
pub(super) const BUNDLES: &[u32] = &[1, 2, 4, 6];

/// Where [`BUNDLES`] are from.
pub(super) const BUNDLE_SOURCE: &str =
    "one to six loaded wires: common practice, no source; steps of DIN VDE 0298-4:2013-06 Table 26";

/// The coolest air that a wire may have about it, of whose way some is told.
pub(super) fn least_air(used: &UsedWire, settings: &Settings) -> f64 {
    let coolest =
        Surroundings::WORDS.iter().map(|(place, _)| place.ambient_c(settings)).fold(f64::NAN, f64::min);
    // Where nothing is told the cabin is assumed; only hotter air than that was told.
    if used.ambient.get() > Surroundings::Cabin.ambient_c(settings) { used.ambient.get() } else { coolest }
}

const LINKS: &str = "usual ratings of such links: common practice, no source";
const USUAL: &str = "common practice, no source";

/// What a number of a part may be of which nothing was said.
pub(super) fn of_value(part: &Part, key: &str, nominal_v: f64) -> Option<Usual> {
    let some = |least: f64, most: f64, source| Some(Usual { least, most, source });
    match (part.kind.class, key.rsplit('.').next().unwrap_or(key)) {
        (Class::Protection, "rating_a") => match part.values.word_or("family", "") {
            "strip" => some(30.0, 100.0, LINKS),
            "blade-E" => some(20.0, 80.0, LINKS),
            "glass" => some(1.0, 30.0, LINKS),
            _ => some(3.0, LARGEST_BLADE_A, LINKS),
        },
        (Class::Donor, "fuse_a") => some(7.5, 20.0, "7.5 A to 20 A: common practice, no source"),
        (Class::Donor, "lamp_w") => {
            some(5.0, 65.0, "a position lamp to a main beam: common practice, no source")
        }
        // From a position lamp to the larger of the lamps that are added.
        (Class::Load, "watts") => some(5.0, 100.0, "5 W to 100 W: common practice, no source"),
        (Class::Load, "rating_a") => some(10.0, 20.0, "10 A to 20 A: common practice, no source"),
        (Class::Contact, "contact_a") => some(20.0, 40.0, "20 A to 40 A: common practice, no source"),
        (Class::Contact, "rating_a") => some(5.0, 20.0, "5 A to 20 A: common practice, no source"),
        // Coils of 1.2 W to 2.4 W.
        (Class::Contact, "coil_ohm") if nominal_v > 18.0 => some(240.0, 480.0, USUAL),
        (Class::Contact, "coil_ohm") => some(60.0, 120.0, USUAL),
        _ => None,
    }
}

/// The ratings there are between two currents, both included; none where a value is no rating of a fuse.
pub(super) fn ratings(part: &Part, key: &str, least: f64, most: f64) -> Vec<f64> {
    match (part.kind.class, key) {
        (Class::Protection, "rating_a") | (Class::Donor, "fuse_a") => {
            let mut all = between(least, most);
            if all.first() != Some(&least) {
                all.insert(0, least);
            }
            if all.last() != Some(&most) {
                all.push(most);
            }
            all
        }
        _ => Vec::new(),
    }
}

/// Which end of a number of a part is mostly the worse one.
pub(super) fn worse(part: &Part, key: &str) -> Worse {
    match (part.kind.class, key) {
        (
            Class::Contact,
            "rating_a" | "contact_a" | "break_contact_a" | "rating_v" | "contact_at_v" | "inrush_a",
        ) => Worse::Low,
        (Class::Joint | Class::Valve, "rating_a") => Worse::Low,
        (Class::Donor, "spare_a") => Worse::Low,
        (Class::Battery, "open_circuit_v" | "capacity_ah") => Worse::Low,
        (_, "breaking_a" | "rated_v" | "ohm") => Worse::Low,
        _ => Worse::High,
    }
}
