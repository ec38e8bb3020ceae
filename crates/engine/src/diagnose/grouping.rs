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
#[derive(Clone, Debug)]
pub(super) struct Grouping {
    /// The moment.
    pub moment: usize,
    /// The group of each live variant.
    pub group_of: Vec<usize>,
    /// The likeliest live variant of each group, which stands for all.
    pub heads: Vec<usize>,
    /// How likely the groups are.
    pub sums: Sums,
}

/// How likely the groups of a grouping are, and the causes in them.
#[derive(Clone, Debug, Default)]
pub(super) struct Sums {
    /// How likely each group is.
    pub groups: Vec<f64>,
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
        let (mut group_of, mut heads) = (Vec::with_capacity(live.len()), Vec::new());
        for (index, one) in live.iter().enumerate() {
            let group = heads.iter().position(|head: &usize| is_same(&live[*head], one));
            let group = group.unwrap_or_else(|| {
                heads.push(index);
                heads.len() - 1
            });
            if one.weight > live[heads[group]].weight {
                heads[group] = index;
            }
            group_of.push(group);
        }
        let mut sums = Sums::default();
        sums.add_up(live, &group_of, heads.len(), |index| live[index].weight);
        Grouping { moment, group_of, heads, sums }
    }
}

impl Sums {
    /// Adds up anew, with these weights of the live variants.
    pub fn add_up(
        &mut self,
        live: &[Live],
        group_of: &[usize],
        n_groups: usize,
        weight: impl Fn(usize) -> f64,
    ) {
        for sums in [&mut self.groups, &mut self.whole] {
            sums.clear();
            sums.resize(n_groups, 0.0);
        }
        self.parts.clear();
        self.split.clear();
        let mut known = 0.0;
        for range in by_cause(live) {
            let start = self.parts.len();
            for index in range {
                let (group, weight) = (group_of[index], weight(index));
                self.groups[group] += weight;
                match self.parts[start..].iter_mut().find(|(other, _)| *other == group) {
                    Some((_, sum)) => *sum += weight,
                    None => self.parts.push((group, weight)),
                }
            }
            if let [(group, weight)] = self.parts[start..] {
                self.whole[group] += weight;
                self.parts.truncate(start);
                continue;
            }
            let own = &self.parts[start..];
            let all: f64 = own.iter().map(|(_, weight)| weight).sum();
            if all > 0.0 {
                known += own.iter().map(|(_, weight)| all * plog(weight / all)).sum::<f64>();
                self.split.push(start..self.parts.len());
            }
        }
        self.most = (known - self.groups.iter().map(|weight| plog(*weight)).sum::<f64>()).max(0.0);
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
            let most = |moment: &usize| self.moments[*moment].sums.most;
            (*b == first).cmp(&(*a == first)).then(most(b).total_cmp(&most(a)))
        });
        order
    }
}

/// `p ln p`, which is nought for nought.
pub(super) fn plog(p: f64) -> f64 {
    if p > 0.0 { p * libm::log(p) } else { 0.0 }
}
