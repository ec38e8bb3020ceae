//! Printed sets of jobs made by chance: whatever stands in a job, its set can be made and read.

use drawing::geometry::Rect;
use drawing::scene::{Lettering, Role, Shape};
use drawing::text::clean;
use engine::answer::Prepared;
use engine::diagnose::{self, Case};
use engine::document::{Document, Found, Probe, Purpose, Reading, Record, Seen, Situation};
use sheets::{Facts, Paper, Set, Sheet, Wanted, pdf, set, svg};
use suite::{generate, sound};
use support::{assert_apart, texts};

#[path = "../../crates/sheets/tests/support/mod.rs"]
mod support;

/// Jobs without sense and sound ones, small and larger.
fn jobs() -> impl Iterator<Item = (String, Document)> {
    let any = [3, 20, 47, 90, 133, 200].map(|seed| (format!("any {seed}"), generate::document(seed)));
    let sound = [1, 2, 5, 8, 13, 21].map(|seed| (format!("sound {seed}"), sound::document(seed)));
    any.into_iter().chain(sound)
}

fn every_set(look_at: impl Fn(&str, &Document, &Set)) {
    for (name, document) in jobs() {
        let prepared = Prepared::new(&document);
        let facts = Facts::of(&prepared);
        for (paper, paper_name) in Paper::NAMES {
            let made = set(&facts, &Wanted { paper, ..Wanted::default() });
            look_at(&format!("{name} on {paper_name}"), &document, &made);
        }
    }
}

/// The frame of a sheet: the one shape drawn as such.
fn frame(sheet: &Sheet) -> Rect {
    let mut frames = sheet.marks.iter().filter_map(|mark| match &mark.shape {
        Shape::Line(Role::Frame, _) | Shape::Area(Role::Frame, _) => Some(mark.shape.bounds()),
        _ => None,
    });
    let frame = frames.next().expect("a frame");
    assert!(frames.next().is_none(), "two frames");
    frame
}

#[test]
fn no_text_lies_over_another_or_over_the_frame() {
    every_set(|name, _, made| {
        for sheet in &made.sheets {
            let frame = frame(sheet);
            // Lists and title blocks; on the circuit symbols and wires have their own laws.
            let is_list = !sheet.name.starts_with("Circuit") && !sheet.name.starts_with("Plan");
            for text in texts(sheet) {
                let one = text.bounds();
                let is_inside = frame.grown(5).holds(&one) || !frame.overlaps(&one);
                assert!(is_inside, "{name}, {}: `{}` at {one:?}", sheet.name, text.text);
            }
            let of_lists = texts(sheet).filter(|text| is_list && !text.text.trim().is_empty());
            assert_apart(of_lists, &format!("{name}, {}", sheet.name));
        }
    });
}

#[test]
fn every_part_and_wire_is_in_the_set_and_every_sheet_is_written() {
    every_set(|name, document, made| {
        let said: String = made.sheets.iter().flat_map(texts).map(|text| text.text.as_str()).collect();
        let dense = |text: &str| -> String { clean(text).split_whitespace().collect() };
        let said = dense(&said);
        let network = &document.network;
        let titles = network.parts.iter().map(|part| part.title());
        for title in titles.chain(network.wires.iter().map(|wire| wire.title())) {
            assert!(said.contains(&dense(title)), "{name}: {title:?} is nowhere");
        }
        let bytes = pdf(made);
        assert!(bytes.starts_with(b"%PDF-"), "{name}");
        // What a shape was meant as is not sent, only how it looks.
        let sent = Set::from_bytes(&made.to_bytes()).expect("a set");
        assert!(pdf(&sent) == bytes, "{name}");
        for index in 0..made.sheets.len() {
            let picture = svg(made, index);
            assert!(picture.ends_with("</svg>\n") && svg(&sent, index) == picture, "{name}");
        }
    });
}

/// The dark lamps with a proving sheet on which every number is wrong and nothing else was reached, twice.
fn proved() -> Document {
    let mut document = suite::demonstration("dark-lamps");
    let circuit = engine::laid::circuit(&document);
    let ruled = diagnose::ruled(&circuit, &document.interlocks);
    let case = Case::new(&circuit, &diagnose::proving_situations(&document.situations, &ruled));
    let minutes = diagnose::Minutes::new();
    let mut readings = diagnose::prove(&case, &ruled, &minutes).readings(&case);
    for reading in &mut readings {
        reading.found = match reading.probe {
            Probe::Volts { .. } | Probe::Amps(_) => Some(Found::Number(99.0)),
            _ => Some(Found::CannotReach),
        };
        reading.is_right =
            reading.found.and_then(|found| diagnose::is_passed_by(&reading.probe, &reading.expected, found));
    }
    let record = Record {
        purpose: Purpose::Proof,
        about: "The work is right".to_owned(),
        date: "2026-03-02".to_owned(),
        by: "A. Fitter".to_owned(),
        meter: "meter 7".to_owned(),
        complaints: Vec::new(),
        minutes,
        answer: diagnose::conclusion(&readings),
        readings,
    };
    document.records = std::sync::Arc::new(vec![record.clone(), record]);
    document
}

