//! What reports about readings have in common: records of the job, and what people write of what a meter shows.

use engine::document::edit::apply;
use engine::document::record::GREATEST_READING;
use engine::document::{Document, Edit, Found, Record, Seen};
use engine::post::{Change, Report};

/// What is said where no number was filled in.
pub const NO_NUMBER: &str = "Enter the number that the meter shows, such as 12.4.";

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

/// A number as people write what a meter shows: with a comma, with its unit.
pub fn number_of(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches(['V', 'v', 'A', 'a']).trim().replace(',', ".").replace('−', "-");
    text.parse::<f64>().ok().filter(|number| number.is_finite() && number.abs() <= GREATEST_READING)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, number) in [("12.4", 12.4), (" 12,4 V", 12.4), ("-0.2", -0.2), ("−3 A", -3.0)] {
            assert_eq!(number_of(text), Some(number), "{text}");
        }
        for text in ["", "twelve", "inf", "1e9", "12.4.1"] {
            assert_eq!(number_of(text), None, "{text}");
        }
    }
}
