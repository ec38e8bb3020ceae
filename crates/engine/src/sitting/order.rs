//! The choices of places in the order of what they cost, the least first.
//!
//! Parts are given places one after the other. What is open costs at least what each of its parts costs beside those
//! that have a place already, at the place where that is least, and what lies between two open parts at least what the
//! two nearest of their places cost. Of all choices begun the one is taken on that may come out least, so that a choice
//! comes out complete only when no other can cost less.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::task::{Cost, Task};

/// Choices in the order of what they cost.
pub(super) struct Ascending<'t, 'd> {
    task: &'t Task<'d>,
    /// By the number of parts that have a place, what the wires between open ones cost at least.
    between_open: Vec<Cost>,
    begun: BinaryHeap<Reverse<(Cost, Vec<usize>)>>,
    left: usize,
}

/// What comes next.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Next {
    /// A choice of one place for each part, with what it costs.
    Choice(Cost, Vec<usize>),
    /// The search was ended by its limit; what has not come costs no less.
    Limit(Cost),
    /// There is none any more.
    End,
}

impl<'t, 'd> Ascending<'t, 'd> {
    /// All choices, of which at most `most` are begun.
    pub fn new(task: &'t Task<'d>, most: usize) -> Ascending<'t, 'd> {
        let least: Vec<([usize; 2], Cost)> = task
            .between
            .iter()
            .map(|between| {
                let [one, other] = between.ends.map(|end| task.movable[end].places.len());
                let pairs = (0..one).flat_map(|at| (0..other).map(move |beside| [at, beside]));
                let costs = pairs.filter_map(|at| task.cost_between(between, at));
                (between.ends, costs.min().unwrap_or(0))
            })
            .collect();
        let open = |n_placed: usize| {
            let both = least.iter().filter(|(ends, _)| ends.iter().all(|end| *end >= n_placed));
            both.map(|(_, cost)| cost).sum()
        };
        let between_open: Vec<Cost> = (0..=task.movable.len()).map(open).collect();
        let mut all = Ascending { task, between_open, begun: BinaryHeap::new(), left: most };
        all.begin(Vec::new());
        all
    }

    /// Keeps a choice that is begun, unless no routes join what is in it.
    fn begin(&mut self, at: Vec<usize>) {
        if let Some(cost) = self.at_least(&at) {
            self.begun.push(Reverse((cost, at)));
        }
    }

    /// What a choice costs at least that begins like this.
    fn at_least(&self, at: &[usize]) -> Option<Cost> {
        let task = self.task;
        // What a part costs at one of its places, beside those that have one before it.
        let beside = |number: usize, place: usize| {
            let pairs = task.between.iter().filter_map(|between| match between.ends {
                [one, other] if other == number && one < at.len().min(number) => {
                    Some(task.cost_between(between, [at[one], place]))
                }
                _ => None,
            });
            Some(task.movable[number].alone[place] + pairs.sum::<Option<Cost>>()?)
        };
        let placed: Cost = at.iter().enumerate().map(|(n, place)| beside(n, *place)).sum::<Option<Cost>>()?;
        let open = (at.len()..task.movable.len()).map(|number| {
            let places = 0..task.movable[number].places.len();
            places.filter_map(|place| beside(number, place)).min()
        });
        Some(placed + open.sum::<Option<Cost>>()? + self.between_open[at.len()])
    }

    /// The next choice.
    pub fn next(&mut self) -> Next {
        while let Some(Reverse((cost, at))) = self.begun.pop() {
            let Some(open) = self.task.movable.get(at.len()) else { return Next::Choice(cost, at) };
            let n_places = open.places.len();
            if self.left < n_places {
                // It is kept, so that whoever asks again is told the same.
                self.begun.push(Reverse((cost, at)));
                return Next::Limit(cost);
            }
            self.left -= n_places;
            for place in 0..n_places {
                self.begin(at.iter().copied().chain([place]).collect());
            }
        }
        Next::End
    }
}
