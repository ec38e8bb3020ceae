//! Inspection: what is dangerous in a layout drawn as it was found, with values that nobody knows.
//!
//! A size that cannot be read, a length that was guessed and an insulation without a mark have a span of values each: the
//! range that was given, or what is usual in the trade. The checks are run on the job with numbers out of these spans put
//! in, many times, and each finding is *sure*, *possible* or not found. What makes it sure is in [`Reason`]; of what is
//! possible it is told which value decides it and at which number it turns, so that the report becomes a list of what to
//! look at, the value that clears most doubts first.
//!
//! Nothing here judges by itself: every verdict is that of the checks on a whole job.

use crate::arrange;
use crate::check::{self, Check};
use crate::document::{Document, Severity};
use crate::finding::{Finding, Harm};
use crate::laid;
use crate::subject::Subject;

mod advice;
mod argue;
mod corners;
mod judged;
mod span;
mod tried;
mod turning;
mod unknown;
mod words;

pub use advice::{Action, Conclusion, may_happen};
pub use argue::Reason;
pub use tried::{Found, Key, found};
pub use turning::Turn;
pub use unknown::{Step, Unknown};
pub use words::Looks;

use tried::Bench;

/// How sure a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It stands whatever the unknown values are.
    Sure,
    /// It stands with some values of what is not known, and not with others, or nothing shows that it always does.
    Possible,
    /// It stands in nothing that was tried.
    Not,
}

impl Verdict {
    /// The word shown to users.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Sure => "sure",
            Verdict::Possible => "possible",
            Verdict::Not => "not",
        }
    }
}

/// One thing that is or may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// The finding: of what is sure as it is with the values that checks use, of what is possible where it is worst.
    pub finding: Finding,
    /// The gravest that it may be.
    pub severity: Severity,
    /// Whether it is sure to be so grave, or may be.
    pub verdict: Verdict,
    /// Of what is possible, the lesser severity that it is sure to have.
    pub at_least: Option<Severity>,
    /// Why it is sure to have that severity, or the one it is sure to have at least.
    pub reason: Option<Reason>,
    /// Whether it stood, as grave as it may be, in everything that was tried.
    pub always: bool,
    /// The unknown values that the numbers of the finding were worked out with and that have a say in it.
    pub with: Vec<(usize, f64)>,
    /// The unknown values that decide it, each by itself.
    pub decided_by: Vec<Turn>,
    /// Where none does, values that decide it together.
    pub together: Vec<usize>,
}

impl Item {
    /// What it leads to.
    pub fn harm(&self) -> Harm {
        check::by_name(self.finding.check).map_or(Harm::Failure, |check| check.harm)
    }

    /// The same fault, by check and subject.
    pub fn key(&self) -> Key {
        (self.finding.check, self.finding.subject.clone())
    }
}

/// A value to look at, and which doubts that clears.
#[derive(Clone, Debug, PartialEq)]
pub struct LookAt {
    /// Which value, by its index among the unknown ones.
    pub unknown: usize,
    /// The items that it decides by itself, by their index, those included that values before it in the list decide too.
    pub clears: Vec<usize>,
    /// The items that it decides together with others.
    pub helps: Vec<usize>,
}

/// What an inspection found.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspection {
    /// What is or may be wrong, the worst first.
    pub items: Vec<Item>,
    /// Everything that is not known and has a span.
    pub unknowns: Vec<Unknown>,
    /// What to look at, what clears most doubts first.
    pub look_at: Vec<LookAt>,
    /// Checks for what can start a fire that found nothing in anything tried.
    pub not_found: Vec<&'static str>,
    /// What cannot be judged because nothing bounds the value that is missing.
    pub not_judged: Vec<(Subject, String)>,
    /// What was left as the vehicle's own.
    pub own: Vec<Subject>,
    /// How many documents were tried.
    pub n_tried: usize,
    /// Whether anything was drawn.
    pub is_empty: bool,
    /// The job as it was judged, with the values that checks use for what is not known.
    pub as_used: Document,
}

