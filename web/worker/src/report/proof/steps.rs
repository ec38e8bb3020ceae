//! What becomes of the record with each entry.

use engine::diagnose::{about, conclusion, found_in_words, is_passed_by, steps_of};
use engine::document::{Found, Probe, Purpose, Reading, Record};
use engine::post::Report;

use super::{Known, minutes, present};
use crate::report::records::{changed, found_of, meter_of, refused, seen_of};
use crate::report::typed::Meter;
use crate::report::{Asked, plural};

/// The word for what nobody could reach.
pub const BEYOND: &str = "beyond";

/// What is said where the drawing was changed after the sheet was made.
pub const CHANGED: &str =
    "The drawing was changed after this sheet was made, so what passes may be otherwise. Make a new sheet.";

/// Makes a sheet and begins with it.
pub fn begin(asked: &Asked<'_>, known: &mut Known) -> Report {
    let minutes = minutes(asked.document);
    let sheet = known.sheet(asked, &minutes);
    let readings = sheet.proof.readings(&sheet.case);
    if readings.is_empty() {
        return refused("There is nothing in this drawing yet that a reading could prove.");
    }
    let mut records = (*asked.document.records).clone();
    let field = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    let said = format!("The proving sheet has {}.", plural(sheet.proof.steps.len() as u64, "step"));
    records.push(Record {
        purpose: Purpose::Proof,
        about: "Proving of the new work".to_owned(),
        date: field("today"),
        by: field("by"),
        meter: field("meter"),
        complaints: Vec::new(),
        minutes,
        readings,
        answer: String::new(),
    });
    changed(asked.document, "make a proving sheet", &said, records)
}

/// Takes the number that was typed for a reading.
pub fn number(asked: &Asked<'_>, place: usize, is_milli: bool) -> Option<Report> {
    let probe = &asked.document.records[present(asked.document)?].readings.get(place)?.probe;
    let meter = Meter { is_milli, ..meter_of(probe, asked.document)? };
    match meter.read(asked.field(&format!("found-{place}")).unwrap_or_default()) {
        Ok(number) => enter(asked, &[(place, Found::Number(number))]),
        Err(why) => Some(refused(&why)),
    }
}

/// Takes what was seen, heard or not reached.
pub fn take(asked: &Asked<'_>, place: usize, word: &str) -> Option<Report> {
    enter(asked, &[(place, found_or_beyond(word)?)])
}

/// Takes what was chosen for each load of a step that was not taken yet.
pub fn looks(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let readings = &asked.document.records[present(asked.document)?].readings;
    let own = steps_of(readings).into_iter().find(|own| own.contains(&place))?;
    let open = own.filter(|place| readings[*place].found.is_none());
    let found: Option<Vec<(usize, Found)>> =
        open.map(|place| Some((place, found_or_beyond(asked.field(&format!("seen-{place}"))?)?))).collect();
    enter(asked, &found?)
}

fn found_or_beyond(word: &str) -> Option<Found> {
    if word == BEYOND { Some(Found::CannotReach) } else { found_of(word) }
}

/// Takes everything of a step that was not taken yet as it should be.
pub fn rest(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let readings = &asked.document.records[present(asked.document)?].readings;
    let own = steps_of(readings).into_iter().find(|own| own.contains(&place))?;
    let open = own.filter(|place| readings[*place].found.is_none());
    let found = open.filter_map(|place| Some((place, Found::Seen(seen_of(&readings[place].expected)?))));
    enter(asked, &found.collect::<Vec<_>>())
}

/// Enters what was found, and whether it passes by what the card said.
fn enter(asked: &Asked<'_>, found: &[(usize, Found)]) -> Option<Report> {
    let index = present(asked.document)?;
    let mut readings = asked.document.records[index].readings.clone();
    for (place, found) in found {
        let reading = readings.get_mut(*place).filter(|reading| reading.probe.takes(*found))?;
        reading.is_right = is_passed_by(&reading.probe, &reading.expected, *found);
        reading.found = Some(*found);
    }
    let said = said(asked, &readings, found);
    Some(with_readings(asked, index, "enter a reading", &said, readings))
}

/// What is said of an entry.
fn said(asked: &Asked<'_>, readings: &[Reading], found: &[(usize, Found)]) -> String {
    let name = |probe: &Probe| about(&asked.document.network, probe);
    let wrong = found.iter().find(|(place, _)| readings[*place].is_right == Some(false));
    match (wrong, found) {
        (Some((place, found)), _) => {
            let probe = &readings[*place].probe;
            let (what, was) = (name(probe), found_in_words(probe, *found));
            let should = &readings[*place].expected;
            format!("Not right: {what}, found {was}, should be {should}.")
        }
        (None, [(place, Found::CannotReach)]) => format!("Out of reach: {}.", name(&readings[*place].probe)),
        (None, [(place, _)]) => format!("Right: {}.", name(&readings[*place].probe)),
        (None, _) => "All as it should be.".to_owned(),
    }
}

/// Forgets what was found in the step of a reading, so that it is taken again.
pub fn again(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let index = present(asked.document)?;
    let mut readings = asked.document.records[index].readings.clone();
    for place in steps_of(&readings).into_iter().find(|own| own.contains(&place))? {
        readings[place].found = None;
        readings[place].is_right = None;
    }
    Some(with_readings(asked, index, "take a reading again", "", readings))
}

fn with_readings(asked: &Asked<'_>, index: usize, label: &str, said: &str, readings: Vec<Reading>) -> Report {
    let mut records = (*asked.document.records).clone();
    records[index].answer = conclusion(&readings);
    records[index].readings = readings;
    changed(asked.document, label, said, records)
}

/// Sets switches and donor circuits of the drawing as a step has them.
pub fn set(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let record = &asked.document.records[present(asked.document)?];
    let situation = record.readings.get(place)?.situation.clone();
    Some(Report { positions: Some(situation), ..Report::default() })
}

/// Keeps who takes the readings, when, and with which meter.
pub fn who(asked: &Asked<'_>) -> Option<Report> {
    let index = present(asked.document)?;
    let mut records = (*asked.document.records).clone();
    let field = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    (records[index].by, records[index].meter, records[index].date) =
        (field("by"), field("meter"), field("date"));
    Some(changed(asked.document, "say who took the readings", "Kept.", records))
}

/// Throws a sheet away.
pub fn delete(asked: &Asked<'_>, index: usize) -> Option<Report> {
    let mut records = (*asked.document.records).clone();
    if records.get(index)?.purpose != Purpose::Proof {
        return None;
    }
    records.remove(index);
    Some(changed(
        asked.document,
        "throw a proving sheet away",
        "The sheet is thrown away. Undo brings it back.",
        records,
    ))
}
