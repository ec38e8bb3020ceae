//! Sets of the demonstration jobs.

use std::collections::BTreeSet;
use std::sync::Arc;

use drawing::geometry::Rect;
use drawing::layout::tidy;
use drawing::scene::{Lettering, Role, Shape};
use drawing::style::Ink;
use drawing::wire_words;
use engine::answer::Prepared;
use engine::document::{Accepted, Document, VehiclePlace};
use engine::file;
use engine::ids::PlaceId;
use sheets::{Facts, Mark, Paper, Set, Sheet, Wanted, pdf, set, svg, tables};
use support::{assert_apart, texts};

mod support;

const JOB: &[u8] = include_bytes!("../../../fixtures/jobs/apiary-flatbed.json");

fn of_job(wanted: &Wanted) -> (Set, Vec<(String, String)>) {
    let document = file::read(JOB).expect("a job");
    let prepared = Prepared::new(&document);
    let facts = Facts::of(&prepared);
    (set(&facts, wanted), tables(&facts))
}

#[test]
fn a_set_goes_through_bytes_and_is_written_the_same() {
    let (made, _) = of_job(&Wanted::default());
    let bytes = made.to_bytes();
    let read = Set::from_bytes(&bytes).expect("bytes of a set");
    assert_eq!(read.to_bytes(), bytes);
    assert_eq!(pdf(&read), pdf(&made));
    for sheet in 0..made.sheets.len() {
        assert_eq!(svg(&read, sheet), svg(&made, sheet));
    }
    assert!(svg(&made, made.sheets.len()).is_empty());
}

#[test]
fn bytes_that_are_no_set_are_refused() {
    let (made, _) = of_job(&Wanted::default());
    let bytes = made.to_bytes();
    assert_eq!(Set::from_bytes(&bytes[..bytes.len() - 1]), None);
    assert_eq!(Set::from_bytes(&[bytes, vec![0]].concat()), None);
    assert_eq!(Set::from_bytes(&[0xff; 64]), None);
}

#[test]
fn a_pdf_has_a_page_for_every_sheet_and_its_fonts_inside() {
    let (made, _) = of_job(&Wanted::default());
    let bytes = pdf(&made);
    assert!(bytes.starts_with(b"%PDF-"));
    let count = |needle: &[u8]| bytes.windows(needle.len()).filter(|window| *window == needle).count();
    assert_eq!(count(b"/Type /Page\n"), made.sheets.len());
    assert_eq!(count(b"/FontFile2"), 2);
}

#[test]
fn lists_are_named_files_of_as_many_cells_in_every_line() {
    let (_, tables) = of_job(&Wanted::default());
    assert!(tables.iter().any(|(name, _)| name == "wires.csv"));
    for (name, text) in tables {
        assert!(name.ends_with(".csv") && text.ends_with("\r\n"), "{name}");
    }
}

const JOBS: [(&str, &[u8]); 5] = [
    ("apiary-flatbed", JOB),
    ("apiary-flatbed-as-bought", include_bytes!("../../../fixtures/jobs/apiary-flatbed-as-bought.json")),
    ("dark-lamps", include_bytes!("../../../fixtures/jobs/dark-lamps.json")),
    ("honey-stall-trailer", include_bytes!("../../../fixtures/jobs/honey-stall-trailer.json")),
    ("switched-earth-donor", include_bytes!("../../../fixtures/jobs/switched-earth-donor.json")),
];

/// Every demonstration job on every paper, with its findings marked.
fn every_set(mut look_at: impl FnMut(&str, Paper, &Set)) {
    every_set_in(Ink::default(), |name, paper, _, set| look_at(name, paper, set));
}

/// The same in one ink, with the job itself.
fn every_set_in(ink: Ink, mut look_at: impl FnMut(&str, Paper, &Document, &Set)) {
    for (name, job) in JOBS {
        let document = file::read(job).expect("a job");
        let prepared = Prepared::new(&document);
        let facts = Facts::of(&prepared);
        for (paper, _) in Paper::NAMES {
            look_at(name, paper, &document, &set(&facts, &Wanted { paper, ink, ..Wanted::default() }));
        }
    }
}

#[test]
fn all_ink_is_inside_the_paper_as_far_as_printers_need() {
    every_set(|name, paper, set| {
        let edge = match paper {
            Paper::A4 | Paper::A3 => 500,
            Paper::Letter | Paper::Tabloid => 800,
        };
        for sheet in &set.sheets {
            let inside = Rect::new(0, 0, sheet.width, sheet.height).grown(-edge);
            for mark in &sheet.marks {
                let ink = mark.shape.bounds().grown(mark.look.stroke.map_or(0, |line| line.width / 2));
                assert!(inside.holds(&ink), "{name}, {paper:?}, {}: {:?}", sheet.name, mark.shape);
            }
        }
    });
}

