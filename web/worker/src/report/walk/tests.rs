use engine::file::{read_json, write_json};

use super::super::tests::told_of;
use super::*;

const DARK: &str = include_str!("../../../../../fixtures/jobs/dark-lamps.json");

fn dark() -> Document {
    read_json(DARK).unwrap()
}

fn told(document: &Document, words: &str) -> Report {
    told_of(document, "", words).unwrap_or_else(|| panic!("nothing is told by {words}"))
}

/// The job after what a button asks for.
fn after(document: &Document, words: &str) -> Document {
    let report = told(document, words);
    let change = report.change.unwrap_or_else(|| panic!("{words}: {}", report.said));
    let mut after = document.clone();
    after.records =
        std::sync::Arc::new(change.records.unwrap_or_else(|| panic!("{words} changes no record")));
    assert!(change.network.is_none() && change.situations.is_none());
    // What is kept reads back.
    assert_eq!(read_json(&write_json(&after)).unwrap().records, after.records);
    after
}

/// The number of the load with this title, as the form lists it.
fn load(document: &Document, title: &str) -> String {
    let markup = told(document, "walk").markup;
    let list = markup.split("name=\"load\"").nth(1).unwrap().split("</select>").next().unwrap();
    let option = list.split("<option value=\"").find(|option| option.contains(title)).unwrap();
    option.split('"').next().unwrap().to_owned()
}

/// A walk about the first extra lamp.
fn begun() -> Document {
    let document = dark();
    let when = document
        .situations
        .iter()
        .position(|one| one.name == "main beam, driving lamps switched on")
        .unwrap();
    let load = load(&document, "E3");
    after(&document, &format!("walk-begin load dark\nwhen={when}\nload={load}\ndate=2026-11-27"))
}

#[test]
fn a_walk_begins_with_what_is_complained_of() {
    let document = begun();
    let record = &document.records[0];
    assert_eq!((record.purpose, record.complaints.len()), (Purpose::Fault, 1));
    assert_eq!(record.date, "2026-11-27");
    assert!(record.about.contains("E3") && record.about.contains("stays dark"), "{}", record.about);
    let report = told(&document, "walk");
    assert!(
        report.markup.contains("Reading 1") && report.markup.contains("walk-take 0"),
        "{}",
        report.markup
    );
    assert!(report.markup.contains("<meter "), "{}", report.markup);
    let spot = report.spot.unwrap();
    assert!(!spot.is_empty() && !spot.at.is_empty());
    assert!(spot.wires.len() < document.network.wires.len());
    // The same once more is said already; another one is taken in.
    let again = told_of(&document, "", "walk-begin load dark\nwhen=0\nload=0").unwrap();
    assert!(again.change.is_some() || again.said == "That was said already.");
}

#[test]
fn every_reading_is_kept_and_can_be_taken_back() {
    let begun = begun();
    let out = after(&begun, "walk-take 0 out");
    assert_eq!(out.records[0].readings.len(), 1);
    assert!(!out.records[0].readings[0].expected.is_empty());
    assert_eq!(after(&out, "walk-drop 0").records, begun.records);
    // A card that is older than the job takes nothing.
    assert!(told(&out, "walk-take 0 out").change.is_none());
    let wrong = told(&out, "walk-take 1 number\nnumber=0.05X");
    assert!(wrong.change.is_none() && !wrong.said.is_empty());
}

#[test]
fn a_test_lamp_may_be_held_where_volts_are_asked_for() {
    let mut document = begun();
    for place in 0..12 {
        let card = told(&document, "walk").markup;
        if card.contains("lamp-dark") {
            document = after(&document, &format!("walk-take {place} lamp-dark"));
            let reading = document.records[0].readings.last().unwrap();
            assert!(matches!(reading.probe, engine::document::Probe::TestLamp { .. }), "{reading:?}");
            assert!(told(&document, "walk").markup.contains("A test lamp between"));
            return;
        }
        let answer = ["silent", "dark", "number\nnumber=0", "whole"]
            .into_iter()
            .find(|word| card.contains(&format!("walk-take {place} {}", word.split('\n').next().unwrap())));
        document = after(&document, &format!("walk-take {place} {}", answer.unwrap_or("out")));
    }
    panic!("no card asked for volts");
}

#[test]
fn a_walk_ends_with_an_answer_and_can_be_gone_on_with() {
    let begun = begun();
    assert!(told(&begun, "walk-close\nanswer=").change.is_none());
    let ended = after(&begun, "walk-close\nanswer=Crimp of W11 made anew.");
    assert_eq!(ended.records[0].answer, "Crimp of W11 made anew.");
    let page = told(&ended, "walk");
    assert!(page.markup.contains("Earlier walks") && page.markup.contains("Crimp of W11"), "{}", page.markup);
    assert_eq!(page.spot, Some(Spot::default()));
    assert_eq!(after(&ended, "walk-reopen 0").records, begun.records);
    assert!(after(&ended, "walk-delete 0").records.is_empty());
}

