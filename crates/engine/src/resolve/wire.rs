//! The values of a wire: what is used, and what is told of it.

use super::{Assumption, Spread};
use crate::conductor::{self, CurrentTable};
use crate::document::{Settings, Size, Status, Surroundings, Wire};
use crate::given::Given;
use crate::quantity::{Amps, Celsius, Metres, Ohms, Quantity, SquareMillimetres, Unit};
use crate::subject::Subject;
use crate::working::{Basis, Working};

/// A wire as the computation uses it.
#[derive(Clone, Debug, PartialEq)]
pub struct UsedWire {
    /// Conductor size; `None` when nothing was said, and then [`UsedWire::area`] is assumed.
    pub size: Option<Spread<Size>>,
    /// Cross-section.
    pub area: Spread<SquareMillimetres>,
    /// Length one way.
    pub length: Spread<Metres>,
    /// Whether the length was said.
    pub length_said: bool,
    /// Temperature its insulation stands.
    pub insulation: Celsius,
    /// Whether that temperature was said.
    pub insulation_said: bool,
    /// Air temperature to design for.
    pub ambient: Celsius,
    /// Whether where it runs was said.
    pub ambient_said: bool,
    /// Loaded wires in its bundle, itself included.
    pub bundle: u32,
    /// The same in the best case of what is known.
    pub bundle_at_best: u32,
    /// The table of what it can carry.
    pub table: CurrentTable,
}

impl UsedWire {
    /// Resistance at 20 degC that a reading is expected to show.
    pub fn expected(&self) -> Option<Ohms> {
        conductor::expected_resistance(self.area.used, self.length.used)
    }

    /// Greatest resistance at 20 degC that its size allows.
    pub fn greatest(&self) -> Option<Ohms> {
        match self.size {
            Some(size) => conductor::greatest_resistance(size.used, self.length.used),
            None => self.expected(),
        }
    }

    /// The current it stands in the worst case of what is known, and in the best.
    ///
    /// `None` when its size is not known: there is no limit to compare with.
    pub fn ampacity(&self) -> Option<Spread<Amps>> {
        self.size?;
        let at = |area, loaded| conductor::ampacity(self.table, area, self.insulation, self.ambient, loaded);
        Some(Spread {
            low: at(self.area.low, self.bundle),
            used: at(self.area.used, self.bundle),
            high: at(self.area.high, self.bundle_at_best),
        })
    }

    /// The temperature of the table's column it goes by, where that is less than what its insulation stands.
    pub fn cooler_column(&self) -> Option<Celsius> {
        let entry = match self.table {
            CurrentTable::Vde => None,
            CurrentTable::Cfr => conductor::cfr::entry(self.area.low.get(), self.insulation.get()),
        };
        entry.and_then(|entry| Celsius::new(entry.column_c)).filter(|column| *column < self.insulation)
    }

    /// How the least of [`UsedWire::ampacity`] came about; `title` names the wire.
    pub fn ampacity_working(&self, title: &str) -> Option<Working> {
        let basis = [
            Basis::said(self.size.is_some()),
            Basis::said(self.insulation_said),
            Basis::said(self.ambient_said),
        ];
        let values = (self.area.low, self.insulation, self.ambient);
        conductor::ampacity_working(self.table, title, values, self.bundle, basis)
    }
}

/// Cross-section used for readings when a wire's size is not known, in square millimetres (common practice, no source).
const ASSUMED_MM2: f64 = 1.0;

/// Length used for readings when a wire's length is not known, in metres (common practice, no source).
const ASSUMED_M: f64 = 1.0;

/// Loaded wires in a sleeve of which nothing was said (common practice, no source): the values for one wire hold in free
/// air, those for two or three in one sheath (DIN VDE 0298-4:2013-06 Table 11 columns 2 and 5).
const TOGETHER: u32 = 2;

/// Insulation temperature of a new wire without a class: class B (common practice, no source), which stands 100 degC by
/// ISO 6722-1:2011 Table 1 (from memory).
const NEW_WIRE_C: f64 = 100.0;

/// Insulation temperature of an existing wire without a class, as for old PVC (common practice, no source).
const EXISTING_WIRE_C: f64 = 70.0;

