//! Where a walk stands: how likely each cause is, what speaks for it, and what to read next.

use super::belief::{Belief, Fit, Prediction, errs, figure, predict, within};
use super::next::{Live, Room, apart, by_cause, entropy};
use super::probes::{Bench, Choice, choices};
use super::{Case, Walk};
use crate::arrange;
use crate::document::{Found, Probe, Seen, Situation};

/// From which share on a cause, or causes that nothing tells apart, counts as found (common practice, no source).
const SURE: f64 = 0.95;

/// Below which share of all a variant is not asked about any more.
const LEAST_SHARE: f64 = 1e-5;

/// How far two causes must differ in some reading to be told apart by it, in standard deviations.
const TOLD_APART: f64 = 2.0;

/// What a reading must tell to be worth taking, in nats.
const LEAST_INFORMATION: f64 = 0.01;

/// From which share on a reading counts as suspicious.
const SUSPICIOUS: f64 = 0.5;

/// The share of a bad joint that one of its resistances must have to be told as the likely one.
const PLAIN: f64 = 0.3;

/// A variance beyond which nothing is expected of a number at all.
const ANYTHING: f64 = 1e3;

/// How many times likelier a finding must be under a cause than as drawn for the cause to explain it, and how many times
/// less likely than under the cause that fits it best to speak against one.
const CLEARLY: f64 = 5.0;
/// See [`CLEARLY`].
const MUCH: f64 = 20.0;

/// Where a walk stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The causes that are still likely, the most likely first.
    pub causes: Vec<Ranked>,
    /// Those, by place, that no reading left tells from the most likely one; at the end, those that are the answer.
    pub group: Vec<usize>,
    /// Whether it is at its end.
    pub end: Option<End>,
    /// The reading to take next.
    pub next: Option<Proposal>,
    /// The reading, by index, that fits nothing else: it is proposed to take it again.
    pub suspicious: Option<usize>,
    /// Where what is left is told apart by a reading that cannot be taken: that reading.
    pub beyond: Option<Probe>,
}

/// How a walk ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The cause is found, or several that no reading tells apart.
    Found,
    /// What is left is told apart by readings that cannot be taken.
    OutOfReach,
    /// No reading tells enough any more.
    NothingTells,
}

/// A cause, and how likely it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Its index in [`Case::causes`].
    pub cause: usize,
    /// How likely it is; all causes together make 1.
    pub share: f64,
    /// Of a bad joint, the most likely resistance, in ohms.
    pub ohm: Option<f64>,
    /// What it explains that would not be so otherwise: complaints first, then readings, counted through.
    pub explains: Vec<usize>,
    /// What does not fit it.
    pub against: Vec<usize>,
}

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

/// A reading to take.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// What to look at.
    pub probe: Probe,
    /// The moment, by index in [`Case::moments`].
    pub moment: usize,
    /// What it tells, in nats.
    pub information: f64,
    /// What it takes, in minutes.
    pub minutes: f64,
    /// What it may come to, the most likely first.
    pub expected: Vec<Expected>,
}

impl<'w> Walk<'w> {
    /// Where it stands.
    pub fn stand(&self) -> Standing {
        let case = self.case;
        let (live, fits) = self.live();
        let mut ranked = self.ranked(&live, &fits);
        arrange::sort_by(&mut ranked, |a, b| b.0.share.total_cmp(&a.0.share));
        let choices = choices(case, self.minutes);
        let bench = Bench::new(self);
        let suspicious = self.suspicious(&live, &fits);
        let (group, found) = group(case, &ranked, &live, &choices, &bench);
        let mut standing = Standing {
            causes: ranked.into_iter().map(|(ranked, _)| ranked).collect(),
            group,
            end: None,
            next: None,
            suspicious,
            beyond: None,
        };
        let mut room = Room::default();
        if let Some(index) = suspicious {
            let reading = &self.readings[index];
            let choice = choices.iter().find(|choice| choice.probe == reading.probe);
            if let (Some(moment), Some(choice)) = (case.moment(&reading.situation), choice) {
                standing.next = Some(self.proposal(&mut room, &live, &bench, choice, moment));
                return standing;
            }
        }
        if found {
            standing.beyond = out_of_reach(case, &standing, &live, &choices, &bench);
            standing.end = Some(if standing.beyond.is_some() { End::OutOfReach } else { End::Found });
            return standing;
        }
        let best = self.best(&mut room, &live, &choices, &bench);
        match best {
            Some((choice, moment)) => {
                standing.next = Some(self.proposal(&mut room, &live, &bench, choice, moment))
            }
            None => {
                standing.group = most_likely(&standing.causes);
                standing.beyond = out_of_reach(case, &standing, &live, &choices, &bench);
                standing.end =
                    Some(if standing.beyond.is_some() { End::OutOfReach } else { End::NothingTells });
            }
        }
        standing
    }

