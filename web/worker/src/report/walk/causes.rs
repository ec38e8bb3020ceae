//! What may be wrong, the most likely first, each with its reason.

use engine::diagnose::{Standing, Walk};
use engine::quantity::capital;

use super::super::markup::Markup;

/// Most causes that are listed.
pub const MOST: usize = 8;

/// The list, with how many there are.
pub fn list(page: &mut Markup, walk: &Walk<'_>, standing: &Standing) {
    let (n, n_all) = (standing.causes.len(), walk.case.causes.len());
    page.heading("What may be wrong");
    page.line("p", "hint", &format!("{n} of {n_all} causes are left."));
    page.element("ol", &[("class", "causes")], |list| {
        for ranked in standing.causes.iter().take(MOST) {
            list.element("li", &[("dir", "auto")], |item| {
                let share = format!("{:.3}", ranked.share);
                item.element(
                    "meter",
                    &[("min", "0"), ("max", "1"), ("value", &share), ("aria-hidden", "true")],
                    |_| {},
                );
                item.strong(&percent(ranked.share), &format!(" {}.", capital(&walk.cause_in_words(ranked))));
                item.line("p", "hint", &format!("{}.", capital(&walk.reasons(ranked))));
            });
        }
    });
    if n > MOST {
        page.line("p", "hint", &format!("{} more are less likely.", n - MOST));
    }
}

/// A share as people say it.
fn percent(share: f64) -> String {
    match 100.0 * share {
        share if share < 1.0 => "Under 1 %".to_owned(),
        share if share > 99.0 => "Over 99 %".to_owned(),
        share => format!("{share:.0} %"),
    }
}
