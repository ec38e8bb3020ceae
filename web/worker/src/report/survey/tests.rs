use engine::document::{Found, Probe, Purpose, Record};
use engine::donor_survey::Spot;
use engine::file::read_json;

use super::super::tests::told_of;
use super::carried::{code, spot_of};
use super::*;

const DARK: &str = include_str!("../../../../../fixtures/jobs/dark-lamps.json");

fn told(words: &str) -> Report {
    told_of(&read_json(DARK).unwrap(), "", words).unwrap_or_else(|| panic!("nothing is told by {words}"))
}

#[test]
fn every_spot_reads_back_from_its_word() {
    for spot in Spot::every() {
        assert_eq!(spot_of(&code(spot)), Some(spot));
    }
    assert_eq!(spot_of("off-3-earth"), None);
}

#[test]
fn what_was_read_is_carried_to_the_next_card_and_what_is_no_number_is_asked_for_again() {
    let report = told("survey-take off-1-earth\nbegun=yes\nreadings=off-2-earth:x\nvolts= 12,6 V");
    assert!(report.markup.contains("value=\"off-2-earth:x off-1-earth:12.6\""), "{}", report.markup);
    let again = told("survey-take off-1-earth\nbegun=yes\nreadings=off-2-earth:x\nvolts=twelve");
    assert!(again.markup.contains("survey-take off-1-earth") && again.said.contains("Enter volts"));
    assert!(again.markup.contains("name=\"volts\" value=\"twelve\""), "{}", again.markup);
    let milli = told("survey-take off-1-earth milli\nbegun=yes\nvolts=50");
    assert!(milli.markup.contains("off-1-earth:0.05"), "{}", milli.markup);
    assert!(again.markup.contains("value=\"off-2-earth:x\""), "{}", again.markup);
    assert!(
        !told("survey-drop off-1-earth\nbegun=yes\nreadings=off-1-earth:12.6")
            .markup
            .contains("off-1-earth:12.6")
    );
}

#[test]
fn a_reading_out_of_turn_is_chosen_from_what_is_left() {
    let fields = "begun=yes\nreadings=off-1-earth:12.6";
    let first = told(&format!("survey-drop off-1-positive\n{fields}"));
    let offered = |word: &str| first.markup.contains(&format!("<option value=\"{word}\""));
    assert!(offered("unplugged-2-positive-peak") && !offered("off-1-earth"), "{}", first.markup);
    let chosen = told(&format!("survey-at\n{fields}\nspot=unplugged-2-positive"));
    assert!(chosen.markup.contains("survey-take unplugged-2-positive"), "{}", chosen.markup);
}

#[test]
fn a_name_stays_a_text() {
    let report = told("survey-begin\nname1=<b>white</b>");
    assert!(!report.markup.contains("<b>") && report.markup.contains("&lt;b&gt;white"), "{}", report.markup);
}

/// Readings of a lamp that is switched on its positive side by its first wire.
const READ: &str = "readings=off-1-earth:0 off-1-positive:12.6 off-2-earth:0 off-2-positive:12.6 on-1-earth:12.3 on-2-earth:0.1 \
                    other-1-earth:0 other-1-positive:12.5 other-2-earth:0 unplugged-1-earth:0 unplugged-1-positive:0 \
                    unplugged-2-positive:12.6";

#[test]
fn wiring_is_offered_and_carried_out_only_where_no_module_drives_the_lamp() {
    let document = read_json(DARK).unwrap();
    let id = |label: &str| document.network.parts_called(label)[0].id.to_string();
    let fields = |drive: &str| {
        let (donor, relay, switch) = (id("E1"), id("K1"), id("S1"));
        format!(
            "begun=yes\n{READ}\ndrive={drive}\nsignal=main beam\ndonor={donor}\nrelay={relay}\nswitch={switch}"
        )
    };
    let wired = told(&format!("survey-wire\n{}", fields("contact")));
    assert!(wired.said.contains("W11 goes to E1:feed instead of E2:feed"), "{}", wired.said);
    assert!(wired.change.is_some_and(|change| change.network.is_some()));
    for drive in ["module", "not-known"] {
        let refused = told(&format!("survey-wire\n{}", fields(drive)));
        assert!(
            refused.change.is_none() && refused.said.starts_with("Nothing was changed"),
            "{}",
            refused.said
        );
        assert!(!refused.markup.contains("survey-wire"), "{}", refused.markup);
    }
}

#[test]
fn the_readings_are_kept_with_the_job_once() {
    let fields = format!("begun=yes\n{READ}\nsignal=main beam\nname1=white\ndate=2026-11-27");
    let report = told(&format!("survey-keep\n{fields}"));
    let records = report.change.and_then(|change| change.records).unwrap();
    assert_eq!(records.len(), 1);
    let Record { purpose, about, date, readings, answer, .. } = &records[0];
    assert_eq!(
        (*purpose, about.as_str(), date.as_str()),
        (Purpose::Survey, "the lamp for main beam", "2026-11-27")
    );
    assert_eq!(readings.len(), 12);
    assert!(answer.contains("switched on its positive side"), "{answer}");
    let first = Probe::Pin { wire: "the white wire".to_owned(), against_positive: false };
    assert_eq!((&readings[0].probe, readings[0].found), (&first, Some(Found::Number(0.0))));
    let mut document = read_json(DARK).unwrap();
    document.records = std::sync::Arc::new(records);
    assert_eq!(read_json(&engine::file::write_json(&document)).unwrap().records, document.records);
    let again = told_of(&document, "", &format!("survey-keep\n{fields}")).unwrap();
    assert!(again.change.is_none() && again.markup.contains("are kept with the job"), "{}", again.markup);
    let (donor, relay, switch) = ("p5", "p10", "p9");
    let taken =
        told(&format!("survey-wire\ndonor={donor}\nrelay={relay}\nswitch={switch}\ndrive=contact\n{fields}"));
    assert_eq!(taken.change.and_then(|change| change.records).map(|records| records.len()), Some(1));
}
