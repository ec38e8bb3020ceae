//! Interlocks on the proving sheet: what must stay dark, or must work, where one could be broken.

use std::rc::Rc;

use super::set::Set;
use super::{HowTested, Tested};
use crate::circuit::Circuit;
use crate::diagnose::Case;
use crate::document::{Found, Interlock, Probe, Rule, Seen, Situation};
use crate::kind::Role;
use crate::solve::Solver;
use crate::sweep::{self, Outcome, Sweeper};

/// Most states gone through for one interlock.
const MOST_CHANGES: usize = 1 << 12;

/// An interlock, and where it is put to the test.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruled {
    /// The interlock.
    pub interlock: Interlock,
    /// Whether the drawing breaks it.
    pub is_broken: bool,
    /// Whether every state was gone through and it holds in all of them.
    pub is_proved: bool,
    /// The situations in which it could be broken.
    pub situations: Vec<Situation>,
}

/// One thing to see in one situation.
pub(super) struct Test {
    /// The interlock, by index.
    pub rule: usize,
    pub moment: usize,
    pub probe: Probe,
    pub expected: Found,
}

/// The interlocks of a job and those that are usual for its lamps, waived ones left out, each with the situations in which
/// it could be broken.
pub fn ruled(circuit: &Circuit, own: &[Interlock]) -> Vec<Ruled> {
    let sweeper = Sweeper::new(Rc::new(Solver::new(circuit))).at_most(MOST_CHANGES, MOST_CHANGES);
    let usual = sweep::usual(&sweeper, own).0.into_iter().map(|usual| usual.interlock);
    let counts = |one: &Interlock| one.rule != Rule::AnyTime;
    let mut on = |_, _| std::ops::ControlFlow::Continue(());
    own.iter()
        .cloned()
        .chain(usual)
        .filter(counts)
        .map(|interlock| {
            let outcome = sweep::prove(&sweeper, &interlock, &mut on).outcome;
            let positions = sweep::tests(&sweeper, &interlock, &mut on);
            Ruled {
                is_broken: matches!(outcome, Outcome::Broken { .. }),
                is_proved: matches!(outcome, Outcome::Proved),
                situations: positions.iter().map(|at| situation(circuit, at)).collect(),
                interlock,
            }
        })
        .collect()
}

/// The situations of a job and, after them, those in which its interlocks are put to the test: what a case is made of for
/// a proving sheet.
pub fn proving_situations(named: &[Situation], ruled: &[Ruled]) -> Vec<Situation> {
    let mut all = named.to_vec();
    for situation in ruled.iter().flat_map(|ruled| &ruled.situations) {
        if !all.iter().any(|other| other.set == situation.set) {
            all.push(situation.clone());
        }
    }
    all
}

/// A situation, named by what is not at rest in it.
fn situation(circuit: &Circuit, positions: &[u8]) -> Situation {
    let parts = &circuit.resolved.network.parts;
    let away = parts.iter().zip(positions).filter(|(_, position)| **position > 0);
    let set = away.clone().map(|(part, at)| (part.id.clone(), part.positions()[usize::from(*at)].to_owned()));
    let is_switched =
        |part: &crate::document::Part| circuit.inputs.iter().any(|input| parts[input.part].id == part.id);
    let named = away.filter(|(part, _)| is_switched(part)).map(|(part, at)| {
        let signal = crate::document::sentence::signal(part);
        let signal = signal.map_or_else(String::new, |signal| format!(" ({signal})"));
        format!("{}{signal} {}", part.title(), part.positions()[usize::from(*at)])
    });
    Situation { name: named.collect::<Vec<_>>().join(", "), set: set.collect() }
}

/// What is to be seen of each interlock, where the case knows the situation.
pub(super) fn tests(case: &Case, ruled: &[Ruled]) -> Vec<Test> {
    let mut found = Vec::new();
    for (rule, one) in ruled.iter().enumerate() {
        let works = one.interlock.rule == Rule::AlwaysWith;
        let (probe, expected) = awaited(&case.circuit, &one.interlock, works);
        let moments = one.situations.iter().filter_map(|situation| case.moment(situation));
        found.extend(moments.map(|moment| Test { rule, moment, probe: probe.clone(), expected }));
    }
    found
}

/// What is looked at, or listened to where a relay is ruled.
fn awaited(circuit: &Circuit, interlock: &Interlock, works: bool) -> (Probe, Found) {
    let part = circuit.resolved.network.parts.iter().position(|part| part.id == interlock.load);
    let is_relay = interlock.name.is_empty()
        && part.is_some_and(|part| {
            circuit.branches_of_part(part).any(|(_, branch)| matches!(branch.role, Role::Coil { .. }))
        });
    match is_relay {
        true => (Probe::Listen(interlock.load.clone()), Found::Heard(works)),
        false => {
            let seen = if works { Seen::Lit } else { Seen::Dark };
            (Probe::Look(interlock.load.clone(), interlock.name.clone()), Found::Seen(seen))
        }
    }
}

/// How each interlock stands on a sheet that shows `all`.
pub(super) fn tested(case: &Case, ruled: &[Ruled], tests: &[Test], all: &Set) -> Vec<Tested> {
    let n = case.variants.len();
    let how = |(rule, one): (usize, &Ruled)| {
        let mut own = tests.iter().enumerate().filter(|(_, test)| test.rule == rule);
        let n_own = own.clone().count();
        let how = match one {
            one if one.is_broken => HowTested::BrokenAsDrawn,
            // What was not gone through to its end may have a situation that is not here.
            one if one.is_proved
                && n_own > 0
                && n_own == one.situations.len()
                && own.all(|(index, _)| all.has(n + index)) =>
            {
                HowTested::OnTheSheet
            }
            _ => HowTested::NotOnTheSheet,
        };
        Tested { interlock: one.interlock.clone(), how }
    };
    ruled.iter().enumerate().map(how).collect()
}
