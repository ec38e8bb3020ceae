//! The proving sheet: a short list of readings that shows every wire, contact, fuse and interlock to be right.
//!
//! A reading shows a fault when what it should come to without any and what it comes to with that one lie further apart
//! than tolerances and the meter let them, or when something is seen or heard that is not there otherwise. All loads that
//! are looked at in one situation are one step. The steps are chosen by what each newly shows (`cover`).

use std::collections::BTreeSet;

use super::probes::{Minutes, choices};
use super::{Cause, Told, Walk};
use crate::circuit::Circuit;
use crate::document::{Interlock, Probe, Status};
use crate::fault::{Fault, Mode, faults};
use crate::subject::Subject;

mod candidates;
mod cover;
mod record;
mod rules;
mod set;
mod unshown;

pub use record::{Stand, conclusion, not_right, steps_of};
pub use rules::{Ruled, proving_situations, ruled};
pub use unshown::Unshown;

use super::case::Case;
use candidates::{Candidate, Candidates};
use set::Set;

/// The proving sheet of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// What to do, situation by situation, in the order in which it takes least time.
    pub steps: Vec<Step>,
    /// The faults, by index among the causes of the case, that some step shows; of a bad joint, the least resistance that is
    /// shown, in ohms.
    pub shown: Vec<(usize, Option<f64>)>,
    /// Everything that the sheet shows, each resistance of a bad joint by itself, with its cause.
    to_cover: Vec<(usize, usize)>,
    /// The faults that no reading shows.
    pub unproved: Vec<Unproved>,
    /// How many faults are not looked for because they are in what was there before.
    pub n_old: usize,
    /// What no reading can tell and eyes must: fuses of another rating than drawn.
    pub by_eye: Vec<Fault>,
    /// Interlocks, and whether the sheet puts them to the test.
    pub rules: Vec<Tested>,
    /// No sheet has fewer steps than this: so many faults share no step that shows two of them.
    pub at_least: usize,
    /// How long it takes, in minutes.
    pub minutes: f64,
    /// Whether every reading there is was weighed; else a fault that is told as not shown may be shown by another one.
    pub is_whole: bool,
}

/// One step of the sheet: one reading, or one look at several loads.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The situation, by index in [`Case::moments`].
    pub moment: usize,
    /// What is read; several are looks at loads.
    pub readings: Vec<Awaited>,
    /// The faults, by index in [`Case::causes`], that it shows.
    pub shows: Vec<usize>,
    /// The same with each resistance of a bad joint by itself, by index among the variants.
    covers: Vec<usize>,
    /// The interlocks, by index in [`Proof::rules`], that it puts to the test.
    pub rules: Vec<usize>,
}

/// One reading, and what passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Awaited {
    /// What to look at.
    pub probe: Probe,
    /// What passes.
    pub expected: Told,
}

/// A fault that no reading shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unproved {
    /// Its index in [`Case::causes`].
    pub cause: usize,
    /// Whether it changes nothing that flows in any situation, so that only eyes could find it.
    pub is_out_of_sight: bool,
}

/// An interlock on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Tested {
    /// The interlock.
    pub interlock: Interlock,
    /// How it stands.
    pub how: HowTested,
}

/// How an interlock stands on the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HowTested {
    /// Every situation in which it could be broken is on the sheet.
    OnTheSheet,
    /// The drawing itself breaks it.
    BrokenAsDrawn,
    /// Not known, or not to be seen with certainty: this is left to whoever proves the work.
    NotOnTheSheet,
}

/// What is told of a sheet for which not every reading could be weighed.
pub const NOT_WHOLE: &str = "This job has more readings than can be weighed: what is told as not shown may be shown by one that \
                             was left out.";

/// What a sheet of a job with so many open findings of the gravest sort has to say; none where there are none.
pub fn caution(n_stops: usize) -> Option<String> {
    let stops = match n_stops {
        0 => return None,
        1 => "1 Stop is open in this job".to_owned(),
        n => format!("{n} Stops are open in this job"),
    };
    Some(format!(
        "{stops}: what passes here is built as it is drawn, and the drawing still has to be mended."
    ))
}

