//! What every single mistake would do: each fault of a circuit in each situation, the worst first.
//!
//! A fuse opens when it carries what it is sure to open at ([`OPENS_ABOVE`](crate::kind::OPENS_ABOVE)); until then, and
//! afterwards for good, every wire is compared with what it stands. Nothing here says how likely a mistake is.

use crate::arrange;
use crate::check::{Context, unprotected, worth_a_look};
use crate::circuit::{Circuit, Origin};
use crate::document::{Interlock, Seen, Situation};
use crate::fault::{self, Fault, Outcome, Trial, seen};
use crate::kind::Load;
use crate::protection::withstand::Withstand;
use crate::quantity::{Amps, Ohms};
use crate::solve::{Rest, Verdict};
use crate::subject::Subject;
use crate::sweep::Progress;

use rules::Rules;

mod fuse;
mod joint;
mod rules;
mod words;

pub use fuse::Unprotected;
pub use joint::JOINTS_OHM;

/// What a mistake comes to at worst, over all situations. Ordered: the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// A wire gets hotter than it stands, and nothing ends that in time.
    Burns,
    /// A joint turns as much power into heat as lights a small lamp.
    HotJoint,
    /// A fuse lets more pass than a wire behind it stands: the next short of that wire burns it.
    Unprotected,
    /// A rule of the job does not hold.
    BreaksRule,
    /// Something works that must not.
    WorksUnasked,
    /// It does not come to rest, or how it ends depends on chance.
    Unsettled,
    /// Something does not work, or too weakly.
    Fails,
    /// A fuse opens, and nothing else is missed.
    Opens,
    /// Nobody would notice.
    Unnoticed,
}

impl Harm {
    /// Every sort of harm, the worst first.
    pub const ALL: [Harm; 9] = [
        Harm::Burns,
        Harm::HotJoint,
        Harm::Unprotected,
        Harm::BreaksRule,
        Harm::WorksUnasked,
        Harm::Unsettled,
        Harm::Fails,
        Harm::Opens,
        Harm::Unnoticed,
    ];

    /// The word for it in command replies.
    pub fn word(self) -> &'static str {
        match self {
            Harm::Burns => "burns",
            Harm::HotJoint => "hot joint",
            Harm::Unprotected => "unprotected",
            Harm::BreaksRule => "breaks a rule",
            Harm::WorksUnasked => "works unasked",
            Harm::Unsettled => "unsettled",
            Harm::Fails => "fails",
            Harm::Opens => "fuse opens",
            Harm::Unnoticed => "unnoticed",
        }
    }

    /// What it means: lowercase, no full stop.
    pub fn meaning(self) -> &'static str {
        match self {
            Harm::Burns => "a wire gets hotter than it stands, and no fuse ends that in time",
            Harm::HotJoint => "a bad joint gets hot",
            Harm::Unprotected => "a wire is no longer protected by its fuse",
            Harm::BreaksRule => "a rule of this job no longer holds",
            Harm::WorksUnasked => "something works when it must not",
            Harm::Unsettled => "something buzzes, flashes or depends on chance",
            Harm::Fails => "something does not work, or only weakly",
            Harm::Opens => "a fuse opens, and nothing else is missed",
            Harm::Unnoticed => "nobody would notice",
        }
    }
}

/// Power in a joint from which on it counts as hot, in watts (common practice, no source).
pub const HOT_JOINT_W: f64 = 5.0;

/// All mistakes of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// The situations, as they stand in a sentence.
    pub situations: Vec<String>,
    /// One row a mistake, the worst first, else in document order.
    pub rows: Vec<Row>,
    /// Whether it was stopped before all mistakes were tried.
    pub is_cut_off: bool,
}

/// What one mistake does.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The mistake.
    pub fault: Fault,
    /// The same in words, as a sentence without a full stop.
    pub words: String,
    /// What it comes to at worst.
    pub harm: Harm,
    /// What it does in each situation in which it does anything.
    pub effects: Vec<Effect>,
    /// The wires that lose their protection, of a fuse of another rating.
    pub unprotected: Option<Unprotected>,
}

/// What a mistake does in one situation; of a bad joint, with the resistance at which it does most harm.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// The situation, by its index in the table.
    pub situation: usize,
    /// How bad it is.
    pub harm: Harm,
    /// How the situation comes to rest.
    pub verdict: Verdict,
    /// The rules of the job that do not hold with it and do without it, as sentences.
    pub broken: Vec<String>,
    /// The loads that are otherwise than without it.
    pub loads: Vec<Changed>,
    /// The relays that are otherwise, with whether each is on now.
    pub relays: Vec<(Subject, bool)>,
    /// The fuses that open: amperes, and the longest it may take, in seconds; `None` where that is not known.
    pub opens: Vec<(Subject, Amps, Option<f64>)>,
    /// The wires that get hotter than they stand: what each carries, what it stands for good, and for how many
    /// seconds it carries it, `None` for good.
    pub hot: Vec<(Subject, Amps, Amps, Option<f64>)>,
    /// The power in the joint, in watts, with its resistance, where it is hot.
    pub joint: Option<(f64, Ohms)>,
}

