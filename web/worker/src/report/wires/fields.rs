//! One part or wire of the wire list with everything that can be said of it.

use editor::form::{Control, Field, part_fields, wire_fields};
use engine::answer::Answer;
use engine::document::{Document, Part, Wire};
use engine::quantity::capital;
use engine::subject::Subject;

use super::super::Asked;
use super::super::markup::Markup;
use super::{NOT_KNOWN, act, marks, now, tables};

/// The name of the field that sets a part, beside those of the form.
pub const POSITION: &str = "position-now";

/// The page of one thing; `None` for what is neither part nor wire.
pub fn page(asked: &Asked<'_>, subject: &Subject) -> Option<String> {
    let document = asked.document;
    let (fields, part, heading) = match subject {
        Subject::Part(id) => {
            let part = document.network.part(id)?;
            (part_fields(document, part), Some(part), subject.title(&document.network))
        }
        Subject::Wire(id) => {
            let wire = document.network.wire(id)?;
            let heading = format!("wire {}", tables::in_full(document, wire));
            (wire_fields(&document.plan, wire), None, heading)
        }
        _ => return None,
    };
    let answer = now(asked);
    let mut page = Markup::new();
    page.element("div", &[("class", "wires-told")], |told| {
        told.element("h3", &[("dir", "auto"), ("tabindex", "-1")], |inside| inside.text(&capital(&heading)));
        told.line("p", "reading", &reading(document, &answer, subject));
        told.line(
            "p",
            "wires-found",
            &format!("Found in the whole job: {}.", marks::counts(document, &answer)),
        );
        for finding in marks::about(&answer, subject) {
            marks::line(told, document, finding);
        }
    });
    let words = format!("wires-set {}", subject.id());
    page.element("div", &[("class", "wires-fields"), ("data-set", words.as_str())], |form| {
        if let Some(field) = part.and_then(|part| position(asked, part)) {
            control(form, &field);
        }
        fields.iter().for_each(|field| control(form, field));
    });
    page.element("div", &[("class", "wires-new")], |row| {
        row.element("button", &[("type", "button"), ("data-back", "")], |button| {
            button.text("Back to the list");
        });
        act(
            row,
            "Delete",
            &format!("Delete {}", subject.title(&document.network)),
            &format!("wires-delete {}", subject.id()),
        );
    });
    Some(page.done())
}

fn reading(document: &Document, answer: &Answer, subject: &Subject) -> String {
    let or_not_known = |text: String| if text.is_empty() { NOT_KNOWN.to_owned() } else { text };
    match subject {
        Subject::Part(id) => {
            let part = document.network.part(id);
            let text = part.map(|part| tables::part_reading(answer, part)).unwrap_or_default();
            format!("Reads: {}", or_not_known(text))
        }
        Subject::Wire(id) => {
            let is_it = |wire: &&Wire| wire.id == *id;
            let wire = document.network.wires.iter().find(is_it);
            let found = wire.and_then(|wire| answer.wires.iter().find(|reading| reading.id == wire.id));
            let (carries, loses) = tables::wire_readings(found);
            format!("Carries: {}. Loses: {}.", or_not_known(carries), or_not_known(loses))
        }
        _ => String::new(),
    }
}

/// The position of a part at present, which is no value of the job; none for what has no positions.
fn position(asked: &Asked<'_>, part: &Part) -> Option<Field> {
    let positions = part.positions();
    let rest = positions.first().filter(|_| positions.len() > 1)?;
    let at = asked.situation.set.get(&part.id).map_or(*rest, String::as_str);
    let choices = positions.iter().map(|one| ((*one).to_owned(), (*one).to_owned())).collect();
    Some(Field {
        name: POSITION,
        caption: "Position now".to_owned(),
        control: Control::Choice(choices),
        text: at.to_owned(),
        assumed: String::new(),
        note: String::new(),
        differs: false,
    })
}

fn control(form: &mut Markup, field: &Field) {
    let (id, why) = (format!("wires-{}", field.name), format!("wires-{}-why", field.name));
    form.element("div", &[("class", "field")], |row| {
        row.element("label", &[("class", "caption"), ("for", id.as_str())], |label| {
            label.text(&field.caption)
        });
        let own = [("id", id.as_str()), ("data-field", field.name), ("aria-describedby", why.as_str())];
        match &field.control {
            Control::Choice(choices) => choice(row, &own, choices, &field.text),
            Control::Text => input(row, &own, field, ""),
            Control::Number(units) => row.element("span", &[("class", "entry")], |entry| {
                input(entry, &own, field, units.first().copied().unwrap_or_default());
                // Any of them may stand behind the number.
                entry.line("span", "unit", &units.join(" or "));
            }),
        }
        row.element("span", &[("id", why.as_str()), ("class", "refused"), ("role", "alert")], |_| {});
    });
}

fn choice(row: &mut Markup, own: &[(&str, &str)], choices: &[(String, String)], chosen: &str) {
    row.element("select", own, |select| {
        for (stored, shown) in choices {
            let mut attributes = vec![("value", stored.as_str())];
            if stored == chosen {
                attributes.push(("selected", ""));
            }
            select.element("option", &attributes, |option| option.text(shown));
        }
    });
}

fn input(row: &mut Markup, own: &[(&str, &str)], field: &Field, unit: &str) {
    let is_number = matches!(field.control, Control::Number(_));
    let hint = match (field.assumed.is_empty(), is_number) {
        (false, _) => format!("{} assumed", field.assumed),
        (true, true) => NOT_KNOWN.to_owned(),
        (true, false) => String::new(),
    };
    let mut attributes = own.to_vec();
    attributes.extend([
        ("type", "text"),
        ("dir", "auto"),
        ("autocomplete", "off"),
        ("inputmode", if is_number { "decimal" } else { "text" }),
        ("data-unit", unit),
        ("placeholder", hint.as_str()),
        ("value", field.text.as_str()),
    ]);
    row.open("input", &attributes);
}