#[test]
fn no_lettering_is_lower_than_it_can_be_read() {
    every_set(|name, paper, set| {
        for text in set.sheets.iter().flat_map(texts) {
            assert!(text.height >= 250, "{name}, {paper:?}: {text:?}");
        }
    });
}

#[test]
fn no_text_lies_over_another() {
    every_set(|name, paper, set| {
        for sheet in &set.sheets {
            assert_apart(texts(sheet), &format!("{name}, {paper:?}, {}", sheet.name));
        }
    });
}

#[test]
fn every_designation_stands_on_the_circuit_and_in_the_lists() {
    for (name, job) in JOBS {
        let document = file::read(job).expect("a job");
        let prepared = Prepared::new(&document);
        let facts = Facts::of(&prepared);
        let made = set(&facts, &Wanted::default());
        let says = |is_circuit: bool| -> String {
            let sheets = made.sheets.iter().filter(|sheet| sheet.name.starts_with("Circuit") == is_circuit);
            sheets.flat_map(texts).map(|text| format!(" {} ", text.text)).collect()
        };
        let (circuit, lists) = (says(true), says(false));
        let network = &document.network;
        let titles = network.parts.iter().map(|part| part.title());
        for title in titles.chain(network.wires.iter().map(|wire| wire.title())) {
            // Long names are broken over lines and sheets; their first word says which is meant.
            let word = title.split_whitespace().next().unwrap_or(title);
            assert!(circuit.contains(word), "{name}: `{title}` is not on the circuit");
            assert!(lists.contains(word), "{name}: `{title}` is not in the lists");
        }
    }
}

/// The cut wires of a sheet of the circuit, each with the sheet it goes on at. Its name stands before `to`, or on a line of
/// its own with size and color.
fn cuts(sheet: &Sheet) -> Vec<(String, usize)> {
    let all: Vec<&str> = texts(sheet).map(|text| text.text.as_str()).collect();
    let mut cuts = Vec::new();
    for (index, text) in all.iter().enumerate().filter(|_| sheet.name.starts_with("Circuit")) {
        let zone = text.rsplit(' ').next().and_then(|zone| zone.split_once('/'));
        let Some(number) = zone.and_then(|(number, _)| number.parse().ok()) else { continue };
        let names = if text.starts_with("to ") { all[index - 1] } else { text };
        cuts.push((names.split(' ').next().unwrap_or_default().to_owned(), number));
    }
    cuts
}

#[test]
fn a_cut_wire_names_a_lozenge_that_names_it_too() {
    let mut n_cuts = 0;
    every_set(|name, paper, set| {
        for (index, sheet) in set.sheets.iter().enumerate() {
            for (wire, number) in cuts(sheet) {
                let answers = cuts(&set.sheets[number - 1]).contains(&(wire.clone(), index + 1));
                assert!(answers, "{name}, {paper:?}, {}: {wire} to sheet {number}", sheet.name);
                n_cuts += 1;
            }
        }
    });
    assert!(n_cuts > 100, "{n_cuts}");
}

/// What stands on a sheet, in one text.
fn said(sheet: &Sheet) -> String {
    texts(sheet).map(|text| format!(" {} ", text.text)).collect()
}

#[test]
fn every_wire_has_its_size_and_color_on_every_sheet_of_the_circuit_that_it_is_on() {
    let mut n_cut = 0;
    every_set_in(Ink::Black, |name, paper, document, made| {
        for sheet in made.sheets.iter().filter(|sheet| sheet.name.starts_with("Circuit")) {
            let said = said(sheet);
            for wire in document.network.wires.iter() {
                let (title, what) = wire_words(wire);
                // A wire is on a sheet where it has its name, at a cut or along it; there its name and the rest may
                // stand on two lines.
                let is_cut = cuts(sheet).iter().any(|(name, _)| *name == title);
                if is_cut || said.contains(&format!(" {title} ")) {
                    let is_said =
                        [" ", "  "].iter().any(|gap| said.contains(&format!(" {title}{gap}{what} ")));
                    assert!(is_said, "{name}, {paper:?}, {}: {title} {what}", sheet.name);
                    n_cut += usize::from(is_cut);
                }
            }
        }
    });
    assert!(n_cut > 100, "{n_cut}");
}

