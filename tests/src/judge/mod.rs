//! What a job does and what it exceeds, found without any of the checks.
//!
//! The judge solves the situations a job can be in and reads currents and states off the solutions; what a wire stands
//! comes from the printed tables, how far a source reaches without a fuse and what fuses let pass from walks of its
//! own. Two jobs that differ in one thing are then compared: a mistake without any difference here has no effect.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use engine::circuit::{Circuit, Origin};
use engine::document::{Document, Situation};
use engine::ids::PartId;
use engine::kind::{Class, Law, Role};
use engine::solve::{Rest, Solver, Verdict};

mod coils;
mod limits;
mod protection;
mod settings;

pub use settings::{Setting, settings};

/// A sort of harm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// A source feeds a wire without a fuse.
    Unprotected,
    /// The fuse is too far from where the wire begins.
    FuseFar,
    /// More current can pass lastingly than the wire stands.
    FuseTooLarge,
    /// A short circuit at the end of the wire does not blow its fuse soon.
    FaultNotCleared,
    /// A wire carries more than it stands.
    WireHot,
    /// A fuse, contact, connector, bar, diode or tapped donor carries more than its rated current.
    OverRating,
    /// A load or coil gets far more voltage than it is made for.
    Overvoltage,
    /// A load loses more than a twentieth of the nominal voltage on the way.
    Drop,
    /// A load works in a situation in which it did not, or does not although it did.
    State,
    /// A situation does not come to rest, or no longer in one way only.
    NoRest,
    /// A relay that should hold does not, warm or at a low battery.
    CoilWeak,
    /// A parked battery is drained.
    Drain,
}

impl Harm {
    /// Every sort of harm.
    pub const ALL: [Harm; 12] = [
        Harm::Unprotected,
        Harm::FuseFar,
        Harm::FuseTooLarge,
        Harm::FaultNotCleared,
        Harm::WireHot,
        Harm::OverRating,
        Harm::Overvoltage,
        Harm::Drop,
        Harm::State,
        Harm::NoRest,
        Harm::CoilWeak,
        Harm::Drain,
    ];
}

/// Something that is wrong with a job.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// What.
    pub harm: Harm,
    /// The part or wire it happens to, by id.
    pub of: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} {}", self.harm, self.of)
    }
}

/// How well a load works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Works {
    /// Below a tenth of its rated power.
    No,
    /// Below six tenths.
    Weakly,
    /// From there on.
    Yes,
}

/// A load by the id of its part and its name within the part.
type LoadName = (PartId, &'static str);

/// What one situation comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    verdict: Verdict,
    /// Devices that do not come to rest, by the id of their part.
    restless: BTreeSet<String>,
    works: BTreeMap<LoadName, Works>,
    /// Batteries that are charged, by the id of their part.
    charged: BTreeSet<String>,
}

/// Everything the judge knows of a job.
#[derive(Clone, Debug)]
pub struct Judged {
    /// What each setting comes to.
    pub outcomes: Vec<Outcome>,
    /// What is wrong with the job by itself.
    pub faults: BTreeSet<Fault>,
    /// Loads that may lose too much on the way where copper is warmer or poorer than reckoned with.
    pub near: BTreeSet<Fault>,
    /// Amperes that the batteries give at rest.
    pub drain_a: f64,
    /// The largest current of each branch with a part or wire, by id.
    pub largest_a: BTreeMap<String, f64>,
}

/// A situation solved: the setting, and the states it may rest in.
struct Solved<'s> {
    setting: &'s Setting,
    rests: Vec<Rest>,
}

/// Judges a job in these settings.
pub fn judge(document: &Document, settings: &[Setting]) -> Judged {
    let circuit = engine::laid::circuit(document);
    let solver = Solver::new(&circuit);
    let mut outcomes = Vec::new();
    let mut solved = Vec::new();
    for setting in settings {
        let solution = solver.solve(circuit.positions(&setting.situation()));
        outcomes.push(Outcome {
            verdict: solution.verdict,
            restless: solution
                .restless
                .iter()
                .map(|device| id(&circuit, circuit.devices[*device].branch))
                .collect(),
            works: solution.shown().map(|rest| works(&circuit, rest)).unwrap_or_default(),
            charged: solution.shown().map(|rest| charged(&circuit, rest)).unwrap_or_default(),
        });
        let rests = solution.reached.into_iter().map(|reached| reached.rest).collect();
        solved.push(Solved { setting, rests });
    }
    let (mut faults, mut near) = (BTreeSet::new(), BTreeSet::new());
    limits::exceeded(&circuit, &solved, &mut faults, &mut near);
    protection::missing(&circuit, &solved, &mut faults);
    coils::weak(document, &circuit, &solved, &mut faults);
    let at_rest = solved.first().and_then(|first| first.rests.first());
    let drain_a = at_rest.map_or(0.0, |rest| circuit.sources().map(|source| -rest.steady.amps(source)).sum());
    Judged { outcomes, faults, near, drain_a, largest_a: limits::largest(&circuit, &solved) }
}

