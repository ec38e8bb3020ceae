//! The parts list and the fuse table.

use engine::document::{Network, Part, Status};
use engine::file::workshop::OwnPart;
use engine::given::Given;
use engine::kind::{Class, Form, Role, Value, ValueSpec};
use engine::quantity::by_hand;
use engine::subject::Subject;

use super::{InOrder, NOTHING, Row, STANDING, Setting, Table, or_not_known};
use crate::facts::{Facts, in_words, number};
use crate::supply::{Behind, behind};

/// Every fuse and breaker: where it sits, what it is, and what it feeds. This page stays in the vehicle.
pub fn fuses(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Number, Words};
    let network = facts.network();
    let mut table = Table::new(
        "Fuses",
        "fuses",
        &[
            ("Fuse", Name),
            ("Sits at", Words),
            ("Rating (A)", Number),
            ("Sort", Words),
            ("Feeds", Words),
            ("Status", Words),
        ],
    );
    for part in
        network.parts.iter().filter(|part| part.kind.class == Class::Protection).in_order(|part| part.title())
    {
        let rated = match part.values.get("rating_a") {
            Given::Known(Value::Number(amps)) => number(amps),
            Given::Between(Value::Number(low), Value::Number(high)) => {
                number(low).zip(number(high)).map(|(low, high)| format!("{low} to {high}"))
            }
            _ => None,
        };
        table.entry(vec![
            part.title().to_owned(),
            place(network, facts, part),
            or_not_known(rated),
            match part.values.said("family") {
                Some(Given::Known(Value::Word(word))) => (*word).to_owned(),
                _ => part.kind.noun.to_owned(),
            },
            feeds(facts, part),
            STANDING
                .iter()
                .find(|(status, _)| *status == part.status)
                .map_or("", |(_, word)| word)
                .to_lowercase(),
        ]);
    }
    if !table.rows.is_empty() {
        table.notes.push(
            "Never fit a larger fuse than the rating: the wire behind it would no longer be protected."
                .to_owned(),
        );
    }
    table
}

/// What uses current behind a fuse, whatever the positions of switches.
fn feeds(facts: &Facts<'_>, fuse: &Part) -> String {
    let (circuit, network) = (facts.circuit(), facts.network());
    let index = network.parts.iter().position(|part| part.id == fuse.id);
    let mut branches = index.into_iter().flat_map(|index| circuit.branches_of_part(index));
    let Some((branch, _)) = branches.find(|(_, branch)| matches!(branch.role, Role::Protection(_))) else {
        // What comes out feeds nothing.
        return NOTHING.to_owned();
    };
    let users = match behind(circuit, branch) {
        Behind::Users(users) => users,
        Behind::BetweenSupplies => return "lies between two supplies".to_owned(),
        Behind::NoSupply => return "not supplied".to_owned(),
    };
    let mut fed: Vec<String> = Vec::new();
    for user in users {
        let Some(part) = circuit.branches[user].origin.part().map(|part| &network.parts[part]) else {
            continue;
        };
        let of = if matches!(circuit.branches[user].role, Role::Coil { .. }) { "coil of " } else { "" };
        let said = format!("{of}{} {}", part.kind.noun, part.title());
        if !fed.contains(&said) {
            fed.push(said);
        }
    }
    if fed.is_empty() { "nothing".to_owned() } else { fed.join(", ") }
}

