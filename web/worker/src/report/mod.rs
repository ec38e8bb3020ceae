//! Reports: everything that is said of a job at length, as markup that the page shows as it comes.
//!
//! A place on the page, and a button, carry the words that ask for a report: a command and what it is about, with a
//! line for each field that was filled in. They are made here and understood here; the page hands them on.

mod accept;
mod changes;
mod compare;
mod fix;
mod handover;
mod inspect;
mod manual;
mod markup;
mod mistakes;
mod picture;
mod plan;
mod proof;
mod records;
mod rules;
mod shelf;
mod sit;
mod situations;
mod sizes;
mod survey;
mod sweep;
mod tidy;
mod typed;
mod walk;
mod wires;
mod work;
mod working;
mod workshop;

use engine::answer::Prepared;
use engine::document::sentence::signal;
use engine::document::{Document, InState, Network, Part, Situation};
use engine::ids::{PartId, WireId};
use engine::post::{Inquiry, Report};
use engine::subject::Subject;
use engine::sweep::Progress;

/// A report that is wanted.
pub struct Asked<'a> {
    /// The job.
    pub document: &'a Document,
    /// What was worked out of it already; its document may differ in what nothing electrical reads.
    pub prepared: &'a Prepared,
    /// The positions at present.
    pub situation: &'a Situation,
    /// What is wanted.
    pub words: Vec<&'a str>,
    /// The fields that were filled in, by name.
    pub fields: Vec<(&'a str, &'a str)>,
}

impl Asked<'_> {
    /// What a field was filled in with, without blanks at its ends.
    pub fn field(&self, name: &str) -> Option<&str> {
        self.fields.iter().find(|(field, _)| *field == name).map(|(_, value)| value.trim())
    }
}

/// What was made of a job for one report and is wanted for the next.
#[derive(Default)]
pub struct Made {
    /// The job with the sizes that were worked out for it last.
    sized: Option<Document>,
    /// What the wires of a donor may be.
    donors: survey::Known,
    /// Its printed set.
    set: Option<handover::Made>,
    /// What may be wrong with it.
    causes: walk::Known,
    /// Its proving sheet.
    proof: proof::Known,
}

impl Made {
    /// What holds for another job too, in which only what nothing electrical reads differs.
    pub fn for_another(self) -> Made {
        Made { donors: self.donors, causes: self.causes, proof: self.proof, ..Made::default() }
    }
}

