//! Which reading to take next: the one that tells most for the time it takes.

use super::Walk;
use super::belief::Reader;
use super::expected::expected;
use super::grouping::Groupings;
use super::next::Room;
use super::probes::{Bench, Choice};
use super::stand::Proposal;
use super::weigh::{Live, entropy};

/// What a reading must tell to be worth taking, in nats (common practice, no source).
const LEAST_INFORMATION: f64 = 0.01;

/// How much time counts: what a reading tells is divided by its minutes to this power.
///
/// Tried on 446 planted faults: with 1 a walk takes 4.1 readings in 7.4 minutes, with 0.3 it takes 3.9 in 7.6; with 0 the
/// time rises by a quarter, and readings are no fewer. Looking two readings ahead among the eight best saved none either.
const TIME_COUNTS: f64 = 0.3;

/// By whose readings it is told which reading tells most: what a careless look comes to is easily another cause's, but a
/// wrong number is hardly ever just the one that another cause leads to.
///
/// Tried on 1354 planted faults: beside a careful reader's this saves one reading in 25 walks, and one answer in 150 is
/// saved where one reading in ten is wrong.
const DOUBTED: Reader = Reader::Careless;

/// How often one reading is taken at most (common practice, no source).
const MOST_TIMES: usize = 2;

/// What the choice of a reading depends on.
pub(super) struct Choosing<'w> {
    walk: &'w Walk<'w>,
    live: &'w [Live],
    choices: &'w [Choice],
    bench: &'w Bench,
    groupings: Groupings,
    /// Who takes the readings: of somebody careless those taken once are taken again.
    reader: Reader,
}

impl<'w> Choosing<'w> {
    /// Prepares the choice.
    pub fn new(
        walk: &'w Walk<'w>,
        live: &'w [Live],
        choices: &'w [Choice],
        bench: &'w Bench,
        reader: Reader,
    ) -> Choosing<'w> {
        let groupings = Groupings::new(walk.case, live, choices);
        Choosing { walk, live, choices, bench, groupings, reader }
    }

    /// The reading that tells most for the time it takes, with what it may come to; none where no reading tells enough.
    pub fn best(&self) -> Option<Proposal> {
        let mut best: Option<(f64, &Choice, usize)> = None;
        let mut room = Room::default();
        let unknown = entropy(self.live);
        let reachable: Vec<&Choice> =
            self.choices.iter().filter(|choice| self.bench.can_reach(choice)).collect();
        for moment in self.groupings.order(self.bench.now) {
            for choice in reachable.iter().filter(|choice| self.is_open(choice, moment)) {
                let grouping = self.groupings.of(moment, &choice.target);
                let trouble = libm::pow(self.minutes(choice, moment), TIME_COUNTS);
                // No reading tells more than what its moment can, nor than what is not known.
                let limit = grouping.sums.most.min(unknown);
                if limit < LEAST_INFORMATION || best.is_some_and(|(most, ..)| limit / trouble <= most) {
                    continue;
                }
                let information =
                    room.information(self.walk.case, self.live, grouping, &choice.target, DOUBTED);
                if information >= LEAST_INFORMATION
                    && best.is_none_or(|(most, ..)| information / trouble > most)
                {
                    best = Some((information / trouble, choice, moment));
                }
            }
        }
        best.map(|(_, choice, moment)| self.proposal(choice, moment))
    }

    /// The most that one reading can tell, in nats, whatever it costs.
    pub fn most_information(&self) -> f64 {
        let mut room = Room::default();
        let mut most: f64 = 0.0;
        for moment in self.groupings.order(self.bench.now) {
            for choice in self.choices.iter().filter(|choice| self.is_open(choice, moment)) {
                let grouping = self.groupings.of(moment, &choice.target);
                if grouping.sums.most > most {
                    let case = self.walk.case;
                    most = most.max(room.information(case, self.live, grouping, &choice.target, self.reader));
                }
            }
        }
        most
    }

    /// A reading with what it may come to.
    pub fn proposal(&self, choice: &Choice, moment: usize) -> Proposal {
        let (case, live) = (self.walk.case, self.live);
        let grouping = self.groupings.of(moment, &choice.target);
        let mut room = Room::default();
        let information = room.information(case, live, grouping, &choice.target, DOUBTED);
        let outcomes = room.outcomes(case, live, grouping, &choice.target);
        Proposal {
            probe: choice.probe.clone(),
            moment,
            information,
            minutes: self.minutes(choice, moment),
            expected: expected(outcomes, grouping, live, &choice.probe),
        }
    }

    fn minutes(&self, choice: &Choice, moment: usize) -> f64 {
        self.bench.minutes(self.walk.case, self.walk.minutes, choice, moment)
    }

    /// Whether a reading is to be thought of at a moment; what is the same in all is taken now.
    fn is_open(&self, choice: &Choice, moment: usize) -> bool {
        (!choice.is_of_all || moment == self.bench.now)
            && match self.reader {
                Reader::Careful => self.bench.is_open(choice, moment),
                Reader::Careless => self.bench.can_reach(choice) && self.n_times(choice, moment) < MOST_TIMES,
            }
    }

    /// How often a reading was taken.
    fn n_times(&self, choice: &Choice, moment: usize) -> usize {
        let of_choice = self.walk.readings.iter().filter(|one| one.probe == choice.probe);
        let is_then = |set| choice.is_of_all || self.walk.case.moment(set) == Some(moment);
        of_choice.filter(|one| one.found.is_some() && is_then(&one.situation)).count()
    }
}
