//! Fault walks with a user who is simulated: faults are planted one by one, and the walk is followed to its end.
//!
//! The vehicle is not the drawing: every wire, joint, lamp and source of it differs by chance from what is printed, a bad
//! joint has any resistance, meters and eyes err. The walk knows the drawing only.

use std::fmt;

use engine::circuit::{Change, Circuit};
use engine::diagnose::{Case, End, Minutes, Standing, Walk, figure, share};
use engine::document::{Complaint, Document, Found, Probe, Reading, Seen, Situation};
use engine::fault::{
    BAD_JOINT_OHM, BRIGHT_SHARE, Fault, GLOW_SHARE, Mode, Outcome, Trial, brightness, faults, seen,
};
use engine::kind::{Law, Role};
use engine::laid;
use engine::quantity::{Amps, Ohms, Volts, Watts};
use engine::subject::Subject;

use crate::chance::Chance;

/// Most readings after which a user gives up.
const PATIENCE: usize = 30;

/// What came of the walks.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Faults planted.
    pub planted: usize,
    /// Those that nobody would complain of: no load differs from what is drawn and no fuse opens.
    pub silent: usize,
    /// Walks followed.
    pub walks: usize,
    /// Those after which the true cause is the answer, or among those that no reading tells from it.
    pub in_group: usize,
    /// Those after which it comes first; causes that no reading tells apart count as one.
    pub first: usize,
    /// Those after which it is among the first three.
    pub in_three: usize,
    /// Walks that the user gave up.
    pub given_up: usize,
    /// Readings, all together.
    pub readings: usize,
    /// The least number of readings, all together: by the greatest information of one reading.
    pub by_information: f64,
    /// The same by the shortest questions that tell all likely causes apart, each with so many outcomes.
    pub by_questions: f64,
    /// Causes in the answers, all together.
    pub answers: usize,
    /// Minutes, all together.
    pub minutes: f64,
    /// What was missed.
    pub missed: Vec<String>,
}

impl Tally {
    /// The share of the walks whose answer holds the true cause.
    pub fn group_share(&self) -> f64 {
        self.in_group as f64 / self.walks.max(1) as f64
    }

    /// The share of the walks with the true cause among the first three.
    pub fn three_share(&self) -> f64 {
        self.in_three as f64 / self.walks.max(1) as f64
    }

    /// Readings a walk.
    pub fn mean_readings(&self) -> f64 {
        self.readings as f64 / self.walks.max(1) as f64
    }

    /// The figures in one line.
    pub fn in_short(&self) -> String {
        let n = self.walks.max(1) as f64;
        format!(
            "{} walks, in the answer {:.1} %, among the first three {:.1} %, {:.2} readings, bounds {:.2} and {:.2}",
            self.walks,
            100.0 * self.group_share(),
            100.0 * self.three_share(),
            self.mean_readings(),
            self.by_information / n,
            self.by_questions / n
        )
    }

    /// Takes in another tally.
    pub fn add(&mut self, other: Tally) {
        self.planted += other.planted;
        self.silent += other.silent;
        self.walks += other.walks;
        self.in_group += other.in_group;
        self.first += other.first;
        self.in_three += other.in_three;
        self.given_up += other.given_up;
        self.readings += other.readings;
        self.by_information += other.by_information;
        self.by_questions += other.by_questions;
        self.answers += other.answers;
        self.minutes += other.minutes;
        self.missed.extend(other.missed);
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let n = self.walks.max(1) as f64;
        let share = |count: usize| 100.0 * count as f64 / n;
        writeln!(f, "{} faults planted, {} of them silent, {} walks", self.planted, self.silent, self.walks)?;
        writeln!(
            f,
            "true cause first {:.1} %, among the first three {:.1} %, in the answer {:.1} % (of {:.2} causes), given up {}",
            share(self.first),
            share(self.in_three),
            share(self.in_group),
            self.answers as f64 / n,
            self.given_up
        )?;
        writeln!(
            f,
            "readings {:.2} a walk in {:.1} minutes; at least {:.2} by information, {:.2} by questions",
            self.readings as f64 / n,
            self.minutes / n,
            self.by_information / n,
            self.by_questions / n
        )
    }
}

/// How the simulated user goes about it.
#[derive(Clone, Copy, Debug)]
pub struct User {
    /// Every which fault is planted.
    pub step: usize,
    /// Which of them is the first.
    pub from: usize,
    /// One reading in so many is wrong; nought for none.
    pub wrong_one_in: usize,
}

