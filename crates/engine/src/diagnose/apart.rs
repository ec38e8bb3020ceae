//! Which causes some reading tells apart, and which none does.

use super::belief::{Prediction, Reader, predict};
use super::case::Target;
use super::probes::{Bench, Choice, choices};
use super::stand::{Ranked, Standing};
use super::weigh::Live;
use super::{Case, Walk};
use crate::arrange;
use crate::document::Probe;

/// From which share on a cause, or causes that nothing tells apart, counts as found (common practice, no source).
pub(super) const SURE: f64 = 0.9;

/// How far two causes must differ in some reading to be told apart by it, in standard deviations (common practice, no
/// source).
const TOLD_APART: f64 = 2.0;

/// Causes that no reading tells apart, told as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The causes, by place in [`Standing::causes`], the most likely first.
    pub places: Vec<usize>,
    /// How likely they are together.
    pub share: f64,
}

impl Standing {
    /// The causes of a walk that stands here, put together where no reading that can be taken tells them apart, the most
    /// likely row first. One cause of a row may still be likelier than another, because such things happen more often.
    pub fn rows(&self, walk: &Walk<'_>) -> Vec<Row> {
        let case = walk.case;
        let (live, _) = walk.live(Reader::Careful);
        let (choices, bench) = (choices(case, walk.minutes), Bench::new(walk));
        let mut likeliest: Vec<Option<&Live>> = vec![None; case.causes.len()];
        for one in &live {
            let best = &mut likeliest[one.cause];
            if best.is_none_or(|best| one.weight > best.weight) {
                *best = Some(one);
            }
        }
        let can_reach = |choice: &Choice, _: usize| bench.can_reach(choice);
        let is_alike = |place: usize, other: usize| {
            let of = |place: usize| likeliest[self.causes[place].cause];
            let pair = of(place).zip(of(other));
            pair.is_some_and(|(one, other)| !differ(case, one, other, &choices, &can_reach))
        };
        let mut rows: Vec<Row> = Vec::new();
        for (place, ranked) in self.causes.iter().enumerate() {
            match rows.iter_mut().find(|row| is_alike(row.places[0], place)) {
                Some(row) => {
                    row.places.push(place);
                    row.share += ranked.share;
                }
                None => rows.push(Row { places: vec![place], share: ranked.share }),
            }
        }
        arrange::sort_by(&mut rows, |a, b| b.share.total_cmp(&a.share));
        rows
    }
}

/// Whether two predictions can be told apart at all.
pub(super) fn differs(one: &Prediction, other: &Prediction) -> bool {
    match (one, other) {
        (Prediction::Number(a, variance, _), Prediction::Number(b, other, _)) => {
            (a - b) * (a - b) > variance.min(*other)
        }
        (Prediction::Odds(a), Prediction::Odds(b)) => a.iter().zip(b).any(|(a, b)| (a - b).abs() > 0.05),
        (one, other) => one != other,
    }
}

/// How far two live variants differ in a reading, in the worst case of one: in standard deviations of a number, or four
/// times the difference of what is likely to be seen, so that a half counts as two of them.
fn apart(case: &Case, one: &Live, other: &Live, moment: usize, target: &Target) -> f64 {
    let predicted = |live: &Live| predict(case, live.variant, moment, target);
    match (predicted(one), predicted(other)) {
        (Prediction::Number(mean, variance, by), Prediction::Number(mean_b, variance_b, by_b)) => {
            let (a, b) =
                (one.belief.expected(mean, variance, &by), other.belief.expected(mean_b, variance_b, &by_b));
            (a.0 - b.0).abs() / (a.1 + b.1).sqrt()
        }
        (Prediction::Odds(a), Prediction::Odds(b)) => {
            4.0 * a.iter().zip(&b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
        }
        (Prediction::Unknown, Prediction::Unknown) => 0.0,
        _ => f64::INFINITY,
    }
}

/// The causes that no reading left tells from the most likely one, by place in the ranking, and whether they are likely
/// enough to be the answer.
pub(super) fn group(
    case: &Case,
    ranked: &[(Ranked, usize)],
    live: &[Live],
    choices: &[Choice],
    bench: &Bench,
) -> (Vec<usize>, bool) {
    let Some((_, top)) = ranked.first() else { return (Vec::new(), false) };
    let mut group = Vec::new();
    let (mut within, mut without) = (0.0, 0.0);
    for (place, (one, variant)) in ranked.iter().enumerate() {
        if without > 1.0 - SURE {
            break;
        }
        let is_open = |choice: &Choice, moment| bench.is_open(choice, moment);
        if place == 0 || !differ(case, &live[*top], &live[*variant], choices, &is_open) {
            group.push(place);
            within += one.share;
        } else {
            without += one.share;
        }
    }
    (group, within >= SURE)
}

/// Whether some reading tells two live variants apart.
fn differ(
    case: &Case,
    one: &Live,
    other: &Live,
    choices: &[Choice],
    counts: &dyn Fn(&Choice, usize) -> bool,
) -> bool {
    (0..case.moments.len()).any(|moment| {
        let is_same = case.reads_the_same(one.variant, other.variant, moment);
        choices.iter().filter(|choice| choice.is_of_all || !is_same).any(|choice| {
            counts(choice, moment) && apart(case, one, other, moment, &choice.target) >= TOLD_APART
        })
    })
}

/// The fewest causes that are the answer for certain enough, by place.
pub(super) fn most_likely(causes: &[Ranked]) -> Vec<usize> {
    let mut sum = 0.0;
    let mut places = Vec::new();
    for (place, cause) in causes.iter().enumerate() {
        if sum >= SURE {
            break;
        }
        places.push(place);
        sum += cause.share;
    }
    places
}

/// A reading that cannot be taken and would tell the first cause of the answer from another one of it.
pub(super) fn out_of_reach(
    case: &Case,
    standing: &Standing,
    live: &[Live],
    choices: &[Choice],
    bench: &Bench,
) -> Option<Probe> {
    let best = |place: &usize| {
        let cause = standing.causes[*place].cause;
        let own = live.iter().filter(|one| one.cause == cause);
        own.max_by(|a, b| a.weight.total_cmp(&b.weight))
    };
    let (first, others) = standing.group.split_first()?;
    let one = best(first)?;
    let others: Vec<&Live> = others.iter().filter_map(best).collect();
    let tells = |choice: &&Choice| {
        (0..case.moments.len()).any(|moment| {
            others.iter().any(|other| apart(case, one, other, moment, &choice.target) >= TOLD_APART)
        })
    };
    choices.iter().filter(|choice| !bench.can_reach(choice)).find(tells).map(|choice| choice.probe.clone())
}
