//! What differs between two states of one job: what was quoted, and what was fitted.
//!
//! ```text
//! document ──write──> what is said ──entry──> entries of facts ──┐
//! document ──write──> what is said ──entry──> entries of facts ──┴──> changes
//! ```
//!
//! It goes by what the file says, so that nothing a job can say is left out, also what is added to jobs later. Parts,
//! wires, places and routes are known again by their ids, which no job gives twice; everything else by its name.

mod entry;
mod words;

use entry::{Entry, Fact, entries};

use crate::arrange::map_of;
use crate::document::Document;

/// One difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The list of the job that it is in, as the file calls it: `parts`, `wires`, `card`.
    pub list: &'static str,
    /// Which entry of the list: an id or a name; empty in `card`, `settings` and `outline`.
    pub id: String,
    /// The entry as a person names it.
    pub title: String,
    /// What of the entry, as the file calls it: `size`, `values.rating_a`; empty when the entry was added or removed.
    pub key: String,
    /// The same as a person calls it; empty with the key.
    pub what: String,
    /// What was said before; `None` when nothing was.
    pub before: Option<Told>,
    /// What is said after; `None` when nothing is.
    pub after: Option<Told>,
}

/// What a job says in one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// As the file writes it, on one line of JSON.
    pub json: String,
    /// As a person says it.
    pub words: String,
}

impl Change {
    /// Whether a part stands elsewhere on the drawing, which changes nothing on the vehicle.
    pub fn is_on_the_drawing(&self) -> bool {
        (self.list, &*self.key) == ("parts", "at")
    }

    /// What is different, without the title of the entry: `size: now 2.5 mm2, was 1.5 mm2`.
    pub fn in_words(&self) -> String {
        let named = |verb: &str, told: &Told| match &*told.words {
            "" => verb.to_owned(),
            words => format!("{verb}: {words}"),
        };
        let what = &self.what;
        match (&self.before, &self.after) {
            (None, Some(after)) if self.key.is_empty() => named("added", after),
            (Some(before), None) if self.key.is_empty() => named("removed", before),
            (Some(before), Some(after)) => format!("{what}: now {}, was {}", after.words, before.words),
            (None, Some(after)) => format!("{what}: now {}, was not said", after.words),
            (Some(before), None) => format!("{what}: no longer said, was {}", before.words),
            (None, None) => what.clone(),
        }
    }
}

/// Everything that differs, in the order of the job.
///
/// Neither the order of entries nor the number of the next id counts: they say nothing about the vehicle.
pub fn changes(before: &Document, after: &Document) -> Vec<Change> {
    let [old, new] = [before, after].map(entries);
    let [in_old, in_new] = [&old, &new].map(|all| map_of(all.iter().map(|entry| (entry.key(), entry))));
    let mut changes = Vec::new();
    for entry in &old {
        match in_new.get(&entry.key()) {
            Some(other) => entry_changes(entry, other, &mut changes),
            None => changes.push(whole(entry, Some(entry.told.clone()), None)),
        }
    }
    let added = new.iter().filter(|entry| !in_old.contains_key(&entry.key()));
    changes.extend(added.map(|entry| whole(entry, None, Some(entry.told.clone()))));
    // What was added stands with its own sort; sorting keeps the order within one.
    changes.sort_by_key(|change| entry::LISTS.iter().position(|list| *list == change.list));
    changes
}

fn whole(entry: &Entry, before: Option<Told>, after: Option<Told>) -> Change {
    Change {
        list: entry.list,
        id: entry.id.clone(),
        title: entry.title.clone(),
        key: String::new(),
        what: String::new(),
        before,
        after,
    }
}

