//! The two tables of the wire list. On a narrow page each row becomes a block, so every cell carries the name of its
//! column, and the roles of a table are said besides.

use editor::form::{Control, Field, part_fields, wire_fields};
use engine::answer::{Answer, PartReading, WireReading};
use engine::document::{Document, Part, Wire};
use engine::ids::TerminalRef;
use engine::kind::Kind;
use engine::quantity::by_hand;
use engine::subject::Subject;

use super::super::markup::Markup;
use super::{NOT_KNOWN, act, marks};

/// Every part: what it is, where it sits, what was said of it, what is joined to it, what it reads and what was found.
pub fn parts(section: &mut Markup, document: &Document, answer: &Answer) {
    let columns = ["Part", "Kind", "Place", "Values", "Joined to it", "Reads", "Found", "Do"];
    table(section, "wires-parts", &columns, document.network.parts.iter(), |row, part| {
        let subject = Subject::Part(part.id.clone());
        let fields = part_fields(document, part);
        row.name(part.title());
        row.text(part.kind.noun);
        row.text(&place(&fields));
        row.text(&values(part.kind, &fields));
        row.cell(|cell| joined(cell, document, part));
        row.text(&part_reading(answer, part));
        row.findings(document, answer, &subject);
        row.buttons(&part.id.to_string(), &subject.title(&document.network));
    });
}

/// Every wire: where it leads, what it is, what it carries and loses, and what was found.
pub fn wires(section: &mut Markup, document: &Document, answer: &Answer) {
    let network = &document.network;
    let columns = ["Wire", "From", "To", "Size", "Colour", "Length", "Carries", "Loses", "Found", "Do"];
    table(section, "wires-wires", &columns, network.wires.iter(), |row, wire| {
        let subject = Subject::Wire(wire.id.clone());
        let fields = wire_fields(&document.plan, wire);
        let reading = answer.wires.iter().find(|reading| reading.id == wire.id);
        let (carries, loses) = wire_readings(reading);
        row.name(wire.title());
        row.text(&network.terminal_in_full(&wire.from));
        row.text(&network.terminal_in_full(&wire.to));
        row.text(&said(&fields, "size"));
        row.text(&color(&fields));
        row.text(&said(&fields, "length_m"));
        row.text(&carries);
        row.text(&loses);
        row.findings(document, answer, &subject);
        row.buttons(&wire.id.to_string(), &subject.title(network));
    });
}

/// A wire with where it leads: `W3, fuse F1:2 to lamp E1:1`.
pub fn in_full(document: &Document, wire: &Wire) -> String {
    let name = |end: &TerminalRef| document.network.terminal_in_full(end);
    format!("{}, {} to {}", wire.title(), name(&wire.from), name(&wire.to))
}

/// A row in the making: it knows which column comes next.
struct Row<'a> {
    markup: &'a mut Markup,
    columns: std::slice::Iter<'a, &'static str>,
}

impl Row<'_> {
    fn name(&mut self, text: &str) {
        self.columns.next();
        let attributes = [("role", "rowheader"), ("scope", "row"), ("dir", "auto")];
        self.markup.element("th", &attributes, |cell| cell.text(text));
    }

    fn cell(&mut self, fill: impl FnOnce(&mut Markup)) {
        let column = self.columns.next().copied().unwrap_or_default();
        let attributes = [("role", "cell"), ("data-column", column)];
        self.markup.element("td", &attributes, fill);
    }

    fn text(&mut self, text: &str) {
        let text = if text.is_empty() { NOT_KNOWN } else { text };
        self.cell(|cell| cell.line("span", "", text));
    }

    fn findings(&mut self, document: &Document, answer: &Answer, subject: &Subject) {
        self.cell(|cell| match marks::about(answer, subject).as_slice() {
            [] => cell.line("span", "", "nothing"),
            [worst, others @ ..] => {
                marks::line(cell, document, worst);
                if !others.is_empty() {
                    cell.line("p", "hint", &format!("and {} more", others.len()));
                }
            }
        });
    }

    fn buttons(&mut self, id: &str, title: &str) {
        self.cell(|cell| {
            let label = format!("Change {title}");
            let attributes = [("type", "button"), ("data-form", id), ("aria-label", label.as_str())];
            cell.element("button", &attributes, |button| button.text("Change"));
            act(cell, "Delete", &format!("Delete {title}"), &format!("wires-delete {id}"));
        });
    }
}

