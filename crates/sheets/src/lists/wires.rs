//! The wire list, and what is written on the labels of wires.

use engine::document::{Insulation, Status, Wire};
use engine::quantity::{Unit, by_hand};
use engine::resolve::{LengthFrom, UsedWire};
use engine::subject::Subject;

use super::{NOT_KNOWN, NOTHING, Row, STANDING, Setting, Table, or_not_known};
use crate::facts::{Facts, in_words};

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
            ("Size", Number),
            ("Length", Number),
            ("Temp. class", Words),
            ("Fuse ahead", Words),
            ("Carries", Number),
            ("Loses", Number),
            ("Share", Number),
            ("Bundle", Words),
            ("Mark", Words),
        ],
    );
    let mut is_assumed = false;
    for (status, heading) in STANDING {
        let of: Vec<(usize, &Wire)> =
            network.wires.iter().enumerate().filter(|(_, wire)| wire.status == status).collect();
        if of.is_empty() {
            continue;
        }
        let used = |index: usize| facts.circuit().resolved.wires[index].as_ref();
        let lengths: Vec<f64> = of.iter().filter_map(|(index, _)| known_length(used(*index)?)).collect();
        let mut says = format!("{heading}: {}", counted(of.len()));
        if status == Status::New {
            let total: f64 = lengths.iter().sum();
            says.push_str(&format!(", {} in all", or_not_known(in_words(total, Unit::Metre))));
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
        "Carries: the most in any situation that may last; loses: the voltage along the wire then, and its share of \
         the nominal voltage. Bundle: how many wires beside it carry a load, itself included."
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
    let guarded = facts.ledger().wires.iter().find(|row| row.subject == subject);
    let fuses = guarded.map(|row| {
        let titles: Vec<&str> =
            row.fuses.iter().filter_map(|fuse| Some(network.part(fuse.part()?)?.title())).collect();
        if titles.is_empty() { NOTHING.to_owned() } else { titles.join(", ") }
    });
    let load = facts.load_of(&wire.id);
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
        reading(fuses),
        reading(load.and_then(|load| in_words(load.amps, Unit::Ampere))),
        reading(volts.and_then(|volts| in_words(volts, Unit::Volt))),
        reading(volts.and_then(|volts| in_words(volts / nominal * 100.0, Unit::Percent))),
        match used {
            Some(used) if used.bundle_known => used.bundle.to_string(),
            Some(_) => NOT_KNOWN.to_owned(),
            None => NOTHING.to_owned(),
        },
        if marks.is_empty() { NOTHING.to_owned() } else { marks },
    ]
}

fn size(wire: &Wire) -> String {
    use engine::given::Given;
    match wire.size {
        Given::Known(size) => by_hand(&size.title()),
        Given::Between(low, high) => by_hand(&format!("{} to {}", low.title(), high.title())),
        Given::NotKnown => NOT_KNOWN.to_owned(),
    }
}

fn length(used: &UsedWire) -> String {
    let words = known_length(used).and_then(|metres| in_words(metres, Unit::Metre));
    match used.length_from {
        LengthFrom::Plan => words.map_or_else(|| NOT_KNOWN.to_owned(), |words| format!("≈ {words}")),
        _ => or_not_known(words),
    }
}

/// The length of a wire that comes out, of which nothing is worked out.
fn length_said(wire: &Wire) -> String {
    or_not_known(wire.length.known().and_then(|metres| in_words(metres.get(), Unit::Metre)))
}

/// What is written on a label at each end of every new wire: the wire, and where that end goes.
pub fn labels(facts: &Facts<'_>) -> Vec<[String; 2]> {
    let network = facts.network();
    let mut all = Vec::new();
    for wire in network.wires.iter().filter(|wire| wire.status == Status::New) {
        for end in [&wire.from, &wire.to] {
            all.push([wire.title().to_owned(), network.terminal_title(end)]);
        }
    }
    all
}
