//! The card and the parts of the workshop. The page keeps them, as the text of their file on one line, and brings them
//! with every question in the field `workshop`; here they are read, changed and put into the job.
//!
//! What changes them is answered with `ok` and the new text below it, or with `no` and the reason.

use std::sync::Arc;

use editor::form::{Control, Field, changed_settings, part_fields, settings_fields};
use engine::document::{Card, Document, Edit, Part, Settings};
use engine::file::workshop::{self, OwnPart, Picture, Workshop, WorkshopCard};
use engine::ids::PartId;
use engine::post::Report;
use engine::quantity::capital;

use super::markup::Markup;
use super::wires::{carried_out, free_wish};
use super::{Asked, shown};

/// The settings that a workshop sets once; the others go by the vehicle.
const ONCE: [&str; 7] = [
    "nominal_v",
    "slack_percent",
    "end_m",
    "drop_look_percent",
    "drop_stop_percent",
    "current_table",
    "fuse_rule",
];

/// The lines of an address.
const LINES: [&str; 4] = ["address1", "address2", "address3", "address4"];

/// What the page keeps; an empty one where that is nothing, or cannot be read.
pub fn kept(asked: &Asked<'_>) -> Workshop {
    asked.field("workshop").and_then(|text| workshop::read(text).ok()).unwrap_or_default()
}

/// Answers; `None` when the words ask for nothing that there is.
pub fn answer(asked: &Asked<'_>) -> Option<Report> {
    Some(match asked.words[..] {
        ["workshop-card"] => shown(card_form(&kept(asked).card)),
        ["workshop-keep"] => told(changed_card(asked)),
        ["workshop-open"] => told(opened(asked.field("text")?)),
        ["workshop-file"] => shown(workshop::write(&kept(asked))),
        ["workshop-parts"] => shown(parts_list(&kept(asked).parts)),
        ["workshop-change", number] => told(changed_part(asked, number.parse().ok()?)),
        ["workshop-delete", number] => told(without_part(asked, number.parse().ok()?)),
        ["workshop-part", id] => shown(of_part(asked, part(asked, id)?)),
        ["workshop-save", id] => told(saved(asked, part(asked, id)?)),
        ["workshop-fill", id, number] => filled(asked, part(asked, id)?, number.parse().ok()?)?,
        ["workshop-put", number] => put(asked, number.parse().ok()?)?,
        ["workshop-begin"] => begun(asked, false),
        ["workshop-begin", "circuit"] => begun(asked, true),
        _ => return None,
    })
}

fn told(changed: Result<Workshop, String>) -> Report {
    shown(match changed {
        Ok(workshop) => format!("ok\n{}", workshop::write_on_one_line(&workshop)),
        Err(why) => format!("no\n{why}"),
    })
}

/// What was changed, if it reads back: the reader has the limits.
fn checked(workshop: Workshop) -> Result<Workshop, String> {
    workshop::read(&workshop::write(&workshop)).map_err(|error| error.to_string())
}

fn part<'a>(asked: &Asked<'a>, id: &str) -> Option<&'a Part> {
    asked.document.network.part(&PartId::new(id)?)
}

/// The card as a form, but its picture, which only the page can draw smaller.
fn card_form(card: &WorkshopCard) -> String {
    let mut page = Markup::new();
    page.field("name", "Name of the workshop", &card.name);
    for (number, name) in LINES.into_iter().enumerate() {
        let line = card.address.get(number).map_or("", String::as_str);
        page.field(name, &format!("Address, line {}", number + 1), line);
    }
    page.field("contact", "Telephone, mail", &card.contact);
    page.heading("A new job begins with");
    page.field("drawn_by", "Drawn by", &card.drawn_by);
    page.field("next_number", "Number of the next job", &card.next_number);
    let papers =
        [("", "As used last"), ("A4", "A4"), ("A3", "A3"), ("Letter", "Letter"), ("Tabloid", "Tabloid")];
    page.select("paper", "Paper of a handover", &papers, card.paper.unwrap_or_default());
    let settings = Arc::new(card.settings.clone().unwrap_or_default());
    let job = Document { settings, ..Document::default() };
    for field in settings_fields(&job).iter().filter(|field| ONCE.contains(&field.name)) {
        setting(&mut page, field);
    }
    page.done()
}