/// Every part with what was said of it.
pub fn parts(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Words};
    let network = facts.network();
    let mut columns =
        vec![("Part", Name), ("What", Words), ("Values", Words), ("Sits at", Words), ("Mark", Words)];
    let ordered = is_ordered(facts);
    if ordered {
        columns.push(("Order number", Name));
    }
    if ordered && facts.has_prices() {
        columns.push(("Price", Name));
    }
    let mut table = Table::new("Parts list", "parts", &columns);
    for (status, heading) in STANDING {
        let of: Vec<&Part> =
            network.parts.iter().filter(|part| part.status == status).in_order(|part| part.title());
        if of.is_empty() {
            continue;
        }
        let count = if of.len() == 1 { "1 part".to_owned() } else { format!("{} parts", of.len()) };
        table.rows.push(Row::Heading(format!("{heading}: {count}")));
        for part in of {
            let marks = facts.marks_of(&Subject::Part(part.id.clone()));
            let values: Vec<String> = part
                .kind
                .values
                .iter()
                .filter(|spec| spec.form != Form::Seat)
                .filter_map(|spec| Some(format!("{}: {}", by_hand(spec.meaning), said(network, part, spec)?)))
                .collect();
            let mut cells = vec![
                part.title().to_owned(),
                part.kind.noun.to_owned(),
                if values.is_empty() { NOTHING.to_owned() } else { values.join("; ") },
                place(network, facts, part),
                if marks.is_empty() { NOTHING.to_owned() } else { marks },
            ];
            if ordered {
                cells.push(of_one(facts, part, |own| &own.order));
            }
            if ordered && facts.has_prices() {
                cells.push(of_one(facts, part, |own| &own.price));
            }
            table.entry(cells);
        }
    }
    if ordered {
        table.notes.push(
            "Order numbers and prices are the workshop's own. A part has them where one of the workshop's parts is of \
             the same kind with the same values; where several differ, none is told."
                .to_owned(),
        );
    }
    table
}

/// Whether an order number or a price is known of any part of the job.
fn is_ordered(facts: &Facts<'_>) -> bool {
    let is_known = |part: &Part| {
        !of_one(facts, part, |own| &own.order).is_empty()
            || (facts.has_prices() && !of_one(facts, part, |own| &own.price).is_empty())
    };
    facts.network().parts.iter().any(is_known)
}

/// What the parts of the workshop that a part may be say with one voice; empty where they say nothing, or differ. What
/// comes out or is there already is not ordered.
fn of_one(facts: &Facts<'_>, part: &Part, says: impl Fn(&OwnPart) -> &str) -> String {
    if part.status != Status::New {
        return String::new();
    }
    let all = facts.workshop().map_or(&[][..], |workshop| &workshop.parts);
    let mut said: Vec<&str> = all.iter().filter(|own| own.is(part)).map(|own| says(own).trim()).collect();
    said.retain(|text| !text.is_empty());
    said.dedup();
    if let [only] = said[..] { only.to_owned() } else { String::new() }
}

/// Where a part sits: its seat in a fuse box, and its place on the vehicle.
fn place(network: &Network, facts: &Facts<'_>, part: &Part) -> String {
    let seat = match part.values.said("seat") {
        Some(Given::Known(Value::Seat(holder, way))) => {
            let holder = network.part(holder).map_or(holder.as_str(), |part| part.title());
            Some(format!("{holder} way {way}"))
        }
        _ => None,
    };
    let plan = &facts.document().plan;
    let at = network.place_of(part).and_then(|id| plan.place(id)).map(|place| place.title().to_owned());
    let all: Vec<String> = seat.into_iter().chain(at).collect();
    if all.is_empty() { super::NOT_KNOWN.to_owned() } else { all.join(", ") }
}

/// What was said of a value, in words; `None` when nothing was.
fn said(network: &Network, part: &Part, spec: &ValueSpec) -> Option<String> {
    let unit = match spec.form {
        Form::Number { unit, .. } => Some(unit),
        _ => None,
    };
    let words = |value: &Value| match value {
        Value::Number(number) => match unit {
            Some(unit) => in_words(*number, unit),
            None => Some(number.to_string()),
        },
        Value::Word(word) => Some((*word).replace('_', " ")),
        Value::Flag(flag) => Some(if *flag { "yes" } else { "no" }.to_owned()),
        Value::Part(id) => Some(network.part(id).map_or(id.as_str(), |part| part.title()).to_owned()),
        Value::Seat(..) => None,
    };
    match part.values.said(spec.name)? {
        Given::Known(value) => words(value),
        Given::Between(low, high) => Some(format!("{} to {}", words(low)?, words(high)?)),
        Given::NotKnown => None,
    }
}
