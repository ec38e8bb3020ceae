//! What is written beside parts and wires: designations, key values, wire texts.

use std::collections::BTreeSet;

use engine::arrange;
use engine::document::{Network, Part, Size, Wire};
use engine::given::Given;
use engine::kind::{Form, Kind, Value};
use engine::quantity::{Quantity, Unit, by_hand};

use crate::text::{HEIGHT, clean, wrapped};

/// The values printed beside a symbol, with a word before those that would not speak for
/// themselves. Only what was said is printed, never what is assumed.
const PRINTED: &[(&str, &str)] = &[
    ("rating_a", ""),
    ("watts", ""),
    ("ohm", ""),
    ("capacity_ah", ""),
    ("set_v", ""),
    ("run_a", ""),
    ("contact_a", ""),
    ("lamp_w", ""),
    ("beam.watts", "beam"),
    ("position.watts", "position"),
];

/// Widest line of a designation, in hundredths of a millimetre.
const WIDEST: i32 = 2400;

/// Most lines of a designation.
const MOST_LINES: usize = 3;

/// The designations of all parts, in document order: the label, else the letter of the kind
/// (IEC 81346-2) and the first number that nobody has.
pub fn designations(network: &Network) -> Vec<String> {
    let mut taken: BTreeSet<String> =
        arrange::set_of(network.parts.iter().map(|part| clean(part.label.trim())));
    let name = |part: &Part, taken: &mut BTreeSet<String>| {
        let label = clean(part.label.trim());
        if !label.is_empty() {
            return label;
        }
        let mut number = 1_u64;
        loop {
            let designation = format!("{}{number}", part.kind.letter);
            if taken.insert(designation.clone()) {
                return designation;
            }
            number += 1;
        }
    };
    network.parts.iter().map(|part| name(part, &mut taken)).collect()
}

/// What is written beside the parts of a network.
#[derive(Clone, Debug, Default)]
pub(crate) struct Words {
    /// The designation of each part.
    pub designations: Vec<String>,
    /// By part: how many of the lines beside its symbols are its designation, and all of them.
    pub lines: Vec<(usize, Vec<String>)>,
}

impl Words {
    /// The words of this network.
    pub(crate) fn of(network: &Network) -> Words {
        let designations = designations(network);
        let lines =
            |(part, designation): (&Part, &String)| part_lines(network, &designations, part, designation);
        let lines = network.parts.iter().zip(&designations).map(lines).collect();
        Words { designations, lines }
    }
}

/// The lines beside one symbol of a part: how many of them are its designation, and all of them.
pub fn part_lines(
    network: &Network,
    designations: &[String],
    part: &Part,
    designation: &str,
) -> (usize, Vec<String>) {
    let mut lines = wrapped(designation, HEIGHT, WIDEST, MOST_LINES);
    let n_designation = lines.len();
    for (name, word) in PRINTED {
        if let Some(text) = value_text(part, name) {
            lines.push(if word.is_empty() { text } else { format!("{word} {text}") });
        }
    }
    for (_, given) in part.values.iter() {
        if let Given::Known(Value::Seat(id, way)) = given {
            let of = network.parts.iter().position(|other| other.id == *id);
            let of = of.map_or(id.as_str(), |index| designations[index].as_str());
            lines.extend(wrapped(&format!("{of} way {way}"), HEIGHT, WIDEST, 2));
        }
    }
    (n_designation, lines)
}

fn value_text(part: &Part, name: &str) -> Option<String> {
    let unit = unit_of(part.kind, name)?;
    let print = |value: Value| match value {
        Value::Number(number) => Quantity::new(number, unit).map(|q| by_hand(&q.to_string())),
        _ => None,
    };
    match part.values.get(name) {
        Given::Known(value) => print(value),
        Given::Between(low, high) => Some(format!("{} to {}", print(low)?, print(high)?)),
        Given::NotKnown => None,
    }
}

fn unit_of(kind: &Kind, name: &str) -> Option<Unit> {
    match kind.value(name)?.form {
        Form::Number { unit, .. } => Some(unit),
        _ => None,
    }
}

/// The two parts of a wire's text: its name, and its size and color letters.
pub fn wire_words(wire: &Wire) -> (String, String) {
    // Square millimetres are understood, the legend says so; a gauge names itself.
    let size = |size: Size| match size {
        Size::Metric(_) => size.title().trim_end_matches(" mm2").to_owned(),
        Size::Gauge(_) => size.title(),
    };
    let sizes = match wire.size {
        Given::Known(known) => size(known),
        Given::Between(low, high) => format!("{} to {}", size(low), size(high)),
        Given::NotKnown => String::new(),
    };
    let color = wire.color.map(|color| color.title()).unwrap_or_default();
    let name = clean(wire.title().trim());
    let name = crate::text::cut(&name, HEIGHT, WIDEST);
    let rest = [sizes, color].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" ");
    (name, rest)
}