fn setting(page: &mut Markup, field: &Field) {
    match &field.control {
        Control::Choice(choices) => {
            let choices: Vec<(&str, &str)> =
                choices.iter().map(|(value, title)| (value.as_str(), title.as_str())).collect();
            page.select(field.name, &field.caption, &choices, &field.text);
        }
        Control::Number(_) | Control::Text => {
            // What is usual stands in the empty field with its unit.
            page.element("label", &[("class", "field")], |label| {
                label.line("span", "caption", &field.caption);
                let usual = field.assumed.as_str();
                label.open(
                    "input",
                    &[
                        ("type", "text"),
                        ("inputmode", "decimal"),
                        ("name", field.name),
                        ("value", &field.text),
                        ("placeholder", usual),
                        ("maxlength", "20"),
                    ],
                );
            });
        }
    }
}

/// The card as it was filled in.
fn changed_card(asked: &Asked<'_>) -> Result<Workshop, String> {
    let Workshop { card, parts } = kept(asked);
    let says = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    let mut address: Vec<String> = LINES.map(says).into();
    address.retain(|line| !line.is_empty());
    let mut settings = Settings::default();
    for name in ONCE {
        let text = says(name);
        if name != "nominal_v" || !text.is_empty() {
            settings = changed_settings(&Arc::new(settings), name, &text)
                .map_err(|why| format!("{}: {why}", capital(&caption(name))))?;
        }
    }
    let paper = says("paper");
    let picture = match asked.field("picture") {
        Some("") => None,
        Some(text) => Some(Picture::of(text).map_err(|why| format!("The picture is not taken: {why}."))?),
        None => card.picture,
    };
    let card = WorkshopCard {
        name: says("name"),
        address,
        contact: says("contact"),
        drawn_by: says("drawn_by"),
        next_number: says("next_number"),
        paper: sheets::Paper::NAMES.into_iter().map(|(_, name)| name).find(|name| *name == paper),
        settings: (settings != Settings::default()).then_some(settings),
        picture,
    };
    checked(Workshop { card, parts })
}

fn caption(name: &str) -> String {
    let fields = settings_fields(&Document::default());
    fields.into_iter().find(|field| field.name == name).map_or_else(String::new, |field| field.caption)
}

/// A file that was picked: its ends of lines and its percent signs are written `%0A` and `%25`.
fn opened(text: &str) -> Result<Workshop, String> {
    workshop::read(&text.replace("%0A", "\n").replace("%25", "%")).map_err(|error| error.to_string())
}

/// Every part with what can be done with it.
fn parts_list(parts: &[OwnPart]) -> String {
    let mut page = Markup::new();
    if parts.is_empty() {
        page.line(
            "p",
            "hint",
            "None yet. Select a part of the drawing, and tap “My parts” below its values.",
        );
    }
    for (number, own) in parts.iter().enumerate() {
        let number = number.to_string();
        page.element("details", &[("class", "own"), ("data-own", &number)], |row| {
            row.line("summary", "", &own.name);
            row.line("p", "", &in_words(own));
            row.field("name", "Name", &own.name);
            row.field("order", "Order number", &own.order);
            row.field("price", "Price with its currency", &own.price);
            row.element("div", &[("class", "row")], |row| {
                for (does, says) in
                    [("put", "Put it on the drawing"), ("change", "Keep changes"), ("delete", "Delete")]
                {
                    row.element("button", &[("type", "button"), ("data-do", does)], |button| {
                        button.text(says)
                    });
                }
            });
        });
    }
    page.done()
}

/// A part in words: what it is, and what is known of it.
fn in_words(own: &OwnPart) -> String {
    let document = Document::default();
    let part = Part { values: own.values.clone(), ..new_part(own) };
    let fields = part_fields(&document, &part);
    let known = fields.iter().filter(|field| own.kind.value(field.name).is_some() && !field.text.is_empty());
    let values: Vec<String> = known
        .map(|field| match &field.control {
            Control::Number(units) => {
                let unit = units.first().copied().unwrap_or_default();
                format!("{} {} {unit}", field.caption, field.text).trim_end().to_owned()
            }
            Control::Choice(choices) => {
                let title = choices.iter().find(|(value, _)| *value == field.text);
                format!("{} {}", field.caption, title.map_or(field.text.as_str(), |(_, title)| title))
            }
            Control::Text => format!("{} {}", field.caption, field.text),
        })
        .collect();
    let kind = capital(own.kind.noun);
    if values.is_empty() { format!("{kind}; no values.") } else { format!("{kind}: {}.", values.join("; ")) }
}

fn new_part(own: &OwnPart) -> Part {
    Part {
        id: PartId::new("own").expect("letters are an id"),
        kind: own.kind,
        label: String::new(),
        status: Default::default(),
        surroundings: None,
        place: None,
        values: Default::default(),
    }
}

