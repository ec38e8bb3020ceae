//! Fixes of findings: tried on the job, and kept only where they help.

use crate::check::run_all;
use crate::document::edit::apply;
use crate::document::{Color, Document, Edit, EditError, Insulation, Network, Part, Size, Wire};
use crate::finding::{Finding, Severity};
use crate::given::Given;
use crate::kind::Value;
use crate::laid;
use crate::quantity::{Quantity, Unit};
use crate::subject::Subject;

/// A job after a fix.
#[derive(Clone, Debug)]
pub struct Mended {
    /// The job with the edits of the fix applied.
    pub document: Document,
    /// What is found in it.
    pub findings: Vec<Finding>,
}

/// Why a fix is not offered.
#[derive(Clone, Debug, PartialEq)]
pub enum NoHelp {
    /// An edit does not apply.
    Refused(EditError),
    /// The finding stays.
    Stays,
    /// It brings a Stop that was not there.
    NewStop(Box<Finding>),
}

/// Everything that is found in a job.
pub fn findings(document: &Document) -> Vec<Finding> {
    let circuit = laid::circuit(document);
    run_all(&circuit, &document.situations, &document.interlocks)
}

/// Applies the edits that carry out one help of `finding`, if after them the finding is gone and no new Stop has come.
///
/// `before` is everything that is found in `document`.
///
/// # Errors
///
/// Says why the edits do not help. Then nothing is changed.
pub fn mend(
    document: &Document,
    before: &[Finding],
    finding: &Finding,
    edits: &[Edit],
) -> Result<Mended, NoHelp> {
    let mut mended = document.clone();
    for edit in edits {
        mended = apply(&mended, edit).map_err(NoHelp::Refused)?;
    }
    let after = findings(&mended);
    let key = |one: &Finding| -> (&'static str, Subject) { (one.check, one.subject.clone()) };
    if after.iter().any(|one| key(one) == key(finding)) {
        return Err(NoHelp::Stays);
    }
    let stops = |one: &&Finding| one.severity == Severity::Stop;
    let new =
        after.iter().filter(stops).find(|one| !before.iter().filter(stops).any(|old| key(old) == key(one)));
    match new {
        Some(new) => Err(NoHelp::NewStop(Box::new(new.clone()))),
        None => Ok(Mended { document: mended, findings: after }),
    }
}

/// A job with every fix applied that helps, and what each of them changed, in words.
pub fn mend_all(document: &Document) -> (Mended, Vec<String>) {
    let mut now = Mended { document: document.clone(), findings: findings(document) };
    let mut done = Vec::new();
    // A fix may take several findings with it, or uncover one; each is tried once at every stage.
    let mut tried: Vec<(&'static str, Subject, String)> = Vec::new();
    loop {
        let offer = now.findings.iter().find_map(|finding| {
            let open = |text: &String| {
                tried.iter().all(|(check, subject, help)| {
                    *check != finding.check || *subject != finding.subject || help != text
                })
            };
            let help = finding.help.iter().find(|help| !help.fix.is_empty() && open(&help.text))?;
            Some((finding.clone(), help.clone()))
        });
        let Some((finding, help)) = offer else { return (now, done) };
        tried.push((finding.check, finding.subject.clone(), help.text.clone()));
        if let Ok(mended) = mend(&now.document, &now.findings, &finding, &help.fix) {
            done.extend(all_in_words(&now.document, &help.fix));
            now = mended;
        }
    }
}

/// What each edit of a fix changes, in words; later ones may name what earlier ones add.
pub fn all_in_words(document: &Document, edits: &[Edit]) -> Vec<String> {
    let mut so_far = document.clone();
    let mut words = Vec::new();
    for edit in edits {
        words.push(in_words(&so_far.network, edit));
        so_far = apply(&so_far, edit).unwrap_or(so_far);
    }
    words
}

/// What an edit of a fix changes, in words: `wire W3: 0.5 mm2 becomes 0.75 mm2`.
pub fn in_words(network: &Network, edit: &Edit) -> String {
    let after = match edit {
        Edit::ChangeWire(after) => after,
        Edit::Add { parts, wires, .. } => return added(parts, wires),
        Edit::ChangePart(after) => return renamed(network, after),
        _ => return "something else is changed".to_owned(),
    };
    let title = Subject::Wire(after.id.clone()).title(network);
    let Some(before) = network.wire(&after.id) else { return title };
    let size = |wire: &Wire| wire.size.known().map_or_else(|| "no size".to_owned(), Size::title);
    let class = |wire: &Wire| match wire.insulation {
        Some(Insulation::Class(letter)) => format!("class {letter}"),
        Some(Insulation::Rated(celsius)) => format!("insulation for {celsius} degC"),
        None => "insulation that was not said".to_owned(),
    };
    let color = |wire: &Wire| wire.color.map_or_else(|| "no colour".to_owned(), Color::title);
    let ends = |wire: &Wire| {
        format!("{} to {}", network.terminal_title(&wire.from), network.terminal_title(&wire.to))
    };
    let mut changes = Vec::new();
    if before.label != after.label {
        changes.push(format!("is called {}", after.title()));
    }
    if before.size != after.size {
        changes.push(format!("{} becomes {}", size(before), size(after)));
    }
    if before.insulation != after.insulation {
        changes.push(format!("{} becomes {}", class(before), class(after)));
    }
    if before.grommet != after.grommet {
        changes.push("a grommet is to be fitted".to_owned());
    }
    if before.color != after.color {
        changes.push(format!("{} becomes {}", color(before), color(after)));
    }
    if (&before.from, &before.to) != (&after.from, &after.to) {
        changes.push(format!("{} becomes {}", ends(before), ends(after)));
    }
    format!("{title}: {}", changes.join(", "))
}

/// What is added, in words: `fuse F4 of 10 A is added`.
fn added(parts: &[Part], wires: &[Wire]) -> String {
    let parts = parts.iter().map(|part| {
        let rating = match part.values.get("rating_a") {
            Given::Known(Value::Number(amps)) => Quantity::new(amps, Unit::Ampere),
            _ => None,
        };
        let of = rating.map_or_else(String::new, |rating| format!(" of {rating}"));
        format!("{} {}{of}", part.kind.noun, part.title())
    });
    let wires = wires.iter().map(|wire| format!("wire {}", wire.title()));
    let all: Vec<String> = parts.chain(wires).collect();
    format!("{} {} added", all.join(" and "), if all.len() == 1 { "is" } else { "are" })
}

/// What becomes of a part whose label changes.
fn renamed(network: &Network, after: &Part) -> String {
    let title = Subject::Part(after.id.clone()).title(network);
    match network.part(&after.id).filter(|before| before.label != after.label) {
        Some(_) => format!("{title} is called {}", after.title()),
        None => format!("{title} is changed"),
    }
}
