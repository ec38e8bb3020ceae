//! What is not known of a job: every value that was given as a range or not at all, with the values it may have.

use std::sync::Arc;

use crate::arrange;
use crate::circuit::Circuit;
use crate::document::wire::{GAUGES, METRIC_SIZES};
use crate::document::{Document, Insulation, Network, Part, Settings, Size, Surroundings, Use, Wire};
use crate::given::Given;
use crate::inspect::span::{self, Worse};
use crate::kind::{Form, Value};
use crate::quantity::{Metres, Quantity, Unit};
use crate::resolve::{LengthFrom, Spread, UsedWire, counting};
use crate::subject::Subject;

/// One value that is not known, and what it may be.
#[derive(Clone, Debug, PartialEq)]
pub struct Unknown {
    /// What it is a value of.
    pub subject: Subject,
    /// The key of the value in the job file.
    pub key: &'static str,
    /// The value in words: `size`, `rated current`.
    pub what: String,
    /// Unit of its numbers.
    pub unit: Unit,
    /// The least it may be, what the checks use, and the greatest.
    pub span: Spread<f64>,
    /// The values there are, the least first; where there are none, every number in the span.
    pub steps: Vec<Step>,
    /// Whether the span was given with the job; else it is what is usual in the trade.
    pub said: bool,
    /// Where the span is from.
    pub source: &'static str,
    /// Which end of the span is mostly the worse one.
    pub(super) worse: Worse,
}

/// One of the values that something may have.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its number, in the unit of the value.
    pub number: f64,
    /// What it is called: `1.5 mm2`, `class B`, `engine bay`.
    pub title: String,
    put: Put,
}

/// What is put into the document for a step that is more than its number.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Put {
    Number,
    Size(Size),
    Insulation(Insulation),
    Surroundings(Surroundings),
}

impl Unknown {
    /// Whether voltages and currents depend on it; what does not only moves limits.
    pub fn moves_currents(&self) -> bool {
        !matches!(self.key, "insulation" | "surroundings" | "bundle" | "rating_a" | "fuse_a" | "contact_a")
    }

    /// Whether it only moves what a wire stands.
    pub(super) fn is_limit_of_wire(&self) -> bool {
        matches!(self.subject, Subject::Wire(_)) && !self.moves_currents()
    }

    /// The end that is mostly the worse one, and the other.
    pub(super) fn ends(&self) -> (f64, f64) {
        match self.worse {
            Worse::Low => (self.span.low, self.span.high),
            Worse::High => (self.span.high, self.span.low),
        }
    }

    /// The values that are tried one by one, the least first: of a span without steps its ends and so many between them.
    pub(super) fn grid(&self, n_between: usize) -> Vec<f64> {
        if !self.steps.is_empty() {
            return self.steps.iter().map(|step| step.number).collect();
        }
        let Spread { low, high, .. } = self.span;
        let n = n_between + 1;
        (0..=n).map(|i| if i == n { high } else { low + (high - low) * i as f64 / n as f64 }).collect()
    }

    /// A value of it as a person reads it.
    pub fn title_of(&self, number: f64) -> String {
        match self.step(number) {
            Some(step) => step.title.clone(),
            None => {
                Quantity::new(number, self.unit).map_or_else(String::new, |quantity| quantity.to_string())
            }
        }
    }

    /// Where it stands and what it is: `size of wire W7`.
    pub fn title(&self, network: &Network) -> String {
        format!("{} of {}", self.what, self.subject.title(network))
    }

    fn step(&self, number: f64) -> Option<&Step> {
        self.steps.iter().find(|step| step.number == number)
    }

    /// Gives it the value `number` in `network`.
    pub(super) fn put(&self, network: &mut Network, number: f64) {
        let put = self.step(number).map_or(Put::Number, |step| step.put);
        match &self.subject {
            Subject::Wire(id) => {
                if let Some(wire) = network.wires.iter_mut().find(|wire| wire.id == *id) {
                    self.put_in_wire(wire, put, number);
                }
            }
            other => {
                let part = network.parts.iter_mut().find(|part| Some(&part.id) == other.part());
                if let Some(part) = part {
                    part.values.set(self.key, Given::Known(Value::Number(number)));
                }
            }
        }
    }

    fn put_in_wire(&self, wire: &mut Wire, put: Put, number: f64) {
        match put {
            Put::Size(size) => wire.size = Given::Known(size),
            Put::Insulation(insulation) => wire.insulation = Some(insulation),
            Put::Surroundings(surroundings) => wire.surroundings = Some(surroundings),
            Put::Number if self.key == "bundle" => wire.bundle = Some(number as u32),
            Put::Number => wire.length = Metres::new(number).map_or(Given::NotKnown, Given::Known),
        }
    }
}

