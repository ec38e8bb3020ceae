//! Which reading tells most for the least trouble.
//!
//! How much a reading tells is the mutual information of the cause and of what is read, in nats: how much less is
//! unknown afterwards, on average (de Kleer and Williams 1987). What a meter may show is cut into ranges that the
//! likely causes hardly share; a cause whose prediction is uncertain falls into several of them.

use std::ops::Range;

use super::belief::{Belief, Prediction, errs, predict};
use super::case::{Case, Target};

/// A variant that is still likely.
#[derive(Clone, Debug)]
pub(super) struct Live {
    /// Its index.
    pub variant: usize,
    /// Its cause.
    pub cause: usize,
    /// How likely it is; all of them together make 1.
    pub weight: f64,
    /// What is known of the sources if it holds.
    pub belief: Belief,
}

/// What a reading may come to: how likely each outcome is for each live variant.
#[derive(Clone, Debug, Default)]
pub(super) struct Outcomes {
    /// How many there are.
    pub n: usize,
    /// The shares of the outcomes, variant by variant.
    shares: Vec<f64>,
    /// Of numbers: what is expected of each variant, and its variance.
    pub numbers: Vec<(f64, f64)>,
}

/// Room to work in, handed from one reading to the next.
#[derive(Default)]
pub(super) struct Room {
    outcomes: Outcomes,
    /// For each live variant the first one that reads the same.
    same: Vec<usize>,
    predictions: Vec<Prediction>,
    order: Vec<usize>,
    bounds: Vec<f64>,
    total: Vec<f64>,
    of_cause: Vec<f64>,
}

/// The largest share of a standard deviation by which predictions may differ and still count as one.
const ALIKE: f64 = 0.3;

/// How wide a range of numbers is, in standard deviations.
const WIDTH: f64 = 2.0;

/// Most ranges that numbers are cut into.
const MOST_RANGES: usize = 24;

impl Room {
    /// Turns to another moment; `false` where nothing but fuses tells any of these apart.
    pub fn turn_to(&mut self, case: &Case, live: &[Live], moment: usize) -> bool {
        self.same.clear();
        for index in 0..live.len() {
            let own = live[index].variant;
            // Mostly it is the state without a fault, or that of the variant before.
            let same = |other: &usize| case.reads_the_same(live[*other].variant, own, moment);
            self.same.push((0..index).find(same).unwrap_or(index));
        }
        self.same.iter().any(|first| *first != 0)
    }

    /// What a reading at the moment turned to tells of the cause, in nats.
    pub fn information(&mut self, case: &Case, live: &[Live], moment: usize, target: &Target) -> f64 {
        if !self.spread_out(case, live, moment, target) {
            return 0.0;
        }
        self.of_outcomes(live, errs(target))
    }

    /// The outcomes last worked out.
    pub fn outcomes(&self) -> &Outcomes {
        &self.outcomes
    }

    /// Works out what each live variant leads to; `false` where all lead to the same.
    pub fn spread_out(&mut self, case: &Case, live: &[Live], moment: usize, target: &Target) -> bool {
        let outcomes = &mut self.outcomes;
        outcomes.numbers.clear();
        outcomes.shares.clear();
        self.predictions.clear();
        let is_fuse = matches!(target, Target::Fuse(_));
        for (index, one) in live.iter().enumerate() {
            let prediction = match self.same[index] {
                same if same < index && !is_fuse => self.predictions[same],
                _ => predict(case, one.variant, moment, target),
            };
            self.predictions.push(prediction);
        }
        if matches!(target, Target::Volts(..) | Target::Amps(_)) {
            self.order.clear();
            for (index, one) in live.iter().enumerate() {
                let expected = match &self.predictions[index] {
                    Prediction::Number(mean, variance, by) => one.belief.expected(*mean, *variance, by),
                    // Where nothing lasts a meter may show anything.
                    _ => (0.5 * case.circuit.resolved.nominal_v, 1e4),
                };
                outcomes.numbers.push(expected);
                self.order.push(index);
            }
            return self.cut();
        }
        outcomes.n = 3;
        let mut differs = false;
        let mut first: Option<[f64; 3]> = None;
        for prediction in &self.predictions {
            let odds = match prediction {
                Prediction::Odds(odds) => *odds,
                _ => [1.0 / 3.0; 3],
            };
            let first = *first.get_or_insert(odds);
            differs |= odds.iter().zip(&first).any(|(one, other)| (one - other).abs() > 0.02);
            outcomes.shares.extend(odds);
        }
        differs
    }

