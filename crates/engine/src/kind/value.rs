//! Values of a part: what may be said, what was said, and what is used.

use std::collections::BTreeMap;

use crate::given::Given;
use crate::ids::PartId;
use crate::quantity::Unit;

/// One value of a part.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A finite number in the unit of its [`ValueSpec`].
    Number(f64),
    /// One of the words its [`ValueSpec`] lists.
    Word(&'static str),
    /// Yes or no.
    Flag(bool),
    /// Another part of the job.
    Part(PartId),
    /// A way of a fuse box, counted from 1.
    Seat(PartId, u32),
}

/// What form a value takes, and within which limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// A number in `unit` from `least` to `most`; a range may be given instead.
    Number {
        /// Unit of the number.
        unit: Unit,
        /// Smallest number accepted.
        least: f64,
        /// Largest number accepted.
        most: f64,
    },
    /// A whole number from `least` to `most`.
    Count {
        /// Smallest count accepted.
        least: u32,
        /// Largest count accepted.
        most: u32,
    },
    /// One of these words.
    Word(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// The id of another part.
    Part,
    /// A way of a fuse box.
    Seat,
}

/// What is used for the computation when nothing was said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Assumed {
    /// Nothing: the value stays unknown, or it is not needed.
    Nothing,
    /// This number on every system.
    Number(f64),
    /// The first number for a part made for 12 V, the second for one made for 24 V; a part is made for the voltage of the
    /// system unless it says otherwise.
    ByNominal(f64, f64),
    /// This word.
    Word(&'static str),
    /// This answer.
    Flag(bool),
}

/// When a value of a part counts at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counts {
    /// In every part.
    Always,
    /// While the first, a word of the same part, is the second.
    With(&'static str, &'static str),
    /// While this other value is known.
    Beside(&'static str),
    /// While this other value is not known.
    InPlaceOf(&'static str),
    /// While the job has more than one battery.
    AmongBatteries,
}

/// What another value of the same part says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Where {
    /// This number is, or may be, above that.
    Above(&'static str, f64),
    /// This word is that.
    Is(&'static str, &'static str),
}

/// What counts of a number that is given as a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfRange {
    /// Its middle.
    Middle,
    /// Its lower end.
    Lower,
    /// Its higher end.
    Higher,
}

/// What is told about a value when nothing was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsaid {
    /// Nothing: what is assumed is the plain form of the part, or no result depends on the value.
    Plain,
    /// That it was not given, and what is assumed instead.
    Told,
    /// That it was not given, and what follows from that; lowercase, no full stop.
    Means(&'static str),
    /// The same, where something is therefore left out of what checks judge.
    Unjudged(&'static str),
}

/// The description of one value of a kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ValueSpec {
    /// The key in the job file; a dot groups keys (`beam.watts`).
    pub name: &'static str,
    /// Form and limits.
    pub form: Form,
    /// What is assumed when nothing was said.
    pub assumed: Assumed,
    /// What the value means, for forms and lists; lowercase, no full stop.
    pub meaning: &'static str,
    /// When it counts at all.
    pub counts: Counts,
    /// What is told when nothing was said.
    pub unsaid: Unsaid,
    /// How the computation simplifies what was said, if it does, and when; lowercase, no full stop.
    pub simplified: Option<(Counts, &'static str)>,
    /// What counts of a range.
    pub of_range: OfRange,
    /// Where nothing can be assumed because of another value, and what follows there; lowercase, no full stop.
    pub unknown_where: Option<(Where, &'static str)>,
}

impl ValueSpec {
    /// A value of this form; what is assumed in its place is told when nothing was said.
    pub const fn new(name: &'static str, form: Form, assumed: Assumed, meaning: &'static str) -> ValueSpec {
        let unsaid = if matches!(assumed, Assumed::Nothing) { Unsaid::Plain } else { Unsaid::Told };
        ValueSpec {
            name,
            form,
            assumed,
            meaning,
            counts: Counts::Always,
            unsaid,
            simplified: None,
            of_range: OfRange::Middle,
            unknown_where: None,
        }
    }

    /// A number in `unit` between `least` and `most`.
    pub const fn number(
        name: &'static str,
        unit: Unit,
        (least, most): (f64, f64),
        assumed: Assumed,
        meaning: &'static str,
    ) -> ValueSpec {
        ValueSpec::new(name, Form::Number { unit, least, most }, assumed, meaning)
    }

    /// A word out of `words`, the first of which is used when nothing was said.
    ///
    /// It stands for the plain form of the part and is not told, unless the value is [`ValueSpec::told`].
    pub const fn word(
        name: &'static str,
        words: &'static [&'static str],
        meaning: &'static str,
    ) -> ValueSpec {
        let spec = ValueSpec::new(name, Form::Word(words), Assumed::Word(words[0]), meaning);
        ValueSpec { unsaid: Unsaid::Plain, ..spec }
    }

    /// A whole number between `least` and `most`, `assumed` and not told when nothing was said: it is what the symbol
    /// shows.
    pub const fn count(
        name: &'static str,
        (least, most): (u32, u32),
        assumed: u32,
        meaning: &'static str,
    ) -> ValueSpec {
        let spec =
            ValueSpec::new(name, Form::Count { least, most }, Assumed::Number(assumed as f64), meaning);
        ValueSpec { unsaid: Unsaid::Plain, ..spec }
    }

    /// The same, told when nothing was said.
    pub const fn told(self) -> ValueSpec {
        ValueSpec { unsaid: Unsaid::Told, ..self }
    }

    /// The same, with what follows when nothing was said.
    pub const fn without(self, consequence: &'static str) -> ValueSpec {
        ValueSpec { unsaid: Unsaid::Means(consequence), ..self }
    }

    /// The same; without it something is left out of what checks judge, which `consequence` tells.
    pub const fn unjudged(self, consequence: &'static str) -> ValueSpec {
        ValueSpec { unsaid: Unsaid::Unjudged(consequence), ..self }
    }

    /// The same, counting only then.
    pub const fn only(self, counts: Counts) -> ValueSpec {
        ValueSpec { counts, ..self }
    }

    /// The same, with how the computation simplifies what was said.
    pub const fn simplified(self, when: Counts, how: &'static str) -> ValueSpec {
        ValueSpec { simplified: Some((when, how)), ..self }
    }

    /// The same, of which the lower end of a range counts: it is a limit.
    pub const fn at_worst_low(self) -> ValueSpec {
        ValueSpec { of_range: OfRange::Lower, ..self }
    }

    /// The same, of which the higher end of a range counts: the more there is of it, the worse.
    pub const fn at_worst_high(self) -> ValueSpec {
        ValueSpec { of_range: OfRange::Higher, ..self }
    }

    /// The same, of which nothing is assumed there, and `consequence` is told.
    pub const fn unknown_where(self, place: Where, consequence: &'static str) -> ValueSpec {
        ValueSpec { unknown_where: Some((place, consequence)), ..self }
    }

    /// What follows where what is said of another value leaves nothing to assume.
    pub fn beyond_assumption(&self, values: &Values) -> Option<&'static str> {
        let (place, consequence) = self.unknown_where?;
        let is_above = |value: &Value, most: f64| matches!(value, Value::Number(number) if *number > most);
        let is_there = match place {
            Where::Above(key, most) => match values.said(key)? {
                Given::Known(value) | Given::Between(_, value) => is_above(value, most),
                Given::NotKnown => false,
            },
            Where::Is(key, word) => values.word_or(key, "") == word,
        };
        is_there.then_some(consequence)
    }

    /// The value assumed of a part made for `nominal_v` volts of which `values` were said, if any.
    pub fn assumed_of(&self, values: &Values, nominal_v: f64) -> Option<Value> {
        match self.beyond_assumption(values) {
            Some(_) => None,
            None => self.assumed_at(nominal_v),
        }
    }

    /// The value assumed of a part made for `nominal_v` volts, if any.
    pub fn assumed_at(&self, nominal_v: f64) -> Option<Value> {
        match self.assumed {
            Assumed::Nothing => None,
            Assumed::Number(number) => Some(Value::Number(number)),
            Assumed::ByNominal(at_12, at_24) => {
                Some(Value::Number(if nominal_v > 18.0 { at_24 } else { at_12 }))
            }
            Assumed::Word(word) => Some(Value::Word(word)),
            Assumed::Flag(flag) => Some(Value::Flag(flag)),
        }
    }
}

