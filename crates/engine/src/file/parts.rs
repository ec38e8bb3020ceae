//! The parts that wires and situations may name, also while some of them could not be read.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value as Json;

use super::Problem;
use super::place::{Place, quoted};
use super::walk::list_of;
use crate::arrange;
use crate::document::Part;
use crate::ids::PartId;

/// The parts of a job by id and by label.
pub(super) struct Parts<'a> {
    by_id: BTreeMap<&'a PartId, &'a Part>,
    by_label: BTreeMap<&'a str, Vec<&'a Part>>,
    /// Ids of parts that could not be read: what names them is not looked into.
    unread: BTreeSet<PartId>,
    /// Whether a part without a readable id could not be read, so that any id may be its own.
    nameless: bool,
}

impl<'a> Parts<'a> {
    /// The `parts` that were read out of the list `said`.
    pub(super) fn new(parts: &'a [Part], said: Option<&Json>) -> Parts<'a> {
        let mut by_label: BTreeMap<&str, Vec<&Part>> = BTreeMap::new();
        for part in parts.iter().filter(|part| !part.label.is_empty()) {
            by_label.entry(&part.label).or_default().push(part);
        }
        // Of two parts with one id the first counts.
        let by_id: BTreeMap<&PartId, &Part> =
            arrange::map_of(parts.iter().rev().map(|part| (&part.id, part)));
        let entries = said.and_then(Json::as_array).map(Vec::as_slice).unwrap_or_default();
        let ids = || entries.iter().map(|entry| entry.get("id").and_then(|id| PartId::new(id.as_str()?)));
        let nameless = ids().any(|id| id.is_none()) || said.is_some_and(|said| !said.is_array());
        let unread = ids().flatten().filter(|id| !by_id.contains_key(id)).collect();
        Parts { by_id, by_label, unread, nameless }
    }

    /// Whether there is a part of this id, read or not.
    fn knows(&self, id: &PartId) -> bool {
        self.by_id.contains_key(id) || self.unread.contains(id)
    }

    /// That a label stands where an id belongs, with what to write there for one part; `None` when `said` is an id or
    /// no label either.
    pub(super) fn label_told(&self, said: &str, written: impl Fn(&PartId) -> String) -> Option<String> {
        if PartId::new(said).is_some_and(|id| self.knows(&id)) {
            return None;
        }
        let parts = self.by_label.get(said)?;
        let (noun, hint) = match parts[..] {
            [one] => ("part", format!("write `{}`", written(&one.id))),
            _ => ("the parts", "name the one that is meant by its id".to_owned()),
        };
        let ids = list_of(parts.iter().map(|part| part.id.as_str()));
        Some(format!("{} is the label of {noun} {ids}; {hint}", quoted(said)))
    }

    /// The part of this id; `None` when there is, or may be, one that could not be read.
    pub(super) fn get(&self, id: &PartId, place: &Place) -> Result<Option<&'a Part>, Problem> {
        match self.by_id.get(id) {
            Some(part) => Ok(Some(part)),
            None if self.nameless || self.unread.contains(id) => Ok(None),
            None => Err(place.problem(format!("there is no part `{id}`"))),
        }
    }
}
