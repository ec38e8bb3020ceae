//! Which reading to take next: the one that tells most for each minute.

use super::expected::expected;
use super::grouping::Groupings;
use super::next::Room;
use super::probes::{Bench, Choice};
use super::stand::Proposal;
use super::weigh::{Live, entropy};
use super::{Case, Minutes, Walk};

/// What a reading must tell to be worth taking, in nats.
const LEAST_INFORMATION: f64 = 0.01;

/// What the choice of a reading depends on.
pub(super) struct Choosing<'w> {
    case: &'w Case,
    minutes: &'w Minutes,
    live: &'w [Live],
    choices: &'w [Choice],
    bench: &'w Bench,
    groupings: Groupings,
}

impl<'w> Choosing<'w> {
    /// Prepares the choice.
    pub fn new(walk: &Walk<'w>, live: &'w [Live], choices: &'w [Choice], bench: &'w Bench) -> Choosing<'w> {
        let groupings = Groupings::new(walk.case, live, choices);
        Choosing { case: walk.case, minutes: walk.minutes, live, choices, bench, groupings }
    }

    /// The reading that tells most for each minute, and its moment; none where no reading tells enough.
    pub fn best(&self) -> Option<(&'w Choice, usize)> {
        let mut best: Option<(f64, &Choice, usize)> = None;
        let mut room = Room::default();
        let unknown = entropy(self.live);
        let reachable: Vec<&Choice> =
            self.choices.iter().filter(|choice| self.bench.can_reach(choice)).collect();
        for moment in self.groupings.order(self.bench.now) {
            for choice in reachable.iter().filter(|choice| self.is_open(choice, moment)) {
                // No reading tells more than what its moment can, nor than what is not known.
                let grouping = self.groupings.of(moment, &choice.target);
                let minutes = self.bench.minutes(self.case, self.minutes, choice, moment);
                let limit = grouping.most.min(unknown);
                if limit < LEAST_INFORMATION || best.is_some_and(|(most, ..)| limit / minutes <= most) {
                    continue;
                }
                let information = room.information(self.case, self.live, grouping, &choice.target);
                if information >= LEAST_INFORMATION
                    && best.is_none_or(|(most, ..)| information / minutes > most)
                {
                    best = Some((information / minutes, choice, moment));
                }
            }
        }
        best.map(|(_, choice, moment)| (choice, moment))
    }

    /// The most that one reading can tell, in nats, whatever it costs.
    pub fn most_information(&self) -> f64 {
        let mut room = Room::default();
        let mut most: f64 = 0.0;
        for moment in self.groupings.order(self.bench.now) {
            for choice in self.choices.iter().filter(|choice| self.is_open(choice, moment)) {
                let grouping = self.groupings.of(moment, &choice.target);
                if grouping.most > most {
                    most = most.max(room.information(self.case, self.live, grouping, &choice.target));
                }
            }
        }
        most
    }

    /// A reading with what it may come to.
    pub fn proposal(&self, choice: &Choice, moment: usize) -> Proposal {
        let (case, live) = (self.case, self.live);
        let grouping = self.groupings.of(moment, &choice.target);
        let mut room = Room::default();
        let information = room.information(case, live, grouping, &choice.target);
        let outcomes = room.outcomes(case, live, grouping, &choice.target);
        Proposal {
            probe: choice.probe.clone(),
            moment,
            information,
            minutes: self.bench.minutes(case, self.minutes, choice, moment),
            expected: expected(outcomes, grouping, live, &choice.probe),
        }
    }

    /// Whether a reading can be taken at a moment and is not known; what is the same in all is taken now.
    fn is_open(&self, choice: &Choice, moment: usize) -> bool {
        (!choice.is_of_all || moment == self.bench.now) && self.bench.is_open(choice, moment)
    }
}