/// `document` with a number for every unknown value.
pub(super) fn with(document: &Document, unknowns: &[Unknown], numbers: &[f64]) -> Document {
    let mut network = (*document.network).clone();
    for (unknown, number) in unknowns.iter().zip(numbers) {
        unknown.put(&mut network, *number);
    }
    Document { network: Arc::new(network), ..document.clone() }
}

/// Everything that is not known of a job whose circuit is `circuit`.
pub(super) fn unknowns(document: &Document, circuit: &Circuit) -> Vec<Unknown> {
    let network = &document.network;
    let mut all = Vec::new();
    for (part, used) in network.parts.iter().zip(&circuit.resolved.parts) {
        if let Some(used) = used {
            all.extend(of_part(network, part, document.settings.nominal_v, |key| used.number(key)));
        }
    }
    for (wire, used) in network.wires.iter().zip(&circuit.resolved.wires) {
        if let Some(used) = used {
            all.extend(of_wire(wire, used, &document.settings));
        }
    }
    all
}

fn of_part(
    network: &Network,
    part: &Part,
    nominal_v: f64,
    used: impl Fn(&str) -> Option<f64>,
) -> Vec<Unknown> {
    let mut all = Vec::new();
    for spec in counting(network, part, nominal_v) {
        let Form::Number { unit, .. } = spec.form else { continue };
        let (low, high, source, said) = match part.values.get(spec.name) {
            Given::Between(Value::Number(low), Value::Number(high)) => (low, high, span::AS_SAID, true),
            Given::NotKnown => match span::of_value(part, spec.name, nominal_v) {
                Some(usual) => (usual.least, usual.most, usual.source, false),
                None => continue,
            },
            _ => continue,
        };
        if low >= high {
            continue;
        }
        let steps = span::ratings(part, spec.name, low, high);
        let steps: Vec<Step> = steps.into_iter().map(|amps| step(amps, unit, Put::Number)).collect();
        let spread = Spread { low, used: used(spec.name).unwrap_or(high).clamp(low, high), high };
        let what = match spec.name.split_once('.') {
            Some((group, _)) => format!("{group}, {}", spec.meaning),
            None => spec.meaning.to_owned(),
        };
        all.push(Unknown {
            subject: Subject::Part(part.id.clone()),
            key: spec.name,
            what,
            unit,
            span: among(&steps, spread),
            steps,
            said,
            source,
            worse: span::worse(part, spec.name),
        });
    }
    all
}

fn step(number: f64, unit: Unit, put: Put) -> Step {
    let title = Quantity::new(number, unit).map_or_else(String::new, |quantity| quantity.to_string());
    Step { number, title, put }
}

/// A spread whose values are among `steps`, where there are any.
fn among(steps: &[Step], spread: Spread<f64>) -> Spread<f64> {
    let (Some(first), Some(last)) = (steps.first(), steps.last()) else { return spread };
    let nearest = steps
        .iter()
        .map(|step| step.number)
        .reduce(|best, one| if (one - spread.used).abs() < (best - spread.used).abs() { one } else { best });
    Spread { low: first.number, used: nearest.unwrap_or(first.number), high: last.number }
}

fn of_wire(wire: &Wire, used: &UsedWire, settings: &Settings) -> Vec<Unknown> {
    let all = [
        size(wire, used),
        length(wire, used),
        insulation(wire, used),
        air(wire, used, settings),
        bundle(wire, used),
    ];
    // What can have but one value is known.
    all.into_iter().flatten().filter(|unknown| unknown.span.low < unknown.span.high).collect()
}

fn of(wire: &Wire, key: &'static str, unit: Unit, steps: Vec<Step>, used: f64, worse: Worse) -> Unknown {
    let span = among(&steps, Spread::exact(used));
    Unknown {
        subject: Subject::Wire(wire.id.clone()),
        key,
        what: key.to_owned(),
        unit,
        span,
        steps,
        said: false,
        source: "",
        worse,
    }
}

