//! The wire list, and what is written on the labels of wires.

use engine::circuit::Origin;
use engine::document::{Insulation, Size, Status, Wire};
use engine::quantity::Unit;
use engine::resolve::{LengthFrom, UsedWire};
use engine::subject::Subject;

use super::{AT_LEAST, InOrder, NOT_KNOWN, NOTHING, Row, STANDING, Setting, Table, or_not_known};
use crate::facts::{Facts, in_words, metres, number};
use crate::on_paper::with_minus;
use crate::supply::fuses_ahead;

/// Every wire of the job: where it leads, what it is, and what it carries.
pub fn wire_list(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Number, Words};
    let network = facts.network();
    let mut table = Table::new(
        "Wire list",
        "wires",
        &[
            ("Wire", Name),
            ("From", Name),
            ("To", Name),
            ("Colour", Name),
            ("Size (mm²)", Number),
            ("Length (m)", Number),
            ("Class", Words),
            ("Fuse ahead", Words),
            ("Carries (A)", Number),
            ("Loses (V)", Number),
            ("Share (%)", Number),
            ("Bundle", Number),
            ("Mark", Words),
        ],
    );
    let mut is_assumed = false;
    for (status, heading) in STANDING {
        let of: Vec<(usize, &Wire)> = network
            .wires
            .iter()
            .enumerate()
            .filter(|(_, wire)| wire.status == status)
            .in_order(|(_, wire)| wire.title());
        if of.is_empty() {
            continue;
        }
        let used = |index: usize| facts.circuit().resolved.wires[index].as_ref();
        let lengths: Vec<f64> = of.iter().filter_map(|(index, _)| known_length(used(*index)?)).collect();
        let mut says = format!("{heading}: {}", counted(of.len()));
        if status == Status::New {
            let total: f64 = lengths.iter().sum();
            says.push_str(&format!(", {} m in all", metres(total)));
            match of.len() - lengths.len() {
                0 => {}
                unknown => says.push_str(&format!(" without {unknown} whose length is not known")),
            }
        }
        table.rows.push(Row::Heading(says));
        for (index, wire) in of {
            let used = used(index);
            is_assumed |= used.is_some_and(|used| used.length_from == LengthFrom::Plan);
            table.entry(row(facts, wire, used));
        }
    }
    table.notes.push(
        "Carries: the most in any position of switches and donors that may last, calculated, not measured; loses: the \
         voltage along the wire then, and its share of the nominal voltage. Class: the temperature class of the insulation. Return: a \
         way back, which has no fuse of its own. Bundle: how many wires beside it carry a \
         load, itself included. ≈: rests on a size or length that is assumed. ≥: at least that, because of something whose \
         current is not known, or that never settles."
            .to_owned(),
    );
    if is_assumed {
        table.notes.push("≈: the length is measured off the plan.".to_owned());
    }
    table
}

/// So many wires, in words.
pub fn counted(n: usize) -> String {
    if n == 1 { "1 wire".to_owned() } else { format!("{n} wires") }
}

/// How long a wire is, in metres; `None` when that is only assumed.
fn known_length(used: &UsedWire) -> Option<f64> {
    (used.length_from != LengthFrom::Assumed).then(|| used.length.high.get())
}

