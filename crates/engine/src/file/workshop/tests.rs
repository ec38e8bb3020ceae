use super::*;
use crate::document::Status;
use crate::file::read_json;
use crate::given::Given;
use crate::ids::PartId;
use crate::kind::{Value, by_name};

/// A white pixel.
const PIXEL: &str =
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGP4DwABAQEAG7buVgAAAABJRU5ErkJggg==";

fn refused(text: &str) -> String {
    read(text).unwrap_err().to_string()
}

fn with_card(card: &str) -> String {
    format!("{{\"format\": \"{WORKSHOP}\", \"version\": 1, \"card\": {card}}}")
}

fn with_parts(parts: &str) -> String {
    format!("{{\"format\": \"{WORKSHOP}\", \"version\": 1, \"parts\": {parts}}}")
}

#[test]
fn what_is_written_reads_back() {
    let card = format!(
        "{{\"name\": \"Heather Lane Wiring\", \"address\": [\"Yard 3\", \"Heather Lane\"], \"contact\": \"yard phone\", \
         \"drawn_by\": \"the yard\", \"next_number\": \"2026-041\", \"paper\": \"A3\", \"picture\": \"{PIXEL}\", \
         \"settings\": {{\"nominal_v\": 24, \"slack_percent\": 8}}}}"
    );
    let mut workshop = read(&with_card(&card)).unwrap();
    let text = "[{\"name\": \"Fuse 15\", \"kind\": \"fuse\", \"values\": {\"rating_a\": 15}, \"order\": \"HL-15\", \
                \"price\": \"0.40 EUR\"}]";
    workshop.parts = read(&with_parts(text)).unwrap().parts;
    assert_eq!(workshop.card.paper, Some("A3"));
    assert_eq!(workshop.card.picture.as_ref().map(|one| (one.width, one.height)), Some((1, 1)));
    assert_eq!(workshop.parts[0].values.said("rating_a"), Some(&Given::Known(Value::Number(15.0))));
    assert_eq!(read(&write(&workshop)), Ok(workshop.clone()));
    assert_eq!(read(&write_on_one_line(&workshop)), Ok(workshop));
    assert_eq!(read(&write(&Workshop::default())), Ok(Workshop::default()));
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    let long = "x".repeat(LONGEST + 1);
    for (text, told) in [
        ("{}".to_owned(), "format: missing"),
        (format!("{{\"format\": \"{WORKSHOP}\", \"version\": 2}}"), "version: 2 is out of range"),
        ("{\"format\": \"loomwright-job\", \"version\": 1}".to_owned(), "format: `loomwright-job` is not"),
        (with_card("{\"naem\": \"x\"}"), "card.naem: unknown key; did you mean `name`?"),
        (with_card(&format!("{{\"name\": \"{long}\"}}")), "card.name: 201 characters; at most 200"),
        (with_card("{\"name\": \"a\\nb\"}"), "card.name: more than one line"),
        (with_card("{\"address\": [\"a\", 1]}"), "card.address[1]: expected a text"),
        (with_card("{\"address\": [\"\", \"\", \"\", \"\", \"\"]}"), "card.address: 5 lines; at most 4"),
        (with_card("{\"paper\": \"A5\"}"), "card.paper: `A5` is none of"),
        (with_card("{\"settings\": {\"nominal_v\": 13}}"), "card.settings.nominal_v: 13 V is neither"),
        (with_card("{\"picture\": \"<svg/>\"}"), "card.picture: no base64 text"),
        (with_card("{\"picture\": \"Zm9v\"}"), "card.picture: no PNG"),
        (
            with_parts("[{\"name\": \"x\", \"kind\": \"fuze\"}]"),
            "parts[0].kind: there is no part kind `fuze`",
        ),
        (with_parts("[{\"name\": \" \", \"kind\": \"fuse\"}]"), "parts[0].name: empty"),
        (
            with_parts("[{\"name\": \"x\", \"kind\": \"fuse\", \"values\": {\"rating_a\": -1}}]"),
            "parts[0].values.rating_a: -1 is out of range",
        ),
        (
            with_parts(
                "[{\"name\": \"x\", \"kind\": \"fuse\", \"values\": {\"seat\": {\"box\": \"b\", \"way\": 1}}}]",
            ),
            "parts[0].values.seat: names something of one job",
        ),
    ] {
        let said = refused(&text);
        assert!(said.starts_with(told), "{said}\nnot {told}");
    }
    let many = format!("[{}]", vec!["1"; MOST_PARTS + 1].join(","));
    assert_eq!(refused(&with_parts(&many)), "parts: 501 parts; at most 500 are read");
}

#[test]
fn a_picture_has_bounds() {
    // Seven hundred pixels across.
    let wide = "iVBORw0KGgoAAAANSUhEUgAAArwAAAABCAAAAAA6fptV";
    assert!(refused(&with_card(&format!("{{\"picture\": \"{wide}\"}}"))).contains("700 by 1 pixels"));
    let large = "A".repeat(280_000);
    assert!(refused(&with_card(&format!("{{\"picture\": \"{large}\"}}"))).ends_with("more than 200 kB"));
}

fn part(kind: &str, rating_a: Option<f64>) -> Part {
    let mut values = Values::default();
    if let Some(amps) = rating_a {
        values.set("rating_a", Given::Known(Value::Number(amps)));
    }
    Part {
        id: PartId::new("f1").unwrap(),
        kind: by_name(kind).unwrap(),
        label: "F1".to_owned(),
        status: Status::New,
        surroundings: None,
        place: None,
        values,
    }
}

#[test]
fn a_part_is_known_again_by_its_kind_and_all_its_values() {
    let own = OwnPart::of(&part("fuse", Some(15.0)), "Fuse 15");
    assert!(own.is(&part("fuse", Some(15.0))));
    assert!(!own.is(&part("fuse", Some(10.0))) && !own.is(&part("fuse", None)));
    assert!(!own.is(&part("breaker", Some(15.0))));
    let unsaid = OwnPart::of(&part("fuse", None), "Any fuse");
    assert!(!unsaid.is(&part("fuse", None)), "nothing said is no sameness");
    // Its seat is the job's matter.
    let text = "{\"format\": \"loomwright-job\", \"version\": 7, \"settings\": {\"nominal_v\": 12}, \"parts\": [\
                {\"id\": \"b\", \"kind\": \"fuse-box\"}, {\"id\": \"f\", \"kind\": \"fuse\", \
                \"values\": {\"rating_a\": 15, \"seat\": {\"box\": \"b\", \"way\": 1}}}]}";
    let seated = read_json(text).unwrap().network.parts[1].clone();
    assert!(own.is(&seated));
    let other = OwnPart::of(&part("fuse", Some(10.0)), "Fuse 10").filled(&seated);
    assert_eq!(other.values.said("rating_a"), Some(&Given::Known(Value::Number(10.0))));
    assert_eq!(other.values.said("seat"), seated.values.said("seat"));
}