fn size(wire: &Wire, used: &UsedWire) -> Option<Unknown> {
    let (least, most, source, said) = match (used.size, wire.size) {
        (_, Given::Known(_)) => return None,
        (Some(size), _) => (size.low.area().get(), size.high.area().get(), span::AS_SAID, true),
        (None, _) => {
            let usual = span::size(wire.used_for == Some(Use::StarterCable));
            (usual.least, usual.most, usual.source, false)
        }
    };
    let is_gauge = matches!(used.size, Some(Spread { low: Size::Gauge(_), .. }));
    let sizes: Vec<Size> = match is_gauge {
        true => GAUGES.iter().map(|gauge| Size::Gauge(*gauge)).collect(),
        false => METRIC_SIZES
            .iter()
            .filter_map(|mm2| crate::quantity::SquareMillimetres::new(*mm2))
            .map(Size::Metric)
            .collect(),
    };
    let within = sizes.into_iter().filter(|size| (least..=most).contains(&size.area().get()));
    let steps =
        within.map(|size| Step { number: size.area().get(), title: size.title(), put: Put::Size(size) });
    let steps = steps.collect();
    let unknown = of(wire, "size", Unit::SquareMillimetre, steps, used.area.used.get(), Worse::Low);
    Some(Unknown { said, source, ..unknown })
}

fn length(wire: &Wire, used: &UsedWire) -> Option<Unknown> {
    if wire.length.known().is_some() {
        return None;
    }
    let Spread { low, high, .. } = used.length;
    let (spread, source) = match used.length_from {
        LengthFrom::Typed => {
            (Spread { low: low.get(), used: used.length.used.get(), high: high.get() }, span::AS_SAID)
        }
        LengthFrom::Way | LengthFrom::Plan => {
            (Spread { low: low.get(), used: used.length.used.get(), high: high.get() }, span::AS_ITS_WAY)
        }
        LengthFrom::Assumed => {
            let usual = span::LENGTH;
            (Spread { low: usual.least, used: used.length.used.get(), high: usual.most }, usual.source)
        }
    };
    let said = used.length_from != LengthFrom::Assumed;
    let unknown = of(wire, "length_m", Unit::Metre, Vec::new(), spread.used, Worse::High);
    Some(Unknown { what: "length".to_owned(), span: spread, said, source, ..unknown })
}

fn insulation(wire: &Wire, used: &UsedWire) -> Option<Unknown> {
    if wire.insulation.is_some() {
        return None;
    }
    let steps = span::INSULATIONS.iter().map(|(insulation, title)| Step {
        number: insulation.limit_c(),
        title: (*title).to_owned(),
        put: Put::Insulation(*insulation),
    });
    let steps = steps.collect();
    let unknown = of(wire, "insulation", Unit::Celsius, steps, used.insulation.get(), Worse::Low);
    Some(Unknown { source: span::INSULATION_SOURCE, ..unknown })
}

/// Where it runs, by the air there: places with the same air are one.
fn air(wire: &Wire, used: &UsedWire, settings: &Settings) -> Option<Unknown> {
    if used.ambient_said {
        return None;
    }
    let mut steps: Vec<Step> = Vec::new();
    for (place, word) in Surroundings::WORDS {
        let number = place.ambient_c(settings);
        match steps.iter_mut().find(|step| step.number == number) {
            Some(step) => step.title = format!("{} or {word}", step.title),
            None => steps.push(Step { number, title: word.to_owned(), put: Put::Surroundings(place) }),
        }
    }
    // Of a way that is told in part, the hottest piece that is told bounds the rest from below.
    steps.retain(|step| step.number >= span::least_air(used, settings));
    arrange::sort_by(&mut steps, |a, b| a.number.total_cmp(&b.number));
    let unknown = of(wire, "surroundings", Unit::Celsius, steps, used.ambient.get(), Worse::High);
    Some(Unknown { source: span::AIR_SOURCE, ..unknown })
}

/// Loaded wires that lie with it, where checks already doubt how many there are: in a sleeve of which nothing was said, or
/// beside wires whose way is not known. A wire that is drawn without a sleeve is taken to lie by itself, as checks do.
fn bundle(wire: &Wire, used: &UsedWire) -> Option<Unknown> {
    if wire.bundle.is_some() || used.bundle_known || used.bundle_at_best == used.bundle {
        return None;
    }
    let steps = span::BUNDLES.iter().filter(|n| **n >= used.bundle_at_best).map(|n| Step {
        number: f64::from(*n),
        title: if *n == 1 { "one loaded wire".to_owned() } else { format!("{n} loaded wires") },
        put: Put::Number,
    });
    let steps = steps.collect();
    let unknown = of(wire, "bundle", Unit::One, steps, f64::from(used.bundle), Worse::High);
    let what = "number of loaded wires lying together".to_owned();
    Some(Unknown { what, source: span::BUNDLE_SOURCE, ..unknown })
}
