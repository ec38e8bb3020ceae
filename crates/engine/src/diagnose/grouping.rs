//! The variants that are still likely, put together where nothing that can be read at one moment tells them apart.
//!
//! In most situations most faults change nothing, so that a few groups stand for hundreds of variants; and how much any
//! reading can tell there is known before a single one is looked at.

use std::collections::BTreeMap;
use std::ops::Range;

use super::case::{Case, Target};
use super::probes::Choice;
use super::weigh::{Live, by_cause};

/// The live variants in groups, at one moment.
#[derive(Clone, Debug, Default)]
pub(super) struct Grouping {
    /// The moment.
    pub moment: usize,
    /// The group of each live variant.
    pub group_of: Vec<usize>,
    /// The likeliest live variant of each group, which stands for all.
    pub heads: Vec<usize>,
    /// How likely each group is.
    pub weights: Vec<f64>,
    /// How likely the causes are that lie in one group altogether, by group.
    pub whole: Vec<f64>,
    /// The groups that each other cause is in, with how likely it is there.
    parts: Vec<(usize, f64)>,
    split: Vec<Range<usize>>,
    /// The most that any reading can tell, in nats.
    pub most: f64,
}

impl Grouping {
    /// The groups that no meter and no eye tells apart at a moment.
    pub fn at(case: &Case, live: &[Live], moment: usize) -> Grouping {
        let is_same = |one: &Live, other: &Live| {
            case.reads_the_same(one.variant, other.variant, moment) && one.belief.is_like(&other.belief)
        };
        Grouping::by(live, moment, &is_same)
    }

    /// The groups that a look at a fuse tells apart.
    fn by_fuse(case: &Case, live: &[Live], branch: usize) -> Grouping {
        let is_open = |one: &Live| case.variants[one.variant].open.contains(&branch);
        Grouping::by(live, 0, &|one, other| is_open(one) == is_open(other))
    }

    fn by(live: &[Live], moment: usize, is_same: &dyn Fn(&Live, &Live) -> bool) -> Grouping {
        let mut grouping = Grouping { moment, ..Grouping::default() };
        for (index, one) in live.iter().enumerate() {
            let group = grouping.heads.iter().position(|head| is_same(&live[*head], one));
            let group = group.unwrap_or_else(|| {
                grouping.heads.push(index);
                grouping.heads.len() - 1
            });
            if one.weight > live[grouping.heads[group]].weight {
                grouping.heads[group] = index;
            }
            grouping.group_of.push(group);
        }
        grouping.weigh(live);
        grouping
    }

    /// Adds up how likely the groups are.
    fn weigh(&mut self, live: &[Live]) {
        self.weights = vec![0.0; self.heads.len()];
        self.whole = vec![0.0; self.heads.len()];
        let (mut known, mut own) = (0.0, Vec::new());
        for range in by_cause(live) {
            own.clear();
            for index in range {
                let (group, weight) = (self.group_of[index], live[index].weight);
                self.weights[group] += weight;
                match own.iter_mut().find(|(other, _)| *other == group) {
                    Some((_, sum)) => *sum += weight,
                    None => own.push((group, weight)),
                }
            }
            if let [(group, weight)] = own[..] {
                self.whole[group] += weight;
                continue;
            }
            let all: f64 = own.iter().map(|(_, weight)| weight).sum();
            known += own.iter().map(|(_, weight)| all * plog(weight / all)).sum::<f64>();
            let start = self.parts.len();
            self.parts.append(&mut own);
            self.split.push(start..self.parts.len());
        }
        self.most = (known - self.weights.iter().map(|weight| plog(*weight)).sum::<f64>()).max(0.0);
    }

    /// The causes that lie in several groups: each of these, with how likely the cause is there.
    pub fn split(&self) -> impl Iterator<Item = &[(usize, f64)]> {
        self.split.iter().map(|range| &self.parts[range.clone()])
    }
}

/// The groupings of all moments, and of the fuses.
pub(super) struct Groupings {
    moments: Vec<Grouping>,
    fuses: BTreeMap<usize, Grouping>,
}

impl Groupings {
    /// Puts the live variants together.
    pub fn new(case: &Case, live: &[Live], choices: &[Choice]) -> Groupings {
        let moments = (0..case.moments.len()).map(|moment| Grouping::at(case, live, moment)).collect();
        let fuses = choices.iter().filter_map(|choice| match choice.target {
            Target::Fuse(branch) => Some((branch, Grouping::by_fuse(case, live, branch))),
            _ => None,
        });
        Groupings { moments, fuses: fuses.collect() }
    }

    /// The one that a reading at a moment is about.
    pub fn of(&self, moment: usize, target: &Target) -> &Grouping {
        match target {
            Target::Fuse(branch) => self.fuses.get(branch).unwrap_or(&self.moments[moment]),
            _ => &self.moments[moment],
        }
    }

    /// The moments, this one first, then those in which most can be told.
    pub fn order(&self, first: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.moments.len()).collect();
        crate::arrange::sort_by(&mut order, |a, b| {
            let most = |moment: &usize| self.moments[*moment].most;
            (*b == first).cmp(&(*a == first)).then(most(b).total_cmp(&most(a)))
        });
        order
    }
}

/// `p ln p`, which is nought for nought.
pub(super) fn plog(p: f64) -> f64 {
    if p > 0.0 { p * libm::log(p) } else { 0.0 }
}
