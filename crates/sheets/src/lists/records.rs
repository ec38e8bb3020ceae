//! What was read at the vehicle, as it was written down then.

use engine::diagnose::{about, all_about, found_in_words, steps_of};
use engine::document::{Complaint, Found, Network, Probe, Purpose, Reading, Record};
use engine::donor_survey::{Against, leads_words};
use engine::quantity::{by_hand, capital};

use super::expected::in_short;
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
    // Of a fault walk it is what causes lead to, which is not as it should be.
    let should = if record.purpose == Purpose::Fault { "Expected" } else { "Should be" };
    let columns =
        [("No.", Number), ("What was read", Words), (should, Words), ("Found", Words), ("Is", Name)];
    // Where nothing was expected or judged there is nothing to say of it.
    let is_expected =
        !record.complaints.is_empty() || record.readings.iter().any(|one| !one.expected.is_empty());
    let is_judged = record.readings.iter().any(|one| one.is_right.is_some());
    let is_wanted = [true, true, is_expected, true, is_judged];
    let columns: Vec<_> = wanted(is_wanted, columns).collect();
    let mut table = Table::new(name, file, &columns);
    let add = |table: &mut Table, cells: [String; 5]| table.entry(wanted(is_wanted, cells).collect());
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
        add(&mut table, entry(network, number, record, readings));
    }
    table.result = by_hand(if record.answer.is_empty() { "Not finished." } else { &record.answer });
    table.notes.extend(is_about(record));
    let calculated = match (is_expected, record.purpose) {
        (false, _) => "",
        (true, Purpose::Fault) => "; what was expected was calculated",
        (true, _) => "; what it should be was calculated",
    };
    table.notes.push(format!("Read at the vehicle and written down there{calculated}."));
    table
}

/// Those cells of a row that are wanted.
fn wanted<T, const N: usize>(is_wanted: [bool; N], cells: [T; N]) -> impl Iterator<Item = T> {
    is_wanted.into_iter().zip(cells).filter_map(|(is_wanted, cell)| is_wanted.then_some(cell))
}

/// What a record is about, as a sentence. A proving is about the new work, whatever was said when it began: what it was to
/// show would read as what it showed.
fn is_about(record: &Record) -> Option<String> {
    match (record.purpose, record.about.trim_end_matches('.')) {
        (Purpose::Proof, _) => Some("Proving of the new work.".to_owned()),
        (_, "") => None,
        (_, about) => Some(format!("About: {about}.")),
    }
}

fn when(name: &str) -> String {
    if name.is_empty() { "With the positions as they were set".to_owned() } else { capital(name) }
}

fn complaint(network: &Network, one: &Complaint) -> [String; 5] {
    let what = format!("{} ({})", capital(&about(network, &one.probe)), one.situation.name);
    let words = |found| found_in_words(&one.probe, found);
    [NOTHING.to_owned(), what, capital(&words(one.should)), capital(&words(one.found)), NOTHING.to_owned()]
}

/// One step: a reading, or a look at several loads of which those are told that were not as they should be.
fn entry(network: &Network, number: u32, record: &Record, readings: &[Reading]) -> [String; 5] {
    let found = |one: &Reading| match one.found {
        Some(found) => found_in_words(&one.probe, found),
        None => "not taken".to_owned(),
    };
    let name = |one: &Reading| about(network, &one.probe);
    let (what, should, found) = match readings {
        [one] => (read(network, &one.probe), expected(record, one), found(one)),
        all => {
            let odd = all.iter().filter(|one| one.is_right != Some(true));
            let odd: Vec<String> = odd.map(|one| format!("{} {}", name(one), found(one))).collect();
            let found = if odd.is_empty() { "all as it should be".to_owned() } else { odd.join(", ") };
            ("Looked at".to_owned(), together(network, all), found)
        }
    };
    [number.to_string(), what, capital(&by_hand(&should)), capital(&found), is(readings).to_owned()]
}

/// What was read, and where the leads were at a wire that is not drawn.
fn read(network: &Network, probe: &Probe) -> String {
    match probe {
        Probe::Pin { wire, against_positive: true } => leads_words(wire, Against::Positive),
        Probe::Pin { wire, against_positive: false } => leads_words(wire, Against::Earth),
        _ => capital(&about(network, probe)),
    }
}

/// What a reading should be; of a fault walk, what the cause that was found leads to.
fn expected(record: &Record, one: &Reading) -> String {
    match (record.purpose, &*one.expected) {
        (Purpose::Fault, "") => NOTHING.to_owned(),
        (Purpose::Fault, words) => in_short(words, &record.answer),
        (_, words) => words.to_owned(),
    }
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
