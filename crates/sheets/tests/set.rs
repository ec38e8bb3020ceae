//! Sets of small jobs.

use engine::answer::Prepared;
use engine::file;
use sheets::{Facts, Set, Wanted, pdf, set, svg, tables};

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
