//! The steps that may stand on the sheet, and what each shows.

use super::super::Told;
use super::super::belief::{Belief, Prediction, Reader, predict, shown};
use super::super::case::{Case, Target};
use super::super::probes::{Bench, Choice, Minutes, minutes};
use super::Work;
use super::rules::Test;
use super::set::Set;
use crate::document::{Found, Seen};

/// How many standard deviations a reading may be off and still pass: nineteen of twenty good ones do (common practice, no
/// source).
const PASSES: f64 = 2.0;

/// How many standard deviations a fault must lie beyond that to count as shown (common practice, no source): a vehicle
/// with the fault is off what is computed like one without it, so that nineteen of twenty of them do not pass.
const SHOWS: f64 = 2.0;

/// The loss from which on a bad joint is looked for: a volt in a path is printed as a sure fault, half of it leaves room for
/// a second joint; and the heat of a small lamp (both common practice, no source).
const JOINT_V: f64 = 0.5;
const JOINT_W: f64 = 5.0;

/// From which share on something seen or heard counts as certain, and up to which as out of the question (common
/// practice, no source).
const CERTAIN: f64 = 0.95;

/// Most readings weighed at all: beyond that a job is proved circuit by circuit.
const MOST_WEIGHED: usize = 60_000;

/// All steps that may be taken.
pub(super) struct Candidates {
    pub all: Vec<Candidate>,
    /// Whether none had to be left out.
    pub is_whole: bool,
}

/// A step that may stand on the sheet, and the variants and tests that it shows; tests count on from the variants.
pub(super) struct Candidate {
    pub moment: usize,
    /// What is read, by choice, and what passes.
    pub readings: Vec<(usize, Told)>,
    pub shows: Set,
}

impl Candidate {
    /// What it takes, in minutes, from where everything is now.
    pub fn minutes(&self, bench: &Bench, case: &Case, choices: &[Choice], known: &Minutes) -> f64 {
        let first = bench.minutes(case, known, &choices[self.readings[0].0], self.moment);
        first + minutes::GLANCE * (self.readings.len() - 1) as f64
    }
}

/// Every step that shows anything, up to [`MOST_WEIGHED`] of them. What is the same in every situation is taken at rest.
pub(super) fn all(case: &Case, choices: &[Choice], tests: &[Test]) -> Candidates {
    up_to(MOST_WEIGHED, case, choices, tests)
}

/// The same, up to `most`.
pub(super) fn up_to(most: usize, case: &Case, choices: &[Choice], tests: &[Test]) -> Candidates {
    let work = Work::of(case);
    let matters = (0..case.variants.len())
        .map(|variant| work.has(case.variants[variant].cause) && matters(case, variant))
        .collect();
    let weigh = Weigh { case, choices, tests, matters };
    let mut found = Candidates { all: Vec::new(), is_whole: true };
    for moment in 0..case.moments.len() {
        found.all.extend(weigh.glance(moment));
        for (index, choice) in choices.iter().enumerate() {
            let is_seen = matches!(choice.target, Target::Look(_));
            if is_seen || choice.is_of_all && moment > 0 {
                continue;
            }
            if found.all.len() >= most {
                found.is_whole = false;
                break;
            }
            found.all.extend(weigh.reading(moment, index).filter(|one| !one.shows.is_empty()));
        }
    }
    found
}

struct Weigh<'c> {
    case: &'c Case,
    choices: &'c [Choice],
    tests: &'c [Test],
    /// Whether each variant is worth a reading.
    matters: Vec<bool>,
}

