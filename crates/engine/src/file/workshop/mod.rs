//! What a workshop keeps apart from its jobs: its card, and the parts that it fits again and again.
//!
//! ```json
//! { "format": "loomwright-workshop", "version": 1, "card": { "name": "…" }, "parts": [ { "name": "…", "kind": "fuse" } ] }
//! ```

use serde_json::Value as Json;

use super::place::{Place, quoted};
use super::said::{Object, Said};
use super::walk::{Fields, each, expected, keep, list, text, whole, word};
use super::{Problem, ReadError, check_size, job, part, syntax, without_mark, write};
use crate::document::{Part, Settings};
use crate::kind::{Form, Kind, Values};

mod picture;
#[cfg(test)]
mod tests;

pub use picture::Picture;

/// What the key `format` of such a file says.
pub const WORKSHOP: &str = "loomwright-workshop";

/// The version that is read and written.
const VERSION: i64 = 1;

/// Most characters of one line of text.
const LONGEST: usize = 200;

/// Most lines of an address.
const MOST_LINES: usize = 4;

/// Most parts.
const MOST_PARTS: usize = 500;

/// The papers that a set may be made for.
const PAPERS: [&str; 4] = ["A4", "A3", "Letter", "Tabloid"];

/// The keys of the card.
const CARD_KEYS: &[&str] =
    &["name", "address", "contact", "drawn_by", "next_number", "paper", "settings", "picture"];

/// What a workshop keeps apart from its jobs.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Workshop {
    /// Who it is, and what its jobs begin with.
    pub card: WorkshopCard,
    /// Parts that it fits again and again.
    pub parts: Vec<OwnPart>,
}

/// Who a workshop is, and what its jobs begin with. Texts are empty where nothing was said.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct WorkshopCard {
    /// Its name.
    pub name: String,
    /// Its address, at most four lines.
    pub address: Vec<String>,
    /// Telephone, mail: one line as it was written.
    pub contact: String,
    /// Who draws its jobs.
    pub drawn_by: String,
    /// The number of its next job.
    pub next_number: String,
    /// The paper that handing over begins with.
    pub paper: Option<&'static str>,
    /// The settings of a new job.
    pub settings: Option<Settings>,
    /// Its own picture.
    pub picture: Option<Picture>,
}

/// A part as it is ordered: its kind and values, without a place in any job.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnPart {
    /// What the workshop calls it.
    pub name: String,
    /// Its kind.
    pub kind: &'static Kind,
    /// What is known of it.
    pub values: Values,
    /// The number it is ordered by; empty when it is not known.
    pub order: String,
    /// What it costs, with the currency, as it was written; empty when it is not known.
    pub price: String,
}

impl OwnPart {
    /// The part of a job as a part of the workshop, without what names other parts of that job.
    pub fn of(part: &Part, name: &str) -> OwnPart {
        let values = own_values(part);
        OwnPart { name: name.to_owned(), kind: part.kind, values, order: String::new(), price: String::new() }
    }

    /// Whether a part of a job is such a part: of the same kind, with the same values. Of nothing said nothing follows.
    pub fn is(&self, part: &Part) -> bool {
        self.kind.name == part.kind.name
            && self.values.iter().next().is_some()
            && self.values == own_values(part)
    }

    /// `part` with these values; what names other parts of its job stays.
    pub fn filled(&self, part: &Part) -> Part {
        let mut filled = part.clone();
        for spec in self.kind.values.iter().filter(|spec| !is_of_a_job(spec.form)) {
            filled.values.set(spec.name, self.values.said(spec.name).cloned().unwrap_or_default());
        }
        filled
    }
}

/// Whether a value names something of one job.
fn is_of_a_job(form: Form) -> bool {
    matches!(form, Form::Part | Form::Seat)
}

fn own_values(part: &Part) -> Values {
    let mut values = Values::default();
    for spec in part.kind.values.iter().filter(|spec| !is_of_a_job(spec.form)) {
        if let Some(said) = part.values.said(spec.name) {
            values.set(spec.name, said.clone());
        }
    }
    values
}

/// Reads a workshop from JSON text.
///
/// # Errors
///
/// What is wrong with the text, each with its place.
pub fn read(text: &str) -> Result<Workshop, ReadError> {
    check_size(text.len())?;
    let value = syntax::parse(without_mark(text))?;
    let whole_file = Place::Job;
    let fields = Fields::of(&value, &whole_file, &["format", "version", "card", "parts"])?;
    fields.required("format", |value, place| match value.as_str() {
        Some(WORKSHOP) => Ok(()),
        Some(said) => Err(place.problem(format!("{} is not `{WORKSHOP}`", quoted(said)))),
        None => Err(expected(&format!("the text `{WORKSHOP}`"), value, place)),
    })?;
    fields.required("version", whole(VERSION, VERSION))?;
    let mut problems = Vec::new();
    let card = fields.get("card").and_then(|value| card(value, &whole_file.key("card"), &mut problems));
    let parts = fields.get("parts").map(|value| own_parts(value, &whole_file.key("parts"), &mut problems));
    ReadError::unless_empty(problems)?;
    Ok(Workshop { card: card.unwrap_or_default(), parts: parts.unwrap_or_default() })
}