fn entry_changes(old: &Entry, new: &Entry, changes: &mut Vec<Change>) {
    let of =
        |facts: &[Fact], key: &str| facts.iter().find(|fact| fact.key == key).map(|fact| fact.told.clone());
    let added = new.facts.iter().filter(|fact| !old.facts.iter().any(|other| other.key == fact.key));
    for Fact { key, what, .. } in old.facts.iter().chain(added) {
        let (before, after) = (of(&old.facts, key), of(&new.facts, key));
        if before.as_ref().map(|told| &told.json) != after.as_ref().map(|told| &told.json) {
            changes.push(Change { key: key.clone(), what: what.clone(), ..whole(new, before, after) });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::read_json;

    const QUOTED: &str = r#"{
        "format": "loomwright-job", "version": 7,
        "card": { "title": "Work lamp", "revision": "quoted" },
        "settings": { "nominal_v": 12 },
        "parts": [
            { "id": "p1", "kind": "battery", "label": "G1" },
            { "id": "p2", "kind": "fuse", "label": "F1", "values": { "rating_a": 10 } },
            { "id": "p3", "kind": "lamp", "label": "E1", "at": [{ "view": "main", "x": 10, "y": 10, "turn": 0 }] }
        ],
        "wires": [
            { "id": "w1", "label": "W1", "from": "p1.+", "to": "p2.1", "size": { "mm2": 1.5 }, "length_m": 2 },
            { "id": "w2", "label": "W2", "from": "p2.2", "to": "p3.1", "colour": { "base": "RD" } },
            { "id": "w3", "label": "W3", "from": "p3.2", "to": "p1.-" }
        ],
        "situations": [{ "name": "night", "set": {} }]
    }"#;

    fn told(fitted: &[(&str, &str)]) -> Vec<String> {
        let after = fitted.iter().fold(QUOTED.to_owned(), |text, (old, new)| {
            assert_eq!(text.matches(old).count(), 1, "{old}");
            text.replace(old, new)
        });
        let [before, after] = [QUOTED, &after].map(|text| read_json(text).unwrap());
        changes(&before, &after).iter().map(|one| format!("{}: {}", one.title, one.in_words())).collect()
    }

    #[test]
    fn the_same_job_has_no_changes() {
        assert_eq!(told(&[]), [""; 0]);
        // Nor has one in which only the order is another.
        let mut document = read_json(QUOTED).unwrap();
        std::sync::Arc::make_mut(&mut document.network).wires.reverse();
        assert_eq!(changes(&read_json(QUOTED).unwrap(), &document), []);
    }

    #[test]
    fn what_changed_is_told_in_words_and_figures() {
        assert_eq!(
            told(&[
                (r#""revision": "quoted""#, r#""revision": "as fitted""#),
                (r#""rating_a": 10"#, r#""rating_a": 15"#),
                (r#""mm2": 1.5"#, r#""mm2": { "between": [1.5, 2.5] }"#),
                (r#""length_m": 2"#, r#""length_m": 2.125"#),
                (r#"{ "base": "RD" }"#, r#"{ "base": "RD", "stripe": "WH" }"#),
                (r#""x": 10"#, r#""x": 20"#),
                (r#""set": {}"#, r#""set": { "p2": "out" }"#),
            ]),
            [
                "the job: revision: now as fitted, was quoted",
                "fuse F1: rated current: now 15 A, was 10 A",
                "lamp E1: where it stands on the drawing: now view main, x 20, y 10, turn 0, was view main, x 10, y 10, turn 0",
                "wire W1: size: now 1.5 mm2 to 2.5 mm2, was 1.5 mm2",
                "wire W1: length: now 2.125 m, was 2 m",
                "wire W2: colour: now RD-WH, was RD",
                "situation night: positions: now fuse F1 out, was everything at rest",
            ]
        );
    }

    #[test]
    fn what_came_and_went_is_told_as_a_whole() {
        assert_eq!(
            told(&[(r#""id": "w3", "label": "W3""#, r#""id": "w9", "label": "W9", "size": { "awg": 14 }"#)]),
            [
                "wire W3: removed: from lamp E1 terminal 2 to battery G1 terminal -",
                "wire W9: added: from lamp E1 terminal 2 to battery G1 terminal -, 14 AWG",
            ]
        );
    }

    #[test]
    fn values_are_json_of_the_file() {
        let before = read_json(QUOTED).unwrap();
        let after = read_json(&QUOTED.replace("\"mm2\": 1.5", "\"mm2\": 2.5")).unwrap();
        let [change] = &changes(&before, &after)[..] else { panic!() };
        let json = |told: &Option<Told>| told.as_ref().map(|told| told.json.clone());
        assert_eq!((change.list, &*change.id, &*change.key), ("wires", "w1", "size"));
        assert_eq!(json(&change.before).as_deref(), Some(r#"{"mm2":1.5}"#));
        assert_eq!(json(&change.after).as_deref(), Some(r#"{"mm2":2.5}"#));
    }
}