/// Inspects a job; `progress` is told how many documents have been tried, and of about how many.
pub fn inspect(document: &Document, progress: &mut dyn FnMut(usize, usize)) -> Inspection {
    let judged::Judged { document: judged, own } = judged::judged(document);
    let circuit = laid::circuit(&judged);
    let unknowns = unknown::unknowns(&judged, &circuit);
    let mut bench = Bench::new(&judged, &unknowns, progress);
    corners::try_all(&mut bench);
    let mut items = items(&mut bench);
    let network = &judged.network;
    arrange::sort_by_key(&mut items, |item| {
        let (check, subject) = item.key();
        (item.severity, item.harm(), item.verdict, subject.position(network), check)
    });
    let n_tried = bench.tried().len();
    let as_used = unknown::with(&judged, &unknowns, &corners::used(&unknowns));
    let has_harm = |check: &&&Check| check.harm == Harm::Fire;
    let is_silent = |check: &&&Check| items.iter().all(|item| item.finding.check != check.name);
    let not_found = check::ALL.iter().filter(has_harm).filter(is_silent).map(|check| check.name).collect();
    let circuit = laid::circuit(&as_used);
    let missing = circuit.resolved.assumptions.iter();
    let not_judged = missing.filter_map(|one| Some((one.subject.clone(), one.unjudged.clone()?))).collect();
    Inspection {
        look_at: look_at(&items),
        is_empty: circuit.resolved.parts.iter().all(Option::is_none),
        items,
        not_found,
        not_judged,
        own,
        n_tried,
        as_used,
        unknowns,
    }
}

/// Every finding that is left in some document that was tried, with how sure it is.
fn items(bench: &mut Bench<'_>) -> Vec<Item> {
    let mut keys: Vec<Key> = Vec::new();
    for (_, outcome) in bench.tried() {
        for key in outcome.heads.keys() {
            if !keys.contains(key) {
                keys.push(key.clone());
            }
        }
    }
    keys.into_iter().filter_map(|key| item(bench, &key)).collect()
}

fn item(bench: &mut Bench<'_>, key: &Key) -> Option<Item> {
    let severity = bench.tried().iter().filter_map(|(_, outcome)| outcome.severity(key)).min()?;
    let used = corners::used(bench.unknowns);
    let first = speaks(bench, key, severity, used);
    let near = told(bench, &first, key).map_or(Vec::new(), |finding| near(&finding));
    let levels = Severity::ALL.into_iter().filter(|level| *level >= severity);
    let mut levels = levels.map(|level| (level, argue::sure(bench, key, level, &near)));
    let sure = levels.find_map(|(level, reason)| Some((level, reason?)));
    let is_sure = sure.is_some_and(|(level, _)| level == severity);
    let decided = if is_sure { None } else { turning::decided(bench, key, severity, &near) };
    // Where another thing speaks for it there are no words about it.
    let wanted = decided.as_ref().map_or(first, |decided| decided.worst.clone());
    let numbers = speaks(bench, key, severity, wanted);
    let finding = told(bench, &numbers, key)?;
    let decides = |index: &usize| {
        decided.as_ref().is_some_and(|decided| {
            decided.together.contains(index) || decided.alone.iter().any(|turn| turn.unknown == *index)
        })
    };
    let has_a_say = |index: &usize, unknown: &Unknown| unknown.subject == finding.subject || decides(index);
    let with =
        (0..).zip(bench.unknowns).zip(&numbers).filter(|((index, unknown), _)| has_a_say(index, unknown));
    let with = with.map(|((index, _), number)| (index, *number)).collect();
    let always = bench.tried().iter().all(|(_, outcome)| outcome.has(key, severity));
    let (decided_by, together) = decided.map_or((Vec::new(), Vec::new()), |one| (one.alone, one.together));
    Some(Item {
        finding,
        severity,
        verdict: if is_sure { Verdict::Sure } else { Verdict::Possible },
        at_least: sure.map(|(level, _)| level).filter(|_| !is_sure),
        reason: sure.map(|(_, reason)| reason),
        always,
        with,
        decided_by,
        together,
    })
}