impl Judged {
    /// Loads that work in none of the settings, by the id of their part.
    pub fn never_works(&self) -> BTreeSet<String> {
        let all = || self.outcomes.iter().flat_map(|outcome| &outcome.works);
        let working: BTreeSet<_> =
            all().filter(|(_, works)| **works == Works::Yes).map(|(load, _)| load).collect();
        all()
            .map(|(load, _)| load)
            .filter(|load| !working.contains(load))
            .map(|load| load.0.to_string())
            .collect()
    }
}

/// What is wrong with `planted` and was not with `sound`, both judged in the same settings.
pub fn consequences(sound: &Judged, planted: &Judged) -> BTreeSet<Fault> {
    let mut found: BTreeSet<Fault> = planted.faults.difference(&sound.faults).cloned().collect();
    for (before, after) in sound.outcomes.iter().zip(&planted.outcomes) {
        if after.verdict != Verdict::Settled && before.verdict != after.verdict {
            found.extend(after.restless.iter().map(|of| Fault { harm: Harm::NoRest, of: of.clone() }));
            if after.restless.is_empty() {
                found.insert(Fault { harm: Harm::NoRest, of: "the job".to_owned() });
            }
            continue;
        }
        for (load, works) in &before.works {
            // A load that is gone altogether is another matter than one that stays dark.
            if after.works.get(load).is_some_and(|now| now != works) {
                found.insert(Fault { harm: Harm::State, of: load.0.to_string() });
            }
        }
        let changed = before.charged.symmetric_difference(&after.charged);
        found.extend(changed.map(|battery| Fault { harm: Harm::State, of: battery.clone() }));
    }
    if planted.drain_a > sound.drain_a + DRAIN_A {
        found.insert(Fault { harm: Harm::Drain, of: "the job".to_owned() });
    }
    found
}

/// A battery that takes in more than this many amperes is charged.
const CHARGED_A: f64 = 1.0;

/// Parked drain worth a word in amperes (common practice, no source).
const DRAIN_A: f64 = 0.005;

/// The id of the part or wire a branch belongs to.
fn id(circuit: &Circuit, branch: usize) -> String {
    circuit.subject(branch).id()
}

/// The part of a branch, by its index in the network.
fn part_of(circuit: &Circuit, branch: usize) -> Option<usize> {
    match circuit.branches[branch].origin {
        Origin::Part(part, _) => Some(part),
        Origin::Wire(_) => None,
    }
}

fn charged(circuit: &Circuit, rest: &Rest) -> BTreeSet<String> {
    let takes = |source: &usize| rest.steady.amps(*source) > CHARGED_A;
    circuit.sources().filter(takes).map(|source| id(circuit, source)).collect()
}

fn works(circuit: &Circuit, rest: &Rest) -> BTreeMap<LoadName, Works> {
    let mut all = BTreeMap::new();
    for (branch, load) in circuit.loads() {
        let (Some(rated), Some(part)) = (load.rated, part_of(circuit, branch)) else { continue };
        let share = rest.steady.watts(circuit, branch) / rated.get();
        let on = match circuit.branches[branch].law {
            Some(Law::Electronic { .. }) => circuit
                .devices
                .iter()
                .position(|device| device.branch == branch)
                .is_some_and(|device| rest.state.devices[device]),
            _ => true,
        };
        let works = match share {
            _ if !on => Works::No,
            share if share < 0.1 => Works::No,
            share if share < 0.6 => Works::Weakly,
            _ => Works::Yes,
        };
        let name = (circuit.resolved.network.parts[part].id.clone(), load.name);
        // A part with one branch a position works when one of them does.
        let known = all.entry(name).or_insert(works);
        *known = works.max(*known);
    }
    all
}

/// Whether a load is the vehicle's own, whose wiring is not this job's.
fn is_donor(circuit: &Circuit, branch: usize) -> bool {
    part_of(circuit, branch)
        .is_some_and(|part| circuit.resolved.network.parts[part].kind.class == Class::Donor)
}

/// Whether a branch joins its ends without using energy, fuses apart.
fn is_path(circuit: &Circuit, branch: usize) -> bool {
    circuit.branches[branch].role == Role::Path && circuit.branches[branch].law.is_some()
}

impl Setting {
    /// As the engine takes it.
    pub fn situation(&self) -> Situation {
        Situation { name: String::new(), set: self.set.clone() }
    }
}