impl Weigh<'_> {
    /// One reading, with all that it shows; none where nothing is certain of it.
    fn reading(&self, moment: usize, index: usize) -> Option<Candidate> {
        let (case, choice) = (self.case, &self.choices[index]);
        let expected = Expected::of(case, moment, &choice.target)?;
        let is_shown = |variant: &usize| {
            (choice.is_of_all || !case.reads_the_same(0, *variant, moment))
                && expected.differs(&shown(case, *variant, moment, &choice.target))
        };
        let n = case.variants.len();
        let mut shows = Set::none(n + self.tests.len());
        let variants = (1..n).filter(|variant| self.matters[*variant]);
        variants.filter(is_shown).for_each(|variant| shows.add(variant));
        let is_tested = |test: &&(usize, &Test)| {
            let (_, test) = test;
            test.moment == moment && test.probe == choice.probe && expected.is(test.expected)
        };
        let tests: Vec<(usize, &Test)> = self.tests.iter().enumerate().collect();
        tests.iter().filter(is_tested).for_each(|(index, _)| shows.add(n + index));
        Some(Candidate { moment, readings: vec![(index, expected.told())], shows })
    }

    /// One look at all loads that should work, and at those that something could make work.
    fn glance(&self, moment: usize) -> Option<Candidate> {
        let looks = (0..self.choices.len())
            .filter(|index| matches!(self.choices[*index].target, Target::Look(_)))
            .filter_map(|index| self.reading(moment, index));
        let dark = Told::Plain(Found::Seen(Seen::Dark));
        let own = looks.filter(|one| !one.shows.is_empty() || one.readings[0].1 != dark);
        own.reduce(|mut all, one| {
            all.readings.extend(one.readings);
            all.shows.add_all(&one.shows);
            all
        })
        .filter(|one| !one.shows.is_empty())
    }
}

/// Whether a variant is worth a reading: a bad joint from where on it takes enough to be felt somewhere, anything else always.
fn matters(case: &Case, variant: usize) -> bool {
    let own = &case.variants[variant];
    let joint = case.causes[own.cause].fault().and_then(crate::fault::Fault::joint);
    let (Some(joint), Some(ohm)) = (joint, own.ohm) else { return true };
    (0..case.moments.len()).any(|moment| {
        let rest = case.row(variant, moment).rest.as_ref();
        let amps = rest.map_or(0.0, |rest| rest.steady.amps(joint).abs());
        amps * ohm >= JOINT_V || amps * amps * ohm >= JOINT_W
    })
}

/// What passes for right.
enum Expected {
    /// A number, how far it may be off, and how far beyond that a fault must lie to be shown.
    Number { mean: f64, passes: f64, margin: f64 },
    /// Anything else: its place among what may be found.
    Plain { place: usize, found: Found },
}

impl Expected {
    /// What the job as drawn shows; `None` where that is not certain.
    fn of(case: &Case, moment: usize, target: &Target) -> Option<Expected> {
        match predict(case, 0, moment, target) {
            Prediction::Unknown => None,
            Prediction::Number(mean, variance, by) => {
                let (mean, variance) = Belief::new(case, 0, Reader::Careful).expected(mean, variance, &by);
                let off = libm::sqrt(variance);
                Some(Expected::Number { mean, passes: PASSES * off, margin: SHOWS * off })
            }
            Prediction::Odds(odds) => {
                let place = odds.iter().position(|share| *share >= CERTAIN)?;
                let found = match (target, place) {
                    (Target::Look(_), place) => Found::Seen([Seen::Lit, Seen::Dim, Seen::Dark][place]),
                    (Target::Fuse(_), place) => Found::Whole(place == 0),
                    (_, place) => Found::Heard(place == 0),
                };
                Some(Expected::Plain { place, found })
            }
        }
    }

    /// Whether something else would not pass.
    fn differs(&self, other: &Prediction) -> bool {
        match (self, other) {
            (Expected::Number { mean, passes, margin }, Prediction::Number(shown, ..)) => {
                (shown - mean).abs() > passes + margin
            }
            (Expected::Plain { place, .. }, Prediction::Odds(odds)) => odds[*place] <= 1.0 - CERTAIN,
            // What never comes to rest flashes and chatters: who looks and listens does not miss it.
            (Expected::Plain { .. }, Prediction::Unknown) => true,
            _ => false,
        }
    }

    fn is(&self, wanted: Found) -> bool {
        matches!(self, Expected::Plain { found, .. } if *found == wanted)
    }

    fn told(&self) -> Told {
        match *self {
            Expected::Number { mean, passes, .. } => Told::Number(mean, passes),
            Expected::Plain { found, .. } => Told::Plain(found),
        }
    }
}