/// Plants faults in a job and follows the walks.
pub fn walk_job(name: &str, document: &Document, user: User, seed: u64) -> Tally {
    let circuit = laid::circuit(document);
    let case = Case::new(&circuit, &document.situations);
    let mut tally = Tally::default();
    for (index, fault) in faults(&circuit).iter().enumerate().skip(user.from).step_by(user.step) {
        tally.planted += 1;
        let mut chance = Chance::new(seed ^ (index as u64) << 20);
        let vehicle = Vehicle::new(&circuit, &case, Some(fault), &mut chance);
        let Some(complaint) = vehicle.complaint(&mut chance) else {
            tally.silent += 1;
            continue;
        };
        let told = format!("{name}: {}", fault.in_words(&circuit.resolved.network));
        follow(&case, &vehicle, fault, complaint, user, &mut chance, &mut tally, &told);
    }
    tally
}

#[expect(clippy::too_many_arguments, reason = "one walk of one job, and where it is counted")]
fn follow(
    case: &Case,
    vehicle: &Vehicle<'_>,
    fault: &Fault,
    complaint: Complaint,
    user: User,
    chance: &mut Chance,
    tally: &mut Tally,
    told: &str,
) {
    let complaints = [complaint];
    let minutes = Minutes::new();
    let mut readings: Vec<Reading> = Vec::new();
    let walk = |readings: &[Reading]| -> Standing {
        Walk { case, complaints: &complaints, readings, minutes: &minutes }.stand()
    };
    let mut standing = walk(&readings);
    let start = Walk { case, complaints: &complaints, readings: &[], minutes: &minutes };
    let classes = start.classes(&standing);
    let shares: Vec<f64> =
        classes.iter().map(|class| class.iter().map(|place| standing.causes[*place].share).sum()).collect();
    let most = start.most_information();
    tally.by_information += by_information(&shares, most);
    tally.by_questions += by_questions(&shares, most);
    tally.walks += 1;
    while standing.end.is_none() && readings.len() < PATIENCE {
        let Some(next) = &standing.next else { break };
        tally.minutes += next.minutes;
        let situation = case.moments[next.moment].situation.clone();
        let mut found = vehicle.read(&next.probe, next.moment, chance);
        if user.wrong_one_in > 0 && chance.once_in(user.wrong_one_in) {
            found = wrong(found, case.circuit.resolved.nominal_v, chance);
        }
        readings.push(Reading {
            situation,
            probe: next.probe.clone(),
            expected: String::new(),
            found: Some(found),
        });
        standing = walk(&readings);
    }
    tally.readings += readings.len();
    tally.answers += standing.group.len();
    if standing.end.is_none() {
        tally.given_up += 1;
    }
    let place = standing.causes.iter().position(|ranked| case.causes[ranked.cause].fault() == Some(fault));
    let in_group = place.is_some_and(|place| standing.group.contains(&place));
    // What stands in one group with the first counts as one with it.
    let ahead = place.map(|place| match in_group {
        true => 0,
        false => 1 + (0..place).filter(|place| !standing.group.contains(place)).count(),
    });
    tally.in_group += usize::from(in_group);
    tally.first += usize::from(ahead == Some(0));
    tally.in_three += usize::from(ahead.is_some_and(|ahead| ahead < 3));
    if !in_group {
        let done = Walk { case, complaints: &complaints, readings: &readings, minutes: &minutes };
        let answer = standing.group.first().map(|place| done.cause_in_words(&standing.causes[*place]));
        let all: Vec<String> = (0..=readings.len()).map(|item| done.item_in_words(item)).collect();
        let share = place.map_or(0.0, |place| standing.causes[place].share);
        let end = match standing.end {
            Some(End::Found) => "found",
            Some(_) => "left",
            None => "given up",
        };
        tally.missed.push(format!(
            "{told}{} [{share:.3}] {end}: {} after {}",
            vehicle.ohm.map_or(String::new(), |ohm| format!(" ({ohm:.2} ohm)")),
            answer.unwrap_or_default(),
            all.join("; ")
        ));
    }
}