/// What the user said about the values of one part. Never holds an assumed value.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Values(BTreeMap<&'static str, Given<Value>>);

impl Values {
    /// Records what was said about `name`; saying nothing removes the entry.
    pub fn set(&mut self, name: &'static str, given: Given<Value>) {
        if given.is_said() {
            self.0.insert(name, given);
        } else {
            self.0.remove(name);
        }
    }

    /// What was said about `name`.
    pub fn get(&self, name: &str) -> Given<Value> {
        self.0.get(name).cloned().unwrap_or_default()
    }

    /// What was said about `name`, if anything.
    pub fn said(&self, name: &str) -> Option<&Given<Value>> {
        self.0.get(name)
    }

    /// Everything that was said, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &Given<Value>)> {
        self.0.iter().map(|(name, given)| (*name, given))
    }

    /// The word said about `name`, or `otherwise`.
    pub fn word_or(&self, name: &str, otherwise: &'static str) -> &'static str {
        match self.0.get(name) {
            Some(Given::Known(Value::Word(word))) => word,
            _ => otherwise,
        }
    }

    /// The count said about `name`, or `otherwise`.
    pub fn count_or(&self, name: &str, otherwise: u32) -> u32 {
        match self.0.get(name) {
            // The reader accepts only whole numbers within the limits of the form.
            Some(Given::Known(Value::Number(number))) => *number as u32,
            _ => otherwise,
        }
    }

    /// The fuse-box way said about `name`.
    pub fn seat(&self, name: &str) -> Option<(&PartId, u32)> {
        match self.0.get(name) {
            Some(Given::Known(Value::Seat(part, way))) => Some((part, *way)),
            _ => None,
        }
    }
}

/// The values of one part as the computation uses them: said or assumed.
///
/// A value that was neither said nor can be assumed is absent.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Used {
    values: BTreeMap<&'static str, Value>,
    /// Nominal voltage of the system, in volts.
    pub nominal_v: f64,
}

impl Used {
    /// No values yet, on a system of `nominal_v` volts.
    pub fn new(nominal_v: f64) -> Used {
        Used { values: BTreeMap::new(), nominal_v }
    }

    /// Sets the value used for `name`.
    pub fn set(&mut self, name: &'static str, value: Value) {
        self.values.insert(name, value);
    }

    /// Whether a value is used for `name`.
    pub fn has(&self, name: &str) -> bool {
        self.values.contains_key(name)
    }

    /// The number used for `name`, in the unit of its spec.
    pub fn number(&self, name: &str) -> Option<f64> {
        match self.values.get(name) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// The word used for `name`.
    pub fn word(&self, name: &str) -> Option<&'static str> {
        match self.values.get(name) {
            Some(Value::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// Whether the flag `name` is set.
    pub fn flag(&self, name: &str) -> bool {
        matches!(self.values.get(name), Some(Value::Flag(true)))
    }
}