    /// Cuts numbers into ranges; `false` where there is one range only.
    fn cut(&mut self) -> bool {
        let Outcomes { numbers, shares, n } = &mut self.outcomes;
        let (mut least, mut most, mut narrowest) = (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY);
        for (mean, variance) in numbers.iter() {
            (least, most, narrowest) = (least.min(*mean), most.max(*mean), narrowest.min(*variance));
        }
        let span = most - least;
        if numbers.is_empty() || span * span < ALIKE * ALIKE * narrowest {
            *n = 1;
            shares.extend(numbers.iter().map(|_| 1.0));
            return false;
        }
        self.order.sort_unstable_by(|a, b| numbers[*a].0.total_cmp(&numbers[*b].0).then(a.cmp(b)));
        self.bounds.clear();
        let mut begins = numbers[self.order[0]];
        let mut last = begins;
        for index in &self.order[1..] {
            let next = numbers[*index];
            let apart = next.0 - begins.0;
            let width = WIDTH * 0.5 * (next.1.sqrt() + begins.1.sqrt());
            if apart > width && self.bounds.len() + 1 < MOST_RANGES {
                // Between the two, nearer to the one that is known better.
                let (a, b) = (last.1.sqrt(), next.1.sqrt());
                self.bounds.push((last.0 * b + next.0 * a) / (a + b));
                begins = next;
            }
            last = next;
        }
        *n = self.bounds.len() + 1;
        for (mean, variance) in numbers.iter() {
            let scale = (2.0 * variance).sqrt();
            let mut below = 0.0;
            for bound in &self.bounds {
                let up_to = up_to((bound - mean) / scale);
                shares.push((up_to - below).max(0.0));
                below = up_to;
            }
            shares.push(1.0 - below);
        }
        *n > 1
    }

    /// The information of the outcomes, if so many readings are wrong.
    fn of_outcomes(&mut self, live: &[Live], errs: f64) -> f64 {
        let n = self.outcomes.n;
        self.total.clear();
        self.total.resize(n, 0.0);
        let mut known = 0.0;
        for group in by_cause(live) {
            self.of_cause.clear();
            self.of_cause.resize(n, 0.0);
            let mut weight = 0.0;
            for index in group {
                weight += live[index].weight;
                for (sum, share) in self.of_cause.iter_mut().zip(&self.outcomes.shares[index * n..]) {
                    *sum += live[index].weight * share;
                }
            }
            for (sum, total) in self.of_cause.iter_mut().zip(&mut self.total) {
                *sum = (1.0 - errs) * *sum + errs * weight / n as f64;
                *total += *sum;
                known += plog(*sum / weight) * weight;
            }
        }
        (known - self.total.iter().map(|share| plog(*share)).sum::<f64>()).max(0.0)
    }
}

impl Outcomes {
    /// How likely one variant leads to each outcome.
    pub fn shares_of(&self, index: usize) -> &[f64] {
        &self.shares[index * self.n..(index + 1) * self.n]
    }
}

/// The ranges of live variants that belong to one cause; they stand together.
pub(super) fn by_cause(live: &[Live]) -> impl Iterator<Item = Range<usize>> + '_ {
    let mut next = 0;
    std::iter::from_fn(move || {
        let start = next;
        let cause = live.get(start)?.cause;
        while live.get(next).is_some_and(|one| one.cause == cause) {
            next += 1;
        }
        Some(start..next)
    })
}

/// `p ln p`, which is nought for nought.
fn plog(p: f64) -> f64 {
    if p > 0.0 { p * libm::log(p) } else { 0.0 }
}

/// The share of a normal distribution below a bound, given in standard deviations times the root of two.
fn up_to(bound: f64) -> f64 {
    match bound {
        bound if bound > 4.0 => 1.0,
        bound if bound < -4.0 => 0.0,
        bound => 0.5 * libm::erfc(-bound),
    }
}

/// What is not known of the cause, in nats.
pub(super) fn entropy(live: &[Live]) -> f64 {
    by_cause(live).map(|own| -plog(live[own].iter().map(|one| one.weight).sum())).sum()
}

/// How far two live variants differ in a reading, in the worst case of one: in standard deviations of a number, or twice
/// the difference of what is likely to be seen.
pub(super) fn apart(case: &Case, one: &Live, other: &Live, moment: usize, target: &Target) -> f64 {
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