fn card(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Option<WorkshopCard> {
    let fields = Fields::telling(value, place, CARD_KEYS, problems, |_| None)?;
    let mut says = |key| keep(fields.optional(key, line), problems).flatten().unwrap_or_default();
    let (name, contact) = (says("name"), says("contact"));
    let (drawn_by, next_number) = (says("drawn_by"), says("next_number"));
    let address = keep(fields.optional("address", lines), problems).flatten().unwrap_or_default();
    let papers = PAPERS.map(|name| (name, name));
    let paper = keep(fields.optional("paper", word(&papers)), problems).flatten();
    let settings = keep(fields.optional("settings", job::read_settings), problems).flatten();
    let picture = keep(fields.optional("picture", picture), problems).flatten();
    Some(WorkshopCard { name, address, contact, drawn_by, next_number, paper, settings, picture })
}

fn own_parts(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Vec<OwnPart> {
    // More than that are not looked at one by one.
    match keep(at_most(value, place, MOST_PARTS, "parts"), problems) {
        Some(()) => each(value, place, problems, own_part),
        None => Vec::new(),
    }
}

fn own_part(value: &Json, place: &Place, problems: &mut Vec<Problem>) -> Option<OwnPart> {
    let before = problems.len();
    let fields =
        Fields::telling(value, place, &["name", "kind", "values", "order", "price"], problems, |_| None)?;
    let name = keep(fields.required("name", line), problems);
    if name.as_deref().is_some_and(|name| name.trim().is_empty()) {
        problems.push(place.key("name").problem("empty"));
    }
    let kind = keep(fields.required("kind", part::kind_name), problems);
    let order = keep(fields.optional("order", line), problems).flatten().unwrap_or_default();
    let price = keep(fields.optional("price", line), problems).flatten().unwrap_or_default();
    let mut values = Values::default();
    if let (Some(kind), Some(said)) = (kind, fields.get("values")) {
        let place = place.key("values");
        part::group(said, &place, kind, "", &mut values, problems);
        for spec in kind.values.iter().filter(|spec| is_of_a_job(spec.form)) {
            if values.said(spec.name).is_some() {
                problems.push(place.key(spec.name).problem("names something of one job"));
            }
        }
    }
    let own = OwnPart { name: name?, kind: kind?, values, order, price };
    (problems.len() == before).then_some(own)
}

/// A line of text.
fn line(value: &Json, place: &Place) -> Result<String, Problem> {
    let said = text(value, place)?;
    let length = said.chars().count();
    if length > LONGEST {
        return Err(place.problem(format!("{length} characters; at most {LONGEST} are read")));
    }
    match said.contains(['\n', '\r']) {
        true => Err(place.problem("more than one line")),
        false => Ok(said),
    }
}

fn lines(value: &Json, place: &Place) -> Result<Vec<String>, Problem> {
    at_most(value, place, MOST_LINES, "lines")?;
    let all = list(value, place)?.iter().enumerate();
    all.map(|(index, value)| line(value, &place.item(index))).collect()
}

fn at_most(value: &Json, place: &Place, most: usize, what: &str) -> Result<(), Problem> {
    let count = list(value, place)?.len();
    match count > most {
        true => Err(place.problem(format!("{count} {what}; at most {most} are read"))),
        false => Ok(()),
    }
}

fn picture(value: &Json, place: &Place) -> Result<Picture, Problem> {
    Picture::of(&text(value, place)?).map_err(|why| place.problem(why))
}

/// The workshop as JSON text with one key a line, ending in a newline. What was not said is left out.
pub fn write(workshop: &Workshop) -> String {
    let mut text = said(workshop).on_lines();
    text.push('\n');
    text
}

/// The workshop as JSON text on one line.
pub fn write_on_one_line(workshop: &Workshop) -> String {
    said(workshop).on_one_line()
}

fn said(workshop: &Workshop) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("format", WORKSHOP);
    object.put("version", Said::Count(VERSION.unsigned_abs()));
    object.put_unless_empty("card", said_of_card(&workshop.card));
    if !workshop.parts.is_empty() {
        object.put("parts", Said::List(workshop.parts.iter().map(said_of_part).collect()));
    }
    Said::Object(object)
}

fn said_of_card(card: &WorkshopCard) -> Object<'_> {
    let mut object = Object::default();
    object.put_text("name", &card.name);
    if !card.address.is_empty() {
        let lines = card.address.iter().map(|line| Said::from(line.as_str()));
        object.put("address", Said::List(lines.collect()));
    }
    object.put_text("contact", &card.contact);
    object.put_text("drawn_by", &card.drawn_by);
    object.put_text("next_number", &card.next_number);
    object.put_some("paper", card.paper.map(Said::from));
    object.put_some("settings", card.settings.as_ref().map(write::write_settings));
    object.put_some("picture", card.picture.as_ref().map(|picture| Said::from(picture.text())));
    object
}

fn said_of_part(part: &OwnPart) -> Said<'_> {
    let mut object = Object::default();
    object.put_text("name", &part.name);
    object.put_text("kind", part.kind.name);
    let mut values = Object::default();
    for spec in part.kind.values {
        let said = part.values.said(spec.name).and_then(|said| write::given(said, write::value_of));
        if let Some(said) = said {
            values.put_grouped(spec.name, said);
        }
    }
    object.put_unless_empty("values", values);
    object.put_text("order", &part.order);
    object.put_text("price", &part.price);
    Said::Object(object)
}