/// A load that is otherwise than without the mistake.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    /// The load.
    pub subject: Subject,
    /// Its name where the part has several.
    pub name: &'static str,
    /// How it is without the mistake.
    pub was: Seen,
    /// How it is with it.
    pub is: Seen,
}

/// Tries every mistake of `circuit` in the situations that are worth a look, `named` among them.
pub fn table(
    circuit: &Circuit,
    named: &[Situation],
    interlocks: &[Interlock],
    progress: Progress<'_>,
) -> Table {
    tried(circuit, named, interlocks, false, progress)
}

/// The same with every resistance of a bad joint tried, whether it can matter or not: what [`table`] is measured against.
pub fn table_with_every_joint(
    circuit: &Circuit,
    named: &[Situation],
    interlocks: &[Interlock],
    progress: Progress<'_>,
) -> Table {
    tried(circuit, named, interlocks, true, progress)
}

fn tried(
    circuit: &Circuit,
    named: &[Situation],
    interlocks: &[Interlock],
    tries_every_joint: bool,
    progress: Progress<'_>,
) -> Table {
    let (situations, positions): (Vec<String>, Vec<Vec<u8>>) =
        worth_a_look(circuit, named).into_iter().unzip();
    let faults = fault::faults(circuit);
    let trial = Trial::new(circuit);
    let sound = trial.healthy(&positions);
    let context = Context::new(circuit, named, interlocks);
    let (rules, unprotected) = (Rules::new(&context), unprotected(&context));
    let bench =
        Bench { circuit, context, rules, unprotected, sound, stands: stands(circuit), tries_every_joint };
    let mut rows = Vec::with_capacity(faults.len());
    let n_faults = faults.len() as u64;
    let mut is_cut_off = false;
    for (done, fault) in faults.into_iter().enumerate() {
        if progress(done as u64, n_faults).is_break() {
            is_cut_off = true;
            break;
        }
        rows.push(bench.row(&trial, fault, &positions));
    }
    arrange::sort_by_key(&mut rows, |row| row.harm);
    Table { situations, rows, is_cut_off }
}

/// What each wire stands for good, and for a while, by branch; `None` where its size is not known.
fn stands(circuit: &Circuit) -> Vec<Option<(f64, Withstand)>> {
    let of = |branch: &crate::circuit::Branch| {
        let Origin::Wire(wire) = branch.origin else { return None };
        let used = circuit.resolved.wires[wire].as_ref()?;
        Some((used.ampacity()?.used.get(), Withstand::of(used)?))
    };
    circuit.branches.iter().map(of).collect()
}

/// The circuit without a mistake, and what its wires stand.
struct Bench<'c> {
    circuit: &'c Circuit,
    context: Context<'c>,
    rules: Rules,
    /// The wires that are without protection already, by branch.
    unprotected: Vec<usize>,
    sound: Vec<Outcome>,
    stands: Vec<Option<(f64, Withstand)>>,
    tries_every_joint: bool,
}

