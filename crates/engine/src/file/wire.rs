//! Wires.

use serde_json::Value as Json;

use super::part::bad_id;
use super::parts::Parts;
use super::place::{Place, harmless, quoted};
use super::walk::{
    Fields, expected, flag, given, keep, list, list_of, number, number_meant, text, whole, word,
};
use super::{Problem, plan};
use crate::document::validate::Violation;
use crate::document::wire::{
    AMBIENT_C, BUNDLE, CLASSES, COLOR_LETTERS, GAUGES, LENGTH_M, METRIC_SIZES, MOST_VIA, RATED_C, STUD_MM,
};
use crate::document::{Color, Insulation, Joint, Size, Status, Strands, Surroundings, Use, Wire};
use crate::given::Given;
use crate::ids::{PartId, PlaceId, TerminalName, TerminalRef, WireId};
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
    "strand_class",
    "via",
    "keep_apart",
];

/// Reads a wire between terminals of `parts`; what is wrong is added to `problems`.
pub(super) fn read(value: &Json, place: &Place, parts: &Parts, problems: &mut Vec<Problem>) -> Option<Wire> {
    let before = problems.len();
    let fields = Fields::telling(value, place, KEYS, problems, |_| None)?;
    let end = |value: &Json, place: &Place| terminal(value, place, parts);
    let id = keep(fields.required("id", wire_id), problems);
    let label = keep(fields.text("label"), problems);
    let from = keep(fields.required("from", end), problems);
    let to = keep(fields.required("to", end), problems);
    let status = keep(fields.optional("status", word(&Status::WORDS)), problems);
    let size = keep(fields.optional("size", size), problems);
    let length = keep(fields.optional("length_m", length), problems);
    let color = keep(fields.optional("colour", color), problems);
    let insulation = keep(fields.optional("insulation", insulation), problems);
    let surroundings = keep(fields.optional("surroundings", surroundings), problems);
    let bundle = keep(fields.optional("bundle", whole(BUNDLE.0.into(), BUNDLE.1.into())), problems);
    let sleeve = keep(fields.optional("sleeve", text), problems);
    let grommet = keep(fields.optional("grommet", flag), problems);
    let joints = keep(fields.optional("ends", joints), problems);
    let used_for = keep(fields.optional("use", word(&Use::WORDS)), problems);
    let strands = keep(fields.optional("strand_class", word(&Strands::WORDS)), problems);
    let via = keep(fields.optional("via", via), problems);
    let keep_apart = keep(fields.optional("keep_apart", flag), problems);
    let (joint_from, joint_to) = joints?.unwrap_or_default();
    let wire = Wire {
        id: id?,
        label: label?,
        from: from?,
        to: to?,
        status: status?.unwrap_or_default(),
        size: size?.unwrap_or_default(),
        length: length?.unwrap_or_default(),
        color: color?,
        insulation: insulation?,
        surroundings: surroundings?,
        // The limits lie inside 32 bits.
        bundle: bundle?.map(|count| count as u32),
        sleeve: sleeve?,
        grommet: grommet?,
        joint_from,
        joint_to,
        used_for: used_for?,
        strands: strands?,
        via: via?.unwrap_or_default(),
        keep_apart: keep_apart?.unwrap_or(false),
    };
    if wire.from == wire.to {
        problems.push(place.problem(Violation::BothEndsTheSame(wire.id.clone()).to_string()));
    }
    (problems.len() == before).then_some(wire)
}

fn wire_id(value: &Json, place: &Place) -> Result<WireId, Problem> {
    let said = text(value, place)?;
    WireId::new(&said).ok_or_else(|| place.problem(bad_id(&said)))
}