    /// The causes of a standing, by place, put together where no reading tells them apart: those that can be told apart
    /// at all stand in different classes.
    pub fn classes(&self, standing: &Standing) -> Vec<Vec<usize>> {
        let case = self.case;
        let (live, _) = self.live();
        let (choices, bench) = (choices(case, self.minutes), Bench::new(self));
        let is_open = |choice: &Choice, moment| bench.is_open(choice, moment);
        let best = |place: usize| {
            let own = live.iter().filter(|one| one.cause == standing.causes[place].cause);
            own.max_by(|a, b| a.weight.total_cmp(&b.weight))
        };
        let mut classes: Vec<Vec<usize>> = Vec::new();
        for place in 0..standing.causes.len() {
            let is_one = |class: &&mut Vec<usize>| match (best(class[0]), best(place)) {
                (Some(one), Some(other)) => !differ(case, one, other, &choices, &is_open),
                _ => false,
            };
            match classes.iter_mut().find(is_one) {
                Some(class) => class.push(place),
                None => classes.push(vec![place]),
            }
        }
        classes
    }

    /// The most that one reading can tell now, in nats, whatever it costs.
    pub fn most_information(&self) -> f64 {
        let case = self.case;
        let (live, _) = self.live();
        let (choices, bench) = (choices(case, self.minutes), Bench::new(self));
        let mut room = Room::default();
        let mut most: f64 = 0.0;
        for moment in 0..case.moments.len() {
            let differs = room.turn_to(case, &live, moment);
            for choice in
                choices.iter().filter(|choice| (differs || choice.is_of_all) && bench.is_open(choice, moment))
            {
                most = most.max(room.information(case, &live, moment, &choice.target));
            }
        }
        most
    }

