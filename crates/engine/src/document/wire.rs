//! Wires and what may be said about them.

use crate::document::network::Status;
use crate::document::settings::{self, Settings};
use crate::given::Given;
use crate::ids::{PlaceId, TerminalRef, WireId};
use crate::quantity::{Metres, SquareMillimetres};

/// One conductor between two terminals.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Identity.
    pub id: WireId,
    /// Designation, free text; may be empty.
    pub label: String,
    /// The terminal it starts from; currents count from here.
    pub from: TerminalRef,
    /// The terminal it ends on.
    pub to: TerminalRef,
    /// There before, new, or to be removed.
    pub status: Status,
    /// Conductor size.
    pub size: Given<Size>,
    /// Length of this conductor, one way.
    pub length: Given<Metres>,
    /// Color of the insulation.
    pub color: Option<Color>,
    /// What the insulation stands.
    pub insulation: Option<Insulation>,
    /// Where it runs.
    pub surroundings: Option<Surroundings>,
    /// How many loaded wires run in its bundle, itself included.
    pub bundle: Option<u32>,
    /// What it is sleeved in, free text; a sleeved wire counts as sheathed.
    pub sleeve: Option<String>,
    /// Whether a grommet protects it where it goes through sheet metal.
    pub grommet: Option<bool>,
    /// How its start is joined.
    pub joint_from: Option<Joint>,
    /// How its end is joined.
    pub joint_to: Option<Joint>,
    /// A use that exempts it from rules for ordinary wires.
    pub used_for: Option<Use>,
    /// How finely its conductor is stranded.
    pub strands: Option<Strands>,
    /// The places it is led by, in this order; between them it takes the shortest way.
    pub via: Vec<PlaceId>,
    /// Whether it is to be kept apart from wires that carry a load.
    pub keep_apart: bool,
}

impl Wire {
    /// A new wire of which nothing is known but its ends.
    pub fn new(id: WireId, from: TerminalRef, to: TerminalRef) -> Wire {
        Wire {
            id,
            label: String::new(),
            from,
            to,
            status: Status::New,
            size: Given::NotKnown,
            length: Given::NotKnown,
            color: None,
            insulation: None,
            surroundings: None,
            bundle: None,
            sleeve: None,
            grommet: None,
            joint_from: None,
            joint_to: None,
            used_for: None,
            strands: None,
            via: Vec::new(),
            keep_apart: false,
        }
    }

    /// Whether it is sleeved, in whatever: a blank text says nothing.
    pub fn is_sleeved(&self) -> bool {
        self.sleeve.as_ref().is_some_and(|text| !text.trim().is_empty())
    }

    /// The name it goes by: its label, else its id.
    pub fn title(&self) -> &str {
        if self.label.is_empty() { self.id.as_str() } else { &self.label }
    }
}

/// Conductor size in one of the two systems it is sold in.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub enum Size {
    /// Nominal cross-section.
    Metric(SquareMillimetres),
    /// American wire gauge: 22 down to 1, then 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0.
    Gauge(i32),
}

/// Nominal sizes of ISO 6722-1:2011 in square millimetres (from memory).
pub const METRIC_SIZES: &[f64] = &[
    0.22, 0.35, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0,
    30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 95.0, 120.0,
];

/// The gauges accepted, thinnest first, in the numbering of [`Size::Gauge`].
pub const GAUGES: &[i32] = &[22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3];

impl Size {
    /// Cross-section in square millimetres; for a gauge by ASTM B258:
    /// the diameter in inches is 0.005 x 92^((36 - n) / 39).
    pub fn area(self) -> SquareMillimetres {
        match self {
            Size::Metric(area) => area,
            Size::Gauge(n) => {
                let millimetres = 25.4 * 0.005 * libm::pow(92.0, (36.0 - f64::from(n)) / 39.0);
                SquareMillimetres::new(std::f64::consts::FRAC_PI_4 * millimetres * millimetres)
                    .expect("the area of a finite gauge is finite")
            }
        }
    }

    /// As printed beside a wire: `2.5 mm2`, `14 AWG`, `2/0 AWG`.
    pub fn title(self) -> String {
        match self {
            Size::Metric(area) => area.to_string(),
            Size::Gauge(n) if n > 0 => format!("{n} AWG"),
            Size::Gauge(n) => format!("{}/0 AWG", 1 - n),
        }
    }
}

/// Limits of a length in metres.
pub const LENGTH_M: (f64, f64) = (0.0, 1_000.0);
/// Limits of an insulation's rated temperature in degrees Celsius.
pub const RATED_C: (f64, f64) = (40.0, 400.0);
/// Limits of the surroundings' temperature in degrees Celsius.
pub const AMBIENT_C: (f64, f64) = (-60.0, 200.0);
/// Limits of the number of loaded wires in a bundle.
pub const BUNDLE: (u32, u32) = (1, 1_000);
/// Most places that a wire may be led by.
pub const MOST_VIA: usize = 20;
/// Limits of a stud's size in millimetres.
pub const STUD_MM: (f64, f64) = (1.0, 50.0);