#[test]
fn every_place_and_what_sits_there_is_on_the_plan() {
    let mut n_places = 0;
    every_set_in(Ink::Colored, |name, paper, document, made| {
        let Some(sheet) = made.sheets.iter().find(|sheet| sheet.name.starts_with("Plan")) else { return };
        let dense = |text: &str| -> String { text.split_whitespace().collect() };
        let said = dense(&said(sheet));
        for place in &document.plan.places {
            let sits = document.network.parts.iter().filter(|part| part.place.as_ref() == Some(&place.id));
            for words in sits.map(|part| part.title()).chain([place.name.as_str()]) {
                assert!(said.contains(&dense(words)), "{name}, {paper:?}: `{words}` is not on the plan");
            }
            n_places += 1;
        }
    });
    assert!(n_places > 100, "{n_places}");
}

#[test]
fn long_names_of_what_sits_at_a_place_leave_the_plan_on_its_sheet() {
    for length in [60, 200, 3000] {
        let mut document = file::read(JOB).expect("a job");
        for part in &mut Arc::make_mut(&mut document.network).parts {
            part.label = "lamp left ".repeat(length / 10);
        }
        let prepared = Prepared::new(&document);
        let made = set(&Facts::of(&prepared), &Wanted::default());
        let sheet = made.sheets.iter().find(|sheet| sheet.name.starts_with("Plan")).expect("a plan");
        let inside = Rect::new(0, 0, sheet.width, sheet.height).grown(-500);
        let bounds = |mark: &Mark| mark.shape.bounds();
        assert!(sheet.marks.iter().all(|mark| inside.holds(&bounds(mark))), "{length}");
        let circles = sheet.marks.iter().filter(|mark| matches!(mark.shape, Shape::Circle(..)));
        let places: BTreeSet<_> = circles.map(bounds).map(|at| (at.left, at.top)).collect();
        assert_eq!(places.len(), document.plan.places.len(), "{length}: places lie on one another");
    }
}

#[test]
fn what_the_key_of_a_crowded_plan_leaves_out_has_no_number() {
    let mut document = file::read(JOB).expect("a job");
    let plan = Arc::make_mut(&mut document.plan);
    let place = plan.places.first().expect("a place").clone();
    let more = |n: usize| PlaceId::new(&format!("more{n}")).expect("an id");
    plan.places.extend((0..400).map(|n| VehiclePlace {
        id: more(n),
        name: format!("Shelf {n}"),
        ..place.clone()
    }));
    let made = set(&Facts::of(&Prepared::new(&document)), &Wanted::default());
    let sheet = made.sheets.iter().find(|sheet| sheet.name.starts_with("Plan")).expect("a plan");
    let is_rest =
        |text: &&Lettering| text.text.starts_with("and ") && text.text.ends_with("more, see the lists");
    let rest = texts(sheet).find(is_rest).expect("the key has no room for all");
    let beside = texts(sheet).filter(|text| text.at.y == rest.at.y && text.at.x < rest.at.x);
    let nearest = beside.max_by_key(|text| text.at.x);
    assert!(nearest.is_none_or(|text| text.role != Role::Designation), "{nearest:?} and {rest:?}");
    let told =
        texts(sheet).filter(|text| text.text.starts_with("Shelf ") && text.role == Role::Lettering).count();
    let left_out: usize = rest.text.split(' ').nth(1).and_then(|n| n.parse().ok()).expect("how many");
    assert!(left_out > 100 && told > 10, "{told} told, {left_out} left out");
}

#[test]
fn parts_that_stand_far_apart_take_no_sheets_for_what_is_between_them() {
    let mut document = file::read(JOBS[2].1).expect("a job");
    let sheets = |document: &Document| {
        let prepared = Prepared::new(document);
        let made = set(&Facts::of(&prepared), &Wanted::default());
        made.sheets.iter().filter(|sheet| sheet.name.starts_with("Circuit")).count()
    };
    let near = sheets(&document);
    let mut placement = tidy(&document.network, &document.placement);
    // Every symbol a hundred times as far from the others.
    for pose in &mut placement.poses {
        (pose.x, pose.y) = (pose.x * 100, pose.y * 100);
    }
    document.placement = Arc::new(placement);
    let far = sheets(&document);
    let n_symbols = document.placement.poses.len();
    assert!(far <= n_symbols, "{far} sheets of {n_symbols} symbols, and {near} when they stand near");
}

/// The cells of a line of CSV.
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut is_quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match (c, cells.last_mut()) {
            ('"', _) => is_quoted = !is_quoted,
            (',', _) if !is_quoted => cells.push(String::new()),
            (c, Some(cell)) => cell.push(c),
            _ => {}
        }
    }
    cells
}