/// The least number of readings by the greatest information that one reading gives: what is unknown at the start, less
/// what may stay unknown, over that.
fn by_information(shares: &[f64], most: f64) -> f64 {
    let entropy = |shares: &[f64]| -> f64 {
        let sum: f64 = shares.iter().sum();
        shares.iter().filter(|share| **share > 0.0).map(|share| -share / sum * (share / sum).ln()).sum()
    };
    if most <= 0.0 { 0.0 } else { entropy(&likely(shares)) / most }
}

/// The least number of readings, on average, that tell all likely causes apart (Huffman 1952), where each has as many
/// outcomes as the one that tells most has equally likely ones, rounded up.
fn by_questions(shares: &[f64], most: f64) -> f64 {
    let ways = (most.exp().ceil() as usize).max(2);
    let mut left = likely(shares);
    let sum: f64 = left.iter().sum();
    if left.len() < 2 {
        return 0.0;
    }
    while !(left.len() - 1).is_multiple_of(ways - 1) {
        left.push(0.0);
    }
    let mut length = 0.0;
    while left.len() > 1 {
        left.sort_by(|a, b| b.total_cmp(a));
        let merged: f64 = left.split_off(left.len() - ways).iter().sum();
        length += merged;
        left.push(merged);
    }
    length / sum
}

/// The shares without the least ones that together may stay unknown.
fn likely(shares: &[f64]) -> Vec<f64> {
    let mut sorted = shares.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let mut left: f64 = sorted.iter().sum::<f64>();
    let all = left;
    let mut kept = Vec::new();
    for share in sorted {
        if left <= 0.05 * all {
            break;
        }
        left -= share;
        kept.push(share);
    }
    kept
}

/// Something else than what was found.
fn wrong(found: Found, nominal_v: f64, chance: &mut Chance) -> Found {
    match found {
        Found::Number(_) => Found::Number(chance.between(0.0, 1.2 * nominal_v)),
        Found::Seen(seen) => {
            let others: Vec<Seen> =
                [Seen::Lit, Seen::Dim, Seen::Dark].into_iter().filter(|other| *other != seen).collect();
            Found::Seen(chance.one_of(&others))
        }
        Found::Heard(heard) => Found::Heard(!heard),
        Found::Whole(whole) => Found::Whole(!whole),
        Found::CannotReach => Found::CannotReach,
    }
}

/// A vehicle with one fault.
pub struct Vehicle<'c> {
    drawn: &'c Circuit,
    actual: Circuit,
    moments: Vec<Situation>,
    /// What the drawing leads to.
    asked: Vec<Outcome>,
    /// What the vehicle does.
    does: Vec<Outcome>,
    open: Vec<usize>,
    moved: Vec<(engine::ids::TerminalRef, usize)>,
    ohm: Option<f64>,
}