/// What a finding hangs on: its subject, what it touches and what else it names.
fn near(finding: &Finding) -> Vec<Subject> {
    let because = finding.because.iter().map(|label| &label.subject);
    let all = std::iter::once(&finding.subject).chain(&finding.touches).chain(because);
    all.cloned().collect()
}

/// These numbers when the finding speaks for itself there, else the first tried at which it does and is so grave, else
/// the first at which it does.
fn speaks(bench: &Bench<'_>, key: &Key, severity: Severity, wanted: Vec<f64>) -> Vec<f64> {
    let heads =
        bench.tried().iter().filter_map(|(numbers, outcome)| Some((numbers, *outcome.heads.get(key)?)));
    let heads: Vec<(&Vec<f64>, Severity)> = heads.collect();
    let is_grave = |(_, found): &&(&Vec<f64>, Severity)| *found <= severity;
    if heads.iter().filter(is_grave).any(|(numbers, _)| **numbers == wanted) {
        return wanted;
    }
    let first = heads.iter().find(is_grave).or_else(|| heads.first());
    first.map_or(wanted, |(numbers, _)| (*numbers).clone())
}

/// A finding as its check tells it with these numbers, with what was put under it.
fn told(bench: &mut Bench<'_>, numbers: &[f64], key: &Key) -> Option<Finding> {
    let told = bench.findings(numbers);
    let (folded, each) = (&told.0, &told.1);
    let is_it = |finding: &Finding| finding.check == key.0 && finding.subject == key.1;
    folded.iter().chain(each).find(|finding| is_it(finding)).cloned()
}

/// What to look at: again and again the value that clears most of the doubts that are left.
fn look_at(items: &[Item]) -> Vec<LookAt> {
    let of = |unknown: usize| LookAt {
        unknown,
        clears: positions(items, |item| item.decided_by.iter().any(|turn| turn.unknown == unknown)),
        helps: positions(items, |item| item.together.contains(&unknown)),
    };
    let decided = items.iter().flat_map(|item| item.decided_by.iter().map(|turn| turn.unknown));
    let mut left: Vec<LookAt> =
        arrange::set_of(decided.chain(items.iter().flat_map(|item| item.together.iter().copied())))
            .into_iter()
            .map(of)
            .collect();
    let mut listed: Vec<LookAt> = Vec::new();
    while !left.is_empty() {
        let open = |item: &usize| listed.iter().all(|before| !before.clears.contains(item));
        let worth = |one: &LookAt| {
            let alone: u32 =
                one.clears.iter().filter(|item| open(item)).map(|item| 4 * weight(&items[*item])).sum();
            let shared: u32 =
                one.helps.iter().filter(|item| open(item)).map(|item| weight(&items[*item])).sum();
            alone + shared
        };
        let best = left.iter().enumerate().max_by_key(|(index, one)| (worth(one), std::cmp::Reverse(*index)));
        let Some((index, one)) = best else { break };
        // What is left tells nothing that was not told already.
        if worth(one) == 0 {
            break;
        }
        listed.push(left.remove(index));
    }
    listed
}

fn positions(items: &[Item], is_it: impl Fn(&Item) -> bool) -> Vec<usize> {
    items.iter().enumerate().filter(|(_, item)| is_it(item)).map(|(index, _)| index).collect()
}

/// How much clearing a doubt is worth beside another.
fn weight(item: &Item) -> u32 {
    match (item.severity, item.harm()) {
        (Severity::Stop, Harm::Fire) => 16,
        (Severity::Stop, Harm::Failure) => 8,
        (Severity::Look, Harm::Fire) => 4,
        (Severity::Look, Harm::Failure) => 2,
        (Severity::Note, _) => 1,
    }
}

#[cfg(test)]
mod tests;
