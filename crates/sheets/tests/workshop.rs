//! Sets with the card and the parts of a workshop.

use drawing::scene::{Role, Shape};
use engine::answer::Prepared;
use engine::file::{self, workshop};
use sheets::{Facts, Paper, Set, Sheet, Wanted, pdf, set, svg, tables};
use support::{assert_apart, texts};

mod support;

const JOB: &[u8] = include_bytes!("../../../fixtures/jobs/apiary-flatbed.json");
const WORKSHOP: &str = include_str!("../../../fixtures/workshop/workshop.json");

/// What is made of the job for a workshop of this text.
fn made_for<T>(text: &str, prices: bool, make: impl Fn(&Facts<'_>) -> T) -> T {
    let document = file::read(JOB).expect("a job");
    let workshop = workshop::read(text).expect("a workshop");
    let prepared = Prepared::new(&document);
    make(&Facts::of(&prepared).for_workshop(&workshop, prices))
}

fn set_for(text: &str, paper: Paper) -> Set {
    made_for(text, false, |facts| set(facts, &Wanted { paper, ..Wanted::default() }))
}

fn parts_list(text: &str, prices: bool) -> String {
    let tables = made_for(text, prices, tables);
    tables.into_iter().find(|(name, _)| name == "parts.csv").expect("a parts list").1
}

fn says(sheet: &Sheet, wanted: &str) -> bool {
    texts(sheet).any(|text| text.text.contains(wanted))
}

#[test]
fn the_card_stands_on_the_first_sheet_and_nothing_lies_over_it() {
    let long =
        WORKSHOP.replace("Heather Lane Vehicle Wiring", &"Heather Lane Vehicle Wiring and Sons ".repeat(5));
    for text in [WORKSHOP, &long] {
        for (paper, name) in Paper::NAMES {
            let made = set_for(text, paper);
            for wanted in ["Heather Lane Vehicle", "Yard 3, Heather Lane", "Moorfoot", "mornings"] {
                assert!(says(&made.sheets[0], wanted), "{name}: {wanted}");
            }
            assert_apart(texts(&made.sheets[0]), name);
            let stamp = made.stamp.as_ref().expect("a picture");
            let frame = made.sheets[0].marks.iter().find_map(|mark| match &mark.shape {
                Shape::Area(Role::Frame, _) | Shape::Line(Role::Frame, _) => Some(mark.shape.bounds()),
                _ => None,
            });
            let (index, at) = stamp.at[0];
            assert_eq!(index, 0);
            assert!(frame.expect("a frame").holds(&at), "{name}: {at:?}");
            assert!(
                texts(&made.sheets[0]).all(|text| !text.bounds().overlaps(&at)),
                "{name}: over the picture"
            );
            let shape = f64::from(at.width()) / f64::from(at.height());
            assert!((shape - 240.0 / 96.0).abs() < 0.01, "its sides are in proportion: {shape}");
        }
    }
}

#[test]
fn what_the_job_says_itself_comes_first() {
    let made = set_for(WORKSHOP, Paper::A4);
    assert!(says(&made.sheets[0], "J. Sample") && !says(&made.sheets[0], "Bench 2"));
    assert!(made.author.starts_with("J. Sample"));
    // The job has no owner.
    assert!(made.sheets.iter().skip(1).all(|sheet| says(sheet, "Heather Lane")), "in every title block");
}

#[test]
fn an_empty_card_leaves_the_set_as_it_is() {
    let document = file::read(JOB).expect("a job");
    let prepared = Prepared::new(&document);
    let plain = set(&Facts::of(&prepared), &Wanted::default());
    let empty = "{\"format\": \"loomwright-workshop\", \"version\": 1}";
    assert_eq!(set_for(empty, Paper::A4).to_bytes(), plain.to_bytes());
    assert_eq!(parts_list(empty, true), {
        let all = tables(&Facts::of(&prepared));
        all.into_iter().find(|(name, _)| name == "parts.csv").expect("a parts list").1
    });
}

#[test]
fn the_picture_is_in_picture_and_pdf_and_goes_through_bytes() {
    let made = set_for(WORKSHOP, Paper::A4);
    let read = Set::from_bytes(&made.to_bytes()).expect("bytes of a set");
    assert_eq!((&read.stamp, read.to_bytes()), (&made.stamp, made.to_bytes()));
    let images = |index: usize| svg(&made, index).matches("<image ").count();
    assert_eq!((images(0), images(1)), (1, 0));
    let count = |bytes: &[u8]| bytes.windows(14).filter(|at| *at == b"/Subtype /Imag").count();
    assert_eq!(count(&pdf(&made)), 1);
    assert_eq!(count(&pdf(&Set { stamp: None, ..made })), 0);
}

#[test]
fn a_damaged_picture_is_left_out_and_told() {
    let at = WORKSHOP.find("IDAT").or_else(|| WORKSHOP.find("\"picture\": \"")).expect("a picture") + 90;
    let damaged = format!("{}AAAA{}", &WORKSHOP[..at], &WORKSHOP[at + 4..]);
    let made = set_for(&damaged, Paper::A4);
    assert!(made.stamp.is_none());
    assert!(made.lost.iter().any(|says| says.contains("picture of the workshop")), "{:?}", made.lost);
}

#[test]
fn order_numbers_stand_with_new_parts_of_the_same_kind_and_values() {
    let list = parts_list(WORKSHOP, false);
    let head = list.lines().next().expect("a head");
    assert!(head.ends_with(",Order number"), "{head}");
    let of = |list: &str, part: &str| {
        let found = list.lines().find(|line| line.split(',').nth(1) == Some(part));
        found.unwrap_or_else(|| panic!("no {part} in {list}")).to_owned()
    };
    let ordered: Vec<&str> = list.lines().filter(|line| line.ends_with(",HL-F15")).collect();
    assert!(!ordered.is_empty() && ordered.iter().all(|line| line.contains("15 A")), "{list}");
    assert!(of(&list, "G1").ends_with(','), "what is not known stays empty");
    assert!(!list.contains("0.40 EUR"), "prices are only told where they are wanted");
    assert!(parts_list(WORKSHOP, true).contains(",HL-F15,0.40 EUR"));
    // Two that say something else of the same part leave it open.
    let other = "{\"name\": \"Other\", \"kind\": \"fuse\", \"values\": {\"rating_a\": 15, \"family\": \"blade-C\"}, \
                 \"order\": \"HL-X\"}";
    let both = WORKSHOP.replace("\"parts\": [", &format!("\"parts\": [{other},"));
    assert!(!parts_list(&both, false).contains("HL-"), "which of the two it is, nobody knows");
}

#[test]
fn texts_of_the_list_stand_apart_with_prices_too() {
    let made = made_for(WORKSHOP, true, |facts| set(facts, &Wanted::default()));
    let list = made.sheets.iter().filter(|sheet| says(sheet, "Order number"));
    let mut n_lists = 0;
    for sheet in list {
        assert_apart(texts(sheet), &sheet.name);
        n_lists += 1;
    }
    assert!(n_lists > 0);
}
