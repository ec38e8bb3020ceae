//! Which unknown value decides a doubt, and where it turns.
//!
//! A possible finding is taken where it stands furthest from its limit, and from there each unknown value is moved by
//! itself: where that makes it go, the value decides it whatever the others are, and the number at which it goes is
//! looked for by halving. Where no value decides it alone, values are moved together, each time the one that brings it
//! nearest to its limit.

use crate::document::Severity;
use crate::inspect::argue::{Rests, rests};
use crate::inspect::corners::{best, n_between, used, worst};
use crate::inspect::tried::{Bench, Key};
use crate::inspect::unknown::Unknown;
use crate::subject::Subject;

/// An unknown value that decides a possible finding by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Turn {
    /// Which value, by its index among the unknown ones.
    pub unknown: usize,
    /// From where to where the finding stands, ends included, the least first: with every other unknown value at its
    /// worst for it.
    pub stands: Vec<(f64, f64)>,
}

/// How near a turning value is found, as a share of the span.
const NEAR: f64 = 1e-5;

/// Most values that are moved together.
const MOST_TOGETHER: usize = 4;

/// What decides a possible finding.
pub(super) struct Decided {
    /// The numbers at which it stands furthest from its limit.
    pub worst: Vec<f64>,
    /// The values that decide it alone.
    pub alone: Vec<Turn>,
    /// Where there are none, values that make it go together.
    pub together: Vec<usize>,
}

/// What decides whether a finding stands and matters so much; `near` is what it hangs on.
pub(super) fn decided(
    bench: &mut Bench<'_>,
    key: &Key,
    severity: Severity,
    near: &[Subject],
) -> Option<Decided> {
    let worst = furthest(bench, key, severity)?;
    let mut alone = Vec::new();
    let candidates: Vec<usize> =
        (0..bench.unknowns.len()).filter(|index| may_matter(&bench.unknowns[*index], key, near)).collect();
    for index in &candidates {
        let unknown = &bench.unknowns[*index];
        let (low, high) = (unknown.span.low, unknown.span.high);
        let stands_at = |bench: &mut Bench<'_>, number: f64| {
            let mut turned = worst.clone();
            turned[*index] = number;
            bench.outcome(&turned).has(key, severity)
        };
        // Between two ends at which it stands only what it is about may bring it down: both of two sizes in one splice.
        let is_open = stands_at(bench, low) && stands_at(bench, high);
        if is_open && !near.contains(&unknown.subject) {
            continue;
        }
        let stands = standing(bench, unknown, &stands_at);
        if stands == [(low, high)] {
            continue;
        }
        alone.push(Turn { unknown: *index, stands });
    }
    let together =
        if alone.is_empty() { together(bench, key, severity, &worst, &candidates) } else { Vec::new() };
    Some(Decided { worst, alone, together })
}

/// Whether a value may have a say in a finding: limits of wires only in what hangs on these wires.
fn may_matter(unknown: &Unknown, key: &Key, near: &[Subject]) -> bool {
    match rests(key.0) {
        Rests::Joined => false,
        Rests::Together => unknown.moves_currents(),
        Rests::OneWay => !unknown.is_limit_of_wire() || near.contains(&unknown.subject),
    }
}

/// Where a finding stands furthest from its limit, of the places from which single values are moved anyway, else of
/// everything that was tried.
fn furthest(bench: &Bench<'_>, key: &Key, severity: Severity) -> Option<Vec<f64>> {
    let unknowns = bench.unknowns;
    let anyway = [worst(unknowns), used(unknowns), best(unknowns)];
    let stands = bench.tried().iter().filter(|(_, outcome)| outcome.has(key, severity));
    let of = |(numbers, outcome): &(Vec<f64>, std::rc::Rc<crate::inspect::tried::Outcome>)| {
        (numbers.clone(), outcome.margin(key).unwrap_or(1.0), anyway.contains(numbers))
    };
    let all: Vec<(Vec<f64>, f64, bool)> = stands.map(of).collect();
    let most = |among: &mut dyn Iterator<Item = &(Vec<f64>, f64, bool)>| {
        among.reduce(|best, one| if one.1 > best.1 { one } else { best }).map(|(numbers, ..)| numbers.clone())
    };
    most(&mut all.iter().filter(|(.., anyway)| *anyway)).or_else(|| most(&mut all.iter()))
}

/// From where to where a finding stands along one value.
fn standing(
    bench: &mut Bench<'_>,
    unknown: &Unknown,
    stands_at: &dyn Fn(&mut Bench<'_>, f64) -> bool,
) -> Vec<(f64, f64)> {
    let mut ranges: Vec<(f64, f64)> = Vec::new();
    let mut before: Option<(f64, bool)> = None;
    for number in unknown.grid(n_between(bench.unknowns)) {
        let stands = stands_at(bench, number);
        let has_turned = before.is_some_and(|(_, stood)| stood != stands);
        if let Some((earlier, _)) = before.filter(|_| has_turned && unknown.steps.is_empty()) {
            let (standing, _) =
                halved(bench, if stands { (number, earlier) } else { (earlier, number) }, unknown, stands_at);
            match stands {
                true => ranges.push((standing, number)),
                false => ranges.last_mut().into_iter().for_each(|range| range.1 = standing),
            }
        } else if stands {
            match ranges.last_mut().filter(|_| before.is_some_and(|(_, stood)| stood)) {
                Some(range) => range.1 = number,
                None => ranges.push((number, number)),
            }
        }
        before = Some((number, stands));
    }
    ranges
}

/// The last number at which a finding stands and the first at which it does not, from one of each.
fn halved(
    bench: &mut Bench<'_>,
    (mut standing, mut gone): (f64, f64),
    unknown: &Unknown,
    stands_at: &dyn Fn(&mut Bench<'_>, f64) -> bool,
) -> (f64, f64) {
    let near = NEAR * (unknown.span.high - unknown.span.low);
    while (standing - gone).abs() > near {
        let middle = 0.5 * (standing + gone);
        match stands_at(bench, middle) {
            true => standing = middle,
            false => gone = middle,
        }
    }
    (standing, gone)
}

/// Values that make a finding go when they are moved together to their other end.
fn together(
    bench: &mut Bench<'_>,
    key: &Key,
    severity: Severity,
    worst: &[f64],
    candidates: &[usize],
) -> Vec<usize> {
    let mut numbers = worst.to_vec();
    let mut moved: Vec<usize> = Vec::new();
    while moved.len() < MOST_TOGETHER {
        let mut nearest: Option<(usize, f64, f64)> = None;
        let now = bench.outcome(&numbers).margin(key).unwrap_or(f64::INFINITY);
        for index in candidates.iter().filter(|index| !moved.contains(index)) {
            let unknown = &bench.unknowns[*index];
            for number in [unknown.span.low, unknown.span.high] {
                let mut turned = numbers.clone();
                turned[*index] = number;
                let outcome = bench.outcome(&turned);
                let margin = match outcome.has(key, severity) {
                    true => outcome.margin(key).unwrap_or(f64::INFINITY),
                    false => 0.0,
                };
                if margin < now && nearest.is_none_or(|(_, _, least)| margin < least) {
                    nearest = Some((*index, number, margin));
                }
            }
        }
        let Some((index, number, margin)) = nearest else { break };
        numbers[index] = number;
        moved.push(index);
        if margin == 0.0 {
            break;
        }
    }
    moved
}
