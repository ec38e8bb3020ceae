//! What the sheet does not show, in words, alike things together.

use super::Proof;
use crate::diagnose::Case;
use crate::fault::Fault;
use crate::subject::Subject;

/// Something that no reading shows, of one or several things.
#[derive(Clone, Debug, PartialEq)]
pub struct Unshown {
    /// What may be wrong: `worn through and touches the body`; a whole sentence where it is about nothing in `of`.
    pub what: String,
    /// What it may be wrong with.
    pub of: Vec<Subject>,
    /// Why it is not shown, or what shows it, as a sentence.
    pub why: &'static str,
}

impl Proof {
    /// What no reading shows: first what eyes can tell.
    pub fn unshown(&self, case: &Case) -> Vec<Unshown> {
        let mut found: Vec<Unshown> = Vec::new();
        for fault in &self.by_eye {
            add(&mut found, case, fault, "Read what is printed on it.");
        }
        for one in &self.unproved {
            let why = match one.is_out_of_sight {
                true => "Nothing that can be read is otherwise, so it has to be looked at.",
                false => "It reads the same within tolerances, so it has to be looked at.",
            };
            if let Some(fault) = case.causes[one.cause].fault() {
                add(&mut found, case, fault, why);
            }
        }
        found
    }
}

fn add(found: &mut Vec<Unshown>, case: &Case, fault: &Fault, why: &'static str) {
    let network = &case.circuit.resolved.network;
    let said = fault.in_words(network);
    let title = fault.subject.title(network);
    let (what, of) = match said.strip_prefix(&title).map(str::trim_start) {
        Some(rest) => {
            let what = ["is ", "has "].iter().find_map(|verb| rest.strip_prefix(verb)).unwrap_or(rest);
            (what.to_owned(), vec![fault.subject.clone()])
        }
        None => (said, Vec::new()),
    };
    match found.iter_mut().find(|one| one.what == what && one.why == why && !of.is_empty()) {
        Some(one) => one.of.extend(of),
        None => found.push(Unshown { what, of, why }),
    }
}