fn table<T>(
    section: &mut Markup,
    title: &str,
    columns: &[&'static str],
    things: impl ExactSizeIterator<Item = T>,
    fill: impl Fn(&mut Row<'_>, T),
) {
    if things.len() == 0 {
        return section.line("p", "hint", "None yet.");
    }
    section.element("table", &[("role", "table"), ("aria-labelledby", title)], |table| {
        table.element("thead", &[("role", "rowgroup")], |head| {
            head.element("tr", &[("role", "row")], |row| {
                for column in columns {
                    let attributes = [("role", "columnheader"), ("scope", "col")];
                    row.element("th", &attributes, |cell| cell.text(column));
                }
            });
        });
        table.element("tbody", &[("role", "rowgroup")], |body| {
            for thing in things {
                body.element("tr", &[("role", "row")], |markup| {
                    fill(&mut Row { markup, columns: columns.iter() }, thing);
                });
            }
        });
    });
}

/// What a field says, as it is shown and with its unit; empty when nothing was said.
fn shown(field: &Field) -> String {
    match &field.control {
        Control::Text => field.text.clone(),
        Control::Number(units) if !field.text.is_empty() => {
            format!("{} {}", field.text, units.first().copied().unwrap_or_default()).trim().to_owned()
        }
        Control::Number(_) => String::new(),
        Control::Choice(choices) => {
            let chosen = choices.iter().find(|(stored, _)| !stored.is_empty() && *stored == field.text);
            chosen.map_or_else(String::new, |(_, shown)| shown.clone())
        }
    }
}

fn said(fields: &[Field], name: &str) -> String {
    fields.iter().find(|field| field.name == name).map(shown).unwrap_or_default()
}

/// The place on the vehicle plan, and else what the surroundings are.
fn place(fields: &[Field]) -> String {
    let all = [said(fields, "place"), said(fields, "surroundings")];
    all.into_iter().find(|text| !text.is_empty()).unwrap_or_default()
}

/// What was said of the values of its kind: `rated current 10 A`.
fn values(kind: &Kind, fields: &[Field]) -> String {
    let of_kind = fields.iter().filter(|field| kind.value(field.name).is_some());
    let said = of_kind.map(|field| (field, shown(field))).filter(|(_, text)| !text.is_empty());
    said.map(|(field, text)| format!("{} {text}", field.caption)).collect::<Vec<_>>().join("; ")
}

fn color(fields: &[Field]) -> String {
    match (said(fields, "base"), said(fields, "stripe")) {
        (base, stripe) if stripe.is_empty() => base,
        (base, stripe) => format!("{base} with {stripe}"),
    }
}

/// What is joined to each terminal, a line for each.
fn joined(cell: &mut Markup, document: &Document, part: &Part) {
    let network = &document.network;
    for terminal in part.terminals() {
        let at = TerminalRef { part: part.id.clone(), terminal: terminal.name };
        let far = |wire: &Wire| {
            let other = if wire.from == at { &wire.to } else { &wire.from };
            format!("{} to {}", wire.title(), network.terminal_title(other))
        };
        let wires: Vec<String> = network.wires_at(&at).map(far).collect();
        let wires = if wires.is_empty() { "no wire".to_owned() } else { wires.join(", ") };
        cell.line("div", "", &format!("{}: {wires}", at.terminal));
    }
}

/// What a part reads in one line; empty when nothing is known.
pub fn part_reading(answer: &Answer, part: &Part) -> String {
    let found = answer.parts.iter().find(|reading| reading.id == part.id);
    let Some(PartReading { state, words, loads, assumed, .. }) = found else { return String::new() };
    let mut all: Vec<String> = [state, &words.amps, &words.volts].into_iter().flatten().cloned().collect();
    for (name, on, words) in loads {
        let told: Vec<&str> = [on, &words.amps].into_iter().flatten().map(String::as_str).collect();
        all.push(format!("{name}: {}", told.join(", ")));
    }
    let about = if *assumed && !all.is_empty() { "≈ " } else { "" };
    by_hand(&format!("{about}{}", all.join(" · ")))
}

/// What a wire carries, and what is lost along it; empty when that is not known.
pub fn wire_readings(reading: Option<&WireReading>) -> (String, String) {
    let Some(WireReading { amps, drop, share, assumed, .. }) = reading else {
        return (String::new(), String::new());
    };
    let about = if *assumed { "≈ " } else { "" };
    let loses = drop.as_ref().map(|drop| match share {
        Some(share) => format!("{about}{drop} ({share})"),
        None => format!("{about}{drop}"),
    });
    let carries = amps.as_ref().map(|amps| format!("{about}{amps}"));
    (carries.unwrap_or_default(), loses.unwrap_or_default())
}
