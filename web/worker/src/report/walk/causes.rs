//! What may be wrong, the most likely first, each with its reason.

use engine::diagnose::{Row, Standing, Walk, percent};
use engine::quantity::capital;

use super::super::markup::Markup;

/// Most causes that are listed.
pub const MOST: usize = 8;

/// Most of those that are hardly likely that are listed.
const MOST_OTHERS: usize = 40;

/// From which share on a cause is listed by itself.
const LEAST: f64 = 0.01;

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
    let n_likely = rows.iter().filter(|row| row.share >= LEAST).count();
    let shown = &rows[..n_likely.clamp(1, MOST).min(rows.len())];
    page.element("ol", &[("class", "causes")], |list| {
        for (number, row) in shown.iter().enumerate() {
            // At the end only what was found has its reasons at once.
            let is_folded = standing.end.is_some() && number > 0;
            list.element("li", &[("dir", "auto")], |item| cause(item, walk, standing, row, is_folded));
        }
    });
    others(page, walk, standing, &rows[shown.len()..]);
}

/// The rows that are hardly likely, in one line that opens.
fn others(page: &mut Markup, walk: &Walk<'_>, standing: &Standing, rows: &[Row]) {
    let places: Vec<usize> = rows.iter().flat_map(|row| row.places.iter().copied()).collect();
    let n = match places.len() {
        0 => return,
        1 => "1 other".to_owned(),
        n => format!("{n} others"),
    };
    let each = if places.len() > 1 { "each " } else { "" };
    let share = match rows.iter().any(|row| row.share >= LEAST) {
        true => "less likely".to_owned(),
        false => format!("{each}under 1 %"),
    };
    page.element("details", &[], |details| {
        details.line("summary", "", &format!("{n}, {share}"));
        details.element("ul", &[], |list| {
            for place in places.iter().take(MOST_OTHERS) {
                let words = walk.cause_in_words(&standing.causes[*place]);
                list.line("li", "", &format!("{}.", capital(&words)));
            }
        });
        if places.len() > MOST_OTHERS {
            details.paragraph(&format!("And {} more.", places.len() - MOST_OTHERS));
        }
    });
}

/// Causes that no reading tells apart, with what speaks for them.
fn cause(item: &mut Markup, walk: &Walk<'_>, standing: &Standing, row: &Row, is_folded: bool) {
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
    let why = |page: &mut Markup| page.line("p", "hint", &format!("{}.{alike}", capital(&reasons)));
    match is_folded {
        true => item.element("details", &[], |details| {
            details.line("summary", "", "Why");
            why(details);
        }),
        false => why(item),
    }
}
