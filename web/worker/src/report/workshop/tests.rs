use std::sync::Arc;

use engine::document::{Card, Document};
use engine::file::{read_json, workshop};
use engine::post::Change;

use super::super::tests::told_of;

const DARK: &str = include_str!("../../../../../fixtures/jobs/dark-lamps.json");
const WORKSHOP: &str = include_str!("../../../../../fixtures/workshop/workshop.json");

fn kept() -> String {
    workshop::write_on_one_line(&workshop::read(WORKSHOP).unwrap())
}

/// What these words answer about a job, with this workshop.
fn told(document: &Document, kept: &str, words: &str) -> (String, Option<Change>, String) {
    let (first, fields) = words.split_once('\n').unwrap_or((words, ""));
    let asked = format!("{first}\nworkshop={kept}\n{fields}");
    let report = told_of(document, "", &asked).unwrap_or_else(|| panic!("nothing is told by {words}"));
    (report.markup, report.change, report.said)
}

#[test]
fn a_card_is_filled_in_and_read_back() {
    let empty = Document::default();
    let words = "workshop-keep\nname=Shed Nine\naddress1=Mill Yard\naddress3=Ford\nnominal_v=24\nslack_percent=7,5\npaper=A3";
    let (answer, ..) = told(&empty, "", words);
    let text = answer.strip_prefix("ok\n").unwrap();
    let card = workshop::read(text).unwrap().card;
    assert_eq!((card.name.as_str(), card.paper), ("Shed Nine", Some("A3")));
    assert_eq!(card.address, ["Mill Yard", "Ford"]);
    assert_eq!(card.settings.as_ref().map(|settings| settings.nominal_v), Some(24.0));
    let (form, ..) = told(&empty, text, "workshop-card");
    for wanted in ["value=\"Shed Nine\"", "value=\"7.5\"", "value=\"Ford\""] {
        assert!(form.contains(wanted), "{wanted} in {form}");
    }
    let (refused, ..) = told(&empty, text, "workshop-keep\nname=x\nnominal_v=12\nslack_percent=much");
    assert!(refused.starts_with("no\n"), "{refused}");
}

#[test]
fn a_file_is_opened_or_refused_with_its_place() {
    let text = WORKSHOP.replace('%', "%25").replace('\n', "%0A");
    let (answer, ..) = told(&Document::default(), "", &format!("workshop-open\ntext={text}"));
    assert_eq!(answer, format!("ok\n{}", kept()));
    let (refused, ..) = told(&Document::default(), "", "workshop-open\ntext={%0A%0A!}");
    assert!(refused.starts_with("no\nline 3, column 1"), "{refused}");
}

#[test]
fn a_part_is_saved_changed_put_and_deleted() {
    let document = read_json(DARK).unwrap();
    let lamp = document.network.parts.iter().find(|part| part.kind.name == "lamp").unwrap();
    let words = format!("workshop-save {}\nname=Shed <lamp>\norder=SL-1\nprice=3.10 EUR", lamp.id);
    let (answer, ..) = told(&document, "", &words);
    let text = answer.strip_prefix("ok\n").unwrap().to_owned();
    assert!(workshop::read(&text).unwrap().parts[0].is(lamp));
    let (list, ..) = told(&document, &text, "workshop-parts");
    assert!(list.contains("Shed &lt;lamp&gt;") && !list.contains("<lamp>"), "{list}");
    // It is put with its values, in one step.
    let (_, change, _) = told(&document, &text, "workshop-put 0");
    let network = change.unwrap().network.unwrap();
    assert_eq!(network.parts.len(), document.network.parts.len() + 1);
    assert!(workshop::read(&text).unwrap().parts[0].is(network.parts.last().unwrap()));
    let (changed, ..) = told(&document, &text, "workshop-change 0\nname=Lamp\norder=SL-2\nprice=");
    assert!(changed.contains("SL-2") && !changed.contains("3.10"), "{changed}");
    let (nameless, ..) = told(&document, &text, "workshop-change 0\nname= \norder=");
    assert_eq!(nameless, "no\nA part needs a name.");
    let (gone, ..) = told(&document, &text, "workshop-delete 0");
    assert!(!gone.contains("parts"), "{gone}");
}

#[test]
fn an_empty_job_and_a_ready_circuit_begin_with_the_card_and_another_is_left_alone() {
    let (used, change, _) = told(&Document::default(), &kept(), "workshop-begin");
    let change = change.unwrap();
    let (card, settings) = (change.card.unwrap(), change.settings.unwrap());
    assert_eq!(
        (used.as_str(), card.number.as_str(), card.drawn_by.as_str()),
        ("used", "2026-041", "Bench 2")
    );
    assert!(settings.said.said("slack_percent").is_some());
    let (used, change, _) = told(&read_json(DARK).unwrap(), &kept(), "workshop-begin");
    assert!(used.is_empty() && change.is_none());
    let mut circuit = read_json(DARK).unwrap();
    circuit.card = Arc::new(Card { title: "Lamps on a relay".to_owned(), ..Card::default() });
    let (used, change, _) = told(&circuit, &kept(), "workshop-begin circuit");
    let change = change.unwrap();
    let card = change.card.unwrap();
    assert_eq!((used.as_str(), card.number.as_str()), ("used", "2026-041"));
    assert_eq!((card.title.as_str(), card.drawn_by.as_str()), ("Lamps on a relay", "Bench 2"));
    assert!(change.settings.is_none(), "its settings are those of the circuit");
}
