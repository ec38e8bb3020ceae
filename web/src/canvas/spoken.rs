//! What a symbol is in words, for those who listen: `fuse F2 10 A, carries 11.3 A, Stop: ...`.

use engine::answer::Answer;
use engine::document::Document;
use engine::ids::PartId;

/// The words for one part.
pub fn spoken(document: &Document, answer: Option<&Answer>, id: &PartId) -> String {
    let Some(part) = document.network.part(id) else { return String::new() };
    let mut words = format!("{} {}", part.kind.noun, part.title());
    let Some(answer) = answer else { return words };
    if let Some(reading) = answer.parts.iter().find(|reading| reading.id == *id) {
        for text in [&reading.state, &reading.words.amps].into_iter().flatten() {
            words.push_str(", ");
            words.push_str(text);
        }
    }
    for finding in
        answer.findings.iter().filter(|finding| answer.checked && finding.subject.part() == Some(id))
    {
        words.push_str(&format!(", {}: {}", finding.severity.word(), finding.message));
    }
    words
}
