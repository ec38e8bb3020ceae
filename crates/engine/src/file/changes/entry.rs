//! A job as entries of facts, each of which is the same or another.

use std::collections::BTreeMap;

use super::super::said::{Object, Said};
use super::super::write;
use super::Told;
use super::words::{Words, what};
use crate::document::Document;
use crate::ids::PartId;
use crate::kind::ValueSpec;

/// What a job has, in this order.
pub(super) const LISTS: &[&str] = &[
    "card",
    "settings",
    "parts",
    "wires",
    "situations",
    "interlocks",
    "accepted",
    "outline",
    "places",
    "routes",
    "records",
];

/// One part, wire, place and so on.
pub(super) struct Entry {
    pub list: &'static str,
    pub id: String,
    pub title: String,
    /// All of it.
    pub told: Told,
    pub facts: Vec<Fact>,
}

/// One thing that is said of it.
pub(super) struct Fact {
    pub key: String,
    pub what: String,
    pub told: Told,
}

impl Entry {
    /// By what it is known again in another state of the job.
    pub(super) fn key(&self) -> (&'static str, &str) {
        (self.list, &self.id)
    }
}

/// Everything the job says.
pub(super) fn entries(document: &Document) -> Vec<Entry> {
    let Said::Object(Object(job)) = write::job(document) else { return Vec::new() };
    let mut made = Made { document, entries: Vec::new(), named: BTreeMap::new() };
    for (key, said) in job {
        match (&*key, said) {
            // What belongs to the file, not to the vehicle.
            ("format" | "version" | "next_id", _) => {}
            ("plan", Said::Object(Object(plan))) => {
                plan.into_iter().for_each(|(key, said)| made.add(&key, said));
            }
            (key, said) => made.add(key, said),
        }
    }
    made.entries
}

struct Made<'a> {
    document: &'a Document,
    entries: Vec<Entry>,
    /// How many there are of each name in each list.
    named: BTreeMap<(&'static str, String), usize>,
}

impl Made<'_> {
    fn add(&mut self, key: &str, said: Said) {
        let list = LISTS.iter().find(|list| **list == key).expect("every key of a job is listed");
        match said {
            Said::List(entries) => entries.into_iter().for_each(|entry| self.add_one(list, entry)),
            one => self.add_one(list, one),
        }
    }

    fn add_one(&mut self, list: &'static str, said: Said) {
        let words = Words { document: self.document, list };
        let named = id(list, &said);
        // Records, and whatever else may have one name, are told apart by their order.
        let n_same = self.named.entry((list, named.clone())).or_default();
        *n_same += 1;
        let id = if *n_same == 1 { named } else { format!("{named} ({n_same})") };
        let title = words.title(&id);
        let told = Told { json: said.on_one_line(), words: words.of_entry(&said) };
        let values = match list {
            "parts" => {
                PartId::new(&id).and_then(|id| self.document.network.part(&id)).map(|part| part.kind.values)
            }
            _ => None,
        };
        let facts = facts(said, &words, values.unwrap_or_default());
        self.entries.push(Entry { list, id, title, told, facts });
    }
}

/// By what an entry is known again.
fn id(list: &str, said: &Said) -> String {
    let Said::Object(object) = said else { return String::new() };
    let key = match list {
        "card" | "settings" | "outline" => return String::new(),
        "situations" | "interlocks" => "name",
        "records" => "about",
        "accepted" => {
            let at = object.get("at").map(Said::on_one_line).unwrap_or_default();
            return format!("{} {at}", object.text("check"));
        }
        _ => "id",
    };
    object.text(key).to_owned()
}

/// The facts of an entry; `specs` are the values that its part may have.
fn facts(said: Said, words: &Words, specs: &'static [ValueSpec]) -> Vec<Fact> {
    let Said::Object(Object(keys)) = said else { return Vec::new() };
    let mut facts = Vec::new();
    for (key, said) in keys {
        match (&*key, said) {
            ("id", _) => {}
            ("values", Said::Object(values)) => {
                facts.extend(specs.iter().filter_map(|spec| {
                    let said = values.at(spec.name)?;
                    let told = Told { json: said.on_one_line(), words: words.of_value(spec, said) };
                    Some(Fact { key: format!("values.{}", spec.name), what: spec.meaning.to_owned(), told })
                }));
            }
            ("ends", Said::Object(Object(ends))) => {
                facts.extend(ends.into_iter().map(|(end, said)| fact(format!("ends.{end}"), &said, words)));
            }
            (key, said) => facts.push(fact(key.to_owned(), &said, words)),
        }
    }
    facts
}

fn fact(key: String, said: &Said, words: &Words) -> Fact {
    let what = what(words.list, &key);
    let told = Told { json: said.on_one_line(), words: words.of(&key, said) };
    Fact { key, what, told }
}
