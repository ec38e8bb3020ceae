//! The answer of `changes`, as text and as JSON.

use engine::document::Document;
use engine::file::changes::{Change, Told};
use engine::quantity::capital;
use serde_json::{Value, json};

use super::harmless;
use super::json::text as reply;
use super::layout::wrapped;

/// What differs, entry by entry.
pub fn text(before: &Document, after: &Document, changes: &[Change]) -> String {
    let mut out = String::new();
    let n_moved = changes.iter().filter(|change| change.is_on_the_drawing()).count();
    let [was, is] = [before, after].map(state);
    wrapped(&mut out, "", &format!("From {was} to {is}: {}.", counted(changes.len() - n_moved, "change")));
    let mut entry = ("", "");
    for change in changes.iter().filter(|change| !change.is_on_the_drawing()) {
        if entry != (change.list, &change.id) {
            entry = (change.list, &change.id);
            out.push_str(&format!("\n{}\n", harmless(&capital(&change.title))));
        }
        wrapped(&mut out, "  ", &change.in_words());
    }
    if n_moved > 0 {
        out.push('\n');
        let stand = if n_moved == 1 { "stands" } else { "stand" };
        wrapped(
            &mut out,
            "",
            &format!("On the drawing alone {} {stand} elsewhere.", counted(n_moved, "part")),
        );
    }
    out
}

fn state(document: &Document) -> String {
    let card = &document.card;
    let title = if card.title.is_empty() { "the job without a title" } else { &card.title };
    let revision = if card.revision.is_empty() { String::new() } else { format!(" ({})", card.revision) };
    format!("{title}{revision}")
}

fn counted(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// The same for programs: each value as the file writes it, null where nothing is said.
pub fn json(before: &Document, after: &Document, changes: &[Change]) -> String {
    let state =
        |document: &Document| json!({ "title": document.card.title, "revision": document.card.revision });
    let changes: Vec<Value> = changes
        .iter()
        .map(|change| {
            json!({
                "list": change.list,
                "id": change.id,
                "key": change.key,
                "before": value(change.before.as_ref()),
                "after": value(change.after.as_ref()),
                "text": format!("{}: {}", change.title, change.in_words()),
            })
        })
        .collect();
    reply(&json!({ "before": state(before), "after": state(after), "changes": changes }))
}

fn value(told: Option<&Told>) -> Value {
    told.map_or(Value::Null, |told| serde_json::from_str(&told.json).expect("the writer of jobs writes JSON"))
}
