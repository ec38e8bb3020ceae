//! The job inside an annotated SVG drawing: one element of its own namespace in `<metadata>`.
//!
//! The JSON in it is written so that no character needs an XML escape: markup inside texts is
//! escaped the JSON way, and so is everything XML 1.0 forbids. It therefore survives programs that
//! rewrite the file, whether they keep it as plain text or as a CDATA section.

use std::ops::Range;

use roxmltree::{Node, ParsingOptions};

use super::place::shortened;
use super::write::write_on_one_line;
use super::{Problem, ReadError, VERSION, burden, job, migrate, slip, syntax};
use crate::document::Document;

/// Namespace of the element that carries the job.
pub const NAMESPACE: &str = "urn:loomwright:job";

const SVG_NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// Most XML nodes looked at; a drawing of the largest job stays below.
const MOST_NODES: u32 = 2_000_000;

/// The XML element that carries `document`; it belongs into the `<metadata>` of a drawing, once.
pub fn job_element(document: &Document) -> String {
    let json = write_on_one_line(document);
    let json = json.replace('<', "\\u003c").replace('>', "\\u003e").replace('&', "\\u0026");
    format!("<loomwright:job xmlns:loomwright=\"{NAMESPACE}\" version=\"{VERSION}\">{json}</loomwright:job>")
}

/// Reads the job out of the text of an SVG drawing.
pub(super) fn read(text: &str) -> Result<Document, ReadError> {
    burden::check(text)?;
    // Without DTD there are no entities to expand and nothing outside the file to fetch.
    let options = ParsingOptions { allow_dtd: false, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let xml = roxmltree::Document::parse_with_options(text, options).map_err(|error| {
        let at = error.pos();
        let (told, position) = (error.to_string(), format!(" at {at}"));
        // Some messages speak of the file as a whole and carry no position.
        let place = match told.contains(&position) {
            true => format!("line {}, column {}", at.row, at.col),
            false => String::new(),
        };
        Problem::new(place, format!("not well-formed XML: {}", briefly(&told.replace(&position, ""))))
    })?;
    if !xml.root_element().has_tag_name((SVG_NAMESPACE, "svg")) {
        return Err(at(xml.root_element(), text, "this is XML but no SVG drawing"));
    }
    let mut carriers = xml.descendants().filter(|node| node.has_tag_name((NAMESPACE, "job")));
    let none = || Problem::new(String::new(), "this drawing carries no job".to_owned());
    let carrier = carriers.next().ok_or_else(none)?;
    if let Some(second) = carriers.next() {
        return Err(at(second, text, "this drawing carries more than one job"));
    }
    if !carrier.parent().is_some_and(|parent| parent.has_tag_name((SVG_NAMESPACE, "metadata"))) {
        return Err(at(carrier, text, "the job in this drawing does not stand in `metadata`"));
    }
    let json = only_text(carrier)
        .map_err(|markup| at(markup, text, "the job inside the drawing has markup in it"))?;
    if json.trim().is_empty() {
        return Err(at(carrier, text, "the job inside the drawing is empty"));
    }
    check_version(carrier, text)?;
    let value = match place_of(carrier, &json, text) {
        Some(part) => syntax::parse_part(text, part).map_err(|problem| inside(problem, "")),
        None => syntax::parse(&json).map_err(|problem| inside(problem, ", counted from its beginning")),
    };
    job::read(value?).map_err(|error| error.within(INSIDE))
}

const INSIDE: &str = "in the job inside the drawing";

fn inside(problem: Problem, how: &str) -> ReadError {
    ReadError::from(problem).within(&format!("{INSIDE}{how}"))
}

/// What is wrong with `node` as it stands in the file.
fn at(node: Node, file: &str, message: &str) -> ReadError {
    Problem::new(slip::line_and_column(file, node.range().start), message.to_owned()).into()
}

/// Where in the file the text of an element stands; `None` when it is written otherwise than it is meant, with escapes.
fn place_of(element: Node, json: &str, file: &str) -> Option<Range<usize>> {
    let content = element.first_child()?.range().start..element.last_child()?.range().end;
    let start = content.start + file.get(content)?.find(json)?;
    Some(start..start + json.len())
}

/// What the parser tells, each name of the file that it repeats in quotes shortened.
fn briefly(told: &str) -> String {
    let pieces = told.split('\'').enumerate();
    let piece = |(n, piece): (usize, &str)| if n % 2 == 0 { piece.to_owned() } else { shortened(piece) };
    pieces.map(piece).collect::<Vec<_>>().join("'")
}

/// The text of an element that has nothing else in it, or the first that it has besides.
fn only_text<'a, 'xml>(element: Node<'a, 'xml>) -> Result<String, Node<'a, 'xml>> {
    let piece = |child: Node<'a, 'xml>| child.text().filter(|_| child.is_text()).ok_or(child);
    element.children().map(piece).collect()
}

/// Refuses a newer version by the attribute already: its content may be no JSON any more.
fn check_version(carrier: Node, file: &str) -> Result<(), ReadError> {
    let said = carrier.attribute_node("version");
    let message = match said.map(|said| said.value().parse::<u64>()) {
        Some(Ok(version)) if version > u64::from(VERSION) => migrate::too_new(version),
        Some(Ok(_)) => return Ok(()),
        None | Some(Err(_)) => "missing or not a whole number".to_owned(),
    };
    let start = said.map_or(carrier.range().start, |said| said.range().start);
    let place = format!("{}, attribute `version`", slip::line_and_column(file, start));
    Err(inside(Problem::new(place, message), ""))
}
