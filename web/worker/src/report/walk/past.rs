//! Walks that have ended.

use engine::diagnose::{about, found_in_words};
use engine::document::{Purpose, Record};
use engine::post::Report;
use engine::quantity::capital;

use super::super::Asked;
use super::super::markup::Markup;
use super::card::name;
use super::{changed, open, refused, with_record};

/// The walks of this job that have ended, each with its readings.
pub fn list(asked: &Asked<'_>, page: &mut Markup) {
    let records = asked.document.records.iter().enumerate();
    let walks: Vec<(usize, &Record)> = records.filter(|(_, one)| one.purpose == Purpose::Fault).collect();
    if walks.is_empty() {
        return;
    }
    page.heading("Earlier walks");
    for (place, record) in walks.into_iter().rev() {
        page.element("details", &[], |details| {
            let summary = [capital(&record.about), record.date.clone()];
            let summary: Vec<String> = summary.into_iter().filter(|text| !text.is_empty()).collect();
            details.line("summary", "", &summary.join(", "));
            readings(asked, details, record);
            details.strong("", &record.answer);
            details.button("Go on with it", &format!("walk-reopen {place}"));
            details.button("Delete it", &format!("walk-delete {place}"));
        });
    }
}

fn readings(asked: &Asked<'_>, details: &mut Markup, record: &Record) {
    let network = &asked.document.network;
    details.element("ol", &[], |list| {
        for reading in &record.readings {
            let found = reading
                .found
                .map_or_else(|| "not taken".to_owned(), |found| found_in_words(&reading.probe, found));
            let what = capital(&about(network, &reading.probe));
            list.line("li", "", &format!("{what}: {found} ({})", name(&reading.situation)));
        }
    });
}

/// Goes on with a walk that had ended.
pub fn reopen(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let document = asked.document;
    document.records.get(place).filter(|one| one.purpose == Purpose::Fault)?;
    if open(document).is_some() {
        return Some(refused("End the walk that goes on first."));
    }
    Some(with_record(document, place, "go on with a fault walk", "Going on.", |record| record.answer.clear()))
}

/// Deletes a walk.
pub fn delete(asked: &Asked<'_>, place: usize) -> Option<Report> {
    let document = asked.document;
    document.records.get(place).filter(|one| one.purpose == Purpose::Fault)?;
    let mut records = (*document.records).clone();
    records.remove(place);
    Some(changed(document, "delete a fault walk", "Deleted. Undo brings it back.", records))
}
