//! What a reading may come to, told before it is taken.

use super::grouping::Grouping;
use super::next::Outcomes;
use super::weigh::{Live, by_cause};
use crate::arrange;
use crate::document::{Found, Probe, Seen};

/// A variance beyond which nothing is expected of a number at all.
const ANYTHING: f64 = 1e3;

/// What a reading may come to, and what that would speak for.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// What would be found.
    pub told: Told,
    /// How likely that is.
    pub share: f64,
    /// The causes, by index, that lead to it, the most likely first.
    pub causes: Vec<usize>,
}

/// What is found, as far as it can be said beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// A number, and how far it may be off: twice its standard deviation.
    Number(f64, f64),
    /// Anything else.
    Plain(Found),
}

/// An outcome as it is added up.
struct Sum {
    outcome: usize,
    share: f64,
    /// Of numbers: the share that expects one, its sum, and the sum of squares with variances.
    number: [f64; 3],
    causes: Vec<(usize, f64)>,
}

/// What a reading may come to, by the outcomes of these groups; outcomes that speak for the same cause are told as one.
pub(super) fn expected(
    outcomes: &Outcomes,
    grouping: &Grouping,
    live: &[Live],
    probe: &Probe,
) -> Vec<Expected> {
    let mut sums: Vec<Sum> = Vec::new();
    for outcome in 0..outcomes.n {
        let mut sum = Sum { outcome, share: 0.0, number: [0.0; 3], causes: Vec::new() };
        for own in by_cause(live) {
            let cause = live[own.start].cause;
            let mut of_cause = 0.0;
            for index in own {
                let group = grouping.group_of[index];
                let here = live[index].weight * outcomes.shares_of(group)[outcome];
                of_cause += here;
                if let Some((mean, variance)) =
                    outcomes.numbers.get(group).filter(|number| number.1 < ANYTHING)
                {
                    for (sum, one) in sum.number.iter_mut().zip([1.0, *mean, mean * mean + variance]) {
                        *sum += here * one;
                    }
                }
            }
            sum.share += of_cause;
            sum.causes.push((cause, of_cause));
        }
        let first = |sum: &Sum| sum.causes.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(cause, _)| *cause);
        let is_number = !outcomes.numbers.is_empty();
        match sums.last_mut().filter(|last| is_number && first(last) == first(&sum)) {
            Some(last) => {
                last.share += sum.share;
                last.number.iter_mut().zip(sum.number).for_each(|(last, own)| *last += own);
                last.causes.iter_mut().zip(sum.causes).for_each(|(last, own)| last.1 += own.1);
            }
            None => sums.push(sum),
        }
    }
    let mut all: Vec<Expected> = Vec::new();
    for Sum { outcome, share, number, mut causes } in sums.into_iter().filter(|sum| sum.share >= 0.01) {
        arrange::sort_by(&mut causes, |a, b| b.1.total_cmp(&a.1));
        let most = causes.first().map_or(0.0, |(_, share)| *share);
        causes.retain(|(_, share)| *share >= 0.1 * most);
        let [n, sum, squares] = number;
        let mean = if n > 0.0 { sum / n } else { 0.0 };
        let told = match (probe, outcome) {
            (Probe::Volts { .. } | Probe::Amps(_) | Probe::Pin { .. }, _) => {
                Told::Number(mean, 2.0 * (squares / n.max(f64::MIN_POSITIVE) - mean * mean).max(0.0).sqrt())
            }
            (Probe::Look(..) | Probe::TestLamp { .. }, 0) => Told::Plain(Found::Seen(Seen::Lit)),
            (Probe::Look(..) | Probe::TestLamp { .. }, 1) => Told::Plain(Found::Seen(Seen::Dim)),
            (Probe::Look(..) | Probe::TestLamp { .. }, _) => Told::Plain(Found::Seen(Seen::Dark)),
            (Probe::Listen(_), which) => Told::Plain(Found::Heard(which == 0)),
            (Probe::Fuse(_), which) => Told::Plain(Found::Whole(which == 0)),
        };
        all.push(Expected { told, share, causes: causes.into_iter().map(|(cause, _)| cause).collect() });
    }
    arrange::sort_by(&mut all, |a, b| b.share.total_cmp(&a.share));
    all
}
