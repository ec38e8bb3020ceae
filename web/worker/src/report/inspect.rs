//! Inspection: what is or may be dangerous in what was drawn as found, what to look at, and what to do before driving.

use engine::arrange;
use engine::inspect::{Inspection, Looks, Verdict, inspect};
use engine::post::Report;
use engine::quantity::{by_hand, capital};
use engine::subject::Subject;
use engine::sweep::Progress;

use super::Asked;
use super::markup::Markup;

/// What an inspection is, and the button that begins it.
pub fn page() -> String {
    let mut page = Markup::new();
    page.line("p", "hint", "For wiring that somebody else fitted: what is or may be dangerous, what to look at and what to do before driving. Draw what you see; what you cannot read or measure stays empty, or is a range.");
    page.element("div", &[("class", "row")], |row| row.button_long("Inspect what is drawn", "inspected"));
    page.done()
}

/// Inspects the job.
pub fn inspected(asked: &Asked<'_>, progress: Progress<'_>) -> Report {
    let inspection = inspect(asked.document, &mut |done, of| {
        // Whoever does not want to wait ends the worker.
        let _ = progress(done as u64, of as u64);
    });
    let mut page = Markup::new();
    page.heading(&inspection.head());
    page.element("div", &[("class", "row")], |row| row.button_long("Inspect again", "inspected"));
    looks(&mut page, &inspection);
    found(&mut page, &inspection);
    rests_on(&mut page, &inspection);
    Report { markup: page.done(), said: inspection.head(), ..Report::default() }
}

/// What to look at, each entry leading to where the value is filled in.
fn looks(page: &mut Markup, inspection: &Inspection) {
    let looks = inspection.looks();
    if looks.is_empty() {
        return;
    }
    page.heading("What to look at, what clears most doubts first");
    page.element("ol", &[], |list| {
        for look in &looks {
            list.element("li", &[], |entry| {
                entry.paragraph(&by_hand(&look.words));
                fill_in(entry, inspection, look);
            });
        }
    });
}

/// One button a thing that lacks a value: it is shown on the drawing, with the fields to fill in.
fn fill_in(entry: &mut Markup, inspection: &Inspection, look: &Looks) {
    let subjects = look.unknowns.iter().map(|index| &inspection.unknowns[*index].subject);
    buttons(entry, inspection, "Fill in", subjects);
}

fn buttons<'s>(
    page: &mut Markup,
    inspection: &Inspection,
    what: &str,
    subjects: impl Iterator<Item = &'s Subject>,
) {
    let network = &inspection.as_used.network;
    page.element("div", &[("class", "row")], |row| {
        for subject in subjects {
            // What is at a terminal is shown by its part.
            let id = subject.part().map_or_else(|| subject.id(), ToString::to_string);
            row.button(&format!("{what}: {}", subject.title(network)), &format!("show {id}"));
        }
    });
}

fn found(page: &mut Markup, inspection: &Inspection) {
    let gathered = inspection.gathered();
    if gathered.is_empty() {
        return;
    }
    page.heading("What was found, the worst first");
    let action = |indices: &Vec<usize>| inspection.items[indices[0]].action();
    // What has to be done is told once for all that it is to be done about.
    for now in arrange::set_of(gathered.iter().map(action)) {
        page.strong(now.words(), "");
        let about: Vec<&Vec<usize>> = gathered.iter().filter(|indices| action(indices) == now).collect();
        entries(page, inspection, &about);
    }
}

fn entries(page: &mut Markup, inspection: &Inspection, gathered: &[&Vec<usize>]) {
    page.element("ol", &[("class", "findings")], |list| {
        for indices in gathered {
            let item = &inspection.items[indices[0]];
            let class = format!("working finding-{}", item.severity.word().to_ascii_lowercase());
            list.element("li", &[("class", &class)], |entry| {
                let (weight, sure) = (item.severity.word(), item.verdict.word());
                entry.strong(&format!("{weight}, {sure}"), &format!(": {}", inspection.about(indices)));
                entry.paragraph(&inspection.may_happen(indices));
                if let (Some(found), Some(limit), [_]) =
                    (&item.finding.measured, &item.finding.allowed, indices.as_slice())
                {
                    let what = if item.verdict == Verdict::Sure { "Found" } else { "At worst" };
                    entry.paragraph(&by_hand(&format!("{what}: {found}, limit {limit}.")));
                }
                let with = inspection.worked_out_with(item);
                entry.element("details", &[], |more| {
                    more.line("summary", "", "Why, and what to do about it");
                    more.paragraph(&by_hand(&inspection.how_sure(item)));
                    more.paragraph(&format!("{}.", capital(&by_hand(&item.finding.message))));
                    if !with.is_empty() {
                        more.line("p", "hint", &by_hand(&with));
                    }
                    for turn in inspection.turns_of(indices) {
                        more.paragraph(&by_hand(&turn));
                    }
                    for help in &item.finding.help {
                        more.strong("To mend: ", &format!("{}.", by_hand(&help.text)));
                    }
                    more.line("p", "hint", &format!("Limit: {}", by_hand(&item.finding.source)));
                });
                let subjects = indices.iter().map(|index| &inspection.items[*index].finding.subject);
                buttons(entry, inspection, "Show where", subjects);
            });
        }
    });
}

/// What was not judged, and what the verdicts rest on: told whatever was found.
fn rests_on(page: &mut Markup, inspection: &Inspection) {
    page.heading("What this does not tell");
    for words in inspection.limits().iter().chain(&inspection.not_judged_in_words()) {
        page.paragraph(&by_hand(words));
    }
    let not_found = inspection.not_found_in_words();
    if !not_found.is_empty() {
        page.paragraph(&not_found);
    }
    page.line("p", "hint", "Calculated, not measured.");
}