/// The values of `wire`, with what was assumed of them; `None` when it is to be removed.
pub(super) fn used(wire: &Wire, settings: &Settings, assumptions: &mut Vec<Assumption>) -> Option<UsedWire> {
    if wire.status == Status::Remove {
        return None;
    }
    let mut note = |key: &'static str, value: Option<f64>, unit: Unit, text: String| {
        assumptions.push(Assumption {
            subject: Subject::Wire(wire.id.clone()),
            key,
            value: value.and_then(|value| Quantity::new(value, unit)),
            text,
            // Without a size there is no limit to check. What else is assumed is told: in a hotter place, or among more
            // wires, it can carry less.
            unjudged: (key == "size" && !wire.size.is_said()).then(|| "size".to_owned()),
        });
    };
    let (size, area) = match wire.size {
        Given::Known(size) => (Some(Spread::exact(size)), Spread::exact(size.area())),
        Given::Between(one, other) => {
            let (low, high) = if one.area() <= other.area() { (one, other) } else { (other, one) };
            let text = format!("size: between {} and {}, the smaller is used", low.title(), high.title());
            note("size", Some(low.area().get()), Unit::SquareMillimetre, text);
            (
                Some(Spread { low, used: low, high }),
                Spread { low: low.area(), used: low.area(), high: high.area() },
            )
        }
        Given::NotKnown => {
            let text = format!(
                "size: not given, {ASSUMED_MM2} mm2 assumed for readings; its limits are not checked"
            );
            note("size", Some(ASSUMED_MM2), Unit::SquareMillimetre, text);
            (None, Spread::exact(SquareMillimetres::new(ASSUMED_MM2)?))
        }
    };
    let length = match wire.length {
        Given::Known(length) => Spread::exact(length),
        Given::Between(low, high) => {
            note(
                "length_m",
                Some(high.get()),
                Unit::Metre,
                format!("length: between {low} and {high}, the longer is used"),
            );
            Spread { low, used: high, high }
        }
        Given::NotKnown => {
            let text = format!("length: not given, {ASSUMED_M} m assumed");
            note("length_m", Some(ASSUMED_M), Unit::Metre, text);
            Spread::exact(Metres::new(ASSUMED_M)?)
        }
    };
    let insulation = match wire.insulation {
        Some(insulation) => insulation.limit_c(),
        None => {
            let (limit, text) = match wire.status {
                Status::Existing => {
                    (EXISTING_WIRE_C, "insulation: not given on an existing wire, 70 degC assumed")
                }
                _ => (NEW_WIRE_C, "insulation: not given, class B (100 degC) assumed"),
            };
            note("insulation", Some(limit), Unit::Celsius, text.to_owned());
            limit
        }
    };
    let ambient = match wire.surroundings {
        Some(surroundings) => surroundings.ambient_c(settings),
        None => {
            let ambient = Surroundings::Cabin.ambient_c(settings);
            note(
                "surroundings",
                Some(ambient),
                Unit::Celsius,
                format!("surroundings: not given, {ambient} degC assumed"),
            );
            ambient
        }
    };
    let bundle = match (wire.bundle, &wire.sleeve) {
        (Some(loaded), _) => loaded.max(1),
        (None, None) => {
            let text = "bundle: not given, one wire by itself in free air assumed".to_owned();
            note("bundle", Some(1.0), Unit::One, text);
            1
        }
        // What lies in a sleeve is not in free air, and mostly not alone.
        (None, Some(_)) => {
            let text = "bundle: not given on a wire in a sleeve, two or three loaded wires together assumed";
            note("bundle", Some(f64::from(TOGETHER)), Unit::One, text.to_owned());
            TOGETHER
        }
    };
    if wire.sleeve.is_none() {
        note("sleeve", None, Unit::One, "sleeve: not given, none assumed".to_owned());
    }
    Some(UsedWire {
        size,
        area,
        length,
        length_said: wire.length.is_said(),
        insulation: Celsius::new(insulation)?,
        insulation_said: wire.insulation.is_some(),
        ambient: Celsius::new(ambient)?,
        ambient_said: wire.surroundings.is_some(),
        bundle,
        bundle_at_best: wire.bundle.unwrap_or(1).max(1),
        table: CurrentTable::of(settings),
    })
}
