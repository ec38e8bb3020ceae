//! From what was said to what is used: fills in assumed values and remembers each of them.
//!
//! Nothing assumed here is ever written back to the document. A removed part or wire is left out.

use std::sync::Arc;

use crate::conductor;
use crate::document::{Network, Settings, Size, Status, Surroundings, Wire};
use crate::given::Given;
use crate::kind::{Form, Used, Value};
use crate::quantity::{Amps, Celsius, Metres, Ohms, Quantity, SquareMillimetres, Unit};
use crate::subject::Subject;

/// A value used because nothing, or only a range, was said.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What it is about.
    pub subject: Subject,
    /// The key of the value in the job file.
    pub key: &'static str,
    /// The number used, when it is one.
    pub value: Option<Quantity>,
    /// The same in words: what is assumed and why.
    pub text: String,
}

/// The least, the used and the greatest value something may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<T> {
    /// Least.
    pub low: T,
    /// Used for readings.
    pub used: T,
    /// Greatest.
    pub high: T,
}

impl<T: Copy> Spread<T> {
    /// A value without doubt.
    pub fn exact(value: T) -> Spread<T> {
        Spread { low: value, used: value, high: value }
    }
}

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
    /// Loaded wires in its bundle, itself included.
    pub bundle: u32,
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
        let at = |area| conductor::ampacity(area, self.insulation, self.ambient, self.bundle);
        Some(Spread { low: at(self.area.low), used: at(self.area.used), high: at(self.area.high) })
    }
}

/// A job ready for computation: parts and wires by their index in the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Resolved {
    /// The network this was made from.
    pub network: Arc<Network>,
    /// Nominal voltage in volts.
    pub nominal_v: f64,
    /// Values used by part; `None` for a part to be removed.
    pub parts: Vec<Option<Used>>,
    /// Values used by wire; `None` for a wire to be removed.
    pub wires: Vec<Option<UsedWire>>,
    /// Everything that was assumed.
    pub assumptions: Vec<Assumption>,
}

/// Cross-section used for readings when a wire's size is not known, in square millimetres (common practice, no source).
const ASSUMED_MM2: f64 = 1.0;

/// Length used for readings when a wire's length is not known, in metres (common practice, no source).
const ASSUMED_M: f64 = 1.0;

/// Insulation temperature of a new wire without a class: class B of ISO 6722-1 (common practice, no source).
const NEW_WIRE_C: f64 = 100.0;

/// Insulation temperature of an existing wire without a class, as for old PVC (common practice, no source).
const EXISTING_WIRE_C: f64 = 70.0;

/// Decides every value of a job.
pub fn resolve(network: &Arc<Network>, settings: &Settings) -> Resolved {
    let mut assumptions = Vec::new();
    let parts = (0..network.parts.len())
        .map(|index| used_part(network, index, settings.nominal_v, &mut assumptions))
        .collect();
    let wires = network.wires.iter().map(|wire| used_wire(wire, &mut assumptions)).collect();
    Resolved { network: Arc::clone(network), nominal_v: settings.nominal_v, parts, wires, assumptions }
}

fn used_part(
    network: &Network,
    index: usize,
    nominal_v: f64,
    assumptions: &mut Vec<Assumption>,
) -> Option<Used> {
    let part = &network.parts[index];
    if part.status == Status::Remove {
        return None;
    }
    let mut used = Used::new(nominal_v);
    for spec in part.kind.values {
        let unit = match spec.form {
            Form::Number { unit, .. } => unit,
            _ => Unit::One,
        };
        let mut note = |number: Option<f64>, text: String| {
            assumptions.push(Assumption {
                subject: Subject::Part(part.id.clone()),
                key: spec.name,
                value: number.and_then(|number| Quantity::new(number, unit)),
                text,
            });
        };
        match part.values.get(spec.name) {
            Given::Known(value) => used.set(spec.name, value),
            Given::Between(Value::Number(low), Value::Number(high)) => {
                let middle = 0.5 * (low + high);
                note(Some(middle), format!("{}: between {low} and {high}, the middle is used", spec.meaning));
                used.set(spec.name, Value::Number(middle));
            }
            Given::Between(..) | Given::NotKnown => match spec.assumed_at(nominal_v) {
                Some(Value::Number(number)) => {
                    if matches!(spec.form, Form::Number { .. }) {
                        let quantity =
                            Quantity::new(number, unit).map_or_else(String::new, |q| q.to_string());
                        note(Some(number), format!("{}: not given, {quantity} assumed", spec.meaning));
                    }
                    used.set(spec.name, Value::Number(number));
                }
                Some(Value::Flag(flag)) => {
                    let answer = if flag { "yes" } else { "no" };
                    note(None, format!("{}: not given, {answer} assumed", spec.meaning));
                    used.set(spec.name, Value::Flag(flag));
                }
                // A word that stands first in its list is the plain form of the part, not a guess.
                Some(value) => used.set(spec.name, value),
                None => {}
            },
        }
    }
    Some(used)
}

fn used_wire(wire: &Wire, assumptions: &mut Vec<Assumption>) -> Option<UsedWire> {
    if wire.status == Status::Remove {
        return None;
    }
    let mut note = |key: &'static str, value: f64, unit: Unit, text: String| {
        assumptions.push(Assumption {
            subject: Subject::Wire(wire.id.clone()),
            key,
            value: Quantity::new(value, unit),
            text,
        });
    };
    let (size, area) = match wire.size {
        Given::Known(size) => (Some(Spread::exact(size)), Spread::exact(size.area())),
        Given::Between(one, other) => {
            let (low, high) = if one.area() <= other.area() { (one, other) } else { (other, one) };
            let text = format!("size: between {} and {}, the smaller is used", low.title(), high.title());
            note("size", low.area().get(), Unit::SquareMillimetre, text);
            (
                Some(Spread { low, used: low, high }),
                Spread { low: low.area(), used: low.area(), high: high.area() },
            )
        }
        Given::NotKnown => {
            let text = format!(
                "size: not given, {ASSUMED_MM2} mm2 assumed for readings; its limits are not checked"
            );
            note("size", ASSUMED_MM2, Unit::SquareMillimetre, text);
            (None, Spread::exact(SquareMillimetres::new(ASSUMED_MM2)?))
        }
    };
    let length = match wire.length {
        Given::Known(length) => Spread::exact(length),
        Given::Between(low, high) => {
            note(
                "length_m",
                high.get(),
                Unit::Metre,
                format!("length: between {low} and {high}, the longer is used"),
            );
            Spread { low, used: high, high }
        }
        Given::NotKnown => {
            note("length_m", ASSUMED_M, Unit::Metre, format!("length: not given, {ASSUMED_M} m assumed"));
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
            note("insulation", limit, Unit::Celsius, text.to_owned());
            limit
        }
    };
    let ambient = match wire.surroundings {
        Some(surroundings) => surroundings.ambient_c(),
        None => {
            let ambient = Surroundings::Cabin.ambient_c();
            note(
                "surroundings",
                ambient,
                Unit::Celsius,
                format!("surroundings: not given, {ambient} degC assumed"),
            );
            ambient
        }
    };
    Some(UsedWire {
        size,
        area,
        length,
        length_said: wire.length.is_said(),
        insulation: Celsius::new(insulation)?,
        insulation_said: wire.insulation.is_some(),
        ambient: Celsius::new(ambient)?,
        bundle: wire.bundle.unwrap_or(1).max(1),
    })
}
