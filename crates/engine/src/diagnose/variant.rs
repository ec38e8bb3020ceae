//! What one cause may come to: as it is, or as a bad joint with one resistance or another.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::case::Row;
use super::cause::AS_DRAWN;
use crate::circuit::{Change, Circuit, NetIndex};
use crate::fault::{BAD_JOINT_OHM, Fault, Mode, Outcome, Trial};
use crate::ids::TerminalRef;
use crate::kind::Role;
use crate::quantity::Ohms;
use crate::solve::Rest;
use crate::subject::Subject;

/// How many resistances a bad joint is tried with, each in the same ratio to the next.
pub const N_OHMS: usize = 10;

/// A cause with everything about it fixed: a bad joint with one resistance.
pub(super) struct Variant {
    /// Its cause, by index.
    pub cause: usize,
    /// The resistance of a bad joint.
    pub ohm: Option<f64>,
    /// How likely it is before anything is looked at.
    pub odds: f64,
    /// What it changes of the circuit, fuses that have opened among it.
    pub changes: Vec<Change>,
    /// Fuses that are open, by branch.
    pub open: BTreeSet<usize>,
    /// The terminals that sit at another net than drawn.
    pub moved: Vec<(TerminalRef, NetIndex)>,
    /// What it comes to, by moment.
    pub rows: Vec<Rc<Row>>,
}

/// What every fault is solved against.
pub(super) struct Solving<'b> {
    pub trial: &'b Trial<'b>,
    /// Position by part, by moment.
    pub positions: &'b [Vec<u8>],
    /// What the circuit as drawn comes to, by moment.
    pub sound: &'b [Rc<Row>],
    /// Whether no fuse opens in it, by moment.
    pub lasts: &'b [bool],
}

impl Solving<'_> {
    /// Everything that a fault may come to, as the cause of this index; nothing where it changes nothing.
    pub fn variants(&self, fault: &Fault, cause: usize) -> Vec<Variant> {
        let circuit = self.trial.circuit();
        let ohms = ohms(fault);
        let mut variants = Vec::new();
        for ohm in &ohms {
            let Some(joint) = Ohms::new(ohm.unwrap_or(0.0)) else { continue };
            let changes = fault.changes(circuit, joint);
            if changes.is_empty() {
                continue;
            }
            let mut variant = Variant {
                cause,
                ohm: *ohm,
                odds: fault.odds / ohms.len() as f64,
                open: blown_fuse(circuit, fault, &changes),
                moved: moved(circuit, fault, &changes),
                changes,
                rows: Vec::new(),
            };
            variant.solve(self);
            variants.push(variant);
        }
        variants
    }
}

impl Variant {
    /// Nothing is wrong.
    pub fn as_drawn(sound: &[Rc<Row>]) -> Variant {
        Variant {
            cause: 0,
            ohm: None,
            odds: AS_DRAWN,
            changes: Vec::new(),
            open: BTreeSet::new(),
            moved: Vec::new(),
            rows: sound.to_vec(),
        }
    }

    /// Solves it in every situation, until every fuse has opened that is sure to in any of them.
    fn solve(&mut self, solving: &Solving<'_>) {
        let trial = solving.trial;
        loop {
            let outcomes = trial.changed(&self.changes, solving.positions);
            let opened: Vec<usize> = (outcomes.iter().zip(solving.lasts))
                .filter(|(_, lasts)| **lasts)
                .flat_map(|(outcome, _)| outcome.blown.iter().map(|blown| blown.branch))
                .filter(|branch| !self.open.contains(branch))
                .collect();
            if opened.is_empty() {
                // Loads may sit between other nets than drawn.
                let circuit = trial.circuit().changed(&self.changes);
                let row = |(outcome, sound): (&Outcome, &Rc<Row>)| match outcome.rest() {
                    Some(rest) if is_as_sound(trial.circuit(), rest, sound.rest.as_ref()) => Rc::clone(sound),
                    rest => Row::of(&circuit, rest),
                };
                self.rows = outcomes.iter().zip(solving.sound).map(row).collect();
                return;
            }
            for branch in opened {
                if self.open.insert(branch) {
                    self.changes.push(Change::Law(branch, None));
                }
            }
        }
    }
}

/// What no meter of this trade shows, in volts and in amperes (common practice, no source).
const UNSEEN: f64 = 0.002;

/// Whether no reading tells a state from the one without a fault: then it need not be kept twice.
fn is_as_sound(circuit: &Circuit, rest: &Rest, sound: Option<&Rest>) -> bool {
    let Some(sound) = sound else { return false };
    let (one, other) = (&rest.steady, &sound.steady);
    let is_near = |a: f64, b: f64| (a - b).abs() < UNSEEN;
    rest.state == sound.state
        && (0..circuit.nets.len()).all(|net| match (one.volts(net), other.volts(net)) {
            (Some(a), Some(b)) => is_near(a, b),
            (None, None) => true,
            _ => false,
        })
        && (0..circuit.branches.len()).all(|branch| is_near(one.amps(branch), other.amps(branch)))
}

/// The resistances that a fault is tried with; `None` stands for one that has none.
fn ohms(fault: &Fault) -> Vec<Option<f64>> {
    if !fault.is_resistive() {
        return vec![None];
    }
    let (least, most) = BAD_JOINT_OHM;
    (0..N_OHMS).map(|step| Some(least * libm::pow(most / least, step as f64 / (N_OHMS - 1) as f64))).collect()
}

/// The ratio of one resistance of a bad joint to the next that is tried.
pub(super) fn ohm_ratio() -> f64 {
    libm::pow(BAD_JOINT_OHM.1 / BAD_JOINT_OHM.0, 1.0 / (N_OHMS - 1) as f64)
}

/// The fuse that is open because it is what is wrong.
fn blown_fuse(circuit: &Circuit, fault: &Fault, changes: &[Change]) -> BTreeSet<usize> {
    let is_fuse = |branch: &usize| matches!(circuit.branches[*branch].role, Role::Protection(_));
    let branches = changes.iter().map(|change| change.branch()).filter(is_fuse);
    if fault.mode == Mode::Blown { branches.collect() } else { BTreeSet::new() }
}

/// The terminals of a part whose wires are exchanged: a lead that touches one of them touches the other's net.
fn moved(circuit: &Circuit, fault: &Fault, changes: &[Change]) -> Vec<(TerminalRef, NetIndex)> {
    let (Subject::Part(id), Mode::Swapped(..) | Mode::Reversed) = (&fault.subject, &fault.mode) else {
        return Vec::new();
    };
    let mut nets: BTreeMap<NetIndex, NetIndex> = BTreeMap::new();
    for change in changes {
        if let Change::Ends(branch, from, to) = change {
            let drawn = &circuit.branches[*branch];
            nets.insert(drawn.from, *from);
            nets.insert(drawn.to, *to);
        }
    }
    let terminals = circuit.resolved.network.part(id).map(|part| part.terminals()).unwrap_or_default();
    let moved = |terminal: &crate::kind::Terminal| {
        let terminal = TerminalRef { part: id.clone(), terminal: terminal.name.clone() };
        let drawn = circuit.net_of(&terminal)?;
        let sits = *nets.get(&drawn)?;
        (sits != drawn).then_some((terminal, sits))
    };
    terminals.iter().filter_map(moved).collect()
}