/// Color letters of IEC 60757:2021.
pub const COLOR_LETTERS: &[(&str, &str)] = &[
    ("BK", "black"),
    ("BN", "brown"),
    ("RD", "red"),
    ("OG", "orange"),
    ("YE", "yellow"),
    ("GN", "green"),
    ("BU", "blue"),
    ("VT", "violet"),
    ("GY", "grey"),
    ("WH", "white"),
    ("PK", "pink"),
    ("GD", "gold"),
    ("TQ", "turquoise"),
    ("SR", "silver"),
];

/// Color of a wire: a base and perhaps a stripe, as letters of [`COLOR_LETTERS`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Color {
    /// Main color.
    pub base: &'static str,
    /// Stripe along it.
    pub stripe: Option<&'static str>,
}

impl Color {
    /// As printed beside a wire: `RD` or `RD-WH`.
    pub fn title(self) -> String {
        match self.stripe {
            Some(stripe) => format!("{}-{stripe}", self.base),
            None => self.base.to_owned(),
        }
    }
}

/// What the insulation stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Insulation {
    /// A class of ISO 6722-1:2011, as a letter from A to H.
    Class(char),
    /// A temperature printed on the wire, in degrees Celsius.
    Rated(f64),
}

/// Upper temperatures of the classes of ISO 6722-1:2011 Table 1 in degrees Celsius (from memory).
pub const CLASSES: &[(char, f64)] = &[
    ('A', 85.0),
    ('B', 100.0),
    ('C', 125.0),
    ('D', 150.0),
    ('E', 175.0),
    ('F', 200.0),
    ('G', 225.0),
    ('H', 250.0),
];

impl Insulation {
    /// The temperature it stands for 3000 h, in degrees Celsius.
    pub fn limit_c(self) -> f64 {
        match self {
            Insulation::Class(letter) => {
                CLASSES.iter().find(|(class, _)| *class == letter).map_or(CLASSES[0].1, |(_, limit)| *limit)
            }
            Insulation::Rated(celsius) => celsius,
        }
    }
}

/// Where a wire runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surroundings {
    /// In the cabin.
    Cabin,
    /// Outside on the body.
    Outside,
    /// Under the body.
    UnderBody,
    /// In the engine bay.
    EngineBay,
    /// At a stated air temperature in degrees Celsius.
    Ambient(f64),
}

impl Surroundings {
    /// The places that have a word in the job file.
    pub const WORDS: [(Surroundings, &'static str); 4] = [
        (Surroundings::Cabin, "cabin"),
        (Surroundings::Outside, "outside"),
        (Surroundings::UnderBody, "under the body"),
        (Surroundings::EngineBay, "engine bay"),
    ];

    /// Air temperature to design for in degrees Celsius, as the settings of the job have it.
    pub fn ambient_c(self, settings: &Settings) -> f64 {
        settings.number(match self {
            Surroundings::Cabin => &settings::CABIN_C,
            Surroundings::Outside => &settings::OUTSIDE_C,
            Surroundings::UnderBody => &settings::UNDER_BODY_C,
            Surroundings::EngineBay => &settings::ENGINE_BAY_C,
            Surroundings::Ambient(celsius) => return celsius,
        })
    }

    /// Whether what sits there gets wet: splash water reaches everything but the cabin. Of a place that is told by its
    /// temperature alone it is not known.
    pub fn is_wet(self) -> Option<bool> {
        match self {
            Surroundings::Cabin => Some(false),
            Surroundings::Outside | Surroundings::UnderBody | Surroundings::EngineBay => Some(true),
            Surroundings::Ambient(_) => None,
        }
    }
}

/// How one end of a wire is joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// By what: lug, spade, bullet, crimp, solder; free text.
    pub by: String,
    /// Stud size in millimetres, for a lug.
    pub stud_mm: Option<f64>,
}

/// A use that exempts a wire from rules for ordinary wires.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// The cable of the cranking motor, which carries no fuse.
    StarterCable,
}

impl Use {
    /// Every use with its word.
    pub const WORDS: [(Use, &'static str); 1] = [(Use::StarterCable, "starter cable")];
}

/// How finely a conductor is stranded: the classes of IEC 60228:2004 (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strands {
    /// Class 1, one solid conductor.
    Solid,
    /// Class 2, stranded, for fixed installation.
    Stranded,
    /// Class 5, flexible.
    Flexible,
    /// Class 6, finer still.
    HighlyFlexible,
}

impl Strands {
    /// Every class with its word.
    pub const WORDS: [(Strands, &'static str); 4] = [
        (Strands::Solid, "class 1"),
        (Strands::Stranded, "class 2"),
        (Strands::Flexible, "class 5"),
        (Strands::HighlyFlexible, "class 6"),
    ];

    /// Whether it stands being bent again and again.
    pub fn is_flexible(self) -> bool {
        matches!(self, Strands::Flexible | Strands::HighlyFlexible)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_areas_follow_astm_b258() {
        for (gauge, mm2) in [(22, 0.3255), (14, 2.0809), (10, 5.2612), (0, 53.475), (-3, 107.219)] {
            let area = Size::Gauge(gauge).area().get();
            assert!((area / mm2 - 1.0).abs() < 2e-4, "{gauge}: {area}");
        }
    }

    #[test]
    fn sizes_print_as_sold() {
        assert_eq!(Size::Gauge(14).title(), "14 AWG");
        assert_eq!(Size::Gauge(0).title(), "1/0 AWG");
        assert_eq!(Size::Gauge(-1).title(), "2/0 AWG");
    }
}
