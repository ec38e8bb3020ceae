//! What the page “Jobs” wants to know of a job that is not the open one: what it looks like, and whether it can be read.
//! The job comes in the field `job`, as JSON on one line.

use drawing::draw::draw;
use drawing::overlay::Overlay;
use drawing::svg::{SvgOptions, svg};
use engine::file::read_json;

use super::Asked;
use super::markup::Markup;

/// The drawing on its sheet, without the job inside. Empty where the job cannot be read.
pub fn picture(asked: &Asked<'_>) -> String {
    let Ok(document) = read_json(asked.field("job").unwrap_or_default()) else { return String::new() };
    let scene = draw(&document.network, &document.placement);
    svg(&scene, &Overlay::default(), &SvgOptions::of(&document, String::new()))
}

/// Every place of the job that cannot be read and why, one a line. Empty where the whole job can be read.
pub fn wrong(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    if let Err(error) = read_json(asked.field("job").unwrap_or_default()) {
        page.text(&error.to_string());
    }
    page.done()
}

#[cfg(test)]
mod tests {
    use engine::file::{read_json, write_json};

    use super::super::tests::told_of;

    const OPEN: &str = include_str!("../../../../fixtures/jobs/dark-lamps.json");
    const OTHER: &str = include_str!("../../../../fixtures/jobs/apiary-flatbed.json");

    /// What is told of a job on one line while another is open.
    fn told(word: &str, job: &str) -> String {
        let words = format!("{word}\njob={}", job.replace('\n', " "));
        told_of(&read_json(OPEN).unwrap(), "", &words).unwrap().markup
    }

    #[test]
    fn the_picture_is_of_the_job_that_is_named_and_does_not_carry_it() {
        let picture = told("shelf-picture", OTHER);
        assert!(picture.starts_with("<svg"));
        assert!(picture.contains("Night loading lamps"));
        assert!(!picture.contains("loomwright-job"));
        assert_eq!(told("shelf-picture", "{}"), "");
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place_and_escaped() {
        assert_eq!(told("shelf-wrong", OTHER), "");
        let job = write_json(&read_json(OTHER).unwrap());
        let wrong = told("shelf-wrong", &job.replace("\"kind\": \"alternator\"", "\"kind\": \"<b>\""));
        assert!(wrong.starts_with("parts[1].kind: "), "{wrong}");
        assert!(!wrong.contains('<'), "{wrong}");
    }
}
