//! The shapes that go with the severities, so that none is told by color alone.

use engine::finding::Severity;
use leptos::prelude::*;

/// Octagon, triangle or circle.
#[component]
pub fn Mark(severity: Severity) -> impl IntoView {
    let outline = match severity {
        Severity::Stop => "M8 2h8l6 6v8l-6 6H8l-6-6V8z",
        Severity::Look => "M12 2.5 22.5 21h-21z",
        Severity::Note => "M12 2a10 10 0 1 0 0 20 10 10 0 0 0 0-20z",
    };
    let inside = match severity {
        Severity::Stop => "M7.5 12h9",
        Severity::Look => "M12 9.5v5M12 17.6v.4",
        Severity::Note => "M12 11v6M12 7v.4",
    };
    view! {
        <svg class="mark" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
            <path class="mark-outline" d=outline/>
            <path class="mark-inside" d=inside/>
        </svg>
    }
}

/// A tick, for when there is nothing to report.
#[component]
pub fn Good() -> impl IntoView {
    view! {
        <svg class="mark" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
            <path class="mark-tick" d="M3 13l6 6L21 5"/>
        </svg>
    }
}
