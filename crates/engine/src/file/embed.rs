//! The job inside an annotated SVG drawing: one element of its own namespace in `<metadata>`.
//!
//! The JSON in it is written so that no character needs an XML escape: markup inside texts is
//! escaped the JSON way, and so is everything XML 1.0 forbids. It therefore survives programs that
//! rewrite the file, whether they keep it as plain text or as a CDATA section.

use roxmltree::{Node, ParsingOptions};

use super::place::shortened;
use super::write::write_on_one_line;
use super::{Problem, ReadError, VERSION, burden, job, migrate, syntax};
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
    let whole = |message: &str| Problem::new(String::new(), message.to_owned());
    if !xml.root_element().has_tag_name((SVG_NAMESPACE, "svg")) {
        return Err(whole("this is XML but no SVG drawing").into());
    }
    let mut carriers = xml.descendants().filter(|node| node.has_tag_name((NAMESPACE, "job")));
    let carrier = carriers.next().ok_or_else(|| whole("this drawing carries no job"))?;
    if carriers.next().is_some() {
        return Err(whole("this drawing carries more than one job").into());
    }
    if !carrier.parent().is_some_and(|parent| parent.has_tag_name((SVG_NAMESPACE, "metadata"))) {
        return Err(whole("the job in this drawing does not stand in `metadata`").into());
    }
    let json = only_text(carrier)?;
    let prefix = "in the job inside the drawing";
    check_version(carrier).map_err(|problem| ReadError::from(problem).within(prefix))?;
    syntax::parse(&json).map_err(ReadError::from).and_then(job::read).map_err(|error| error.within(prefix))
}

/// What the parser tells, each name of the file that it repeats in quotes shortened.
fn briefly(told: &str) -> String {
    let pieces = told.split('\'').enumerate();
    let piece = |(n, piece): (usize, &str)| if n % 2 == 0 { piece.to_owned() } else { shortened(piece) };
    pieces.map(piece).collect::<Vec<_>>().join("'")
}

/// The text of an element that has nothing else in it.
fn only_text(element: Node) -> Result<String, Problem> {
    let mut text = String::new();
    for child in element.children() {
        match child.text() {
            Some(piece) if child.is_text() => text.push_str(piece),
            _ => {
                let message = "the job inside the drawing has markup in it".to_owned();
                return Err(Problem::new(String::new(), message));
            }
        }
    }
    Ok(text)
}

/// Refuses a newer version by the attribute already: its content may be no JSON any more.
fn check_version(carrier: Node) -> Result<(), Problem> {
    let said = carrier.attribute("version").unwrap_or_default();
    match said.parse::<u64>() {
        Ok(version) if version > u64::from(VERSION) => {
            Err(Problem::new("attribute `version`".to_owned(), migrate::too_new(version)))
        }
        Ok(_) => Ok(()),
        Err(_) => {
            let message = "missing or not a whole number".to_owned();
            Err(Problem::new("attribute `version`".to_owned(), message))
        }
    }
}
