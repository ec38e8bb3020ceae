//! The answer of `mistakes`, as text and as JSON.

use engine::circuit::Circuit;
use engine::document::Document;
use engine::mistakes::{Effect, Harm, Row, Table};
use serde_json::{Value, json};

use super::assumed;
use super::json::{rules, subject, text as reply};
use super::layout::wrapped;

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, table: &Table) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    let n_effects: usize = table.rows.iter().map(|row| row.effects.len()).sum();
    let (mistakes, situations) = (table.rows.len(), table.situations.len());
    let head = format!(
        "{mistakes} single mistakes in {situations} situations; {n_effects} times one does anything."
    );
    wrapped(&mut out, "", &head);
    out.push_str("Calculated, not measured. How likely a mistake is, is not told.\n");
    for harm in Harm::ALL {
        let rows: Vec<&Row> = table.rows.iter().filter(|row| row.harm == harm).collect();
        if rows.is_empty() {
            continue;
        }
        out.push('\n');
        let meaning = harm.meaning();
        wrapped(&mut out, "", &format!("{} where {meaning}", rows.len()));
        for row in rows {
            entry(&mut out, document, table, row);
        }
    }
    assumed::for_checks(&mut out, circuit);
    out
}

/// A mistake, what it does where that is worst, and in how many situations it does anything.
fn entry(out: &mut String, document: &Document, table: &Table, row: &Row) {
    let Some(effect) = row.worst() else {
        let lost = row.unprotected.as_ref().map(|lost| format!(": {}", lost.in_words(&document.network)));
        return wrapped(out, "  ", &format!("{}{}", row.words, lost.unwrap_or_default()));
    };
    let when = match (table.when(effect), row.effects.len() - 1) {
        (when, 0) => when.to_owned(),
        (when, 1) => format!("{when}, and in 1 other situation"),
        (when, more) => format!("{when}, and in {more} other situations"),
    };
    wrapped(out, "  ", &format!("{}: {}", row.words, effect.in_words(&document.network)));
    wrapped(out, "      ", &when);
}

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, table: &Table) -> String {
    reply(&json!({
        "job": document.card.title,
        "situations": table.situations,
        "mistakes": table.rows.iter().map(mistake).collect::<Vec<_>>(),
        "rules": rules(circuit),
    }))
}

fn mistake(row: &Row) -> Value {
    json!({
        "subject": subject(&row.fault.subject),
        "what": row.words,
        "harm": row.harm.word(),
        "effects": row.effects.iter().map(effect).collect::<Vec<_>>(),
        "unprotected": row.unprotected.as_ref().map(|lost| json!({
            "rating_a": lost.rating.get(),
            "wires": lost.wires.iter().map(subject).collect::<Vec<_>>(),
        })),
    })
}

fn effect(effect: &Effect) -> Value {
    let loads = effect.loads.iter().map(|load| {
        json!({ "subject": subject(&load.subject), "load": load.name, "was": load.was.word(), "is": load.is.word() })
    });
    let relays = effect.relays.iter().map(|(relay, on)| json!({ "subject": subject(relay), "on": on }));
    let opens = effect.opens.iter().map(
        |(fuse, amps, seconds)| json!({ "subject": subject(fuse), "amps": amps.get(), "at_most_s": seconds }),
    );
    let hot = effect.hot.iter().map(|(wire, amps, stands, seconds)| {
        json!({ "subject": subject(wire), "amps": amps.get(), "stands_a": stands.get(), "for_s": seconds })
    });
    json!({
        "situation": effect.situation,
        "harm": effect.harm.word(),
        "verdict": effect.verdict.word(),
        "broken": effect.broken,
        "loads": loads.collect::<Vec<_>>(),
        "relays": relays.collect::<Vec<_>>(),
        "opens": opens.collect::<Vec<_>>(),
        "hot": hot.collect::<Vec<_>>(),
        "joint": effect.joint.map(|(watts, ohm)| json!({ "watts": watts, "ohm": ohm.get() })),
    })
}
