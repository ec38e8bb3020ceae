//! Few steps that together show all that any shows.
//!
//! They are chosen greedily (Chvatal 1979: at most the harmonic number of the most that one shows, times the least there
//! is), once by what each newly shows and once by that for every minute; what the others show is taken out again, and two
//! that one other can stand for are replaced by it. The shorter sheet is taken.

use super::super::Walk;
use super::super::probes::{Bench, Choice};
use super::candidates::Candidate;
use super::set::Set;

/// Most pairs of steps for which one that could stand for both is looked for, times the steps there are to look through.
const MOST_TRIED: usize = 20_000_000;

/// What steps are chosen from.
pub(super) struct Room<'r> {
    pub walk: &'r Walk<'r>,
    pub choices: &'r [Choice],
    pub candidates: &'r [Candidate],
    /// All that any of them shows.
    pub all: &'r Set,
}

impl Room<'_> {
    /// The steps of the shorter sheet, and of two as short that which takes less time.
    pub fn chosen(&self) -> Vec<usize> {
        let sheet = |by_minutes| {
            let mut chosen = self.greedy(by_minutes);
            self.thin(&mut chosen);
            self.merge(&mut chosen);
            let minutes = self.ordered(chosen.clone()).1;
            (chosen, minutes)
        };
        let (one, other) = (sheet(true), sheet(false));
        let is_better = (other.0.len(), other.1) < (one.0.len(), one.1);
        if is_better { other.0 } else { one.0 }
    }

    fn greedy(&self, by_minutes: bool) -> Vec<usize> {
        let mut left = self.all.clone();
        let mut bench = Bench::new(self.walk);
        let mut chosen = Vec::new();
        while !left.is_empty() {
            let worth = |one: &Candidate| {
                let newly = one.shows.n_shared(&left) as f64;
                if by_minutes { newly / self.minutes(&bench, one) } else { newly }
            };
            let best = (0..self.candidates.len())
                .max_by(|a, b| worth(&self.candidates[*a]).total_cmp(&worth(&self.candidates[*b])));
            let Some(best) = best else { break };
            left.remove_all(&self.candidates[best].shows);
            self.take(&mut bench, best);
            chosen.push(best);
        }
        chosen
    }

    /// What these leave unshown.
    fn left<'i>(&self, chosen: impl Iterator<Item = &'i usize>) -> Set {
        let mut left = self.all.clone();
        chosen.for_each(|index| left.remove_all(&self.candidates[*index].shows));
        left
    }

    /// Leaves out steps that show nothing that the others do not, the one that shows least first.
    fn thin(&self, chosen: &mut Vec<usize>) {
        let mut by_size: Vec<usize> = chosen.clone();
        crate::arrange::sort_by_key(&mut by_size, |index| self.candidates[*index].shows.n());
        for index in by_size {
            if self.left(chosen.iter().filter(|other| **other != index)).is_empty() {
                chosen.retain(|other| *other != index);
            }
        }
    }

    /// Puts one step in the place of two wherever that leaves nothing unshown.
    fn merge(&self, chosen: &mut Vec<usize>) {
        let mut tried = 0;
        let (mut a, mut b) = (0, 1);
        while a + 1 < chosen.len() && tried < MOST_TRIED {
            tried += self.candidates.len();
            let pair = [chosen[a], chosen[b]];
            let left = self.left(chosen.iter().filter(|other| !pair.contains(other)));
            let stands_for_both =
                |index: &usize| !chosen.contains(index) && left.is_within(&self.candidates[*index].shows);
            if let Some(one) = (0..self.candidates.len()).find(stands_for_both) {
                chosen.retain(|other| !pair.contains(other));
                chosen.push(one);
                (a, b) = (0, 1);
                continue;
            }
            b += 1;
            if b >= chosen.len() {
                a += 1;
                b = a + 1;
            }
        }
    }

    /// The steps in an order that takes little time, situation by situation, each next one the quickest from there, and the
    /// minutes of all.
    pub fn ordered(&self, mut chosen: Vec<usize>) -> (Vec<usize>, f64) {
        let mut bench = Bench::new(self.walk);
        let (mut order, mut minutes) = (Vec::new(), 0.0);
        while !chosen.is_empty() {
            let is_elsewhere = |index: usize| self.candidates[index].moment != bench.now;
            let takes = |index: usize| self.minutes(&bench, &self.candidates[index]);
            let is_sooner = |one: usize, other: usize| match (is_elsewhere(one), is_elsewhere(other)) {
                (false, true) => true,
                (true, false) => false,
                _ => takes(one) < takes(other),
            };
            let mut next = 0;
            for place in 1..chosen.len() {
                if is_sooner(chosen[place], chosen[next]) {
                    next = place;
                }
            }
            minutes += takes(chosen[next]);
            let index = chosen.remove(next);
            self.take(&mut bench, index);
            order.push(index);
        }
        (order, minutes)
    }

    /// How many faults were found of which no step shows two: each needs a step of its own.
    pub fn apart(&self) -> usize {
        let n = self.candidates.len();
        let shows = |fault: usize| (0..n).filter(move |index| self.candidates[*index].shows.has(fault));
        let mut rarest: Vec<(usize, usize)> =
            self.all.iter().map(|fault| (shows(fault).count(), fault)).collect();
        crate::arrange::sort(&mut rarest);
        let mut reserved = Set::none(n);
        let mut apart = 0;
        for (_, fault) in rarest {
            if shows(fault).all(|index| !reserved.has(index)) {
                shows(fault).for_each(|index| reserved.add(index));
                apart += 1;
            }
        }
        apart
    }

    fn minutes(&self, bench: &Bench, one: &Candidate) -> f64 {
        one.minutes(bench, self.walk.case, self.choices, self.walk.minutes)
    }

    fn take(&self, bench: &mut Bench, index: usize) {
        let one = &self.candidates[index];
        one.readings.iter().for_each(|(choice, _)| bench.take(&self.choices[*choice], one.moment));
    }
}
