//! Where a part should sit: every place with what follows from it, and moving the part there.

use engine::document::{Document, Part, VehiclePlace};
use engine::ids::{PartId, PlaceId};
use engine::post::{Change, Report};
use engine::quantity::{Quantity, Unit, by_hand};
use engine::sitting::{MOST_PARTS, Most, Sitting, Tried, may_be_moved, moved, sit, weight};
use engine::subject::Subject;

use super::Asked;
use super::markup::Markup;

/// Most choices of places for several parts that are shown.
const MOST_ROWS: usize = 10;

/// What is asked, and which other parts are to be moved too.
pub fn page(asked: &Asked<'_>, id: &str) -> Option<String> {
    let part = part(asked.document, id)?;
    let mut page = Markup::new();
    if asked.document.plan.places.iter().all(|place| place.passing) {
        page.paragraph("The vehicle plan has no place where a part can sit.");
        return Some(page.done());
    }
    page.line("p", "hint", "The place with the least copper where the checks find nothing new. Every place of the vehicle plan is tried.");
    page.element("details", &[], |details| {
        let line = format!("Together with other parts, up to {}", MOST_PARTS - 1);
        details.line("summary", "", &line);
        details.element("div", &[("class", "ticks")], |ticks| {
            for other in others(asked.document, part) {
                let title = Subject::Part(other.id.clone()).title(&asked.document.network);
                ticks.tick(&format!("part-{}", other.id), &title);
            }
        });
    });
    page.element("div", &[("class", "row")], |row| row.button_long("Try the places", &format!("sat {id}")));
    Some(page.done())
}

fn part<'d>(document: &'d Document, id: &str) -> Option<&'d Part> {
    document.network.part(&PartId::new(id)?)
}

/// The parts that may be moved together with one.
fn others<'d>(document: &'d Document, part: &'d Part) -> impl Iterator<Item = &'d Part> {
    let may = move |other: &&Part| other.id != part.id && may_be_moved(other) && other.holder().is_none();
    document.network.parts.iter().filter(may)
}

/// Tries the places for the part and for those that were ticked.
pub fn sat(asked: &Asked<'_>, id: &str) -> Option<Report> {
    let document = asked.document;
    let part = part(document, id)?;
    let ticked = others(document, part).filter(|other| asked.field(&format!("part-{}", other.id)).is_some());
    let parts: Vec<PartId> = std::iter::once(part).chain(ticked).map(|part| part.id.clone()).collect();
    let mut page = Markup::new();
    let said = match sit(document, &parts, Most::default()) {
        Ok(sitting) => {
            found(&mut page, document, &sitting);
            by_hand(&sitting.why(document))
        }
        Err(reason) => {
            page.heading("No place was found");
            page.paragraph(&format!("{}.", by_hand(&reason.what)));
            format!("No place was found: {}.", by_hand(&reason.what))
        }
    };
    page.element("div", &[("class", "row")], |row| row.button("Choose other parts", &format!("sit {id}")));
    Some(Report { markup: page.done(), said, ..Report::default() })
}

fn found(page: &mut Markup, document: &Document, sitting: &Sitting) {
    let is_one = sitting.parts.len() == 1;
    let best = sitting.best();
    page.heading(&match sitting.is_now_best() {
        true => "Nothing has to move".to_owned(),
        false => format!("Best: {}", best.title(sitting, document)),
    });
    page.paragraph(&by_hand(&sitting.why(document)));
    if !sitting.is_now_best() {
        let caption = if is_one { "Move it there" } else { "Move them there" };
        page.element("div", &[("class", "row")], |row| row.button(caption, &words(sitting, best)));
    }
    let n_rows = if is_one { sitting.tried.len() } else { MOST_ROWS };
    let is_now = |tried: &Tried| sitting.now.as_ref().is_some_and(|now| now.places == tried.places);
    let shown = || sitting.tried.iter().enumerate().filter(|(n, tried)| *n < n_rows || is_now(tried));
    let head = ["place", "copper", "wire", "bulkheads", "drop", "Stop", "Look"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(shown().map(|(_, tried)| {
        let now = if is_now(tried) { " (now)" } else { "" };
        let drop = tried.drop.as_ref().map(|(_, share)| unbroken(100.0 * share, Unit::Percent));
        vec![
            format!("{}{now}", tried.title(sitting, document)),
            weight(tried.copper).replace(' ', "\u{a0}"),
            unbroken(tried.wire_m, Unit::Metre),
            tried.n_bulkheads.to_string(),
            drop.unwrap_or_else(|| "–".to_owned()),
            tried.n_stops.to_string(),
            tried.n_looks.to_string(),
        ]
    }));
    page.table("Places, the best first", &rows);
    for (_, tried) in shown().filter(|(_, tried)| !tried.differences().is_empty()) {
        let title = tried.title(sitting, document);
        page.paragraph(&by_hand(&format!("{title}: {}.", tried.differences())));
    }
    let others: Vec<&Tried> =
        shown().map(|(_, tried)| tried).filter(|tried| *tried != best && !is_now(tried)).collect();
    if !others.is_empty() {
        page.element("details", &[], |details| {
            details.line("summary", "", "Another place");
            details.element("div", &[("class", "row")], |row| {
                for tried in others {
                    let caption = format!("Move to {}", tried.title(sitting, document));
                    row.button(&caption, &words(sitting, tried));
                }
            });
        });
    }
    for note in sitting.notes(document) {
        page.line("p", "hint", &by_hand(&note));
    }
    page.line("p", "hint", "Copper, wire and bulkheads are of the wires whose length hangs on the places; drop is the greatest of the loads that they feed or lead back from. All checks were run on the job for each row. Calculated, not measured.");
}

/// The words that move the parts to these places.
fn words(sitting: &Sitting, tried: &Tried) -> String {
    let pairs = sitting.parts.iter().zip(&tried.places).map(|(part, place)| format!(" {part} {place}"));
    format!("sit-apply{}", pairs.collect::<String>())
}

/// A number and its unit, which stay on one line.
fn unbroken(value: f64, unit: Unit) -> String {
    Quantity::new(value, unit).map_or_else(|| "–".to_owned(), |q| q.to_string().replace(' ', "\u{a0}"))
}

/// Moves parts to places: `named` is each part with its place behind it.
pub fn apply(asked: &Asked<'_>, named: &[&str]) -> Option<Report> {
    let document = asked.document;
    let pairs = named.chunks(2).map(|pair| match pair {
        [part, place] => Some((PartId::new(part)?, PlaceId::new(place)?)),
        _ => None,
    });
    let places: Vec<(PartId, PlaceId)> = pairs.collect::<Option<_>>()?;
    let (first, _) = places.first()?;
    let after = moved(document, &places)?;
    let told = places.iter().map(|(part, place)| {
        let part = document.network.part(part).map_or("", Part::title);
        format!("{part} to {}", document.plan.place(place).map_or("", VehiclePlace::title))
    });
    let told = format!("move {}", told.collect::<Vec<_>>().join(", "));
    let mut page = Markup::new();
    page.element("p", &[("tabindex", "-1")], |line| line.text("It is done. Undo takes it back in one step."));
    page.element("div", &[("class", "row")], |row| row.button("Ask again", &format!("sit {first}")));
    let said = format!("Done: {told}. Undo takes it back.");
    let change = Change::between(&told, document, &after);
    Some(Report { markup: page.done(), said, change: Some(change), ..Report::default() })
}
