//! What every single mistake would do, the worst first or thing by thing.

use engine::laid;
use engine::mistakes::{Harm, Row, Table, table};
use engine::post::Report;
use engine::quantity::{by_hand, capital};
use engine::subject::Subject;
use engine::sweep::Progress;

use super::markup::Markup;
use super::{Asked, plural};

/// The orders in which mistakes may be told, with what each is called.
const ORDERS: [(&str, &str); 2] = [("worst", "the worst first"), ("thing", "wire by wire and part by part")];

/// What the table is, and the button that begins it.
pub fn page() -> String {
    let mut page = Markup::new();
    page.line("p", "hint", "Every single mistake in every wire, part and terminal, tried in each situation: what fails, what works unasked, which fuse opens, what gets hot, and what nobody would notice.");
    begin(&mut page, "Try every mistake", ORDERS[0].0);
    page.done()
}

fn begin(page: &mut Markup, caption: &str, order: &str) {
    page.select("order", "Order", &ORDERS, order);
    page.element("div", &[("class", "row")], |row| row.button_long(caption, "mistaken"));
}

/// Tries every mistake.
pub fn mistaken(asked: &Asked<'_>, progress: Progress<'_>) -> Report {
    let circuit = laid::circuit(asked.document);
    let table = table(&circuit, &asked.document.situations, &asked.document.interlocks, progress);
    let order = asked.field("order").unwrap_or(ORDERS[0].0);
    let (mistakes, situations) =
        (plural(table.rows.len() as u64, "mistake"), plural(table.situations.len() as u64, "situation"));
    let said = format!("{mistakes} tried in {situations}.");
    let mut page = Markup::new();
    page.heading(&said);
    if table.is_cut_off {
        page.paragraph("It was stopped before all of them were tried.");
    }
    begin(&mut page, "Try again", order);
    match order {
        "thing" => by_thing(&mut page, asked, &table),
        _ => by_harm(&mut page, asked, &table),
    }
    page.line("p", "hint", "Calculated, not measured. How likely a mistake is, is not told.");
    Report { markup: page.done(), said, ..Report::default() }
}

fn by_harm(page: &mut Markup, asked: &Asked<'_>, table: &Table) {
    for harm in Harm::ALL {
        let rows: Vec<&Row> = table.rows.iter().filter(|row| row.harm == harm).collect();
        // What burns is read without opening anything.
        group(page, asked, table, &rows, &capital(harm.meaning()), harm == Harm::Burns);
    }
}

fn by_thing(page: &mut Markup, asked: &Asked<'_>, table: &Table) {
    let network = &asked.document.network;
    let wires = network.wires.iter().map(|wire| Subject::Wire(wire.id.clone()));
    let parts = network.parts.iter().map(|part| Subject::Part(part.id.clone()));
    for subject in wires.chain(parts) {
        let rows: Vec<&Row> = table.rows.iter().filter(|row| row.fault.subject == subject).collect();
        group(page, asked, table, &rows, &capital(&subject.title(network)), false);
    }
}

/// Some mistakes under one heading that opens them.
fn group(page: &mut Markup, asked: &Asked<'_>, table: &Table, rows: &[&Row], title: &str, is_open: bool) {
    if rows.is_empty() {
        return;
    }
    let attributes = if is_open { &[("open", "")][..] } else { &[] };
    page.element("details", attributes, |group| {
        group.line("summary", "", &format!("{title}: {}", plural(rows.len() as u64, "mistake")));
        group.element("ul", &[("class", "mistakes")], |list| {
            for row in rows {
                list.element("li", &[], |entry| told(entry, asked, table, row));
            }
        });
    });
}

/// A mistake, what it does where that is worst, and where it is on the drawing.
fn told(entry: &mut Markup, asked: &Asked<'_>, table: &Table, row: &Row) {
    entry.strong(&format!("{}.", capital(&by_hand(&row.words))), "");
    if let Some(effect) = row.worst() {
        let words = by_hand(&effect.in_words(&asked.document.network));
        entry.paragraph(&format!("{}.", capital(&words)));
        let when = capital(table.when(effect));
        let more = match row.effects.len() - 1 {
            0 => String::new(),
            others => format!(", and in {}", plural(others as u64, "other situation")),
        };
        entry.line("p", "hint", &format!("{when}{more}."));
    } else if let Some(lost) = &row.unprotected {
        let words = by_hand(&lost.in_words(&asked.document.network));
        entry.paragraph(&format!("{}.", capital(&words)));
    } else {
        entry.line("p", "hint", "Nothing changes in any of these situations.");
    }
    let id = row.fault.subject.part().map_or_else(|| row.fault.subject.id(), ToString::to_string);
    entry.element("div", &[("class", "row")], |buttons| buttons.button("Show where", &format!("show {id}")));
}
