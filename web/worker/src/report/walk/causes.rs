//! What may be wrong, the most likely first, each with its reason.

use engine::diagnose::{Row, Standing, Walk, percent};
use engine::quantity::capital;

use super::super::markup::Markup;

/// Most causes that are listed.
pub const MOST: usize = 8;

/// The list, with how many there are.
pub fn list(page: &mut Markup, walk: &Walk<'_>, standing: &Standing) {
    let (n, n_all) = (standing.causes.len(), walk.case.causes.len());
    page.heading("What may be wrong");
    page.line(
        "p",
        "hint",
        &format!("{n} of {n_all} causes are left. How often each happens is common practice, no source."),
    );
    let rows = standing.rows(walk);
    page.element("ol", &[("class", "causes")], |list| {
        for row in rows.iter().take(MOST) {
            list.element("li", &[("dir", "auto")], |item| cause(item, walk, standing, row));
        }
    });
    let n_shown: usize = rows.iter().take(MOST).map(|row| row.places.len()).sum();
    if n > n_shown {
        page.line("p", "hint", &format!("{} more are less likely.", n - n_shown));
    }
}

/// Causes that no reading tells apart, with what speaks for them.
fn cause(item: &mut Markup, walk: &Walk<'_>, standing: &Standing, row: &Row) {
    let share = format!("{:.3}", row.share);
    let meter = [("min", "0"), ("max", "1"), ("value", &share), ("aria-hidden", "true")];
    item.element("meter", &meter, |_| {});
    let words: Vec<String> =
        row.places.iter().take(MOST).map(|place| walk.cause_in_words(&standing.causes[*place])).collect();
    let more = match row.places.len() - words.len() {
        0 => String::new(),
        n => format!(", or {n} more"),
    };
    item.strong(&capital(&percent(row.share)), &format!(" {}{more}.", capital(&words.join(", or "))));
    let alike = if row.places.len() > 1 { " No reading asked for here tells these apart." } else { "" };
    let reasons = walk.reasons(&standing.causes[row.places[0]]);
    item.line("p", "hint", &format!("{}.{alike}", capital(&reasons)));
}
