//! What was found about one thing, by word and by shape.

use engine::answer::{Answer, Told};
use engine::document::{Document, Severity};
use engine::quantity::capital;
use engine::subject::Subject;

use super::super::markup::Markup;

/// What was found about a part or a wire, the worst first; of an accepted finding that too.
pub fn about<'a>(answer: &'a Answer, subject: &Subject) -> Vec<&'a Told> {
    // What is about a terminal concerns its part.
    let concerns = |told: &&Told| match subject {
        Subject::Part(part) => told.subject.part() == Some(part),
        other => told.subject == *other,
    };
    answer.findings.iter().filter(concerns).collect()
}

/// How many findings of each severity there are in the job, or `nothing`; accepted ones are not counted.
pub fn counts(document: &Document, answer: &Answer) -> String {
    let open = |told: &&Told| told.accepted(&document.accepted).is_none();
    let counted = |severity: Severity| {
        let n = answer.findings.iter().filter(open).filter(|told| told.severity == severity).count();
        (n > 0).then(|| format!("{} {n}", severity.word()))
    };
    let counts: Vec<String> = Severity::ALL.into_iter().filter_map(counted).collect();
    if counts.is_empty() { "nothing".to_owned() } else { counts.join(", ") }
}

/// A finding in one line: its shape, its word, and what it says.
pub fn line(place: &mut Markup, document: &Document, told: &Told) {
    let word = told.severity.word();
    let class = format!("finding-line finding-{}", word.to_ascii_lowercase());
    place.element("div", &[("class", class.as_str())], |line| {
        shape(line, told.severity);
        line.element("span", &[("dir", "auto")], |text| {
            text.line("strong", "severity", word);
            let accepted = if told.accepted(&document.accepted).is_some() { " (accepted)" } else { "" };
            text.text(&format!(" {}{accepted}", capital(&told.message)));
        });
    });
}

/// Octagon, triangle or circle, as the drawing has them.
fn shape(line: &mut Markup, severity: Severity) {
    let (outline, inside) = match severity {
        Severity::Stop => ("M8 2h8l6 6v8l-6 6H8l-6-6V8z", "M7.5 12h9"),
        Severity::Look => ("M12 2.5 22.5 21h-21z", "M12 9.5v5M12 17.6v.4"),
        Severity::Note => ("M12 2a10 10 0 1 0 0 20 10 10 0 0 0 0-20z", "M12 11v6M12 7v.4"),
    };
    line.element("span", &[("class", "mark"), ("aria-hidden", "true")], |mark| {
        let size = [("viewBox", "0 0 24 24"), ("width", "24"), ("height", "24")];
        mark.element("svg", &size, |svg| {
            svg.element("path", &[("class", "mark-outline"), ("d", outline)], |_| {});
            svg.element("path", &[("class", "mark-inside"), ("d", inside)], |_| {});
        });
    });
}
