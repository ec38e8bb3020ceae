//! Jobs with a number for every unknown value: what stands in each of them.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::check::{self, Context};
use crate::document::{Document, Severity};
use crate::finding::Finding;
use crate::inspect::corners;
use crate::inspect::unknown::{Unknown, with};
use crate::laid;
use crate::subject::Subject;

/// A finding by its check and what it is about: the same fault in one document and in another.
pub type Key = (&'static str, Subject);

/// How a finding stands in one document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stands {
    /// How much it matters there.
    pub severity: Severity,
    /// What was found over its limit, or its limit over what was found, whichever is above one; `None` where the two
    /// cannot be compared, or where another thing speaks for it.
    pub margin: Option<f64>,
}

/// What stands in one document.
pub(super) struct Outcome {
    /// Everything that checks name, by itself or as part of what something else speaks for.
    pub stands: BTreeMap<Key, Stands>,
    /// What is left when effects are put under their causes, with the severity it then has.
    pub heads: BTreeMap<Key, Severity>,
}

impl Outcome {
    /// Whether a finding stands, and matters at least so much.
    pub fn has(&self, key: &Key, severity: Severity) -> bool {
        self.severity(key).is_some_and(|found| found <= severity)
    }

    /// How much a finding matters, where it stands.
    pub fn severity(&self, key: &Key) -> Option<Severity> {
        let own = self.stands.get(key).map(|stands| stands.severity);
        let as_cause = self.heads.get(key).copied();
        own.into_iter().chain(as_cause).min()
    }

    /// How far a finding is beyond its limit, where it stands and that can be told.
    pub fn margin(&self, key: &Key) -> Option<f64> {
        self.stands.get(key)?.margin
    }
}

fn key(finding: &Finding) -> Key {
    (finding.check, finding.subject.clone())
}

/// A finding in one document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Found {
    /// How much it matters, what follows from it included.
    pub severity: Severity,
    /// Whether it is told by itself, not under its cause nor by another thing that speaks for it.
    pub is_head: bool,
}

/// What every check finds in a document in which nothing is unknown.
///
/// A check that lets the worst of several things speak for all of them names the others too: each of them counts as
/// found, so that a fault does not seem to go when another thing becomes the worst.
pub fn found(document: &Document) -> BTreeMap<Key, Found> {
    let outcome = outcome(document);
    let keys = outcome.stands.keys().chain(outcome.heads.keys());
    let of = |key: &Key| {
        let severity = outcome.severity(key)?;
        Some((key.clone(), Found { severity, is_head: outcome.heads.contains_key(key) }))
    };
    keys.filter_map(of).collect()
}

/// The check that finds wires which are too hot, and the one that leaves these to it.
const TOO_HOT: &str = "insulation-too-cool";
const TOLD_BY_TOO_HOT: &str = "fuse-larger-than-wire";

fn outcome(document: &Document) -> Outcome {
    let circuit = laid::circuit(document);
    let context = Context::new(&circuit, &document.situations, &document.interlocks);
    let each = check::run_each(&context);
    let mut stands: BTreeMap<Key, Stands> = BTreeMap::new();
    for finding in &each {
        let named = finding.because.iter().filter(|label| matches!(label.subject, Subject::Wire(_)));
        for label in named.filter(|label| finding.touches.contains(&label.subject)) {
            let stand = Stands { severity: finding.severity, margin: None };
            stands.entry((finding.check, label.subject.clone())).or_insert(stand);
        }
    }
    for finding in &each {
        let stand = Stands { severity: finding.severity, margin: margin(finding) };
        let known = stands.entry(key(finding)).or_insert(stand);
        if known.margin.is_none() || finding.severity < known.severity {
            *known = stand;
        }
    }
    // A wire that is too hot where it runs may carry nothing: of what its fuse lets pass only that is told then.
    let too_hot: Vec<(Subject, Stands)> = stands
        .iter()
        .filter(|((check, _), _)| *check == TOO_HOT)
        .map(|((_, subject), stand)| (subject.clone(), Stands { margin: None, ..*stand }))
        .collect();
    for (subject, stand) in too_hot {
        stands.entry((TOLD_BY_TOO_HOT, subject)).or_insert(stand);
    }
    let folded = check::under_causes(&context, each);
    let heads = folded.iter().map(|finding| (key(finding), finding.severity)).collect();
    Outcome { stands, heads }
}

fn margin(finding: &Finding) -> Option<f64> {
    let (found, limit) = (finding.measured?, finding.allowed?);
    let ratio = found.value / limit.value;
    let is_comparable = found.unit == limit.unit && ratio.is_finite() && ratio > 0.0;
    is_comparable.then(|| ratio.max(1.0 / ratio))
}

/// The findings of one document: with effects under their causes, and each by itself.
type Told = (Vec<Finding>, Vec<Finding>);

/// The document with numbers tried, each set of them once.
pub(super) struct Bench<'a> {
    pub document: &'a Document,
    pub unknowns: &'a [Unknown],
    known: BTreeMap<Vec<u64>, usize>,
    tried: Vec<(Vec<f64>, Rc<Outcome>)>,
    told: BTreeMap<Vec<u64>, Rc<Told>>,
    progress: &'a mut dyn FnMut(usize, usize),
}

impl<'a> Bench<'a> {
    pub fn new(
        document: &'a Document,
        unknowns: &'a [Unknown],
        progress: &'a mut dyn FnMut(usize, usize),
    ) -> Bench<'a> {
        Bench {
            document,
            unknowns,
            known: BTreeMap::new(),
            tried: Vec::new(),
            told: BTreeMap::new(),
            progress,
        }
    }

    /// What stands with these numbers.
    pub fn outcome(&mut self, numbers: &[f64]) -> Rc<Outcome> {
        let bits = bits(numbers);
        if let Some(index) = self.known.get(&bits) {
            return Rc::clone(&self.tried[*index].1);
        }
        let outcome = Rc::new(outcome(&with(self.document, self.unknowns, numbers)));
        self.known.insert(bits, self.tried.len());
        self.tried.push((numbers.to_vec(), Rc::clone(&outcome)));
        (self.progress)(self.tried.len(), corners::expected(self.unknowns).max(self.tried.len()));
        outcome
    }

    /// Everything that was tried, in the order in which it was.
    pub fn tried(&self) -> &[(Vec<f64>, Rc<Outcome>)] {
        &self.tried
    }

    /// The findings with these numbers: with effects under their causes, and each by itself.
    pub fn findings(&mut self, numbers: &[f64]) -> Rc<Told> {
        let bits = bits(numbers);
        if let Some(told) = self.told.get(&bits) {
            return Rc::clone(told);
        }
        let document = with(self.document, self.unknowns, numbers);
        let circuit = laid::circuit(&document);
        let context = Context::new(&circuit, &document.situations, &document.interlocks);
        let each = check::run_each(&context);
        let told = Rc::new((check::under_causes(&context, each.clone()), each));
        self.told.insert(bits, Rc::clone(&told));
        told
    }
}

fn bits(numbers: &[f64]) -> Vec<u64> {
    numbers.iter().map(|number| number.to_bits()).collect()
}
