//! How likely each cause is, after everything that was found.

use std::ops::Range;

use super::apart::differs;
use super::belief::{Belief, Fit, Prediction, Reader, errs, figure, predict, shown, within};
use super::case::{Case, Target};
use super::grouping::plog;
use super::stand::Ranked;
use super::{Reading, Walk};
use crate::document::{Found, Probe, Situation};

/// Below which share of all a variant is not asked about any more.
const LEAST_SHARE: f64 = 1e-5;

/// From which share on a reading counts as suspicious (common practice, no source).
const SUSPICIOUS: f64 = 0.5;

/// The share of a bad joint that one of its resistances must have to be told as the likely one (common practice, no
/// source).
const PLAIN: f64 = 0.3;

/// How many times likelier a finding must be under a cause than as drawn for the cause to explain it, and how many times
/// less likely than under the cause that fits it best to speak against one (common practice, no source).
const CLEARLY: f64 = 5.0;
/// See [`CLEARLY`].
const MUCH: f64 = 20.0;

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

/// What is not known of the cause, in nats.
pub(super) fn entropy(live: &[Live]) -> f64 {
    by_cause(live).map(|own| -plog(live[own].iter().map(|one| one.weight).sum())).sum()
}

/// Something found: the situation, what was looked at, what there was, and whether it is a complaint.
type Entry<'w> = (&'w Situation, &'w Probe, Option<Found>, bool);

