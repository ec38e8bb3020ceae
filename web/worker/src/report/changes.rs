//! What differs between two states of a job: one that was kept, or a file, and another or the one that is open.

use engine::document::Document;
use engine::file::changes::{Change, changes};
use engine::file::{ReadError, read_json};
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
