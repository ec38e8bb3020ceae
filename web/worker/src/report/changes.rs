//! What differs between two states of a job: one that was kept, or a file, and another or the one that is open; and
//! putting a state that was kept back in the place of the open one.

use engine::document::Document;
use engine::file::changes::{Change, changes};
use engine::file::{ReadError, read_json};
use engine::post::{self, Report};
use engine::quantity::{by_hand, capital};

use super::markup::Markup;
use super::{Asked, plural};

/// The changes from the job in the field `before` to the one in `after`, or to the open one; each is JSON on one line.
pub fn page(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    match states(asked) {
        Ok((before, after)) => list(&mut page, &changes(&before, &after)),
        Err(error) => page.element("p", &[("role", "alert")], |inside| {
            inside.text(&format!("These states cannot be compared: {error}."));
        }),
    }
    page.done()
}

/// Makes the open job the one in the field `job`, JSON on one line, in one step to undo. The markup is empty where that is
/// done, and else says why nothing was changed.
pub fn put_back(asked: &Asked<'_>) -> Report {
    match read_json(asked.field("job").unwrap_or_default()) {
        Ok(kept) => {
            let change = post::Change {
                // Also what no one has moved stands as it stood.
                placement: Some((*kept.placement).clone()),
                ..post::Change::between("put back a version", asked.document, &kept)
            };
            let said = "The version is put back. Undo takes that back.".to_owned();
            Report { said, change: Some(change), ..Report::default() }
        }
        Err(error) => {
            let mut page = Markup::new();
            page.element("p", &[("role", "alert")], |inside| {
                inside.text(&format!("This version cannot be put back, and nothing was changed: {error}."));
            });
            super::shown(page.done())
        }
    }
}

fn states(asked: &Asked<'_>) -> Result<(Document, Document), ReadError> {
    let before = read_json(asked.field("before").unwrap_or_default())?;
    let after = asked.field("after").map_or_else(|| Ok(asked.document.clone()), read_json)?;
    Ok((before, after))
}

fn list(page: &mut Markup, changes: &[Change]) {
    let on_vehicle: Vec<&Change> = changes.iter().filter(|change| !change.is_on_the_drawing()).collect();
    let n_moved = changes.len() - on_vehicle.len();
    match on_vehicle.len() {
        0 => page.paragraph("Nothing that the job says of the vehicle has changed."),
        n => page.paragraph(&format!("{}.", plural(n as u64, "change"))),
    }
    for entry in on_vehicle.chunk_by(|one, next| (one.list, &one.id) == (next.list, &next.id)) {
        page.heading(&by_hand(&capital(&entry[0].title)));
        page.element("ul", &[], |list| {
            for change in entry {
                list.line("li", "", &by_hand(&capital(&change.in_words())));
            }
        });
    }
    if n_moved > 0 {
        let stand = if n_moved == 1 { "stands" } else { "stand" };
        page.paragraph(&format!(
            "On the drawing alone, {} {stand} elsewhere.",
            plural(n_moved as u64, "part")
        ));
    }
}
