//! How much a reading tells.
//!
//! It is the mutual information of the cause and of what is read, in nats: how much less is unknown afterwards, on
//! average (de Kleer and Williams 1987). What a meter may show is cut into ranges that the likely causes hardly share; a
//! cause whose prediction is uncertain falls into several of them.

use super::belief::{Prediction, Reader, errs, predict};
use super::case::{Case, Target};
use super::grouping::{Grouping, Sums, plog};
use super::weigh::Live;

/// What a reading may come to: how likely each outcome is for each group of variants.
#[derive(Clone, Debug, Default)]
pub(super) struct Outcomes {
    /// How many there are.
    pub n: usize,
    /// The shares of the outcomes, group by group.
    shares: Vec<f64>,
    /// Of numbers: what is expected of each group, and its variance.
    pub numbers: Vec<(f64, f64)>,
}

impl Outcomes {
    /// How likely one group of variants leads to each outcome.
    pub fn shares_of(&self, group: usize) -> &[f64] {
        &self.shares[group * self.n..(group + 1) * self.n]
    }

    /// The same where a reading is wrong so often.
    fn err(&mut self, errs: f64) {
        let n = self.n as f64;
        self.shares.iter_mut().for_each(|share| *share = (1.0 - errs) * *share + errs / n);
    }
}

/// Room to work in, handed from one reading to the next.
#[derive(Default)]
pub(super) struct Room {
    outcomes: Outcomes,
    order: Vec<usize>,
    bounds: Vec<f64>,
    scratch: [Vec<f64>; 2],
}

/// The largest share of a standard deviation by which predictions may differ and still count as one.
const ALIKE: f64 = 0.3;

/// How wide a range of numbers is, in standard deviations.
const WIDTH: f64 = 2.0;

/// Most ranges that numbers are cut into.
const MOST_RANGES: usize = 24;

impl Room {
    /// What a reading at the moment of a grouping tells of the cause, in nats, if such a reader takes it.
    pub fn information(
        &mut self,
        case: &Case,
        live: &[Live],
        grouping: &Grouping,
        target: &Target,
        reader: Reader,
    ) -> f64 {
        if !self.spread_out(case, live, grouping, target) {
            return 0.0;
        }
        self.outcomes.err(errs(target, reader));
        of_outcomes(&self.outcomes, &grouping.sums, &mut self.scratch)
    }

    /// What a reading at the moment of a grouping may come to, if it is not wrong.
    pub fn outcomes(
        &mut self,
        case: &Case,
        live: &[Live],
        grouping: &Grouping,
        target: &Target,
    ) -> &Outcomes {
        self.spread_out(case, live, grouping, target);
        &self.outcomes
    }

    /// Works out what each group leads to; `false` where all lead to the same.
    fn spread_out(&mut self, case: &Case, live: &[Live], grouping: &Grouping, target: &Target) -> bool {
        let outcomes = &mut self.outcomes;
        outcomes.numbers.clear();
        outcomes.shares.clear();
        let predictions = grouping
            .heads
            .iter()
            .map(|head| (head, predict(case, live[*head].variant, grouping.moment, target)));
        if matches!(target, Target::Volts(..) | Target::Amps(_)) {
            for (head, prediction) in predictions {
                outcomes.numbers.push(match prediction {
                    Prediction::Number(mean, variance, by) => {
                        live[*head].belief.expected(mean, variance, &by)
                    }
                    // Where nothing lasts a meter may show anything.
                    _ => (0.5 * case.circuit.resolved.nominal_v, 1e4),
                });
            }
            return self.cut();
        }
        outcomes.n = if matches!(target, Target::Look(_)) { 3 } else { 2 };
        let n = outcomes.n;
        let mut differs = false;
        for (_, prediction) in predictions {
            let odds = match prediction {
                Prediction::Odds(odds) => odds,
                _ => [1.0 / n as f64; 3],
            };
            outcomes.shares.extend(&odds[..n]);
            differs |= odds.iter().zip(&outcomes.shares[..n]).any(|(one, other)| (one - other).abs() > 0.02);
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
        self.order.clear();
        self.order.extend(0..numbers.len());
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
}

/// What outcomes tell of the cause, in nats, where the groups are so likely.
fn of_outcomes(outcomes: &Outcomes, sums: &Sums, scratch: &mut [Vec<f64>; 2]) -> f64 {
    let n = outcomes.n;
    let [total, of_cause] = scratch;
    total.clear();
    total.resize(n, 0.0);
    let mut known = 0.0;
    for (group, (weight, whole)) in sums.groups.iter().zip(&sums.whole).enumerate() {
        let shares = outcomes.shares_of(group);
        total.iter_mut().zip(shares).for_each(|(total, share)| *total += weight * share);
        if *whole > 0.0 {
            known += whole * shares.iter().map(|share| plog(*share)).sum::<f64>();
        }
    }
    for parts in sums.split() {
        of_cause.clear();
        of_cause.resize(n, 0.0);
        let weight: f64 = parts.iter().map(|(_, weight)| weight).sum();
        for (group, own) in parts {
            let shares = outcomes.shares_of(*group);
            of_cause.iter_mut().zip(shares).for_each(|(sum, share)| *sum += own / weight * share);
        }
        known += weight * of_cause.iter().map(|share| plog(*share)).sum::<f64>();
    }
    (known - total.iter().map(|share| plog(*share)).sum::<f64>()).max(0.0)
}

/// The share of a normal distribution below a bound, given in standard deviations times the root of two.
fn up_to(bound: f64) -> f64 {
    match bound {
        bound if bound > 4.0 => 1.0,
        bound if bound < -4.0 => 0.0,
        bound => 0.5 * libm::erfc(-bound),
    }
}