/// The proving sheet of a job with these interlocks; `minutes` is how long it takes to get to parts and places. The case
/// should know the [situations](proving_situations) in which the interlocks are put to the test.
pub fn prove(case: &Case, ruled: &[Ruled], minutes: &Minutes) -> Proof {
    let (work, choices) = (Work::of(case), choices(case, minutes));
    let tests = rules::tests(case, ruled);
    let n = case.variants.len();
    let Candidates { all: candidates, is_whole } = candidates::all(case, &choices, &tests);
    let mut all = Set::none(case.variants.len() + tests.len());
    candidates.iter().for_each(|one| all.add_all(&one.shows));
    let walk = Walk { case, complaints: &[], readings: &[], minutes };
    let room = cover::Room { walk: &walk, choices: &choices, candidates: &candidates, all: &all };
    let (order, taken) = room.ordered(room.chosen());
    let steps: Vec<Step> =
        order.iter().map(|index| step(case, &choices, &tests, &candidates[*index])).collect();
    Proof {
        steps,
        shown: shown_causes(case, &all),
        to_cover: all
            .iter()
            .filter(|index| *index < n)
            .map(|index| (index, case.variants[index].cause))
            .collect(),
        unproved: unproved(case, &work, &all),
        n_old: (1..case.causes.len()).filter(|cause| !work.has(*cause)).count(),
        by_eye: by_eye(case, &work),
        rules: rules::tested(case, ruled, &tests, &all),
        at_least: room.apart(),
        minutes: taken,
        is_whole,
    }
}

fn step(case: &Case, choices: &[super::probes::Choice], tests: &[rules::Test], one: &Candidate) -> Step {
    let n = case.variants.len();
    let causes: BTreeSet<usize> =
        one.shows.iter().filter(|index| *index < n).map(|variant| case.variants[variant].cause).collect();
    let rules: BTreeSet<usize> =
        one.shows.iter().filter(|index| *index >= n).map(|index| tests[index - n].rule).collect();
    let awaited = |(choice, expected): &(usize, Told)| Awaited {
        probe: choices[*choice].probe.clone(),
        expected: *expected,
    };
    Step {
        moment: one.moment,
        readings: one.readings.iter().map(awaited).collect(),
        shows: causes.into_iter().collect(),
        covers: one.shows.iter().filter(|index| *index < n).collect(),
        rules: rules.into_iter().collect(),
    }
}

/// The causes that are shown, and from which resistance on.
fn shown_causes(case: &Case, all: &Set) -> Vec<(usize, Option<f64>)> {
    let mut found: Vec<(usize, Option<f64>)> = Vec::new();
    let variants = all.iter().take_while(|index| *index < case.variants.len());
    for variant in variants.map(|index| &case.variants[index]) {
        match found.last_mut().filter(|(cause, _)| *cause == variant.cause) {
            Some((_, least)) => *least = least.zip(variant.ohm).map(|(least, ohm)| least.min(ohm)),
            None => found.push((variant.cause, variant.ohm)),
        }
    }
    found
}

fn unproved(case: &Case, work: &Work, all: &Set) -> Vec<Unproved> {
    let shown: BTreeSet<usize> = shown_causes(case, all).into_iter().map(|(cause, _)| cause).collect();
    let is_missed = |cause: &usize| work.has(*cause) && !shown.contains(cause);
    let unproved = |cause: usize| {
        let own = case.variants.iter().enumerate().filter(|(_, variant)| variant.cause == cause);
        let mut own = own.map(|(index, _)| index);
        let is_still =
            |variant: usize| (0..case.moments.len()).all(|moment| case.reads_the_same(0, variant, moment));
        Unproved { cause, is_out_of_sight: own.all(is_still) }
    };
    (1..case.causes.len()).filter(is_missed).map(unproved).collect()
}

/// What changes nothing as long as nothing else goes wrong.
fn by_eye(case: &Case, work: &Work) -> Vec<Fault> {
    let is_it = |fault: &Fault| fault.mode == Mode::WrongFuse && work.is_part_of(&case.circuit, fault);
    faults(&case.circuit).into_iter().filter(is_it).collect()
}

/// What is to be proved: what is new, and everything where nothing is.
struct Work {
    /// Whether there is anything new.
    has_new: bool,
    /// Whether each cause lies in it.
    of_cause: Vec<bool>,
}

impl Work {
    fn of(case: &Case) -> Work {
        let network = &case.circuit.resolved.network;
        let statuses = network.parts.iter().map(|part| part.status);
        let mut statuses = statuses.chain(network.wires.iter().map(|wire| wire.status));
        let mut work = Work { has_new: statuses.any(|status| status == Status::New), of_cause: Vec::new() };
        let of_cause =
            |cause: &Cause| cause.fault().is_some_and(|fault| work.is_part_of(&case.circuit, fault));
        work.of_cause = case.causes.iter().map(of_cause).collect();
        work
    }

    fn has(&self, cause: usize) -> bool {
        self.of_cause[cause]
    }

    fn is_part_of(&self, circuit: &Circuit, fault: &Fault) -> bool {
        let network = &circuit.resolved.network;
        let status = match &fault.subject {
            Subject::Part(id) => network.part(id).map(|part| part.status),
            Subject::Wire(id) => network.wire(id).map(|wire| wire.status),
            _ => None,
        };
        !self.has_new || status == Some(Status::New)
    }
}

#[cfg(test)]
mod tests;