impl<'c> Vehicle<'c> {
    /// A vehicle with this fault, or one that is as drawn.
    pub fn new(drawn: &'c Circuit, case: &Case, fault: Option<&Fault>, chance: &mut Chance) -> Vehicle<'c> {
        let actual = varied(drawn, chance);
        let ohm = fault
            .is_some_and(Fault::is_resistive)
            .then(|| chance.decades(BAD_JOINT_OHM.0.log10(), BAD_JOINT_OHM.1.log10()));
        let joint = Ohms::new(ohm.unwrap_or(0.0)).expect("a resistance");
        let mut changes = fault.map_or_else(Vec::new, |fault| fault.changes(&actual, joint));
        let positions: Vec<Vec<u8>> = case.moments.iter().map(|moment| moment.positions.clone()).collect();
        let asked = Trial::new(drawn).healthy(&positions);
        let mut open: Vec<usize> = match fault {
            Some(Fault { mode: Mode::Blown, .. }) => changes.iter().map(|change| change.branch()).collect(),
            _ => Vec::new(),
        };
        let moved = fault.map_or_else(Vec::new, |fault| exchanged(drawn, fault));
        let trial = Trial::new(&actual);
        // A fuse that opens once stays open.
        let does = loop {
            let does = trial.changed(&changes, &positions);
            let more: Vec<usize> = (does.iter().zip(&asked))
                .filter(|(_, asked)| asked.blown.is_empty())
                .flat_map(|(does, _)| does.blown.iter().map(|blown| blown.branch))
                .filter(|branch| !open.contains(branch))
                .collect();
            if more.is_empty() {
                break does;
            }
            for branch in more {
                if !open.contains(&branch) {
                    open.push(branch);
                    changes.push(Change::Law(branch, None));
                }
            }
        };
        let moments = case.moments.iter().map(|moment| moment.situation.clone()).collect();
        let actual = actual.changed(&changes);
        Vehicle { drawn, actual, moments, asked, does, open, moved, ohm }
    }

    /// What somebody would complain of: a load that is not as drawn, in a situation by chance, else a fuse that is open.
    fn complaint(&self, chance: &mut Chance) -> Option<Complaint> {
        let network = &self.drawn.resolved.network;
        let mut all = Vec::new();
        for (moment, (asked, does)) in self.asked.iter().zip(&self.does).enumerate() {
            let (Some(asked), Some(does)) = (asked.rest(), does.rest()) else { continue };
            for (branch, load) in self.drawn.loads() {
                let should = seen(self.drawn, asked, branch, load);
                let found = seen(&self.actual, does, branch, load);
                // What is just below bright is nothing to complain of.
                let level = brightness(&self.actual, does, branch, load);
                let is_plain =
                    [BRIGHT_SHARE, GLOW_SHARE].iter().all(|at| (level - at).abs() > 2.0 * figure::EYE);
                if let (true, true, Subject::Part(part)) =
                    (should != found, is_plain, self.drawn.subject(branch))
                {
                    all.push(Complaint {
                        situation: self.moments[moment].clone(),
                        probe: Probe::Look(part, load.name.to_owned()),
                        should: Found::Seen(should),
                        found: Found::Seen(found),
                    });
                }
            }
        }
        // The one branch that is not in use of a load with several says nothing.
        all.retain(|complaint| self.look(&complaint.probe, complaint) == complaint.found);
        if !all.is_empty() {
            return Some(chance.one_of(&all));
        }
        let fuse = self.open.iter().find_map(|branch| match self.drawn.subject(*branch) {
            Subject::Part(part)
                if network
                    .part(&part)
                    .is_some_and(|part| part.kind.class == engine::kind::Class::Protection) =>
            {
                Some(part)
            }
            _ => None,
        })?;
        Some(Complaint {
            situation: Situation::at_rest(),
            probe: Probe::Fuse(fuse),
            should: Found::Whole(true),
            found: Found::Whole(false),
        })
    }

    fn look(&self, probe: &Probe, complaint: &Complaint) -> Found {
        let moment = self.moments.iter().position(|one| one.set == complaint.situation.set);
        moment.map_or(Found::CannotReach, |moment| Found::Seen(self.bright(probe, moment, 0.0)))
    }

    /// How bright a load is to an eye whose thresholds are off by so much.
    fn bright(&self, probe: &Probe, moment: usize, off: f64) -> Seen {
        let Probe::Look(part, name) = probe else { return Seen::Dark };
        let Some(rest) = self.does[moment].rest() else { return Seen::Dark };
        let own = self.drawn.loads().filter(|(branch, load)| {
            load.name == name && self.drawn.subject(*branch) == Subject::Part(part.clone())
        });
        let level =
            own.map(|(branch, load)| brightness(&self.actual, rest, branch, load)).fold(0.0, f64::max);
        match level {
            level if level >= BRIGHT_SHARE + off => Seen::Lit,
            level if level >= GLOW_SHARE + off => Seen::Dim,
            _ => Seen::Dark,
        }
    }

    /// What a user finds.
    pub fn read(&self, probe: &Probe, moment: usize, chance: &mut Chance) -> Found {
        let rest = self.does[moment].rest();
        let net = |terminal: &engine::ids::TerminalRef| {
            let moved = self.moved.iter().find(|(moved, _)| moved == terminal).map(|(_, net)| *net);
            moved.or_else(|| self.drawn.net_of(terminal)).unwrap_or(0)
        };
        match probe {
            Probe::Volts { at, against } => {
                let (from, to) = (net(at), against.as_ref().map_or(0, net));
                let volts = rest.and_then(|rest| rest.steady.between(from, to)).unwrap_or(0.0);
                Found::Number(
                    volts * (1.0 + figure::METER_SHARE * normal(chance)) + figure::METER_V * normal(chance),
                )
            }
            Probe::Amps(wire) => {
                let wire = self.drawn.wire_index(wire).expect("a wire of the job");
                let is_it = |branch: &usize| {
                    self.drawn.branches[*branch].origin == engine::circuit::Origin::Wire(wire)
                };
                let branch = (0..self.drawn.branches.len()).find(is_it);
                let amps = branch.zip(rest).map_or(0.0, |(branch, rest)| rest.steady.amps(branch).abs());
                let read =
                    amps * (1.0 + figure::CLAMP_SHARE * normal(chance)) + figure::CLAMP_A * normal(chance);
                Found::Number(read.abs())
            }
            Probe::Look(..) => Found::Seen(self.bright(probe, moment, figure::EYE * normal(chance))),
            Probe::Listen(part) => {
                let is_on = |outcome: &Outcome| {
                    let device = self.drawn.devices.iter().position(|device| {
                        device.relay && self.drawn.subject(device.branch) == Subject::Part(part.clone())
                    });
                    device.zip(outcome.rest()).is_some_and(|(device, rest)| rest.state.devices[device])
                };
                Found::Heard(is_on(&self.does[moment]) && !is_on(&self.does[0]))
            }
            Probe::Fuse(part) => {
                let is_it = |branch: &usize| self.drawn.subject(*branch) == Subject::Part(part.clone());
                Found::Whole(!self.open.iter().any(is_it))
            }
            Probe::Pin { .. } => Found::CannotReach,
        }
    }
}

/// The terminals of a part whose wires are exchanged, each with the net that is there instead.
fn exchanged(drawn: &Circuit, fault: &Fault) -> Vec<(engine::ids::TerminalRef, usize)> {
    let Subject::Part(id) = &fault.subject else { return Vec::new() };
    let names = match &fault.mode {
        Mode::Swapped(a, b) => vec![a.clone(), b.clone()],
        Mode::Reversed => {
            let part = drawn.resolved.network.part(id).map(|part| part.terminals()).unwrap_or_default();
            part.into_iter().map(|terminal| terminal.name).collect()
        }
        _ => return Vec::new(),
    };
    let at = |name: &engine::ids::TerminalName| {
        let terminal = engine::ids::TerminalRef { part: id.clone(), terminal: name.clone() };
        drawn.net_of(&terminal).map(|net| (terminal, net))
    };
    match names.iter().filter_map(at).collect::<Vec<_>>().as_slice() {
        [(a, net_a), (b, net_b)] => vec![(a.clone(), *net_b), (b.clone(), *net_a)],
        _ => Vec::new(),
    }
}

/// The circuit of a vehicle, whose parts differ by chance from what is printed.
fn varied(drawn: &Circuit, chance: &mut Chance) -> Circuit {
    let mut changes = Vec::new();
    for (branch, own) in drawn.branches.iter().enumerate() {
        let Some(law) = own.law else { continue };
        // Loads of one part that differ in how they are used are one thing.
        let factor = (1.0 + share(drawn, branch).min(0.6) * normal(chance)).clamp(0.3, 3.0);
        let law = match law {
            Law::Resistance(ohm) => Ohms::new(ohm.get() * factor).map(Law::Resistance),
            Law::Source { emf, internal, limit, one_way } => {
                let off = if one_way { figure::ALTERNATOR } else { figure::CHARGE };
                let emf =
                    Volts::new(emf.get() + off * drawn.resolved.nominal_v * normal(chance)).unwrap_or(emf);
                let internal = Ohms::new(internal.get() * factor).unwrap_or(internal);
                Some(Law::Source { emf, internal, limit, one_way })
            }
            Law::Filament { rated_v, rated_a, cold } => Some(Law::Filament {
                rated_v,
                rated_a: Amps::new(rated_a.get() * factor).unwrap_or(rated_a),
                cold: Ohms::new(cold.get() / factor).unwrap_or(cold),
            }),
            Law::Electronic { power, limit, off_below, on_above, leak, conducts_reversed } => {
                let power = Watts::new(power.get() * factor).unwrap_or(power);
                Some(Law::Electronic { power, limit, off_below, on_above, leak, conducts_reversed })
            }
            Law::Diode { .. } => Some(law),
        };
        if law.is_some() && !matches!(own.role, Role::Suppression) {
            changes.push(Change::Law(branch, law));
        }
    }
    drawn.changed(&changes)
}

/// A number of the normal distribution (Box and Muller 1958), not beyond two and a half.
fn normal(chance: &mut Chance) -> f64 {
    let (a, b) = (chance.unit().max(1e-12), chance.unit());
    ((-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()).clamp(-2.5, 2.5)
}