    /// The variants that are still likely, and how well everything found fits the job as drawn and each of them.
    fn live(&self) -> (Vec<Live>, Vec<Vec<Fit>>) {
        let case = self.case;
        let found = self.found();
        let n = case.variants.len();
        let mut beliefs: Vec<Belief> = (0..n).map(|variant| Belief::new(case, variant)).collect();
        let mut fits: Vec<Vec<Fit>> = vec![Vec::with_capacity(found.len()); n];
        for (situation, probe, found, is_complaint) in &found {
            let looked_up = case.moment(situation).zip(case.target(probe));
            for variant in 0..n {
                // What is not in the job tells nothing of it.
                let (Some((moment, target)), Some(found)) = (&looked_up, found) else {
                    fits[variant].push(Fit::default());
                    continue;
                };
                let errs = if *is_complaint { figure::COMPLAINT } else { errs(target) };
                let prediction = predict(case, variant, *moment, target);
                fits[variant].push(beliefs[variant].take(&prediction, *found, errs, within(case, target)));
            }
        }
        for variant in (1..n).filter(|variant| !self.is_concerned(*variant)) {
            beliefs[variant].log = f64::NEG_INFINITY;
        }
        let most = beliefs.iter().map(|belief| belief.log).fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = beliefs.iter().map(|belief| libm::exp(belief.log - most)).collect();
        let all: f64 = weights.iter().sum();
        let is_live = |variant: &usize| weights[*variant] >= LEAST_SHARE * all;
        let kept: f64 = (0..n).filter(is_live).map(|variant| weights[variant]).sum();
        let of = |variant: usize| Live {
            variant,
            cause: case.variants[variant].cause,
            weight: weights[variant] / kept,
            belief: beliefs[variant].clone(),
        };
        let live: Vec<Live> = (0..n).filter(is_live).map(of).collect();
        let mut of_live = vec![fits[0].clone()];
        of_live.extend(live.iter().map(|one| fits[one.variant].clone()));
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
                    let is_fuse = matches!(target, super::case::Target::Fuse(_));
                    (is_fuse || !case.reads_the_same(variant, 0, moment))
                        && differs(
                            &predict(case, variant, moment, &target),
                            &predict(case, 0, moment, &target),
                        )
                })
            })
    }

    /// Everything that was found: complaints, then readings.
    fn found(&self) -> Vec<(&Situation, &Probe, Option<Found>, bool)> {
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
    fn ranked(&self, live: &[Live], fits: &[Vec<Fit>]) -> Vec<(Ranked, usize)> {
        let as_drawn = &fits[0];
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
                    live[best].variant == 0 || own[*index].log > as_drawn[*index].log + libm::log(CLEARLY)
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
    fn suspicious(&self, live: &[Live], fits: &[Vec<Fit>]) -> Option<usize> {
        let n = self.complaints.len();
        let mut most: Option<(usize, f64)> = None;
        for (index, reading) in self.readings.iter().enumerate() {
            let again = |later: &crate::document::Reading| {
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

    /// The reading that tells most for each minute.
    fn best<'x>(
        &self,
        room: &mut Room,
        live: &[Live],
        choices: &'x [Choice],
        bench: &Bench,
    ) -> Option<(&'x Choice, usize)> {
        let case = self.case;
        let mut best: Option<(f64, &Choice, usize)> = None;
        let unknown = entropy(live);
        let reachable: Vec<&Choice> = choices.iter().filter(|choice| bench.can_reach(choice)).collect();
        // Where everything is set already comes first: what is near at hand sets the mark for the rest.
        let others = (0..case.moments.len()).filter(|moment| *moment != bench.now);
        for moment in std::iter::once(bench.now).chain(others) {
            let differs = room.turn_to(case, live, moment);
            for choice in &reachable {
                if choice.is_of_all && moment != bench.now
                    || !choice.is_of_all && !differs
                    || !bench.is_open(choice, moment)
                {
                    continue;
                }
                // No reading tells more than what is not known.
                let minutes = bench.minutes(case, self.minutes, choice, moment);
                if best.is_some_and(|(most, ..)| unknown / minutes <= most) {
                    continue;
                }
                let information = room.information(case, live, moment, &choice.target);
                if information >= LEAST_INFORMATION
                    && best.is_none_or(|(most, ..)| information / minutes > most)
                {
                    best = Some((information / minutes, choice, moment));
                }
            }
        }
        best.map(|(_, choice, moment)| (choice, moment))
    }

    fn proposal(
        &self,
        room: &mut Room,
        live: &[Live],
        bench: &Bench,
        choice: &Choice,
        moment: usize,
    ) -> Proposal {
        let case = self.case;
        room.turn_to(case, live, moment);
        let information = room.information(case, live, moment, &choice.target);
        Proposal {
            probe: choice.probe.clone(),
            moment,
            information,
            minutes: bench.minutes(case, self.minutes, choice, moment),
            expected: expected(room, live, &choice.probe),
        }
    }
}

/// Whether two predictions can be told apart at all.
fn differs(one: &Prediction, other: &Prediction) -> bool {
    match (one, other) {
        (Prediction::Number(a, variance, _), Prediction::Number(b, other, _)) => {
            (a - b) * (a - b) > variance.min(*other)
        }
        (Prediction::Odds(a), Prediction::Odds(b)) => a.iter().zip(b).any(|(a, b)| (a - b).abs() > 0.05),
        (one, other) => one != other,
    }
}

/// An outcome as it is added up.
struct Sum {
    outcome: usize,
    share: f64,
    /// Of numbers: the share that expects one, its sum, and the sum of squares with variances.
    number: [f64; 3],
    causes: Vec<(usize, f64)>,
}

/// What a reading may come to, from the outcomes last worked out; outcomes that speak for the same cause are told as one.
fn expected(room: &Room, live: &[Live], probe: &Probe) -> Vec<Expected> {
    let outcomes = room.outcomes();
    let mut sums: Vec<Sum> = Vec::new();
    for outcome in 0..outcomes.n {
        let mut sum = Sum { outcome, share: 0.0, number: [0.0; 3], causes: Vec::new() };
        for own in by_cause(live) {
            let cause = live[own.start].cause;
            let mut of_cause = 0.0;
            for index in own {
                let here =
                    outcomes.shares_of(index).get(outcome).map_or(0.0, |share| share * live[index].weight);
                of_cause += here;
                if let Some((mean, variance)) =
                    outcomes.numbers.get(index).filter(|number| number.1 < ANYTHING)
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

/// The causes that no reading left tells from the most likely one, by place in the ranking, and whether they are likely
/// enough to be the answer.
fn group(
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
fn most_likely(causes: &[Ranked]) -> Vec<usize> {
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
fn out_of_reach(
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
