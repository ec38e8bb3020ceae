use engine::document::Document;
use engine::file::read_json;
use engine::post::Change;

use super::super::tests::told_of;

const DARK: &str = include_str!("../../../../../fixtures/jobs/dark-lamps.json");

/// The job after these words, and what was said of it.
fn done(document: &Document, words: &str) -> (Document, String) {
    let report = told_of(document, "", words).unwrap_or_else(|| panic!("nothing is told by {words}"));
    let mut after = document.clone();
    if let Some(Change { network, placement, .. }) = report.change {
        if let Some(network) = network {
            after.network = network.into();
        }
        if let Some(placement) = placement {
            after.placement = placement.into();
        }
    }
    (after, report.said)
}

/// The last part that was added.
fn last(document: &Document) -> String {
    document.network.parts.last().unwrap().id.to_string()
}

#[test]
fn every_part_and_wire_has_a_row_with_what_the_job_says_of_it() {
    let document = read_json(DARK).unwrap();
    let page = told_of(&document, "", "wires").unwrap().markup;
    let network = &document.network;
    assert_eq!(page.matches("role=\"rowheader\"").count(), network.parts.len() + network.wires.len());
    for title in
        network.parts.iter().map(|part| part.title()).chain(network.wires.iter().map(|wire| wire.title()))
    {
        assert!(page.contains(&format!(">{title}</th>")), "{title}");
    }
}

#[test]
fn a_circuit_is_built_and_taken_apart_by_words_alone() {
    let mut document = Document::default();
    let mut ids = Vec::new();
    for kind in ["battery", "fuse", "lamp"] {
        let (after, said) = done(&document, &format!("wires-add\nkind={kind}\ninto="));
        assert!(said.ends_with(" added"), "{said}");
        document = after;
        ids.push(last(&document));
    }
    let [battery, fuse, lamp] = &ids[..] else { panic!("three parts") };
    let (after, said) = done(&document, &format!("wires-join\nfrom={battery}.+\nto={fuse}.1"));
    assert_eq!(said, "W1 added");
    let (after, said) = done(&after, &format!("wires-join\nfrom={fuse}.2\nto={lamp}.1"));
    assert_eq!(said, "W2 added");
    assert_eq!(after.network.wires.len(), 2);
    // A wire that is there already is refused, and nothing changes.
    let (same, said) = done(&after, &format!("wires-join\nfrom={fuse}.2\nto={lamp}.1"));
    assert!(said.contains("already"), "{said}");
    assert_eq!(same, after);
    let (less, said) = done(&after, &format!("wires-delete {fuse}"));
    assert!(said.contains("and the 2 wires on it"), "{said}");
    assert!(less.network.wires.is_empty());
}

#[test]
fn a_part_goes_into_a_wire_and_a_wire_joins_another_by_a_splice() {
    let document = read_json(DARK).unwrap();
    let wire = document.network.wires[0].id.clone();
    let n_wires = document.network.wires.len();
    let (after, said) = done(&document, &format!("wires-add\nkind=fuse\ninto={wire}"));
    assert!(said.contains("put into"), "{said}");
    assert_eq!(after.network.wires.len(), n_wires + 1);
    let (alone, _) = done(&document, "wires-add\nkind=lamp\ninto=");
    let lamp = last(&alone);
    let (after, said) = done(&alone, &format!("wires-join\nfrom={lamp}.1\nto={wire}"));
    assert!(said.contains("added"), "{said}");
    assert_eq!(after.network.parts.last().unwrap().kind.name, "splice");
    assert_eq!(after.network.wires.len(), n_wires + 2);
}

#[test]
fn a_value_that_cannot_be_is_refused_for_its_field() {
    let document = read_json(DARK).unwrap();
    let wire = document.network.wires[0].id.clone();
    let words = |text: &str| format!("wires-set {wire}\nfield=length_m\ntext={text}\nunit=m");
    let refused = told_of(&document, "", &words("long")).unwrap();
    assert!(refused.change.is_none() && refused.markup.contains("no length in metres"), "{}", refused.markup);
    let taken = told_of(&document, "", &words("2,75")).unwrap();
    assert!(taken.markup.is_empty());
    assert_eq!(taken.change.unwrap().network.unwrap().wires[0].length.known().map(|m| m.get()), Some(2.75));
}

#[test]
fn the_form_asks_for_what_the_drawing_asks_for() {
    let document = read_json(DARK).unwrap();
    for part in &document.network.parts {
        let page = told_of(&document, "", &format!("wires-form {}", part.id)).unwrap().markup;
        for field in editor::form::part_fields(&document, part) {
            assert!(page.contains(&format!("data-field=\"{}\"", field.name)), "{} {}", part.id, field.name);
        }
    }
}