#[test]
fn it_leads_to_the_wrong_tap_when_everything_reads_as_drawn() {
    // The drawing has the tap on the dipped beam: what is complained of is what it asks for.
    let mut document = begun();
    let circuit = engine::laid::circuit(&document);
    for _ in 0..4 {
        let record = &document.records[0];
        let case = Case::new(&circuit, &situations(&document, record));
        let standing = walk(&case, record).stand();
        let Some(next) = &standing.next else { break };
        let moment = &case.moments[next.moment].situation;
        let words = match engine::diagnose::drawn(&case, moment, &next.probe).unwrap() {
            engine::document::Found::Number(number) => format!("number\nnumber={number}"),
            engine::document::Found::Seen(seen) => seen.word().to_owned(),
            engine::document::Found::Heard(heard) => (if heard { "clicks" } else { "silent" }).to_owned(),
            engine::document::Found::Whole(_) => "whole".to_owned(),
            engine::document::Found::CannotReach => "out".to_owned(),
        };
        document = after(&document, &format!("walk-take {} {words}", record.readings.len()));
    }
    let page = told(&document, "walk").markup;
    assert!(page.contains("Move wire W11 to donor circuit E1 terminal feed."), "{page}");
    assert!(page.contains("walk-close"), "{page}");
    // The drawing is told to be wrong, and the record is to say what has to be changed.
    let wrong = "The drawing itself is wrong: built as it is drawn, lamp E3 stays dark.";
    assert!(
        page.contains(&format!("value=\"{wrong} Move wire W11 to donor circuit E1 terminal feed.\"")),
        "{page}"
    );
    assert!(!page.to_lowercase().contains("everything is built as it is drawn"), "{page}");
    // What has to be changed does not stand back.
    let spot = told(&document, "walk").spot.unwrap();
    let network = &document.network;
    let wire = network.wires.iter().find(|wire| wire.label == "W11").unwrap();
    assert!(spot.wires.contains(&wire.id));
    assert!(spot.parts.contains(&network.parts_called("E1")[0].id));
    assert_eq!(spot.at[0].id(), wire.id.as_str());
    // What is found comes first, then the readings and the end, and the rest in one line.
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("{text}: {page}"));
    assert!(place("Readings so far") < place("End this walk"));
    assert!(place("End this walk") < place("What may be wrong"));
    // At the beginning many are hardly likely: they are one line.
    let page = told(&begun(), "walk").markup;
    assert!(page.contains(" others, each under 1 %"), "{page}");
    let list = page.split("<ol class=\"causes\">").nth(1).unwrap().split("</ol>").next().unwrap();
    assert!(!list.contains("Under 1 %"), "{list}");
}

#[test]
fn how_long_it_takes_to_get_there_is_kept_for_the_next_walk() {
    let begun = begun();
    let id = begun.network.parts_called("E3")[0].id.to_string();
    let said = after(&begun, &format!("walk-minutes\nwhere={id}\nminutes=12,5"));
    assert_eq!(said.records[0].minutes[&id], 12.5);
    assert!(told(&said, &format!("walk-minutes\nwhere={id}\nminutes=long")).change.is_none());
    assert!(after(&said, &format!("walk-minutes\nwhere={id}\nminutes=")).records[0].minutes.is_empty());
    let who = after(&said, "walk-who\nby=J. Sample\nmeter=workshop meter 2\non=2026-11-27");
    let ended = after(&who, "walk-close\nanswer=Nothing was found.");
    let when = 0;
    let next = after(&ended, &format!("walk-begin load dark\nwhen={when}\nload=0\ndate=2026-11-28"));
    assert_eq!(next.records[1].minutes, said.records[0].minutes);
    assert_eq!(
        (next.records[1].by.as_str(), next.records[1].meter.as_str()),
        ("J. Sample", "workshop meter 2")
    );
}

#[test]
fn what_a_user_wrote_stays_a_text() {
    let mut document = begun();
    let mut records = (*document.records).clone();
    records[0].about = "<b>dark</b>".to_owned();
    records[0].answer = "<img src=x>".to_owned();
    records[0].by = "\"><script>".to_owned();
    document.records = std::sync::Arc::new(records);
    let page = told(&document, "walk").markup;
    assert!(!page.contains("<b>") && !page.contains("<img") && !page.contains("<script"), "{page}");
}