/// The terminal of a part that a text `part.terminal` names.
pub(super) fn terminal(value: &Json, place: &Place, parts: &Parts) -> Result<TerminalRef, Problem> {
    let said = text(value, place)?;
    let Some((id, name)) = said.split_once('.') else {
        return Err(place.problem(format!("{} is no wire end; write `part.terminal`", quoted(&said))));
    };
    if let Some(told) = parts.label_told(id, |part| harmless(&format!("{part}.{name}"))) {
        return Err(place.problem(told));
    }
    let part = PartId::new(id).ok_or_else(|| place.problem(bad_id(id)))?;
    let name = TerminalName::new(name);
    let Some(found) = parts.get(&part, place)? else { return Ok(TerminalRef { part, terminal: name }) };
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
    if let Some(meant) = size_meant(value) {
        let found = value.as_str().map_or_else(|| value.to_string(), quoted);
        return Err(place.problem(format!("a size is written `{meant}`, found {found}")));
    }
    let fields = Fields::of(value, place, &["mm2", "awg"])?;
    let area = |size: &Size| size.area().get();
    let metric = fields.optional("mm2", |value, place| given(value, place, area, metric))?;
    let gauge = fields.optional("awg", |value, place| given(value, place, area, gauge))?;
    match (metric, gauge) {
        (Some(size), None) | (None, Some(size)) => Ok(size),
        _ => Err(place.problem("say either `mm2` or `awg`")),
    }
}

/// The right form of a size that was written as a number, or as a text such as `2,5 mm2` or `AWG 14`.
fn size_meant(value: &Json) -> Option<String> {
    let (number, key) = match value {
        Json::Number(number) => (number.to_string(), "mm2"),
        Json::String(said) => {
            let number = said.trim_matches(|c: char| !c.is_ascii_digit());
            // The 2 of `mm2` is no size.
            let number = number.split([' ', 'm', 'q']).next().and_then(number_meant)?;
            (number, if said.to_lowercase().contains("awg") { "awg" } else { "mm2" })
        }
        _ => return None,
    };
    Some(format!("{{ \"{key}\": {number} }}"))
}

fn metric(value: &Json, place: &Place) -> Result<Size, Problem> {
    let said = value.as_f64().ok_or_else(|| expected("a number", value, place))?;
    // A size is written as it is printed on the reel, so it is the very number of the table.
    let known = METRIC_SIZES.iter().find(|size| **size == said);
    known.and_then(|size| SquareMillimetres::new(*size)).map(Size::Metric).ok_or_else(|| {
        let sizes = METRIC_SIZES.iter().map(f64::to_string).collect::<Vec<_>>().join(", ");
        place.problem(format!("{value} mm2 is no size of the series")).with_list(&format!(": {sizes}"))
    })
}

fn gauge(value: &Json, place: &Place) -> Result<Size, Problem> {
    let known = GAUGES.iter().find(|gauge| gauge_words(**gauge).contains(value));
    known.map(|gauge| Size::Gauge(*gauge)).ok_or_else(|| {
        let gauges = GAUGES.iter().map(|gauge| gauge_words(*gauge)[0].to_string()).collect::<Vec<_>>();
        let message = format!("{} is none of the gauges", quoted(&value.to_string()));
        place.problem(message).with_list(&format!(": {}", gauges.join(", ")))
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

pub(super) fn length(value: &Json, place: &Place) -> Result<Given<Metres>, Problem> {
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
    if let Some(said) = value.as_str() {
        let base = COLOR_LETTERS.iter().find(|(letters, _)| letters.eq_ignore_ascii_case(said));
        let base = base.map_or("RD", |(letters, _)| *letters);
        let message = format!("a colour is written `{{ \"base\": \"{base}\" }}`, found {}", quoted(said));
        return Err(place.problem(message));
    }
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

/// Reads where a wire runs or a part sits.
pub(super) fn surroundings(value: &Json, place: &Place) -> Result<Surroundings, Problem> {
    if value.is_object() {
        let fields = Fields::of(value, place, &["ambient_c"])?;
        return fields
            .required("ambient_c", number(AMBIENT_C.0, AMBIENT_C.1, "degC"))
            .map(Surroundings::Ambient);
    }
    word(&Surroundings::WORDS)(value, place)
}

/// Reads the places that a wire is led by.
fn via(value: &Json, place: &Place) -> Result<Vec<PlaceId>, Problem> {
    let places = list(value, place)?;
    if places.len() > MOST_VIA {
        return Err(place.problem(format!("a wire is led by at most {MOST_VIA} places")));
    }
    places.iter().enumerate().map(|(index, one)| plan::place_id(one, &place.item(index))).collect()
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
