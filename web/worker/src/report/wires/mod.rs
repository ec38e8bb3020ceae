//! The wire list: the drawing without the picture. It tells of every part and wire what the drawing shows, and does to
//! the circuit what can be done there, by the same rules.

mod edits;
mod fields;
mod marks;
mod tables;

pub(super) use edits::{carried_out, free_wish};

use engine::answer::{Answer, Request};
use engine::document::{Document, Network, Part};
use engine::ids::TerminalRef;
use engine::post::Report;
use engine::quantity::capital;

use super::markup::Markup;
use super::{Asked, plural, shown, subject};

/// What stands for everything that nobody said and nothing tells.
const NOT_KNOWN: &str = "not known";

/// What the wire list answers on these words; `None` when they ask for nothing that there is.
pub fn answer(asked: &Asked<'_>) -> Option<Report> {
    let network = &asked.document.network;
    Some(match asked.words[..] {
        ["wires"] => shown(page(asked)),
        // What is gone has no form.
        ["wires-form", id] => {
            shown(subject(network, id).and_then(|subject| fields::page(asked, &subject)).unwrap_or_default())
        }
        ["wires-add"] => edits::add(asked)?,
        ["wires-join"] => edits::join(asked),
        ["wires-set", id] if asked.field("field") == Some(fields::POSITION) => {
            edits::position(asked, &subject(network, id)?)?
        }
        ["wires-set", id] => edits::set(asked, &subject(network, id)?)?,
        ["wires-delete", id] => edits::delete(asked, &subject(network, id)?),
        _ => return None,
    })
}

/// What is read and found in the positions at present.
fn now(asked: &Asked<'_>) -> Answer {
    asked.prepared.answer(&Request { revision: 0, situation: asked.situation.clone(), load: None })
}

fn page(asked: &Asked<'_>) -> String {
    let answer = now(asked);
    let mut page = Markup::new();
    page.line("p", "wires-now", &summary(asked));
    page.line("p", "wires-found", &format!("Found: {}.", marks::counts(asked.document, &answer)));
    page.element("section", &[("aria-labelledby", "wires-parts")], |section| {
        title(section, "wires-parts", "Parts");
        edits_of_parts(section, asked.document);
        tables::parts(section, asked.document, &answer);
    });
    page.element("section", &[("aria-labelledby", "wires-wires")], |section| {
        title(section, "wires-wires", "Wires");
        edits_of_wires(section, &asked.document.network);
        tables::wires(section, asked.document, &answer);
    });
    page.done()
}

fn title(section: &mut Markup, id: &str, text: &str) {
    section.element("h3", &[("id", id), ("tabindex", "-1")], |inside| inside.text(text));
}

/// How much there is, and the positions that the readings are of.
fn summary(asked: &Asked<'_>) -> String {
    let network = &asked.document.network;
    let n_parts = plural(network.parts.len() as u64, "part");
    let n_wires = plural(network.wires.len() as u64, "wire");
    format!("{n_parts} and {n_wires}. Readings are of these positions: {}.", asked.situation.name)
}

/// What adds a part: of which kind, and into which wire.
fn edits_of_parts(section: &mut Markup, document: &Document) {
    section.element("div", &[("class", "wires-new")], |row| {
        row.element("label", &[("class", "field")], |label| {
            label.line("span", "caption", "New part");
            label.element("select", &[("name", "kind")], |select| {
                for (heading, kinds) in editor::groups::groups() {
                    select.element("optgroup", &[("label", heading)], |group| {
                        for kind in kinds {
                            group.element("option", &[("value", kind.name)], |option| {
                                option.text(&capital(kind.noun));
                            });
                        }
                    });
                }
            });
        });
        let mut places = vec![(String::new(), "by itself".to_owned())];
        places.extend(document.network.wires.iter().map(|wire| {
            (wire.id.to_string(), format!("in {}, which it cuts in two", tables::in_full(document, wire)))
        }));
        row.select("into", "Where", &as_texts(&places), "");
        act(row, "Add part", "", "wires-add");
    });
}

/// What adds a wire: from where, and to where.
fn edits_of_wires(section: &mut Markup, network: &Network) {
    let mut ends = vec![(String::new(), "choose".to_owned())];
    ends.extend(network.parts.iter().flat_map(|part| terminals(network, part)));
    let from = ends.clone();
    ends.extend(
        network
            .wires
            .iter()
            .map(|wire| (wire.id.to_string(), format!("{}, by a splice put into it", wire.title()))),
    );
    section.element("div", &[("class", "wires-new")], |row| {
        row.select("from", "New wire from", &as_texts(&from), "");
        row.select("to", "To", &as_texts(&ends), "");
        let full = [("splice", "put a splice"), ("anyway", "use it anyway")];
        row.select("full", "Where a terminal is full", &full, "splice");
        act(row, "Add wire", "", "wires-join");
    });
}

/// Every terminal of a part, by its id and as `F1 terminal 1: in`.
fn terminals(network: &Network, part: &Part) -> Vec<(String, String)> {
    let one = |at: TerminalRef| {
        let meaning = network.terminal_meaning(&at).unwrap_or_default();
        (at.to_string(), format!("{} terminal {}: {meaning}", part.title(), at.terminal))
    };
    let refs = part.terminals().into_iter();
    refs.map(|terminal| one(TerminalRef { part: part.id.clone(), terminal: terminal.name })).collect()
}

fn as_texts(pairs: &[(String, String)]) -> Vec<(&str, &str)> {
    pairs.iter().map(|(value, text)| (value.as_str(), text.as_str())).collect()
}

/// Adds a button that does what `words` ask for; `label` is its name where its caption does not say enough.
fn act(row: &mut Markup, caption: &str, label: &str, words: &str) {
    let mut attributes = vec![("type", "button"), ("data-act", words)];
    if !label.is_empty() {
        attributes.push(("aria-label", label));
    }
    row.element("button", &attributes, |button| button.text(caption));
}

#[cfg(test)]
mod tests;