#[test]
fn numbers_of_lists_stand_without_units_and_the_head_line_has_them() {
    let mut n_numbers = 0;
    for (name, job) in JOBS {
        let document = file::read(job).expect("a job");
        let prepared = Prepared::new(&document);
        for (file, text) in tables(&Facts::of(&prepared)) {
            let mut lines = text.split("\r\n");
            let heads = cells(lines.next().unwrap_or_default());
            let is_number = |head: &str| head.ends_with(')') && head.contains(" (");
            for line in lines.filter(|line| !line.is_empty()) {
                let cells = cells(line);
                assert_eq!(cells.len(), heads.len(), "{name}, {file}: {line}");
                for (_, cell) in heads.iter().zip(&cells).filter(|(head, _)| is_number(head)) {
                    let is_bare = cell.parse::<f64>().is_ok() || ["–", "not known"].contains(&cell.as_str());
                    assert!(is_bare, "{name}, {file}: `{cell}` in {line}");
                    n_numbers += usize::from(cell.parse::<f64>().is_ok());
                }
            }
        }
    }
    assert!(n_numbers > 500, "{n_numbers}");
}

#[test]
fn ends_of_wires_stand_by_their_joint_and_rise_by_size() {
    let (_, tables) = of_job(&Wanted::default());
    let (_, ends) = tables.iter().find(|(name, _)| name == "wire-ends.csv").expect("ends of wires");
    let rows: Vec<Vec<String>> = ends.lines().skip(1).map(cells).collect();
    assert!(rows.len() > 10 && rows.iter().any(|row| row[1] == "16"), "{ends}");
    for two in rows.windows(2).filter(|two| two[0][0] == two[1][0]) {
        let [one, other] = [0, 1].map(|n| two[n][1].parse::<f64>().expect("a size"));
        assert!(one < other, "{two:?}");
    }
}

#[test]
fn a_current_is_at_least_told_only_where_more_may_flow() {
    // In this job a lamp turns on and off for ever.
    let document = file::read(JOBS[1].1).expect("a job");
    let prepared = Prepared::new(&document);
    let tables = tables(&Facts::of(&prepared));
    let (_, wires) = tables.iter().find(|(name, _)| name == "wires.csv").expect("a wire list");
    let at_least = wires.lines().filter(|line| line.contains('≥')).count() - 1;
    assert!((1..document.network.wires.len() / 2).contains(&at_least), "{at_least}");
}

#[test]
fn the_cut_list_leaves_room_for_what_is_shrunk_on() {
    let (made, tables) = of_job(&Wanted::default());
    assert!(made.sheets.iter().any(|sheet| texts(sheet).any(|text| text.text == "Heat-shrink")));
    let (_, cuts) = tables.iter().find(|(name, _)| name == "cut-list.csv").expect("a cut list");
    let mut lines = cuts.split("\r\n");
    assert!(lines.next().is_some_and(|heads| heads.ends_with(",Heat-shrink")));
    assert!(lines.filter(|line| !line.is_empty()).all(|line| line.ends_with(',')), "nothing is made up");
}

#[test]
fn the_same_job_gives_the_same_pages_with_their_number_on_each() {
    let (one, _) = of_job(&Wanted::default());
    let (other, _) = of_job(&Wanted::default());
    assert_eq!(pdf(&one), pdf(&other));
    let count = one.sheets.len();
    for (number, sheet) in (1..).zip(&one.sheets) {
        let says = format!("sheet {number}/{count} · page ");
        assert!(
            texts(sheet)
                .any(|text| text.text.contains(&says) && text.text.contains("Calculated, not measured"))
        );
    }
}

#[test]
fn characters_without_a_letter_are_told_of() {
    let mut document = file::read(JOB).expect("a job");
    Arc::make_mut(&mut document.card).customer = "漢 Ő".to_owned();
    let prepared = Prepared::new(&document);
    let made = set(&Facts::of(&prepared), &Wanted::default());
    assert!(made.lost.len() == 1 && made.lost[0].contains("U+6F22") && !made.lost[0].contains("U+0150"));
    let overview: String = texts(&made.sheets[0]).map(|text| format!("{} ", text.text)).collect();
    assert!(overview.contains("U+6F22"), "{overview}");
    // What cannot be drawn at all is told, but not as a character that nobody wrote.
    Arc::make_mut(&mut document.card).customer = "a\u{7}b".to_owned();
    let prepared = Prepared::new(&document);
    let made = set(&Facts::of(&prepared), &Wanted::default());
    assert!(made.lost.len() == 1 && made.lost[0].starts_with("Control characters"), "{:?}", made.lost);
}

