//! What the page “Jobs” wants to know of a job that is not the open one: what it looks like, and whether it can be read.
//! The job comes in the field `job`, as JSON on one line.

use drawing::draw::draw;
use drawing::scene::{Element, ElementId};
use drawing::svg::{FONTS, element_markup, number};
use engine::file::read_json;

use super::Asked;
use super::markup::Markup;

/// Free space around the drawing, in hundredths of a millimetre.
const FREE: i32 = 200;

/// The drawing as a small picture: without a sheet, and without the letters that are too small there. Empty where the job
/// cannot be read or nothing is drawn.
pub fn picture(asked: &Asked<'_>) -> String {
    let Ok(document) = read_json(asked.field("job").unwrap_or_default()) else { return String::new() };
    let scene = draw(&document.network, &document.placement);
    let Some(frame) = scene.bounds().map(|bounds| bounds.grown(FREE)) else { return String::new() };
    let [left, top, width, height] = [frame.left, frame.top, frame.width(), frame.height()].map(number);
    let drawn: String =
        scene.elements().iter().filter(|element| !is_tiny(element)).map(element_markup).collect();
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"{left} {top} {width} \
         {height}\" font-family=\"{FONTS}\" fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\">{drawn}</svg>"
    )
}

/// Whether it is small print.
fn is_tiny(element: &Element) -> bool {
    matches!(element.id, ElementId::WireText(_) | ElementId::TerminalText(..))
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
        assert!(picture.contains(">K1<") && !picture.contains(">87<"), "{picture}");
        assert!(!picture.contains("format") && !picture.contains("script"));
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
