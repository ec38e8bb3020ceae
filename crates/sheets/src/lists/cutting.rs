//! The cut list, and what goes on the ends of what is cut.

use engine::document::{Joint, Status, Wire};
use engine::laid::{Lot, cut_list as lots};
use engine::quantity::{Unit, by_hand};
use engine::resolve::LengthFrom;

use super::wires::{counted, size};
use super::{Column, NOT_KNOWN, NOTHING, Row, Setting, Table};
use crate::facts::{Facts, feet_and_inches, in_words, metres};

/// Where the length in feet and inches stands: after the one in metres.
const FEET_COLUMN: usize = 2;

/// What to cut for the new wires, by size and color.
pub fn cut_list(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Number, Tick, Words};
    let network = facts.network();
    let resolved = &facts.circuit().resolved;
    let mut table = Table::new(
        "Cut list",
        "cut-list",
        &[
            ("Wire", Name),
            ("Cut to (m)", Number),
            ("Slack (m)", Number),
            ("Ends (m)", Number),
            ("From", Name),
            ("joined by", Words),
            ("To", Name),
            ("joined by", Words),
            ("Sleeve", Words),
            ("Heat-shrink", Tick),
        ],
    );
    if facts.is_in_feet() {
        table.columns.insert(FEET_COLUMN, Column { head: "Cut to (ft, in)", set: Words });
        table.notes.push("In feet and inches: the same length up to the next inch.".to_owned());
    }
    for lot in &lots(facts.circuit()) {
        table.rows.push(Row::Heading(heading(lot)));
        for cut in &lot.cuts {
            let wire = &network.wires[cut.wire];
            // Of a typed length nobody knows what is in it.
            let makes = resolved.ways.of(cut.wire).filter(|_| {
                resolved.wires[cut.wire].as_ref().is_some_and(|used| used.length_from != LengthFrom::Typed)
            });
            let slack =
                makes.map(|way| way.length.high.get() - way.makes.along - way.makes.loops - way.makes.ends);
            let words = |length: Option<f64>| {
                length.map_or_else(|| NOTHING.to_owned(), |length| metres(length.max(0.0)))
            };
            let mut cells = vec![
                wire.title().to_owned(),
                metres(cut.length.get()),
                words(slack),
                words(makes.map(|way| way.makes.ends)),
                network.terminal_title(&wire.from),
                joint(wire.joint_from.as_ref()),
                network.terminal_title(&wire.to),
                joint(wire.joint_to.as_ref()),
                sleeve(wire),
                String::new(),
            ];
            if facts.is_in_feet() {
                cells.insert(FEET_COLUMN, feet_and_inches(cut.length.get()));
            }
            table.entry(cells);
        }
    }
    let is_cut =
        |index: usize| lots(facts.circuit()).iter().flat_map(|lot| &lot.cuts).any(|cut| cut.wire == index);
    let unknown: Vec<&str> = network
        .wires
        .iter()
        .enumerate()
        .filter(|(index, wire)| wire.status == Status::New && !is_cut(*index))
        .map(|(_, wire)| wire.title())
        .collect();
    if !unknown.is_empty() {
        let left_out = format!("Not in this list, because their length is not known: {}", unknown.join(", "));
        table.rows.push(Row::Heading(left_out));
    }
    if table.rows.iter().any(|row| matches!(row, Row::Entry(_))) {
        table.notes.push(
            "Of what is new, up to the next centimetre. Slack and ends are in the length. “–” for slack and ends: the length was typed, and is cut as it \
             stands. Nothing is known of heat-shrink: what was put on is to be written in by hand."
                .to_owned(),
        );
    }
    table
}

fn heading(lot: &Lot) -> String {
    let size = lot.size.map_or_else(|| "size not known".to_owned(), |size| by_hand(&size.title()));
    let color = lot.color.map_or_else(|| "colour not known".to_owned(), |color| color.title());
    let total = metres(lot.total.get());
    format!("{size}, {color}: {}, {total} m together", counted(lot.cuts.len()))
}

fn joint(joint: Option<&Joint>) -> String {
    let Some(joint) = joint else { return NOT_KNOWN.to_owned() };
    let stud = joint.stud_mm.and_then(|mm| in_words(mm, Unit::Millimetre));
    match (joint.by.trim(), stud) {
        ("", None) => NOT_KNOWN.to_owned(),
        ("", Some(stud)) => format!("stud {stud}"),
        (by, None) => by.to_owned(),
        (by, Some(stud)) => format!("{by}, stud {stud}"),
    }
}

fn sleeve(wire: &Wire) -> String {
    wire.sleeve.as_ref().map(|text| text.trim()).filter(|text| !text.is_empty()).unwrap_or(NOTHING).to_owned()
}

/// How many terminals of each sort the ends of new wires need, by the size of the wire.
pub fn ends(facts: &Facts<'_>) -> Table {
    use Setting::{Number, Words};
    let mut table = Table::new(
        "Ends of new wires",
        "wire-ends",
        &[("Joined by", Words), ("Wire (mm²)", Number), ("Pieces", Number)],
    );
    let mut counts: Vec<(String, String, u32)> = Vec::new();
    for wire in facts.network().wires.iter().filter(|wire| wire.status == Status::New) {
        let size = size(wire);
        for end in [&wire.joint_from, &wire.joint_to] {
            let joint = joint(end.as_ref());
            match counts.iter_mut().find(|(by, of, _)| *by == joint && *of == size) {
                Some((.., count)) => *count += 1,
                None => counts.push((joint, size.clone(), 1)),
            }
        }
    }
    // By area, and behind that what is said otherwise.
    let area = |size: &str| size.parse().unwrap_or(f64::INFINITY);
    engine::arrange::sort_by(&mut counts, |a, b| {
        let by_size = || area(&a.1).total_cmp(&area(&b.1)).then_with(|| a.1.cmp(&b.1));
        a.0.cmp(&b.0).then_with(by_size)
    });
    for (by, size, count) in counts {
        table.entry(vec![by, size, count.to_string()]);
    }
    table
}
