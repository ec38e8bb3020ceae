//! The vehicle plan: its picture, the form of what is chosen on it, and what is done to it.
//!
//! `web/host/plan.js` says what is chosen and what was tapped; every act here is one change of the job.

mod form;
mod lists;
mod picture;
mod place;
mod put;
mod route;
mod vehicle;
mod wires;

use engine::document::edit::apply;
use engine::document::{Document, Edit, Plan, Surroundings};
use engine::given::Given;
use engine::ids::{PartId, PlaceId, RouteId, WireId};
use engine::post::{Change, Report};
use engine::quantity::{Metres, capital};

use super::{Asked, shown};

/// What the words ask for of the plan; `None` when that is nothing there is.
pub fn report(asked: &Asked<'_>) -> Option<Report> {
    Some(match asked.words[..] {
        ["plan-picture", lettering, ..] => shown(picture::page(asked, lettering.parse().ok()?)),
        ["plan-form", "place", id, ..] => shown(form::of_place(asked, &PlaceId::new(id)?)),
        ["plan-form", "route", id, ..] => shown(form::of_route(asked, &RouteId::new(id)?)),
        ["plan-form", ..] => shown(form::of_all(asked)),
        ["plan-start", shape] => vehicle::start(asked, shape)?,
        ["plan-outline", field] => vehicle::change(asked, field),
        ["plan-add", x, y] => place::add(asked, x.parse().ok()?, y.parse().ok()?),
        ["plan-move", id, x, y] => place::go(asked, &PlaceId::new(id)?, x.parse().ok()?, y.parse().ok()?)?,
        ["plan-place", id, field] => place::change(asked, &PlaceId::new(id)?, field)?,
        ["plan-join", from, to] => route::add(asked, PlaceId::new(from)?, PlaceId::new(to)?),
        ["plan-route", id, field] => route::change(asked, &RouteId::new(id)?, field)?,
        ["plan-delete", "place", id] => place::delete(asked, &PlaceId::new(id)?)?,
        ["plan-delete", "route", id] => route::delete(asked, &RouteId::new(id)?)?,
        ["plan-put", place, part] => put::toggle(asked, &PlaceId::new(place)?, &PartId::new(part)?)?,
        ["plan-put", place] => put::all(asked, &PlaceId::new(place)?)?,
        _ => return None,
    })
}

/// The wires and parts that are selected on the drawing, which the words end with.
fn selected<'a>(asked: &Asked<'a>) -> impl Iterator<Item = &'a str> {
    asked.words.iter().skip(1).copied().filter(|word| word.starts_with('+')).map(|word| &word[1..])
}

/// The wires among them.
fn selected_wires(asked: &Asked<'_>) -> Vec<usize> {
    let wires = &asked.document.network.wires;
    let index = |id: &str| {
        let id = WireId::new(id)?;
        wires.iter().position(|wire| wire.id == id)
    };
    selected(asked).filter_map(index).collect()
}

/// What was filled in.
fn value<'a>(asked: &'a Asked<'_>) -> &'a str {
    asked.field("value").unwrap_or_default()
}

/// Nothing but something to say.
fn said(said: impl Into<String>) -> Report {
    Report { said: said.into(), ..Report::default() }
}

/// The plan after `change`, as one step to undo; a change that changes nothing is none.
fn changed(asked: &Asked<'_>, label: &str, change: impl FnOnce(&mut Plan)) -> Report {
    let mut plan = (*asked.document.plan).clone();
    change(&mut plan);
    edited(asked, label, &Edit::Plan(plan))
}

fn edited(asked: &Asked<'_>, label: &str, edit: &Edit) -> Report {
    match apply(asked.document, edit) {
        Ok(after) => taken(asked.document, label, &after),
        Err(error) => said(capital(&error.to_string())),
    }
}

fn taken(before: &Document, label: &str, after: &Document) -> Report {
    if after == before {
        return Report::default();
    }
    let change = Some(Change::between(label, before, after));
    Report { said: format!("{} – Undo takes it back", capital(label)), change, ..Report::default() }
}

/// A length as it is typed.
fn length_text(given: Given<Metres>) -> String {
    match given {
        Given::Known(m) => m.get().to_string(),
        Given::Between(low, high) => format!("{} to {}", low.get(), high.get()),
        Given::NotKnown => String::new(),
    }
}

/// The air that was chosen; a temperature from the file stays to be chosen again.
fn surroundings(text: &str, now: Option<Surroundings>) -> Option<Surroundings> {
    match Surroundings::WORDS.iter().find(|(_, word)| *word == text) {
        Some((air, _)) => Some(*air),
        None if text == "now" => now,
        None => None,
    }
}

/// A text as a name or a sleeve; nothing when empty.
fn text(value: &str) -> Option<String> {
    Some(value.trim().chars().take(200).collect::<String>()).filter(|text| !text.is_empty())
}

#[cfg(test)]
mod tests;