impl Bench<'_> {
    fn row(&self, trial: &Trial<'_>, fault: Fault, positions: &[Vec<u8>]) -> Row {
        let effects = match fault.joint() {
            Some(joint) => joint::worst(self, trial, &fault, joint, positions),
            None => {
                let outcomes = trial.changed(&fault.changes(self.circuit, Ohms::ZERO), positions);
                let effect = |(situation, outcome)| self.effect(situation, outcome, None);
                outcomes.iter().enumerate().filter_map(effect).collect()
            }
        };
        let unprotected = fuse::lost(&self.context, &self.unprotected, &fault);
        let lost = unprotected.iter().map(|_| Harm::Unprotected);
        let harm = effects.iter().map(|effect| effect.harm).chain(lost).min().unwrap_or(Harm::Unnoticed);
        let words = fault.in_words(&self.circuit.resolved.network);
        Row { words, fault, harm, effects, unprotected }
    }

    /// What an outcome does that the sound circuit does not; `None` when it does nothing else.
    fn effect(&self, situation: usize, outcome: &Outcome, joint: Option<(usize, Ohms)>) -> Option<Effect> {
        let sound = &self.sound[situation];
        let (loads, relays, broken) = match (sound.rest(), outcome.rest()) {
            (Some(was), Some(is)) => {
                (self.loads(was, is), self.relays(was, is), self.rules.broken(self.circuit, was, is))
            }
            _ => (Vec::new(), Vec::new(), Vec::new()),
        };
        let hot = self.hot(sound, outcome);
        let opens: Vec<_> = outcome
            .blown
            .iter()
            .filter(|one| sound.blown.iter().all(|before| before.branch != one.branch))
            .filter_map(|one| Some((self.circuit.subject(one.branch), Amps::new(one.amps)?, one.seconds)))
            .collect();
        let joint = joint.and_then(|(branch, ohm)| {
            let amps = outcome.rest()?.steady.amps(branch);
            let watts = amps * amps * ohm.get();
            (watts >= HOT_JOINT_W).then_some((watts, ohm))
        });
        let verdict = outcome.settled.verdict;
        let differs = verdict != sound.settled.verdict && verdict != Verdict::Settled;
        let harm = match () {
            () if !hot.is_empty() => Harm::Burns,
            () if joint.is_some() => Harm::HotJoint,
            () if !broken.is_empty() => Harm::BreaksRule,
            () if loads.iter().any(Changed::is_unasked) => Harm::WorksUnasked,
            () if differs => Harm::Unsettled,
            () if !loads.is_empty() => Harm::Fails,
            () if !opens.is_empty() => Harm::Opens,
            () if !relays.is_empty() => Harm::Unnoticed,
            () => return None,
        };
        Some(Effect { situation, harm, verdict, broken, loads, relays, opens, hot, joint })
    }

    fn loads(&self, was: &Rest, is: &Rest) -> Vec<Changed> {
        let changed = |(branch, load): (usize, &Load)| {
            let (before, now) = (seen(self.circuit, was, branch, load), seen(self.circuit, is, branch, load));
            let subject = self.circuit.subject(branch);
            (before != now).then_some(Changed { subject, name: load.name, was: before, is: now })
        };
        self.circuit.loads().filter_map(changed).collect()
    }

    fn relays(&self, was: &Rest, is: &Rest) -> Vec<(Subject, bool)> {
        let devices = self.circuit.devices.iter().enumerate();
        let changed = devices
            .filter(|(index, device)| device.relay && was.state.devices[*index] != is.state.devices[*index]);
        changed
            .map(|(index, device)| (self.circuit.subject(device.branch), is.state.devices[index]))
            .collect()
    }

    /// The wires that get hotter than they stand: for good, or before the fuse that saves them has opened. What a wire
    /// carries beyond what it stands without any mistake is a matter of the checks.
    fn hot(&self, sound: &Outcome, outcome: &Outcome) -> Vec<(Subject, Amps, Amps, Option<f64>)> {
        let mut found = Vec::new();
        for (branch, stands) in self.stands.iter().enumerate() {
            let Some((lasting, withstand)) = stands else { continue };
            let amps_in = |rest: &Rest| rest.steady.amps(branch).abs();
            if sound.rest().is_some_and(|rest| amps_in(rest) > *lasting) {
                continue;
            }
            let mut told = |amps: f64, seconds: Option<f64>| {
                let (Some(carries), Some(stands)) = (Amps::new(amps), Amps::new(*lasting)) else { return };
                found.push((self.circuit.subject(branch), carries, stands, seconds));
            };
            let short = outcome.before.iter().zip(&outcome.blown).find_map(|(rest, blown)| {
                let amps = amps_in(rest);
                // A fuse of which no time is known may take any.
                let seconds = blown.seconds.unwrap_or(f64::INFINITY);
                (amps > *lasting && seconds > withstand.seconds(amps)).then_some((amps, seconds))
            });
            match (outcome.rest().map(amps_in).filter(|amps| amps > lasting), short) {
                (Some(amps), _) => told(amps, None),
                (None, Some((amps, seconds))) => {
                    told(amps, Some(seconds).filter(|seconds| seconds.is_finite()))
                }
                (None, None) => {}
            }
        }
        found
    }
}

impl Row {
    /// What it does where that is worst: the gravest, and of those what changes most.
    pub fn worst(&self) -> Option<&Effect> {
        let weight = |effect: &Effect| (effect.harm, usize::MAX - effect.loads.len() - effect.opens.len());
        self.effects.iter().min_by_key(|effect| weight(effect))
    }
}

impl Changed {
    /// Whether it works although it must not.
    fn is_unasked(&self) -> bool {
        self.was == Seen::Dark && self.is != Seen::Dark
    }
}

#[cfg(test)]
mod tests;
