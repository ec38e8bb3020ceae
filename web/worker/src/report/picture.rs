//! The drawing as a picture that opens anywhere, with the whole job inside: it opens again.

use drawing::draw::draw;
use drawing::overlay::{FindingMark, Overlay, Readings};
use drawing::svg::{SvgOptions, svg};
use engine::answer::Request;
use engine::file::job_element;

use super::Asked;

/// The picture, with the marks of findings and, where they are wanted, the readings of the present positions.
pub fn page(asked: &Asked<'_>, readings: bool) -> String {
    let document = asked.document;
    let scene = draw(&document.network, &document.placement);
    let request = Request { revision: 0, situation: asked.situation.clone(), load: None };
    let answer = asked.prepared.answer(&request);
    let mark =
        |told: &engine::answer::Told| FindingMark { subject: told.subject.clone(), severity: told.severity };
    let overlay = Overlay {
        findings: answer.findings.iter().map(mark).collect(),
        readings: if readings { Readings::of(&document.network, &answer) } else { Readings::default() },
        ..Overlay::default()
    };
    svg(&scene, &overlay, &SvgOptions::of(document, job_element(document)))
}