#[test]
fn an_accepted_finding_is_listed_with_who_and_why_and_not_as_open() {
    let mut document = file::read(JOBS[1].1).expect("a job");
    let prepared = Prepared::new(&document);
    let finding = prepared.findings().first().expect("something was found").clone();
    let accepted = Accepted {
        check: finding.check.to_owned(),
        subject: finding.subject.clone(),
        severity: finding.severity,
        by: "A. Example".to_owned(),
        why: "as agreed".to_owned(),
        date: String::new(),
    };
    let rows = |document: &Document| {
        let prepared = Prepared::new(document);
        let tables = tables(&Facts::of(&prepared));
        ["findings.csv", "accepted.csv"].map(|file| {
            tables.iter().find(|(name, _)| name == file).map_or(String::new(), |(_, text)| text.clone())
        })
    };
    let mark = format!("\r\n{} 1,", finding.severity.word());
    let [open, none] = rows(&document);
    assert!(open.contains(&mark) && none.is_empty());
    document.accepted = Arc::new(vec![accepted]);
    let [open, said] = rows(&document);
    assert!(
        !open.contains(&mark) && said.contains(&mark) && said.contains("by A. Example: as agreed"),
        "{said}"
    );
}

/// A job in which nothing is new is a drawing of what was found.
#[test]
fn a_job_in_which_nothing_is_new_has_an_inspection_right_after_the_circuit() {
    let as_bought = include_bytes!("../../../fixtures/jobs/apiary-flatbed-as-bought.json");
    let mut document = file::read(as_bought).expect("a job");
    let named = |set: &Set| set.sheets.iter().map(|sheet| sheet.name.clone()).collect::<Vec<_>>();
    let of = |document: &Document| set(&Facts::of(&Prepared::new(document)), &Wanted::default());
    assert!(named(&of(&document)).iter().all(|name| !name.starts_with("Inspection")));
    let network = Arc::make_mut(&mut document.network);
    network.parts.iter_mut().for_each(|part| part.status = engine::document::Status::Existing);
    network.wires.iter_mut().for_each(|wire| wire.status = engine::document::Status::Existing);
    network
        .wires
        .iter_mut()
        .filter(|wire| wire.label == "W45")
        .for_each(|wire| wire.size = Default::default());
    let made = of(&document);
    let names = named(&made);
    let first = names.iter().position(|name| name.starts_with("Inspection")).expect("there is one");
    assert!(names[first - 1].starts_with("Circuit"), "{names:?}");
    let text: String = made.sheets[first]
        .marks
        .iter()
        .filter_map(|mark| match &mark.shape {
            Shape::Text(text) => Some(format!("{} ", text.text)),
            _ => None,
        })
        .collect();
    for words in ["Do not drive it.", "What was not drawn", "Stop sure"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let looks = made
        .sheets
        .iter()
        .any(|sheet| texts(sheet).any(|text| text.text.contains("Read the size printed on wire W45")));
    assert!(looks, "nothing to look at");
    for sheet in &made.sheets {
        assert_apart(texts(sheet), &sheet.name);
    }
}

/// Feet and inches of a row of the cut list against its metres: up to the next inch, which is 0.0254 m.
#[test]
fn what_is_cut_is_told_in_feet_and_inches_when_it_is_wanted() {
    let document = file::read(JOB).expect("a job");
    let prepared = Prepared::new(&document);
    let list = |facts: &Facts<'_>| {
        tables(facts).into_iter().find_map(|(name, text)| (name == "cut-list.csv").then_some(text)).unwrap()
    };
    assert!(!list(&Facts::of(&prepared)).contains(" ft"));
    let text = list(&Facts::of(&prepared).in_feet());
    let mut n_rows = 0;
    for line in text.lines().filter(|line| line.contains(" in,") || line.contains(" ft,")) {
        let cells: Vec<&str> = line.split(',').collect();
        let at = cells.iter().position(|cell| cell.ends_with(" in") || cell.ends_with(" ft")).unwrap();
        let metres: f64 = cells[at - 1].parse().unwrap();
        let words: Vec<&str> = cells[at].split(' ').collect();
        let inches: f64 = words
            .chunks(2)
            .map(|two| two[0].parse::<f64>().unwrap() * if two[1] == "ft" { 12.0 } else { 1.0 })
            .sum();
        // The metres are rounded up to the centimetre, so they may be one more than the length itself.
        let more = inches * 0.0254 - metres;
        assert!((-0.01..0.0254).contains(&more), "{line}");
        n_rows += 1;
    }
    assert!(n_rows > 5, "{text}");
}
