//! Putting parts at places.

use std::sync::Arc;

use engine::document::{Document, Edit, Part};
use engine::ids::{PartId, PlaceId};
use engine::post::Report;

use super::{edited, taken};
use crate::report::Asked;

/// Puts a part at a place; one that is there is taken away.
pub fn toggle(asked: &Asked<'_>, place: &PlaceId, part: &PartId) -> Option<Report> {
    let at = asked.document.plan.place(place)?;
    let part = asked.document.network.part(part)?;
    let (place, label) = if part.place.as_ref() == Some(place) {
        (None, format!("take {} away from {}", part.title(), at.title()))
    } else {
        (Some(place.clone()), format!("put {} at {}", part.title(), at.title()))
    };
    Some(edited(asked, &label, &Edit::ChangePart(Part { place, ..part.clone() })))
}

/// Puts every part that sits nowhere yet at a place.
pub fn all(asked: &Asked<'_>, place: &PlaceId) -> Option<Report> {
    let at = asked.document.plan.place(place)?;
    let mut after: Document = asked.document.clone();
    let network = Arc::make_mut(&mut after.network);
    let without = without_place(asked.document);
    for part in network.parts.iter_mut().filter(|part| without.contains(&part.id)) {
        part.place = Some(place.clone());
    }
    Some(taken(asked.document, &format!("put {} parts at {}", without.len(), at.title()), &after))
}

/// The parts that sit nowhere; a fuse in a box sits where that does.
pub fn without_place(document: &Document) -> Vec<PartId> {
    let network = &document.network;
    network.parts.iter().filter(|part| network.place_of(part).is_none()).map(|part| part.id.clone()).collect()
}
