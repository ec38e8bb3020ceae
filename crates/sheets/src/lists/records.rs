//! What was read at the vehicle, as it was written down then.

use engine::diagnose::{about, all_about, found_in_words, steps_of};
use engine::document::{Complaint, Found, Network, Probe, Purpose, Reading, Record};
use engine::quantity::{by_hand, capital};

use super::proof::who;
use super::{NOTHING, Row, Setting, Table};
use crate::facts::Facts;

/// Every record with its signature.
pub fn records(facts: &Facts<'_>) -> Vec<Table> {
    let filled_in = |record: &&Record| record.readings.iter().any(|one| one.found.is_some());
    let of = |record: &Record| {
        let known = [&record.by, &record.date, &record.meter].map(String::as_str);
        [table(facts.network(), record), who("Signed", &known)]
    };
    facts.document().records.iter().filter(filled_in).flat_map(of).collect()
}

fn table(network: &Network, record: &Record) -> Table {
    use Setting::{Name, Number, Words};
    let (name, file) = match record.purpose {
        Purpose::Survey => ("Record of a survey", "record-of-survey"),
        Purpose::Fault => ("Record of a fault walk", "record-of-fault-walk"),
        Purpose::Proof => ("Record of the proving", "record-of-proving"),
    };
    let columns =
        [("No.", Number), ("What was read", Words), ("Should be", Words), ("Found", Words), ("Is", Name)];
    // Where nothing was judged there is nothing to say of it.
    let is_judged = record.readings.iter().any(|one| one.is_right.is_some());
    let columns = if is_judged { &columns[..] } else { &columns[..4] };
    let mut table = Table::new(name, file, columns);
    let add = |table: &mut Table, mut cells: Vec<String>| {
        cells.truncate(columns.len());
        table.entry(cells);
    };
    if !record.complaints.is_empty() {
        table.rows.push(Row::Heading("Complained of".to_owned()));
        record.complaints.iter().for_each(|one| add(&mut table, complaint(network, one)));
    }
    let mut situation = None;
    for (number, own) in (1..).zip(steps_of(&record.readings)) {
        let readings = &record.readings[own];
        if situation != Some(&readings[0].situation) {
            situation = Some(&readings[0].situation);
            table.rows.push(Row::Heading(when(&readings[0].situation.name)));
        }
        add(&mut table, entry(network, number, readings));
    }
    if !record.about.is_empty() {
        table.notes.push(format!("About: {}.", record.about.trim_end_matches('.')));
    }
    let answer = if record.answer.is_empty() { "Not finished." } else { &record.answer };
    table.notes.push(by_hand(answer));
    table
        .notes
        .push("Read at the vehicle and written down there; what it should be was calculated.".to_owned());
    table
}

fn when(name: &str) -> String {
    if name.is_empty() { "With the positions as they were set".to_owned() } else { capital(name) }
}

fn complaint(network: &Network, one: &Complaint) -> Vec<String> {
    let what = format!("{} ({})", capital(&about(network, &one.probe)), one.situation.name);
    let words = |found| found_in_words(&one.probe, found);
    vec![
        NOTHING.to_owned(),
        what,
        capital(&words(one.should)),
        capital(&words(one.found)),
        NOTHING.to_owned(),
    ]
}

/// One step: a reading, or a look at several loads of which those are told that were not as they should be.
fn entry(network: &Network, number: u32, readings: &[Reading]) -> Vec<String> {
    let found = |one: &Reading| match one.found {
        Some(found) => found_in_words(&one.probe, found),
        None => "not taken".to_owned(),
    };
    let name = |one: &Reading| about(network, &one.probe);
    let (what, should, found) = match readings {
        [one] => (capital(&name(one)), one.expected.clone(), found(one)),
        all => {
            let odd = all.iter().filter(|one| one.is_right != Some(true));
            let odd: Vec<String> = odd.map(|one| format!("{} {}", name(one), found(one))).collect();
            let found = if odd.is_empty() { "all as it should be".to_owned() } else { odd.join(", ") };
            ("Looked at".to_owned(), together(network, all), found)
        }
    };
    vec![number.to_string(), what, capital(&by_hand(&should)), capital(&found), is(readings).to_owned()]
}

/// What several loads should be, those that should be the same together: `Lit: lamp E1, E2. Dark: lamp E3`.
fn together(network: &Network, readings: &[Reading]) -> String {
    let mut groups: Vec<(&str, Vec<&Probe>)> = Vec::new();
    for one in readings {
        match groups.iter_mut().find(|(expected, _)| *expected == one.expected) {
            Some((_, probes)) => probes.push(&one.probe),
            None => groups.push((&one.expected, vec![&one.probe])),
        }
    }
    let told = groups.into_iter();
    let told =
        told.map(|(expected, probes)| format!("{}: {}", capital(expected), all_about(network, probes)));
    told.collect::<Vec<_>>().join(". ")
}

fn is(readings: &[Reading]) -> &'static str {
    match readings {
        all if all.iter().any(|one| one.is_right == Some(false)) => "not right",
        all if all.iter().any(|one| matches!(one.found, None | Some(Found::CannotReach))) => NOTHING,
        all if all.iter().all(|one| one.is_right == Some(true)) => "right",
        _ => NOTHING,
    }
}
