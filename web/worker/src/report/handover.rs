//! The printed set of a job, for the page that hands it over: its sheets as pictures, the set as bytes for the module
//! that writes the PDF, and its lists as tables.

use drawing::style::Ink;
use engine::answer::Prepared;
use engine::post::Report;
use sheets::{Facts, Paper, Set, Wanted, set, svg, tables};

use super::markup::Markup;
use super::{Asked, shown, workshop};

/// What was made of the job for handing it over, from one report to the next.
pub struct Made {
    set: Set,
    /// The name and the text of each table.
    tables: Vec<(String, String)>,
}

/// Makes the set that `words` want: the paper, and any of `black`, `marks`, `readings`, `inspection`, `proof`, `feet`
/// and `prices`; the field `workshop` has whose it is. Tells of its sheets, and keeps it in `made`.
pub fn page(asked: &Asked<'_>, words: &[&str], made: &mut Option<Made>) -> Option<Report> {
    let (paper, words) = words.split_first()?;
    let (paper, _) = Paper::NAMES.into_iter().find(|(_, name)| name == paper)?;
    let wanted = Wanted {
        paper,
        ink: if words.contains(&"black") { Ink::Black } else { Ink::Colored },
        readings: words.contains(&"readings").then(|| asked.situation.clone()),
        marks: words.contains(&"marks"),
    };
    // Title data and the places of symbols are no matter of what was worked out, but they are printed.
    let anew = (asked.prepared.document() != asked.document).then(|| Prepared::new(asked.document));
    let facts = Facts::of(anew.as_ref().unwrap_or(asked.prepared));
    let facts = if words.contains(&"inspection") { facts.inspected() } else { facts };
    let facts = if words.contains(&"proof") { facts.proving() } else { facts };
    let facts = if words.contains(&"feet") { facts.in_feet() } else { facts };
    let workshop = workshop::kept(asked);
    let facts = facts.for_workshop(&workshop, words.contains(&"prices"));
    let now = Made { set: set(&facts, &wanted), tables: tables(&facts) };
    let markup = told(&now, paper, &asked.document.card.title);
    *made = Some(now);
    Some(shown(markup))
}

/// The sheets by name and size, without what is on them, and what can be saved; and that the job has no title, if so.
fn told(made: &Made, paper: Paper, title: &str) -> String {
    let mut page = Markup::new();
    for lost in &made.set.lost {
        page.line("p", "refused", lost);
    }
    let sheets = &made.set.sheets;
    if title.is_empty() {
        page.line(
            "p",
            "hint",
            "The job has no title yet. It stands on every sheet: give it one on the side Job.",
        );
    }
    let count = match sheets.len() {
        1 => format!("1 sheet on {}", paper.name()),
        several => format!("{several} sheets on {}", paper.name()),
    };
    page.line("p", "hint", &count);
    for (number, sheet) in sheets.iter().enumerate() {
        let lies = if sheet.width > sheet.height { "landscape" } else { "portrait" };
        let caption = format!("{} of {}: {}", number + 1, sheets.len(), sheet.name);
        let [index, wide, high] = [number.to_string(), sheet.width.to_string(), sheet.height.to_string()];
        let leaf = format!("{}-{lies}", paper.name().to_lowercase());
        let attributes = [
            ("class", "handover-sheet"),
            ("data-sheet", index.as_str()),
            ("data-leaf", leaf.as_str()),
            ("data-wide", wide.as_str()),
            ("data-high", high.as_str()),
        ];
        page.element("figure", &attributes, |figure| {
            figure.element("figcaption", &[], |line| {
                line.line("span", "", &caption);
                for (does, says) in [("data-larger", "Larger"), ("data-picture", "Save picture")] {
                    let label = format!("{says}: {}", sheet.name);
                    let attributes = [("type", "button"), (does, ""), ("aria-label", label.as_str())];
                    line.element("button", &attributes, |button| button.text(says));
                }
            });
            let attributes = [("class", "handover-leaf"), ("role", "img"), ("aria-label", caption.as_str())];
            figure.element("div", &attributes, |_| {});
        });
    }
    page.element("div", &[("class", "handover-tables"), ("data-title", &made.set.title)], |list| {
        for (number, (name, _)) in made.tables.iter().enumerate() {
            let number = number.to_string();
            list.element("button", &[("type", "button"), ("data-table", &number)], |button| {
                button.text(name)
            });
        }
    });
    page.done()
}

/// One sheet as a picture.
pub fn sheet(made: Option<&Made>, number: usize) -> Option<String> {
    Some(svg(&made?.set, number)).filter(|picture| !picture.is_empty())
}

/// The set as bytes, each as the character of its number.
pub fn bytes(made: Option<&Made>) -> Option<String> {
    Some(made?.set.to_bytes().into_iter().map(char::from).collect())
}

/// The name of a table, and in the lines below what it holds.
pub fn table(made: Option<&Made>, number: usize) -> Option<String> {
    made?.tables.get(number).map(|(name, text)| format!("{name}\n{text}"))
}
