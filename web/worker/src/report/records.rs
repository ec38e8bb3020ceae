//! What reports about readings have in common: records of the job, the field of a meter, and what was found.

use engine::document::edit::apply;
use engine::document::{Document, Edit, Found, Probe, Record, Seen};
use engine::post::{Change, Report};
use engine::quantity::Unit;

use super::markup::Markup;
use super::typed::Meter;

/// The job with other records, in one step to undo.
pub fn changed(document: &Document, label: &str, said: &str, records: Vec<Record>) -> Report {
    match apply(document, &Edit::Records(records)) {
        Ok(after) => {
            let change = Some(Change::between(label, document, &after));
            Report { said: said.to_owned(), change, ..Report::default() }
        }
        Err(error) => refused(&format!("Nothing was changed: {error}.")),
    }
}

/// Nothing is changed, for a reason.
pub fn refused(why: &str) -> Report {
    Report { said: why.to_owned(), ..Report::default() }
}

/// What was found, by the word of a button; numbers have none.
pub fn found_of(word: &str) -> Option<Found> {
    Some(match word {
        "clicks" => Found::Heard(true),
        "silent" => Found::Heard(false),
        "whole" => Found::Whole(true),
        "open" => Found::Whole(false),
        _ => Found::Seen(seen_of(word)?),
    })
}

/// What was seen, by its word.
pub fn seen_of(word: &str) -> Option<Seen> {
    Seen::WORDS.iter().find(|(_, own)| *own == word).map(|(seen, _)| *seen)
}

/// The meter that a probe is read with; none where nothing is read in numbers.
pub fn meter_of(probe: &Probe, document: &Document) -> Option<Meter> {
    let unit = match probe {
        Probe::Volts { .. } | Probe::Pin { .. } => Unit::Volt,
        Probe::Amps(_) => Unit::Ampere,
        Probe::Look(..) | Probe::TestLamp { .. } | Probe::Listen(_) | Probe::Fuse(_) => return None,
    };
    Some(Meter { unit, is_milli: false, nominal_v: document.settings.nominal_v })
}

/// The field for what a meter shows; `typed` is what stands in it.
pub fn meter_field(page: &mut Markup, name: &str, caption: &str, typed: &str) {
    page.element("label", &[("class", "field meter")], |label| {
        label.line("span", "caption", caption);
        let attributes = [
            ("type", "text"),
            ("inputmode", "decimal"),
            ("name", name),
            ("value", typed),
            ("maxlength", "20"),
            ("autocomplete", "off"),
        ];
        label.open("input", &attributes);
    });
}
