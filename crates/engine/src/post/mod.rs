//! What the page of the browser app and its worker send each other, as bytes.
//!
//! A file is read once and by the worker, which names every place that is wrong; what the page gets of it is a
//! document that was read already. Therefore this is as plain as can be: values one after the other, in the order of
//! the fields, without names. Both ends are of one build, so there is no version, and nothing of this is ever kept.
//! Bytes that do not fit give `None`, whatever they are.

mod answer;
mod document;
mod packed;
mod report;

use crate::answer::{Answer, Request};
use crate::document::{Document, Standing};
use packed::{Packed, Unread};
pub use report::{Change, Inquiry, Report, Spot};

/// What the page wants of the worker.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted<'a> {
    /// An answer about the job in these bytes, which [`unpacked`] reads.
    Answer(Request, &'a [u8]),
    /// The job of a file with these bytes.
    Job(&'a [u8]),
    /// A report about the job in these bytes.
    Report(Inquiry, &'a [u8]),
}

/// What the worker replies.
#[derive(Clone, Debug, PartialEq)]
pub enum Reply {
    /// What is told of the job.
    Answer(Box<Answer>),
    /// The job of the file, and where every symbol of its drawing stands: laying out is for the worker too.
    Job(Document, Vec<Standing>),
    /// What is reported of the job.
    Report(Box<Report>),
    /// None of these, and why.
    Failure(String),
}

/// A document alone.
pub fn packed(document: &Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    document.pack(&mut bytes);
    bytes
}

/// The document that [`packed`] gave as bytes.
pub fn unpacked(bytes: &[u8]) -> Option<Document> {
    whole(bytes)
}

/// A question about the job that [`packed`] gave as bytes.
pub fn question(job: &[u8], request: &Request) -> Vec<u8> {
    let mut bytes = vec![ANSWER];
    request.pack(&mut bytes);
    bytes.extend_from_slice(job);
    bytes
}

/// The wish to have the file with this content read.
pub fn file(content: &[u8]) -> Vec<u8> {
    let mut bytes = vec![JOB];
    bytes.extend_from_slice(content);
    bytes
}

/// The wish for a report about the job that [`packed`] gave as bytes.
pub fn inquiry(job: &[u8], inquiry: &Inquiry) -> Vec<u8> {
    let mut bytes = vec![REPORT];
    inquiry.pack(&mut bytes);
    bytes.extend_from_slice(job);
    bytes
}

/// What is wanted.
pub fn wanted(bytes: &[u8]) -> Option<Wanted<'_>> {
    let (sort, rest) = bytes.split_first()?;
    match *sort {
        ANSWER => {
            let mut unread = Unread::new(rest);
            Some(Wanted::Answer(Packed::unpack(&mut unread)?, unread.rest()))
        }
        JOB => Some(Wanted::Job(rest)),
        REPORT => {
            let mut unread = Unread::new(rest);
            Some(Wanted::Report(Packed::unpack(&mut unread)?, unread.rest()))
        }
        _ => None,
    }
}

impl Reply {
    /// The reply as bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        match self {
            Reply::Answer(answer) => {
                bytes.push(ANSWER);
                answer.pack(&mut bytes);
            }
            Reply::Job(document, standing) => {
                bytes.push(JOB);
                document.pack(&mut bytes);
                standing.pack(&mut bytes);
            }
            Reply::Report(report) => {
                bytes.push(REPORT);
                report.pack(&mut bytes);
            }
            Reply::Failure(why) => {
                bytes.push(FAILURE);
                why.pack(&mut bytes);
            }
        }
        bytes
    }

    /// The reply that these bytes are; a failure when they are none.
    pub fn from_bytes(bytes: &[u8]) -> Reply {
        let read = bytes.split_first().and_then(|(sort, rest)| match *sort {
            ANSWER => whole(rest).map(Box::new).map(Reply::Answer),
            JOB => whole(rest).map(|(document, standing)| Reply::Job(document, standing)),
            REPORT => whole(rest).map(Box::new).map(Reply::Report),
            FAILURE => whole(rest).map(Reply::Failure),
            _ => None,
        });
        read.unwrap_or_else(|| Reply::Failure("two parts of the program do not fit each other".to_owned()))
    }
}

const ANSWER: u8 = 1;
const JOB: u8 = 2;
const FAILURE: u8 = 3;
const REPORT: u8 = 4;

/// The value that all of these bytes are.
fn whole<T: Packed>(bytes: &[u8]) -> Option<T> {
    let mut unread = Unread::new(bytes);
    let value = T::unpack(&mut unread)?;
    unread.rest().is_empty().then_some(value)
}

#[cfg(test)]
mod tests;
