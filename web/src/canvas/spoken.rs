//! What a symbol or a wire is in words, for those who listen: `fuse F2, carries 11.3 A, Stop: ...`.

use engine::answer::Answer;
use engine::document::Document;
use engine::subject::Subject;

/// The words for one part or wire.
pub fn spoken(document: &Document, answer: Option<&Answer>, subject: &Subject) -> String {
    let mut words = subject.title(&document.network);
    let Some(answer) = answer else { return words };
    for text in readings(answer, subject).into_iter().flatten() {
        words.push_str(", ");
        words.push_str(text);
    }
    // What is about a terminal concerns its part.
    let concerns = |about: &Subject| match subject {
        Subject::Part(part) => about.part() == Some(part),
        other => about == other,
    };
    for finding in answer.findings.iter().filter(|finding| answer.checked && concerns(&finding.subject)) {
        words.push_str(&format!(", {}: {}", finding.severity.word(), finding.message));
    }
    words
}

/// What it does and what it carries, as far as that is known.
fn readings<'a>(answer: &'a Answer, subject: &Subject) -> [Option<&'a String>; 2] {
    match subject {
        Subject::Part(id) => {
            let reading = answer.parts.iter().find(|reading| reading.id == *id);
            [reading.and_then(|one| one.state.as_ref()), reading.and_then(|one| one.words.amps.as_ref())]
        }
        Subject::Wire(id) => {
            let reading = answer.wires.iter().find(|reading| reading.id == *id);
            [None, reading.and_then(|one| one.amps.as_ref())]
        }
        _ => [None, None],
    }
}
