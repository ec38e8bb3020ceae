//! From what was said to what is used: fills in assumed values and remembers each of them.
//!
//! Nothing assumed here is ever written back to the document. A removed part or wire is left out.

use std::sync::Arc;

use crate::conductor;
use crate::document::{Network, Part, Settings, Size, Status, Surroundings, Wire};
use crate::given::Given;
use crate::kind::{Class, Counts, Form, Unsaid, Used, Value, ValueSpec};
use crate::quantity::{Amps, Celsius, Metres, Ohms, Quantity, SquareMillimetres, Unit};
use crate::subject::Subject;

/// What a result rests on besides what was said: a value used because nothing or only a range was said, something left
/// out because nothing was said, or a simplification.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What it is about.
    pub subject: Subject,
    /// The key of the value in the job file.
    pub key: &'static str,
    /// The number used, when there is one.
    pub value: Option<Quantity>,
    /// The same in words: what is assumed and why; the same words for the same assumption about another subject.
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

/// Insulation temperature of a new wire without a class: class B (common practice, no source), which stands 100 degC by
/// ISO 6722-1:2011 Table 1 (from memory).
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

/// The values of `part` that count as it stands now: those a form should ask for.
pub fn counting(network: &Network, part: &Part, nominal_v: f64) -> Vec<&'static ValueSpec> {
    let used = used_values(part, nominal_v);
    part.kind.values.iter().filter(|spec| counts(network, spec.counts, &used)).collect()
}

/// What is used of the values of a part; a range counts as its middle.
fn used_values(part: &Part, nominal_v: f64) -> Used {
    let mut used = Used::new(nominal_v);
    for spec in part.kind.values {
        let value = match part.values.get(spec.name) {
            Given::Known(value) => Some(value),
            Given::Between(Value::Number(low), Value::Number(high)) => {
                Some(Value::Number(0.5 * (low + high)))
            }
            Given::Between(..) | Given::NotKnown => spec.assumed_at(nominal_v),
        };
        if let Some(value) = value {
            used.set(spec.name, value);
        }
    }
    used
}

/// The values of a part, with what was assumed of them.
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
    let used = used_values(part, nominal_v);
    // Whether a value counts may depend on one further down, so all are decided before any is told.
    for spec in part.kind.values {
        let given = part.values.get(spec.name);
        let Some(text) = told(network, spec, &given, &used) else { continue };
        let unit = match spec.form {
            Form::Number { unit, .. } => unit,
            _ => Unit::One,
        };
        let value = used.number(spec.name).and_then(|number| Quantity::new(number, unit));
        assumptions.push(Assumption {
            subject: Subject::Part(part.id.clone()),
            key: spec.name,
            value,
            text: match spec.name.split_once('.') {
                Some((group, _)) => format!("{group}, {}: {text}", spec.meaning),
                None => format!("{}: {text}", spec.meaning),
            },
        });
    }
    Some(used)
}

/// What there is to tell about a value: what is used because nothing or only a range was said, or how the computation
/// simplifies what was said.
fn told(network: &Network, spec: &ValueSpec, given: &Given<Value>, used: &Used) -> Option<String> {
    match given {
        Given::Known(_) => {
            let (_, how) = spec.simplified.filter(|(when, _)| counts(network, *when, used))?;
            Some(how.to_owned())
        }
        _ if !counts(network, spec.counts, used) => None,
        Given::Between(Value::Number(low), Value::Number(high)) => {
            let how = spec.simplified.filter(|(when, _)| counts(network, *when, used));
            let how = how.map_or_else(String::new, |(_, how)| format!(", {how}"));
            Some(format!("between {low} and {high}, the middle is used{how}"))
        }
        Given::Between(..) | Given::NotKnown => match spec.unsaid {
            Unsaid::Plain => None,
            Unsaid::Means(consequence) => Some(format!("not given, {consequence}")),
            Unsaid::Told => {
                let assumed = match (spec.assumed_at(used.nominal_v)?, spec.form) {
                    (Value::Number(number), Form::Number { unit, .. }) => {
                        Quantity::new(number, unit)?.to_string()
                    }
                    (Value::Number(number), _) => number.to_string(),
                    (Value::Flag(flag), _) => (if flag { "yes" } else { "no" }).to_owned(),
                    (Value::Word(word), _) => word.to_owned(),
                    (Value::Part(_) | Value::Seat(..), _) => return None,
                };
                Some(format!("not given, {assumed} assumed"))
            }
        },
    }
}

