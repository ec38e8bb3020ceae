//! Wires.

use std::collections::BTreeMap;

use serde_json::Value as Json;

use super::Problem;
use super::part::bad_id;
use super::place::{Place, quoted};
use super::walk::{Fields, expected, flag, given, list_of, number, text, whole, word};
use crate::document::wire::{CLASSES, COLOR_LETTERS, GAUGES, METRIC_SIZES};
use crate::document::{Color, Insulation, Joint, Part, Size, Status, Surroundings, Use, Wire};
use crate::given::Given;
use crate::ids::{PartId, TerminalName, TerminalRef, WireId};
use crate::quantity::{Metres, SquareMillimetres};

/// The keys of a wire.
pub(super) const KEYS: &[&str] = &[
    "id",
    "label",
    "from",
    "to",
    "status",
    "size",
    "length_m",
    "colour",
    "insulation",
    "surroundings",
    "bundle",
    "sleeve",
    "grommet",
    "ends",
    "use",
];

/// Limits of a length in metres.
pub(super) const LENGTH_M: (f64, f64) = (0.0, 1_000.0);
/// Limits of an insulation's rated temperature in degrees Celsius.
pub(super) const RATED_C: (f64, f64) = (40.0, 400.0);
/// Limits of the surroundings' temperature in degrees Celsius.
pub(super) const AMBIENT_C: (f64, f64) = (-60.0, 200.0);
/// Limits of the number of loaded wires in a bundle.
pub(super) const BUNDLE: (i64, i64) = (1, 1_000);
/// Limits of a stud's size in millimetres.
pub(super) const STUD_MM: (f64, f64) = (1.0, 50.0);
/// The words of [`Use`].
pub(super) const USES: [(Use, &str); 1] = [(Use::StarterCable, "starter cable")];

/// The parts read so far, by id.
pub(super) type Parts<'a> = BTreeMap<&'a PartId, &'a Part>;

/// Reads a wire between terminals of `parts`.
pub(super) fn read(value: &Json, place: &Place, parts: &Parts) -> Result<Wire, Problem> {
    let fields = Fields::of(value, place, KEYS)?;
    let end = |value: &Json, place: &Place| terminal(value, place, parts);
    let id = fields.required("id", |value, place| {
        let said = text(value, place)?;
        WireId::new(&said).ok_or_else(|| place.problem(bad_id(&said)))
    })?;
    let (joint_from, joint_to) = fields.optional("ends", joints)?.unwrap_or_default();
    Ok(Wire {
        id,
        label: fields.text("label")?,
        from: fields.required("from", end)?,
        to: fields.required("to", end)?,
        status: fields.optional("status", word(&Status::WORDS))?.unwrap_or_default(),
        size: fields.optional("size", size)?.unwrap_or_default(),
        length: fields.optional("length_m", length)?.unwrap_or_default(),
        color: fields.optional("colour", color)?,
        insulation: fields.optional("insulation", insulation)?,
        surroundings: fields.optional("surroundings", surroundings)?,
        // The limits lie inside 32 bits.
        bundle: fields.optional("bundle", whole(BUNDLE.0, BUNDLE.1))?.map(|count| count as u32),
        sleeve: fields.optional("sleeve", text)?,
        grommet: fields.optional("grommet", flag)?,
        joint_from,
        joint_to,
        used_for: fields.optional("use", word(&USES))?,
    })
}

fn terminal(value: &Json, place: &Place, parts: &Parts) -> Result<TerminalRef, Problem> {
    let said = text(value, place)?;
    let Some((id, name)) = said.split_once('.') else {
        return Err(place.problem(format!("{} is no wire end; write `part.terminal`", quoted(&said))));
    };
    let part = PartId::new(id).ok_or_else(|| place.problem(bad_id(id)))?;
    let found = parts.get(&part).ok_or_else(|| place.problem(format!("there is no part `{part}`")))?;
    let name = TerminalName::new(name);
    if !found.has_terminal(&name) {
        let terminals = found.terminals();
        let message = format!(
            "the {} `{part}` has no terminal {}; it has {}",
            found.kind.noun,
            quoted(name.as_str()),
            list_of(terminals.iter().map(|terminal| terminal.name.as_str()))
        );
        return Err(place.problem(message));
    }
    Ok(TerminalRef { part, terminal: name })
}