/// What is reported; `None` when the words ask for nothing that there is.
pub fn report(
    document: &Document,
    prepared: &Prepared,
    inquiry: &Inquiry,
    made: &mut Made,
    progress: Progress<'_>,
) -> Option<Report> {
    let mut lines = inquiry.words.lines();
    let words: Vec<&str> = lines.next()?.split_ascii_whitespace().collect();
    let fields = lines.filter_map(|line| line.split_once('=')).collect();
    let asked = Asked { document, prepared, situation: &inquiry.situation, words, fields };
    let report = match asked.words[..] {
        ["working", id] => shown(working::of_subject(&asked, &subject(&document.network, id)?)),
        ["mistakes"] => shown(mistakes::page()),
        ["mistaken"] => mistakes::mistaken(&asked, progress),
        ["manual", name] => shown(manual::page(name)?),
        ["finding", number] => shown(working::of_finding(&asked, number.parse().ok()?)?),
        ["accept", number] => shown(accept::page(&asked, number.parse().ok()?)?),
        ["finding-accept", number] => accept::accept(&asked, number.parse().ok()?)?,
        ["finding-unaccept", number] => accept::unaccept(&asked, number.parse().ok()?)?,
        ["changes"] => shown(changes::page(&asked)),
        ["put-back"] => changes::put_back(&asked),
        ["shelf-picture"] => shown(shelf::picture(&asked)),
        ["shelf-wrong"] => shown(shelf::wrong(&asked)),
        ["picture", ref wanted @ ..] => shown(picture::page(&asked, wanted.contains(&"readings"))),
        ["tidy"] => tidy::carry_out(&asked),
        ["fix", finding, help] => fix::carry_out(&asked, finding.parse().ok()?, help.parse().ok()?)?,
        ["show", id] => Report { show: Some(subject(&document.network, id)?), ..Report::default() },
        ["situations"] => shown(situations::page(&asked)),
        ["situation-keep"] => situations::keep(&asked),
        ["situation-rename"] => situations::rename(&asked),
        ["situation-delete"] => situations::delete(&asked),
        ["compare"] => shown(compare::page(&asked)),
        ["compared"] => shown(compare::compared(&asked)),
        ["sweep"] => shown(sweep::page(&asked)),
        ["swept"] => sweep::swept(&asked, progress),
        ["reached"] => sweep::reached(&asked, progress),
        ["set", ..] => sweep::set(&asked)?,
        ["rules"] => shown(rules::page(&asked, progress)),
        ["rule-add"] => rules::add(&asked)?,
        ["rule-delete", number] => rules::delete(&asked, number.parse().ok()?)?,
        ["rule-adopt", number] => rules::adopt(&asked, number.parse().ok()?)?,
        ["rule-waive", number] => rules::waive(&asked, number.parse().ok()?)?,
        ["sizes"] => shown(sizes::page(&asked)),
        ["sized"] => {
            let (report, document) = sizes::sized(&asked);
            made.sized = document;
            report
        }
        ["sized-apply"] => sizes::apply(&asked, made.sized.take()),
        ["inspect"] => shown(inspect::page()),
        ["inspected"] => inspect::inspected(&asked, progress),
        ["handover", ref wanted @ ..] => handover::page(&asked, wanted, &mut made.set)?,
        ["handover-sheet", number] => shown(handover::sheet(made.set.as_ref(), number.parse().ok()?)?),
        ["handover-set"] => shown(handover::bytes(made.set.as_ref())?),
        ["handover-table", number] => shown(handover::table(made.set.as_ref(), number.parse().ok()?)?),
        [
            "survey" | "survey-begin" | "survey-names" | "survey-clear" | "survey-take" | "survey-skip"
            | "survey-drop" | "survey-at" | "survey-drive" | "survey-donor" | "survey-wire" | "survey-keep",
            ..,
        ] => survey::answer(&asked, &mut made.donors)?,
        [
            "walk" | "walk-begin" | "walk-from-proof" | "walk-take" | "walk-drop" | "walk-minutes"
            | "walk-who" | "walk-close" | "walk-reopen" | "walk-delete",
            ..,
        ] => walk::answer(&asked, &mut made.causes)?,
        [word, ..] if word == "proof" || word.starts_with("proof-") => {
            proof::answer(&asked, &mut made.proof)?
        }
        [word, ..] if word == "wires" || word.starts_with("wires-") => wires::answer(&asked)?,
        [word, ..] if word.starts_with("workshop-") => workshop::answer(&asked)?,
        ["work"] => shown(work::page(&asked)),
        ["sit", id] => shown(sit::page(&asked, id)?),
        ["sat", id] => sit::sat(&asked, id)?,
        ["sit-apply", ref named @ ..] => sit::apply(&asked, named)?,
        _ => plan::report(&asked)?,
    };
    Some(Report { stamp: inquiry.stamp, ..report })
}

fn shown(markup: String) -> Report {
    Report { markup, ..Report::default() }
}

/// A number with what is counted: `1 state`, `12 states`.
fn plural(n: u64, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// A part with what sort of part it is, and of a donor circuit its signal: `donor circuit E1 (main beam)`.
fn in_full(part: &Part) -> String {
    let named = format!("{} {}", part.kind.noun, part.title());
    signal(part).map_or(named.clone(), |signal| format!("{named} ({signal})"))
}

/// What stands behind the name of a part in a state: `on`, `beam off`, `in position 2`.
fn state_words(one: &InState) -> String {
    let at = if one.is.starts_with(|c: char| c.is_ascii_digit()) { "in position " } else { "" };
    format!("{} {at}{}", one.name, one.is).trim_start().to_owned()
}

/// The part or wire of this id; ids of parts and wires differ.
fn subject(network: &Network, id: &str) -> Option<Subject> {
    let part = PartId::new(id).filter(|part| network.part(part).is_some()).map(Subject::Part);
    part.or_else(|| WireId::new(id).filter(|wire| network.wire(wire).is_some()).map(Subject::Wire))
}

#[cfg(test)]
mod tests;
