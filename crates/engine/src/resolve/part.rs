//! The values of a part: what is used, and what is told of it.

use super::{Assumption, Spread};
use crate::document::{Network, Part, Status};
use crate::given::Given;
use crate::kind::{
    Class, Counts, Form, OPEN_VOLTAGE, OfRange, RATED_VOLTAGE, Unsaid, Used, Value, ValueSpec,
};
use crate::quantity::{Amps, Quantity, Unit};
use crate::subject::Subject;

/// The values of `part` that count as it stands now: those a form should ask for.
pub fn counting(network: &Network, part: &Part, nominal_v: f64) -> Vec<&'static ValueSpec> {
    let used = used_values(part, nominal_v);
    part.kind.values.iter().filter(|spec| counts(network, spec.counts, &used)).collect()
}

/// The voltage that a part is made for in volts: that of the system unless it says another, as one of two batteries in
/// series does by the voltage it shows.
pub fn made_for_v(part: &Part, nominal_v: f64) -> f64 {
    let said = [RATED_VOLTAGE, OPEN_VOLTAGE].into_iter().find_map(|key| match part.values.get(key) {
        Given::Known(Value::Number(volts)) => Some(volts),
        _ => None,
    });
    said.unwrap_or(nominal_v)
}

/// The key of the rating at which a part opens: that of a fuse or breaker, or of the fuse of a donor circuit.
fn rating_key(part: &Part) -> Option<&'static str> {
    match part.kind.class {
        Class::Protection => Some("rating_a"),
        Class::Donor => Some("fuse_a"),
        _ => None,
    }
}

/// The rating at which a part opens that uses `used`: of a range, the ends are what wires and what loads are held to.
pub fn rating(part: &Part, used: Amps) -> Spread<Amps> {
    match rating_key(part).map(|key| part.values.get(key)) {
        Some(Given::Between(Value::Number(low), Value::Number(high))) => {
            Spread { low: Amps::new(low).unwrap_or(used), used, high: Amps::new(high).unwrap_or(used) }
        }
        _ => Spread::exact(used),
    }
}

/// What is used of the values of a part; a range counts as its middle, or as the end that is worse.
fn used_values(part: &Part, nominal_v: f64) -> Used {
    let mut used = Used::new(nominal_v);
    let made_for = made_for_v(part, nominal_v);
    for spec in part.kind.values {
        let value = match part.values.get(spec.name) {
            Given::Known(value) => Some(value),
            Given::Between(Value::Number(low), Value::Number(high)) => {
                Some(Value::Number(match spec.of_range {
                    OfRange::Middle => 0.5 * (low + high),
                    OfRange::Lower => low,
                    OfRange::Higher => high,
                }))
            }
            Given::Between(..) | Given::NotKnown => spec.assumed_of(&part.values, made_for),
        };
        if let Some(value) = value {
            used.set(spec.name, value);
        }
    }
    used
}

/// The values of `part`, with what was assumed of them; `None` when it is to be removed.
pub(super) fn used(
    network: &Network,
    part: &Part,
    nominal_v: f64,
    assumptions: &mut Vec<Assumption>,
) -> Option<Used> {
    if part.status == Status::Remove {
        return None;
    }
    let used = used_values(part, nominal_v);
    // Whether a value counts may depend on one further down, so all are decided before any is told.
    for spec in part.kind.values {
        let given = part.values.get(spec.name);
        let Some(text) = told(network, part, spec, &given, &used, made_for_v(part, nominal_v)) else {
            continue;
        };
        let unit = match spec.form {
            Form::Number { unit, .. } => unit,
            _ => Unit::One,
        };
        let what = match spec.name.split_once('.') {
            Some((group, _)) => format!("{group}, {}", spec.meaning),
            None => spec.meaning.to_owned(),
        };
        let value = used.number(spec.name).and_then(|number| Quantity::new(number, unit));
        assumptions.push(Assumption {
            subject: Subject::Part(part.id.clone()),
            key: spec.name,
            value,
            text: format!("{what}: {text}"),
            unjudged: (!given.is_said() && is_unjudged(part, spec)).then_some(what),
        });
    }
    Some(used)
}

/// What there is to tell about a value: what is used because nothing or only a range was said, or how the computation
/// simplifies what was said.
fn told(
    network: &Network,
    part: &Part,
    spec: &ValueSpec,
    given: &Given<Value>,
    used: &Used,
    made_for: f64,
) -> Option<String> {
    match given {
        Given::Known(_) => {
            let (_, how) = spec.simplified.filter(|(when, _)| counts(network, *when, used))?;
            Some(how.to_owned())
        }
        _ if !counts(network, spec.counts, used) => None,
        Given::NotKnown if spec.beyond_assumption(&part.values).is_some() => {
            spec.beyond_assumption(&part.values).map(|consequence| format!("not given, {consequence}"))
        }
        Given::Between(Value::Number(low), Value::Number(high)) => {
            if rating_key(part) == Some(spec.name) {
                return Some(format!(
                    "between {low} and {high}, wires are held to the higher, loads to the lower"
                ));
            }
            let how = spec.simplified.filter(|(when, _)| counts(network, *when, used));
            let how = how.map_or_else(String::new, |(_, how)| format!(", {how}"));
            let end = match spec.of_range {
                OfRange::Middle => "middle",
                OfRange::Lower => "lower",
                OfRange::Higher => "higher",
            };
            Some(format!("between {low} and {high}, the {end} is used{how}"))
        }
        Given::Between(..) | Given::NotKnown => match spec.unsaid {
            Unsaid::Plain => None,
            Unsaid::Means(consequence) | Unsaid::Unjudged(consequence) => {
                Some(format!("not given, {consequence}"))
            }
            Unsaid::Told => {
                let assumed = match (spec.assumed_at(made_for)?, spec.form) {
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

/// Whether something is left out of what checks judge while nothing is said of a value.
fn is_unjudged(part: &Part, spec: &ValueSpec) -> bool {
    matches!(spec.unsaid, Unsaid::Unjudged(_)) || spec.beyond_assumption(&part.values).is_some()
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
