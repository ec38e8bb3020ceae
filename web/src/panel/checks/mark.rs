//! The shapes that go with the severities, so that none is told by color alone.

use engine::finding::Severity;

use crate::piece::{Tag, styled};

/// Octagon, triangle or circle.
pub fn mark(severity: Severity) -> Tag {
    let (outline, inside) = match severity {
        Severity::Stop => ("M8 2h8l6 6v8l-6 6H8l-6-6V8z", "M7.5 12h9"),
        Severity::Look => ("M12 2.5 22.5 21h-21z", "M12 9.5v5M12 17.6v.4"),
        Severity::Note => ("M12 2a10 10 0 1 0 0 20 10 10 0 0 0 0-20z", "M12 11v6M12 7v.4"),
    };
    picture(format!(
        "<path class=\"mark-outline\" d=\"{outline}\"/><path class=\"mark-inside\" d=\"{inside}\"/>"
    ))
}

/// A tick, for when there is nothing to report.
pub fn good() -> Tag {
    picture("<path class=\"mark-tick\" d=\"M3 13l6 6L21 5\"/>".to_owned())
}

fn picture(paths: String) -> Tag {
    styled("span", "mark")
        .set("aria-hidden", "true")
        .markup(move || format!("<svg viewBox=\"0 0 24 24\" width=\"24\" height=\"24\">{paths}</svg>"))
}
