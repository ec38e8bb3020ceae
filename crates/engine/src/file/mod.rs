//! Reading and writing jobs, as JSON and inside an annotated SVG drawing.
//!
//! ```text
//! bytes ──syntax──> JSON value ──migrate──> JSON value of this version ──job──> Document
//! ```
//!
//! The value is walked by hand rather than derived, because every refusal has to name the place
//! (`parts[3].values.coil_ohm`) and the limits come from the kind table, not from Rust types.
//! This is the only module that knows JSON or SVG. The rules it enforces are written down for
//! people in `fixtures/README.md` and for programs in `fixtures/job.schema.json`.
//!
//! Invariants: whatever the bytes, reading returns and never panics; a document that was read
//! violates nothing in [`crate::document::validate`]; `read(write(d)) == d`.

mod accepted;
mod burden;
pub mod changes;
mod embed;
mod error;
mod interlock;
mod job;
mod migrate;
mod observations;
mod part;
mod parts;
mod place;
mod plan;
mod record;
mod reference;
mod said;
mod schema;
mod slip;
mod syntax;
mod walk;
mod wire;
pub mod workshop;
mod write;

pub use embed::{NAMESPACE, job_element};
pub use error::{Problem, ReadError};
pub use reference::with_tables;
pub use said::escape_invisible;
pub use schema::{schema, schema_text};
pub use write::write_json;

use crate::document::{Document, Observations};

/// What the key `format` of a job says.
pub const FORMAT: &str = "loomwright-job";

/// The version this module writes; it reads this one and every one before.
pub const VERSION: u32 = migrate::newest();

/// Largest file read, in bytes; a larger one is refused before it is looked at.
pub const LARGEST_FILE: usize = 8 * 1024 * 1024;

/// Reads a job from the bytes of a file, JSON or annotated SVG, told apart by the first character.
pub fn read(bytes: &[u8]) -> Result<Document, ReadError> {
    check_size(bytes.len())?;
    let text = std::str::from_utf8(bytes).map_err(|error| {
        Problem::new(format!("byte {}", error.valid_up_to() + 1), "the file is not UTF-8 text".to_owned())
    })?;
    if without_mark(text).trim_start().starts_with('<') { read_svg(text) } else { read_json(text) }
}

/// What the key `format` of observations says.
pub const OBSERVATIONS: &str = "loomwright-observations";

/// Reads what was complained of and measured on the vehicle of a job, from JSON text.
pub fn read_observations(text: &str, document: &Document) -> Result<Observations, ReadError> {
    check_size(text.len())?;
    observations::read(&syntax::parse(without_mark(text))?, document)
}

/// Reads a job from JSON text.
pub fn read_json(text: &str) -> Result<Document, ReadError> {
    check_size(text.len())?;
    let value = syntax::parse(without_mark(text))?;
    job::read(value)
}

/// Reads the job that an annotated SVG drawing carries.
pub fn read_svg(text: &str) -> Result<Document, ReadError> {
    check_size(text.len())?;
    embed::read(without_mark(text))
}

fn check_size(bytes: usize) -> Result<(), Problem> {
    if bytes <= LARGEST_FILE {
        return Ok(());
    }
    let message = format!("the file has {bytes} bytes; at most {LARGEST_FILE} are read");
    Err(Problem::new(String::new(), message))
}

/// The text without the byte-order mark some programs put in front of it.
fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

#[cfg(test)]
mod tests;