fn row(facts: &Facts<'_>, wire: &Wire, used: Option<&UsedWire>) -> Vec<String> {
    let network = facts.network();
    let subject = Subject::Wire(wire.id.clone());
    let load = facts.load_of(&wire.id);
    let least = |value: Option<f64>, is_current: bool| -> Option<String> {
        let load = load?;
        let value = value?;
        // Nothing that is known flows, and what is not known may.
        if load.at_least && load.amps < 0.001 {
            return None;
        }
        let assumed = if is_assumed(facts, &subject) && !is_current { "≈ " } else { "" };
        let least = if load.at_least { format!("{AT_LEAST} ") } else { String::new() };
        Some(format!("{least}{assumed}{}", number(value)?))
    };
    let volts = load.and_then(|load| load.volts);
    let nominal = facts.circuit().resolved.nominal_v;
    let comes_out = wire.status == Status::Remove;
    let reading = |text: Option<String>| if comes_out { NOTHING.to_owned() } else { or_not_known(text) };
    let marks = facts.marks_of(&subject);
    vec![
        wire.title().to_owned(),
        network.terminal_title(&wire.from),
        network.terminal_title(&wire.to),
        wire.color.map_or_else(|| NOT_KNOWN.to_owned(), |color| color.title()),
        size(wire),
        used.map_or_else(|| length_said(wire), length),
        match wire.insulation {
            Some(Insulation::Class(class)) => class.to_string(),
            Some(Insulation::Rated(celsius)) => or_not_known(in_words(celsius, Unit::Celsius)),
            None => NOT_KNOWN.to_owned(),
        },
        reading(fuses(facts, wire)),
        reading(least(load.map(|load| load.amps), true)),
        reading(least(volts, false)),
        reading(least(volts.map(|volts| volts / nominal * 100.0), false)),
        match used {
            Some(used) if used.bundle_known => used.bundle.to_string(),
            Some(_) => NOT_KNOWN.to_owned(),
            None => NOTHING.to_owned(),
        },
        if marks.is_empty() { NOTHING.to_owned() } else { marks },
    ]
}

/// Whether the readings of a wire rest on a size or length that nobody said.
fn is_assumed(facts: &Facts<'_>, wire: &Subject) -> bool {
    let assumptions = &facts.circuit().resolved.assumptions;
    assumptions.iter().any(|one| one.subject == *wire && matches!(one.key, "size" | "length_m"))
}

/// The fuses between a wire and its supplies; a way back has none of its own.
fn fuses(facts: &Facts<'_>, wire: &Wire) -> Option<String> {
    let circuit = facts.circuit();
    let index = circuit.wire_index(&wire.id)?;
    // A wire within one net has no branch, and one that comes out has none either.
    let branch = circuit.branches.iter().position(|branch| branch.origin == Origin::Wire(index))?;
    Some(fuses_ahead(circuit, branch).unwrap_or_else(|| "return".to_owned()))
}

/// The size of a wire in square millimetres without the unit; a gauge names itself.
pub fn size(wire: &Wire) -> String {
    use engine::given::Given;
    let words = |size: Size| match size {
        Size::Metric(_) => size.title().trim_end_matches(" mm2").to_owned(),
        Size::Gauge(_) => size.title(),
    };
    match wire.size {
        Given::Known(size) => words(size),
        Given::Between(low, high) => format!("{} to {}", words(low), words(high)),
        Given::NotKnown => NOT_KNOWN.to_owned(),
    }
}

fn length(used: &UsedWire) -> String {
    if used.length_from == LengthFrom::Assumed {
        return NOT_KNOWN.to_owned();
    }
    let (low, high) = (metres(used.length.low.get()), metres(used.length.high.get()));
    let words = if low == high { high } else { format!("{low} to {high}") };
    if used.length_from == LengthFrom::Plan { format!("≈ {words}") } else { words }
}

/// The length of a wire that comes out, of which nothing is worked out.
fn length_said(wire: &Wire) -> String {
    wire.length.known().map_or_else(|| NOT_KNOWN.to_owned(), |length| metres(length.get()))
}

/// What is written on a label at each end of every new wire: the wire, and where that end goes.
pub fn labels(facts: &Facts<'_>) -> Vec<[String; 2]> {
    let network = facts.network();
    let mut all = Vec::new();
    for wire in network.wires.iter().filter(|wire| wire.status == Status::New) {
        for end in [&wire.from, &wire.to] {
            all.push([wire.title().to_owned(), with_minus(&network.terminal_title(end))]);
        }
    }
    all
}