fn changed_part(asked: &Asked<'_>, number: usize) -> Result<Workshop, String> {
    let mut workshop = kept(asked);
    let own = workshop.parts.get_mut(number).ok_or("This part is no longer there.")?;
    let says = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    (own.name, own.order, own.price) = (says("name"), says("order"), says("price"));
    if own.name.is_empty() {
        return Err("A part needs a name.".to_owned());
    }
    checked(workshop)
}

fn without_part(asked: &Asked<'_>, number: usize) -> Result<Workshop, String> {
    let mut workshop = kept(asked);
    if number < workshop.parts.len() {
        workshop.parts.remove(number);
    }
    Ok(workshop)
}

/// What can be done with a part of the job: keep it, or fill it with one of its kind.
fn of_part(asked: &Asked<'_>, part: &Part) -> String {
    let workshop = kept(asked);
    let mut page = Markup::new();
    page.line("p", "", &in_words(&OwnPart::of(part, "")));
    let of_kind: Vec<_> =
        workshop.parts.iter().enumerate().filter(|(_, own)| own.kind.name == part.kind.name).collect();
    page.heading(&format!("Fill {} with one of my parts", part.title()));
    if of_kind.is_empty() {
        page.line("p", "hint", &format!("None of your parts is a {}.", part.kind.noun));
    }
    for (number, own) in of_kind {
        let does = number.to_string();
        page.line("p", "", &format!("{}. {}", own.name, in_words(own)));
        let attributes = [("type", "button"), ("data-do", "fill"), ("data-own", does.as_str())];
        page.element("button", &attributes, |button| button.text(&format!("Take {}", own.name)));
    }
    page.heading(&format!("Save {} to my parts", part.title()));
    page.field("name", "Name", &format!("{} {}", capital(part.kind.noun), part.title()));
    page.field("order", "Order number", "");
    page.field("price", "Price with its currency", "");
    page.element("button", &[("type", "button"), ("data-do", "save")], |button| {
        button.text("Save to my parts")
    });
    page.done()
}

fn saved(asked: &Asked<'_>, part: &Part) -> Result<Workshop, String> {
    let mut workshop = kept(asked);
    let says = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    if says("name").is_empty() {
        return Err("A part needs a name.".to_owned());
    }
    let own = OwnPart { order: says("order"), price: says("price"), ..OwnPart::of(part, &says("name")) };
    workshop.parts.push(own);
    checked(workshop)
}

/// Gives a part of the job the values of one of the workshop's, in one step to undo.
fn filled(asked: &Asked<'_>, part: &Part, number: usize) -> Option<Report> {
    let workshop = kept(asked);
    let own = workshop.parts.get(number).filter(|own| own.kind.name == part.kind.name)?;
    let label = format!("change {}", part.title());
    Some(carried_out(asked, |session| {
        session.edit(&label, Edit::ChangePart(own.filled(part))).map_err(|error| error.to_string())
    }))
}

/// Adds a part where there is room, with the values of one of the workshop's, in one step to undo.
fn put(asked: &Asked<'_>, number: usize) -> Option<Report> {
    let workshop = kept(asked);
    let own = workshop.parts.get(number)?;
    Some(carried_out(asked, |session| {
        let at = free_wish(session);
        let id = session.put(own.kind, at).map_err(|error| error.to_string())?;
        let part = session.document().network.part(&id).cloned();
        let part = part.ok_or("the part was not added")?;
        let label = format!("add {}", own.kind.noun);
        session.edit(&label, Edit::ChangePart(own.filled(&part))).map_err(|error| error.to_string())
    }))
}

/// Gives an empty job, or a ready circuit, what the card has for a new one, in one step to undo; a circuit keeps its settings.
/// The markup tells whether the number was used.
fn begun(asked: &Asked<'_>, is_circuit: bool) -> Report {
    let WorkshopCard { drawn_by, next_number, settings, .. } = kept(asked).card;
    let document = asked.document;
    if !is_circuit && !document.network.parts.is_empty() {
        return Report::default();
    }
    let mut card = Card::clone(&document.card);
    let takes_number = card.number.is_empty() && !next_number.is_empty();
    if takes_number {
        card.number = next_number;
    }
    if card.drawn_by.is_empty() {
        card.drawn_by = drawn_by;
    }
    let settings = settings.filter(|_| !is_circuit);
    let settings = settings.unwrap_or_else(|| Settings::clone(&document.settings));
    let label = "begin with the workshop card";
    let mut report = carried_out(asked, |session| {
        session
            .edit_all(label, &[Edit::Card(card), Edit::Settings(settings)])
            .map_err(|error| error.to_string())
    });
    report.markup = if takes_number { "used" } else { "" }.to_owned();
    report
}

#[cfg(test)]
mod tests;
