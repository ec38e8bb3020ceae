//! The sheet as a record of the job: its readings one after the other, filled in as they are taken.

use std::collections::BTreeSet;
use std::ops::Range;

use super::{Awaited, HowTested, Proof, Step};
use crate::diagnose::Case;
use crate::diagnose::words::pass_the_same;
use crate::document::{Found, Probe, Reading};

/// How far a step has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// Something of it is still to be taken.
    Open,
    /// All of it passed.
    Right,
    /// Something of it did not pass.
    Wrong,
    /// Nobody could get at some of it, and the rest passed.
    OutOfReach,
}

impl Stand {
    /// How the readings of a step stand.
    pub fn of(readings: &[Reading]) -> Stand {
        match readings {
            all if all.iter().any(|one| one.is_right == Some(false)) => Stand::Wrong,
            all if all.iter().any(|one| one.found.is_none()) => Stand::Open,
            all if all.iter().any(|one| one.found == Some(Found::CannotReach)) => Stand::OutOfReach,
            _ => Stand::Right,
        }
    }
}

impl Proof {
    /// The readings of the sheet, none of them taken.
    pub fn readings(&self, case: &Case) -> Vec<Reading> {
        let of_step = |step: &Step| {
            let situation = case.moments[step.moment].situation.clone();
            let reading = move |one: &Awaited| Reading {
                situation: situation.clone(),
                probe: one.probe.clone(),
                expected: one.passes(),
                found: None,
                is_right: None,
            };
            step.readings.iter().map(reading).collect::<Vec<_>>()
        };
        self.steps.iter().flat_map(of_step).collect()
    }

    /// Whether these readings are those of this sheet, whatever was found by now.
    pub fn is_that_of(&self, case: &Case, readings: &[Reading]) -> bool {
        let own = self.readings(case);
        let is_same = |one: &Reading, other: &Reading| {
            one.probe == other.probe
                && pass_the_same(&one.expected, &other.expected)
                && case.circuit.positions(&one.situation) == case.circuit.positions(&other.situation)
        };
        own.len() == readings.len() && own.iter().zip(readings).all(|(one, other)| is_same(one, other))
    }

    /// The causes that the sheet would show, and no step that passed has shown; `readings` are those of this sheet.
    pub fn left_open(&self, readings: &[Reading]) -> Vec<usize> {
        let ranges = steps_of(readings);
        let passed = self.steps.iter().zip(&ranges).filter(|(_, own)| is_right(&readings[(*own).clone()]));
        let shown: BTreeSet<usize> = passed.flat_map(|(step, _)| step.covers.iter().copied()).collect();
        let open = self.to_cover.iter().filter(|(variant, _)| !shown.contains(variant));
        let open: BTreeSet<usize> = open.map(|(_, cause)| *cause).collect();
        open.into_iter().collect()
    }

    /// The interlocks, by index, all of whose situations were looked at and passed.
    pub fn kept_rules(&self, readings: &[Reading]) -> Vec<usize> {
        let ranges = steps_of(readings);
        let passes = |rule: usize| {
            let own = self.steps.iter().zip(&ranges).filter(|(step, _)| step.rules.contains(&rule));
            self.rules[rule].how == HowTested::OnTheSheet
                && own.clone().all(|(_, range)| is_right(&readings[range.clone()]))
        };
        (0..self.rules.len()).filter(|rule| passes(*rule)).collect()
    }
}

fn is_right(readings: &[Reading]) -> bool {
    Stand::of(readings) == Stand::Right
}

/// The places of the readings of each step: looks at loads that follow each other in one situation are one.
pub fn steps_of(readings: &[Reading]) -> Vec<Range<usize>> {
    let mut steps: Vec<Range<usize>> = Vec::new();
    for (place, reading) in readings.iter().enumerate() {
        let is_look = |one: &Reading| matches!(one.probe, Probe::Look(..));
        let goes_on = place > 0
            && is_look(reading)
            && is_look(&readings[place - 1])
            && readings[place - 1].situation == reading.situation;
        match steps.last_mut().filter(|_| goes_on) {
            Some(last) => last.end = place + 1,
            None => steps.push(place..place + 1),
        }
    }
    steps
}

/// How many steps of all are not right: `1 of 38 steps is not right`.
pub fn not_right(wrong: usize, all: usize) -> String {
    let are = if wrong == 1 { "is" } else { "are" };
    format!("{wrong} of {all} steps {are} not right")
}

/// What came of a sheet, in a sentence; empty while readings are still to be taken.
pub fn conclusion(readings: &[Reading]) -> String {
    let stands: Vec<Stand> = steps_of(readings).into_iter().map(|own| Stand::of(&readings[own])).collect();
    let n = |wanted: Stand| stands.iter().filter(|stand| **stand == wanted).count();
    let (all, wrong, beyond) = (stands.len(), n(Stand::Wrong), n(Stand::OutOfReach));
    let is_open = readings.iter().any(|one| one.found.is_none());
    match (wrong, beyond) {
        _ if is_open || all == 0 => String::new(),
        (0, 0) => format!("All {all} steps are right."),
        (0, beyond) if beyond == all => "None of the steps could be reached.".to_owned(),
        (0, beyond) => format!("{beyond} of {all} steps could not be reached. The others are right."),
        (wrong, 0) => format!("{}.", not_right(wrong, all)),
        (wrong, beyond) => format!("{}, and {beyond} could not be reached.", not_right(wrong, all)),
    }
}