/// The last number that was read by the same probe in the same situation, with its index.
fn earlier(found: &[Entry<'_>], probe: &Probe, situation: &Situation) -> Option<(usize, f64)> {
    found.iter().enumerate().rev().find_map(|(index, (other, own, found, _))| match found {
        Some(Found::Number(read)) if *own == probe && other.set == situation.set => Some((index, *read)),
        _ => None,
    })
}

/// What a meter shows that is held again where it was held before.
fn again(case: &Case, variant: usize, moment: usize, target: &Target, read: f64) -> Prediction {
    match shown(case, variant, moment, target) {
        Prediction::Number(_, meter, by) => Prediction::Number(read, 2.0 * meter, by),
        other => other,
    }
}

impl Walk<'_> {
    /// The variants that are still likely if such a reader took the readings, and how well everything found fits the job as
    /// drawn and each of them.
    pub(super) fn live(&self, reader: Reader) -> (Vec<Live>, Vec<Vec<Fit>>) {
        let case = self.case;
        let all = self.found();
        // As drawn first, which everything else is told beside.
        let concerned: Vec<usize> =
            (0..case.variants.len()).filter(|variant| *variant == 0 || self.is_concerned(*variant)).collect();
        let n = concerned.len();
        let mut beliefs: Vec<Belief> =
            concerned.iter().map(|variant| Belief::new(case, *variant, reader)).collect();
        let mut fits: Vec<Vec<Fit>> = vec![Vec::with_capacity(all.len()); n];
        for (index, (situation, probe, found, is_complaint)) in all.iter().enumerate() {
            // What is not in the job tells nothing of it.
            let (Some((moment, target)), Some(found)) =
                (case.moment(situation).zip(case.target(probe)), found)
            else {
                fits.iter_mut().for_each(|fits| fits.push(Fit::default()));
                continue;
            };
            let errs = if *is_complaint { figure::COMPLAINT } else { errs(&target, reader) };
            let within = within(case, &target);
            let before = earlier(&all[..index], probe, situation);
            for ((variant, belief), fits) in concerned.iter().zip(&mut beliefs).zip(&mut fits) {
                // What was read before was read of the same parts, whatever their tolerances are.
                let known = before.filter(|(index, _)| fits[*index].wrong < SUSPICIOUS);
                let prediction = match known {
                    Some((_, read)) => again(case, *variant, moment, &target, read),
                    None => predict(case, *variant, moment, &target),
                };
                fits.push(belief.take(&prediction, *found, errs, within));
            }
        }
        let most = beliefs.iter().map(|belief| belief.log).fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = beliefs.iter().map(|belief| libm::exp(belief.log - most)).collect();
        let all: f64 = weights.iter().sum();
        let is_live = |index: &usize| weights[*index] >= LEAST_SHARE * all;
        let kept: f64 = (0..n).filter(is_live).map(|index| weights[index]).sum();
        let of = |index: usize| Live {
            variant: concerned[index],
            cause: case.variants[concerned[index]].cause,
            weight: weights[index] / kept,
            belief: beliefs[index].clone(),
        };
        let live = (0..n).filter(is_live).map(of).collect();
        let of_live =
            std::iter::once(0).chain((0..n).filter(is_live)).map(|index| fits[index].clone()).collect();
        (live, of_live)
    }

    /// Whether a variant changes what is complained of in any situation: what never does cannot be its cause, whatever
    /// else it does.
    fn is_concerned(&self, variant: usize) -> bool {
        let case = self.case;
        let mut targets =
            self.complaints.iter().filter_map(|complaint| case.target(&complaint.probe)).peekable();
        targets.peek().is_none()
            || targets.any(|target| {
                (0..case.moments.len()).any(|moment| {
                    let is_fuse = matches!(target, Target::Fuse(_));
                    (is_fuse || !case.reads_the_same(variant, 0, moment))
                        && differs(
                            &predict(case, variant, moment, &target),
                            &predict(case, 0, moment, &target),
                        )
                })
            })
    }

    /// Everything that was found: complaints, then readings.
    fn found(&self) -> Vec<Entry<'_>> {
        let complaints =
            self.complaints.iter().map(|one| (&one.situation, &one.probe, Some(one.found), true));
        let taken = |found: Found| found != Found::CannotReach;
        let readings = self
            .readings
            .iter()
            .map(|one| (&one.situation, &one.probe, one.found.filter(|found| taken(*found)), false));
        complaints.chain(readings).collect()
    }

    /// The causes that are left, each with its most likely variant by index.
    pub(super) fn ranked(&self, live: &[Live], fits: &[Vec<Fit>]) -> Vec<(Ranked, usize)> {
        let as_drawn = &fits[0];
        // What nobody could read is explained by nothing.
        let is_taken: Vec<bool> = self.found().iter().map(|(.., found, _)| found.is_some()).collect();
        // The best that any of them makes of each thing found.
        let best_of =
            |index: usize| fits[1..].iter().map(|fits| fits[index].log).fold(f64::NEG_INFINITY, f64::max);
        let best_of: Vec<f64> = (0..as_drawn.len()).map(best_of).collect();
        by_cause(live)
            .map(|own| {
                let share: f64 = live[own.clone()].iter().map(|one| one.weight).sum();
                let first = own.start;
                let best = own
                    .fold(first, |best, one| if live[one].weight > live[best].weight { one } else { best });
                let own = &fits[best + 1];
                let speaks_against = |index: &usize| {
                    own[*index].wrong >= SUSPICIOUS || own[*index].log < best_of[*index] - libm::log(MUCH)
                };
                let is_explained = |index: &usize| {
                    let is_likelier = own[*index].log > as_drawn[*index].log + libm::log(CLEARLY);
                    is_taken[*index] && (live[best].variant == 0 || is_likelier)
                };
                let (against, fitting): (Vec<usize>, Vec<usize>) = (0..own.len()).partition(speaks_against);
                let ranked = Ranked {
                    cause: live[best].cause,
                    share,
                    ohm: self.case.variants[live[best].variant]
                        .ohm
                        .filter(|_| live[best].weight >= PLAIN * share),
                    explains: fitting.into_iter().filter(is_explained).collect(),
                    against,
                };
                (ranked, best)
            })
            .collect()
    }

    /// The reading that is most likely wrong, whichever cause holds; one that was taken again is not asked for once more.
    pub(super) fn suspicious(&self, live: &[Live], fits: &[Vec<Fit>]) -> Option<usize> {
        let n = self.complaints.len();
        let mut most: Option<(usize, f64)> = None;
        for (index, reading) in self.readings.iter().enumerate() {
            let again = |later: &Reading| {
                later.probe == reading.probe
                    && later.situation.set == reading.situation.set
                    && later.found.is_some()
            };
            if self.readings.iter().filter(|other| again(other)).count() > 1 {
                continue;
            }
            let share: f64 =
                live.iter().zip(&fits[1..]).map(|(one, fits)| one.weight * fits[n + index].wrong).sum();
            if share >= SUSPICIOUS && most.is_none_or(|(_, most)| share > most) {
                most = Some((index, share));
            }
        }
        most.map(|(index, _)| index)
    }
}