#[test]
fn a_record_is_printed_with_who_took_it_what_was_found_and_a_line_to_sign_on() {
    let document = proved();
    let prepared = Prepared::new(&document);
    let made = set(&Facts::of(&prepared), &Wanted::default());
    let all: Vec<&str> = lettering(&made).map(|text| text.text.as_str()).collect();
    for wanted in
        ["Record of the proving", "A. Fitter", "2026-03-02", "meter 7", "Signature", "99 V", "not right"]
    {
        assert!(all.contains(&wanted), "{wanted} is not on paper");
    }
    // A look at several loads is told load by load, over several lines.
    assert!(all.join(" ").contains("lamp E3 out of reach"));
    // What came of it is bold, and nothing beside it says otherwise.
    let result = &document.records[0].answer;
    let of_result: Vec<Role> =
        lettering(&made).filter(|text| text.text == *result).map(|text| text.role).collect();
    assert_eq!(of_result, [Role::Designation; 2], "{result}");
    assert!(all.contains(&"Proving of the new work.") && !all.join(" ").contains("The work is right"));
    assert!(!all.contains(&"Proving sheet"), "nobody wants it to be filled in");
}

fn lettering(made: &Set) -> impl Iterator<Item = &Lettering> {
    made.sheets.iter().flat_map(texts)
}

#[test]
fn a_proving_sheet_is_one_run_before_the_records() {
    let document = proved();
    let prepared = Prepared::new(&document);
    for (paper, name) in Paper::NAMES {
        let made = set(&Facts::of(&prepared).proving(), &Wanted { paper, ..Wanted::default() });
        let at = |says: &str| {
            let is_on = |sheet: &Sheet| texts(sheet).any(|text| text.text == says && text.height > 250);
            let sheet = made.sheets.iter().position(is_on).unwrap_or_else(|| panic!("{name}: no {says}"));
            let text =
                texts(&made.sheets[sheet]).find(|text| text.text == says && text.height > 250).unwrap();
            (sheet, text.at.y)
        };
        let run = [
            "Proving sheet",
            "Interlocks on the proving sheet",
            "Not on the proving sheet",
            "Proved by",
            "Record of the proving",
        ]
        .map(at);
        assert!(run.is_sorted(), "{name}: {run:?}");
        let sheets = &made.sheets[run[0].0..=run[3].0];
        for sheet in sheets {
            assert_eq!((&*sheet.name, sheet.width), ("Proving sheet", sheets[0].width), "{name}");
        }
    }
}

/// The dark lamps with a survey of two readings and a fault walk that found its cause.
fn surveyed() -> Document {
    let pin = |against_positive, lights: &str, volts| Reading {
        situation: Situation { name: lights.to_owned(), ..Situation::default() },
        probe: Probe::Pin { wire: "the white wire".to_owned(), against_positive },
        expected: String::new(),
        found: Some(Found::Number(volts)),
        is_right: None,
    };
    let mut document = suite::demonstration("dark-lamps");
    let lamp = document.network.parts_called("E3")[0].id.clone();
    let survey = Record {
        purpose: Purpose::Survey,
        about: "the lamp for main beam".to_owned(),
        date: String::new(),
        by: String::new(),
        meter: String::new(),
        complaints: Vec::new(),
        minutes: diagnose::Minutes::new(),
        readings: vec![pin(false, "Lights off", 0.0), pin(true, "Main beam", 12.6)],
        answer: "Not enough yet.".to_owned(),
    };
    let walk = Record {
        purpose: Purpose::Fault,
        readings: vec![Reading {
            probe: Probe::Look(lamp, String::new()),
            expected: "dark if wire W11 is open, or 3 more; dim if fuse F2 is open; lit if fuse F1 is open"
                .to_owned(),
            found: Some(Found::Seen(Seen::Dark)),
            ..pin(false, "Main beam", 0.0)
        }],
        answer: "Wire W11 is open.".to_owned(),
        ..survey.clone()
    };
    document.records = std::sync::Arc::new(vec![survey, walk]);
    document
}

#[test]
fn a_survey_is_printed_with_both_leads_and_the_lights_and_without_an_empty_column() {
    let document = surveyed();
    let prepared = Prepared::new(&document);
    let made = set(&Facts::of(&prepared), &Wanted::default());
    let all: Vec<&str> = lettering(&made).map(|text| text.text.as_str()).collect();
    for wanted in [
        "Lights off",
        "Red lead on the white wire, black lead on bare metal of the body",
        "Main beam",
        "Red lead on the positive pole of the battery, black lead on the white wire",
    ] {
        assert!(all.contains(&wanted), "{wanted} is not on paper: {all:?}");
    }
    assert!(!all.contains(&"Should be"));
}

#[test]
fn a_fault_walk_is_printed_with_what_its_cause_leads_to() {
    let document = surveyed();
    let tables = sheets::tables(&Facts::of(&Prepared::new(&document)));
    let (_, walk) = tables.iter().find(|(name, _)| name == "record-of-fault-walk.csv").expect("the walk");
    assert!(walk.ends_with("Main beam,1,Lamp E3,Dark,Dark\r\n"), "{walk}");
}

#[test]
fn records_of_one_sort_are_tables_of_their_own() {
    let document = proved();
    let prepared = Prepared::new(&document);
    let names: Vec<String> =
        sheets::tables(&Facts::of(&prepared)).into_iter().map(|(name, _)| name).collect();
    let mut once = names.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), names.len(), "{names:?}");
    assert!(names.iter().any(|name| name == "record-of-proving-2.csv"), "{names:?}");
}