fn size(value: &Json, place: &Place) -> Result<Given<Size>, Problem> {
    let fields = Fields::of(value, place, &["mm2", "awg"])?;
    let area = |size: &Size| size.area().get();
    let metric = fields.optional("mm2", |value, place| given(value, place, area, metric))?;
    let gauge = fields.optional("awg", |value, place| given(value, place, area, gauge))?;
    match (metric, gauge) {
        (Some(size), None) | (None, Some(size)) => Ok(size),
        _ => Err(place.problem("say either `mm2` or `awg`")),
    }
}

fn metric(value: &Json, place: &Place) -> Result<Size, Problem> {
    let said = value.as_f64().ok_or_else(|| expected("a number", value, place))?;
    // A size is written as it is printed on the reel, so it is the very number of the table.
    let known = METRIC_SIZES.iter().find(|size| **size == said);
    known.and_then(|size| SquareMillimetres::new(*size)).map(Size::Metric).ok_or_else(|| {
        let sizes = METRIC_SIZES.iter().map(f64::to_string).collect::<Vec<_>>().join(", ");
        place.problem(format!("{value} mm2 is no size of the series: {sizes}"))
    })
}

fn gauge(value: &Json, place: &Place) -> Result<Size, Problem> {
    let known = GAUGES.iter().find(|gauge| gauge_words(**gauge).contains(value));
    known.map(|gauge| Size::Gauge(*gauge)).ok_or_else(|| {
        let gauges = GAUGES.iter().map(|gauge| gauge_words(*gauge)[0].to_string()).collect::<Vec<_>>();
        place.problem(format!("{} is none of the gauges: {}", quoted(&value.to_string()), gauges.join(", ")))
    })
}

/// The ways to write a gauge, the one that is written first.
pub(super) fn gauge_words(gauge: i32) -> Vec<Json> {
    match gauge {
        1.. => vec![Json::from(gauge)],
        0 => vec![Json::from("1/0"), Json::from("0"), Json::from(0)],
        _ => vec![Json::from(format!("{}/0", 1 - gauge))],
    }
}

fn length(value: &Json, place: &Place) -> Result<Given<Metres>, Problem> {
    given(
        value,
        place,
        |length: &Metres| length.get(),
        |value, place| {
            let metres = number(LENGTH_M.0, LENGTH_M.1, "m")(value, place)?;
            Metres::new(metres).ok_or_else(|| place.problem("not a finite number"))
        },
    )
}

fn color(value: &Json, place: &Place) -> Result<Color, Problem> {
    let fields = Fields::of(value, place, &["base", "stripe"])?;
    let letters: Vec<(&'static str, &str)> =
        COLOR_LETTERS.iter().map(|(letters, _)| (*letters, *letters)).collect();
    Ok(Color {
        base: fields.required("base", word(&letters))?,
        stripe: fields.optional("stripe", word(&letters))?,
    })
}

fn insulation(value: &Json, place: &Place) -> Result<Insulation, Problem> {
    if value.is_object() {
        let fields = Fields::of(value, place, &["rated_c"])?;
        return fields.required("rated_c", number(RATED_C.0, RATED_C.1, "degC")).map(Insulation::Rated);
    }
    let letters: Vec<String> = CLASSES.iter().map(|(letter, _)| letter.to_string()).collect();
    let words: Vec<(Insulation, &str)> = CLASSES
        .iter()
        .zip(&letters)
        .map(|((letter, _), word)| (Insulation::Class(*letter), word.as_str()))
        .collect();
    word(&words)(value, place)
}

fn surroundings(value: &Json, place: &Place) -> Result<Surroundings, Problem> {
    if value.is_object() {
        let fields = Fields::of(value, place, &["ambient_c"])?;
        return fields
            .required("ambient_c", number(AMBIENT_C.0, AMBIENT_C.1, "degC"))
            .map(Surroundings::Ambient);
    }
    word(&Surroundings::WORDS)(value, place)
}

fn joints(value: &Json, place: &Place) -> Result<(Option<Joint>, Option<Joint>), Problem> {
    let fields = Fields::of(value, place, &["from", "to"])?;
    Ok((fields.optional("from", joint)?, fields.optional("to", joint)?))
}

fn joint(value: &Json, place: &Place) -> Result<Joint, Problem> {
    let fields = Fields::of(value, place, &["by", "stud_mm"])?;
    Ok(Joint {
        by: fields.required("by", text)?,
        stud_mm: fields.optional("stud_mm", number(STUD_MM.0, STUD_MM.1, "mm"))?,
    })
}