/// Whether a value that counts `when` does so in a part with the values `used`.
fn counts(network: &Network, when: Counts, used: &Used) -> bool {
    match when {
        Counts::Always => true,
        Counts::With(key, word) => used.word(key) == Some(word),
        Counts::Beside(key) => used.has(key),
        Counts::InPlaceOf(key) => !used.has(key),
        Counts::AmongBatteries => {
            let is_battery =
                |part: &&Part| part.kind.class == Class::Battery && part.status != Status::Remove;
            network.parts.iter().filter(is_battery).count() > 1
        }
    }
}

fn used_wire(wire: &Wire, assumptions: &mut Vec<Assumption>) -> Option<UsedWire> {
    if wire.status == Status::Remove {
        return None;
    }
    let mut note = |key: &'static str, value: Option<f64>, unit: Unit, text: String| {
        assumptions.push(Assumption {
            subject: Subject::Wire(wire.id.clone()),
            key,
            value: value.and_then(|value| Quantity::new(value, unit)),
            text,
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
        Some(surroundings) => surroundings.ambient_c(),
        None => {
            let ambient = Surroundings::Cabin.ambient_c();
            note(
                "surroundings",
                Some(ambient),
                Unit::Celsius,
                format!("surroundings: not given, {ambient} degC assumed"),
            );
            ambient
        }
    };
    if wire.bundle.is_none() {
        let text = "bundle: not given, one wire by itself in free air assumed".to_owned();
        note("bundle", Some(1.0), Unit::One, text);
    }
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
        bundle: wire.bundle.unwrap_or(1).max(1),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation;

    /// What is assumed about `subject` (as its `Display` writes it) in a job of `nominal_v` volts.
    fn told_at(nominal_v: f64, job: &str, subject: &str) -> Vec<String> {
        let network = notation::network(job).unwrap_or_else(|error| panic!("{error}\n{job}"));
        let resolved = resolve(&network, &Settings { nominal_v });
        let about = resolved.assumptions.into_iter().filter(|one| one.subject.to_string() == subject);
        about.map(|one| one.text).collect()
    }

    fn told_about(job: &str, subject: &str) -> Vec<String> {
        told_at(12.0, job, subject)
    }

    #[test]
    fn a_wire_that_is_not_said_to_run_in_a_bundle_or_sleeve_is_told_of() {
        let ends = "lamp E1 watts=55\nearth X1\n";
        assert_eq!(
            told_about(&format!("{ends}wire w1 E1.2 X1.1 mm2=1 m=1"), "wire w1"),
            [
                "insulation: not given, class B (100 degC) assumed",
                "surroundings: not given, 50 degC assumed",
                "bundle: not given, one wire by itself in free air assumed",
                "sleeve: not given, none assumed",
            ]
        );
        let said = format!("{ends}wire w1 E1.2 X1.1 mm2=1 m=1 bundle=4 sleeve=conduit");
        assert!(
            told_about(&said, "wire w1")
                .iter()
                .all(|text| !text.contains("bundle") && !text.contains("sleeve"))
        );
    }

    #[test]
    fn a_value_that_nothing_stands_in_for_is_told_with_what_follows() {
        for (part, subject, text) in [
            ("lamp E1", "part E1", "rated power: not given, so its current is left out and not judged"),
            (
                "led-lamp E1",
                "part E1",
                "power while on: not given, so its current is left out and not judged",
            ),
            (
                "motor M1",
                "part M1",
                "current while running: not given, so its current is left out and not judged",
            ),
            (
                "donor E1",
                "part E1",
                "power of the vehicle's own lamp: not given, so its current is left out and not judged",
            ),
            ("fuse F1", "part F1", "rated current: not given, so the wires behind it are not judged by it"),
            (
                "breaker F1",
                "part F1",
                "rated current: not given, so the wires behind it are not judged by it",
            ),
            ("alternator G1", "part G1", "the most it delivers: not given, no limit assumed"),
            (
                "socket X1 rating_a=10",
                "part X1",
                "current of what is plugged in: not given, the whole rated current assumed, as a plain resistance",
            ),
        ] {
            let told = told_about(part, subject);
            assert!(told.iter().any(|line| line == text), "{part}: {told:?}");
        }
        let said = told_about("lamp E1 watts=55", "part E1");
        assert!(said.iter().all(|line| !line.contains("rated power")), "{said:?}");
    }

    #[test]
    fn words_that_decide_a_verdict_are_told_when_they_were_not_said() {
        for (part, told, said) in [
            ("fuse F1 rating_a=10", "type of fuse link: not given, blade-C assumed", "family=strip"),
            ("breaker F1 rating_a=10", "how it closes again: not given, manual assumed", "reset=automatic"),
            ("relay K1", "form of the contact: not given, make assumed", "contact=make"),
            (
                "relay K1",
                "what limits the coil's switch-off voltage: not given, none assumed",
                "suppression=none",
            ),
            (
                "donor E1",
                "which side the vehicle switches: not given, positive assumed",
                "switching=positive",
            ),
            ("donor E1", "what drives the lamp: not given, contact assumed", "drive=contact"),
            (
                "led-lamp E1 watts=20",
                "what it does when connected the wrong way round: not given, blocks assumed",
                "reverse=blocks",
            ),
        ] {
            let subject = format!("part {}", part.split(' ').nth(1).unwrap());
            assert!(told_about(part, &subject).iter().any(|line| line == told), "{part}");
            let given = told_about(&format!("{part} {said}"), &subject);
            assert!(given.iter().all(|line| line != told), "{part} {said}: {given:?}");
        }
    }

    #[test]
    fn a_word_that_only_shapes_the_part_is_not_told() {
        let told = told_about("switch S1", "part S1");
        assert_eq!(told, ["resistance of a closed contact: not given, 0.01 ohm assumed"]);
    }

    #[test]
    fn only_the_values_of_the_light_source_that_is_there_are_told() {
        let told = told_about(
            "twin-lamp E1 beam.kind=lamp beam.watts=55 position.kind=led-lamp position.watts=5",
            "part E1",
        );
        assert_eq!(
            told,
            [
                "beam, filament: voltage at which the rating holds: not given, 12 V assumed",
                "beam, filament: hot resistance over cold resistance: not given, 12 assumed",
                "position, electronic: it turns off below this voltage: not given, 9 V assumed",
                "position, electronic: it turns on above this voltage: not given, 10.5 V assumed",
                "position, electronic: what it does when connected the wrong way round: not given, blocks assumed",
            ]
        );
    }

    #[test]
    fn simplifications_are_told_of_what_was_said() {
        for (part, text) in [
            ("motor M1 run_a=5", "current while running: taken as a plain resistance"),
            ("socket M1 drawn_a=5", "current of what is plugged in: taken as a plain resistance"),
            (
                "switch M1 telltale=led lamp_a=0.02",
                "current of a light-emitting-diode tell-tale: taken as a plain resistance at the nominal voltage",
            ),
            (
                "donor M1 drive=module",
                "what drives the lamp: reduced and pulsed light solved at its peak, its mean is not known",
            ),
        ] {
            let told = told_about(part, "part M1");
            assert!(told.iter().any(|line| line == text), "{part}: {told:?}");
        }
        // The current of a tell-tale that is not there counts for nothing.
        let told = told_about("switch S1 telltale=none lamp_a=0.02", "part S1");
        assert!(told.iter().all(|line| !line.contains("tell-tale")), "{told:?}");
    }

    #[test]
    fn which_battery_feeds_a_donor_is_told_only_when_there_are_several() {
        let line = "which battery feeds it, else the first one: not given, the first one assumed";
        let one = told_about("battery G1\ndonor E1", "part E1");
        assert!(one.iter().all(|text| text != line), "{one:?}");
        assert!(told_about("battery G1\nbattery G2\ndonor E1", "part E1").iter().any(|text| text == line));
    }

    #[test]
    fn the_feed_of_a_donor_matters_only_where_its_earth_is_switched() {
        let feed =
            |job: &str| told_about(job, "part E1").iter().any(|text| text.contains("permanent assumed"));
        assert!(feed("donor E1 switching=earth"));
        assert!(!feed("donor E1 switching=earth common_feed=switched"));
        assert!(!feed("donor E1 switching=positive"));
    }

    #[test]
    fn an_electronic_lamp_for_24_volts_is_taken_at_its_own_voltages() {
        let told = told_at(24.0, "led-lamp E1 watts=20", "part E1");
        assert!(
            told.iter().any(|line| line == "it turns off below this voltage: not given, 18 V assumed"),
            "{told:?}"
        );
        assert!(
            told.iter().any(|line| line == "it turns on above this voltage: not given, 21 V assumed"),
            "{told:?}"
        );
    }
}
