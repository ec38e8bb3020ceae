//! Accepting a finding: somebody answers for it, with a name and a reason that everybody reads.

use engine::document::edit::apply;
use engine::document::{Accepted, Edit};
use engine::finding::Finding;
use engine::post::{Change, Report};

use super::Asked;
use super::markup::Markup;

/// Who accepted a finding and why, or the form to do so; findings are counted from nought.
pub fn page(asked: &Asked<'_>, number: usize) -> Option<String> {
    let finding = asked.prepared.findings().get(number)?;
    let mut page = Markup::new();
    if let Some(accepted) = finding.accepted(&asked.document.accepted) {
        page.paragraph(&format!("Accepted {}", accepted.in_words()));
        page.button("Accept it no longer", &format!("finding-unaccept {number}"));
        return Some(page.done());
    }
    let card = &asked.document.card;
    let by = if card.approved_by.is_empty() { &card.drawn_by } else { &card.approved_by };
    page.paragraph(
        "It stays in the list and on the sheets, with this name and reason. If it becomes graver, it is open again.",
    );
    page.element("div", &[("class", "row")], |row| {
        row.field("by", "Who accepts it", by);
        row.field("why", "Why it may stay", "");
        // The page fills in the day when the button is pressed.
        row.open("input", &[("type", "hidden"), ("name", "date"), ("data-today", "")]);
        row.button("Accept", &format!("finding-accept {number}"));
    });
    Some(page.done())
}

/// Accepts a finding, by the name and for the reason that were filled in.
pub fn accept(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let finding = asked.prepared.findings().get(number)?;
    let field = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    let accepted = Accepted {
        check: finding.check.to_owned(),
        subject: finding.subject.clone(),
        severity: finding.severity,
        by: field("by"),
        why: field("why"),
        date: field("date"),
    };
    if let Some(lacking) = accepted.lacks() {
        return Some(Report { said: format!("Say {lacking} first."), ..Report::default() });
    }
    let mut all = others(asked, finding);
    all.push(accepted);
    Some(changed(asked, "accept a finding", "Accepted. It stays in the list, counted apart.", all))
}

/// Opens an accepted finding again.
pub fn unaccept(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let finding = asked.prepared.findings().get(number)?;
    let all = others(asked, finding);
    Some(changed(asked, "accept a finding no longer", "The finding is open again.", all))
}

/// What was accepted that is not about this finding.
fn others(asked: &Asked<'_>, finding: &Finding) -> Vec<Accepted> {
    let is_other = |one: &&Accepted| one.check != finding.check || one.subject != finding.subject;
    asked.document.accepted.iter().filter(is_other).cloned().collect()
}

fn changed(asked: &Asked<'_>, label: &str, done: &str, all: Vec<Accepted>) -> Report {
    match apply(asked.document, &Edit::Accepted(all)) {
        Ok(after) => {
            let change = Change::between(label, asked.document, &after);
            Report { said: done.to_owned(), change: Some(change), ..Report::default() }
        }
        Err(error) => Report { said: error.to_string(), ..Report::default() },
    }
}
