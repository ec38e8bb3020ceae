//! The named situations of a job: naming the present positions, renaming, deleting, and comparing two.

use engine::document::edit::apply;
use engine::document::{AT_REST, Document, Edit, Situation};
use engine::post::{Change, Report};

use super::Asked;
use super::markup::Markup;

/// What can be done with the present positions.
pub fn page(asked: &Asked<'_>) -> String {
    let named = named(asked.document, &asked.situation.name);
    let is_at_rest = asked.situation.name == AT_REST;
    let mut page = Markup::new();
    if is_at_rest {
        // Without any markup what stood there before would stay.
        page.element("p", &[], |_| {});
    } else {
        let (caption, value) = match named {
            Some(named) => ("Name of this situation", named.name.as_str()),
            None => ("Keep these positions as a situation called", ""),
        };
        page.element("div", &[("class", "row")], |row| {
            row.field("name", caption, value);
            match named {
                Some(_) => {
                    row.button("Rename", "situation-rename");
                    row.button("Delete", "situation-delete");
                }
                None => row.button("Keep", "situation-keep"),
            }
        });
    }
    page.done()
}

fn named<'d>(document: &'d Document, name: &str) -> Option<&'d Situation> {
    document.situations.iter().find(|situation| situation.name == name)
}

/// Keeps the present positions under the name that was filled in.
pub fn keep(asked: &Asked<'_>) -> Report {
    let name = asked.field("name").unwrap_or_default().to_owned();
    let mut all: Vec<Situation> = (*asked.document.situations).clone();
    all.push(Situation { name: name.clone(), set: asked.situation.set.clone() });
    changed(asked, &format!("keep situation {name}"), &format!("Kept as {name}"), all)
}

/// Gives the present situation the name that was filled in.
pub fn rename(asked: &Asked<'_>) -> Report {
    let name = asked.field("name").unwrap_or_default().to_owned();
    let old = &asked.situation.name;
    let mut all: Vec<Situation> = (*asked.document.situations).clone();
    for situation in all.iter_mut().filter(|situation| situation.name == *old) {
        situation.name = name.clone();
    }
    changed(asked, &format!("rename situation {old}"), &format!("{old} is now called {name}"), all)
}

/// Deletes the present situation; the positions stay as they are.
pub fn delete(asked: &Asked<'_>) -> Report {
    let old = &asked.situation.name;
    let mut all: Vec<Situation> = (*asked.document.situations).clone();
    all.retain(|situation| situation.name != *old);
    changed(
        asked,
        &format!("delete situation {old}"),
        &format!("{old} deleted; the switches stay as they are"),
        all,
    )
}

fn changed(asked: &Asked<'_>, label: &str, done: &str, all: Vec<Situation>) -> Report {
    match apply(asked.document, &Edit::Situations(all)) {
        Ok(after) => {
            let change = Change::between(label, asked.document, &after);
            Report { said: done.to_owned(), change: Some(change), ..Report::default() }
        }
        Err(error) => Report { said: error.to_string(), ..Report::default() },
    }
}
