//! All states that changes of some inputs, one at a time, lead to.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::rc::Rc;

use crate::circuit::{Circuit, Device, State};
use crate::kind::{Law, Role};
use crate::solve::{Action, Rest, Settled, Solver, Steady, Verdict};
use crate::sweep::lit::{WORKING_SHARE, glows, is_shorted, works};
use crate::sweep::supply::Supply;

/// One state that can be reached.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Positions and device states.
    pub state: State,
    /// Whether it lasts; else it is one that the circuit passes through for ever, or that has no solution.
    pub lasts: bool,
    /// Whether its loads are known: there is a solution, and no source is shorted.
    pub is_solved: bool,
    /// The loads that work, by branch.
    pub lit: Vec<usize>,
    /// Electronic loads that glow although they are off, by branch.
    pub glowing: Vec<usize>,
    /// The state it was first reached from, by index, and how; none for the states at rest.
    pub before: Option<(usize, Action)>,
}

/// A change that does not come to rest in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Trouble {
    /// Positions after the change.
    pub positions: Vec<u8>,
    /// How it ends.
    pub verdict: Verdict,
    /// Devices that do not come to rest, or that race, or whose power cannot be delivered.
    pub restless: Vec<usize>,
    /// The state it starts from, by index, and the change; none at rest.
    pub before: Option<(usize, Action)>,
}

/// The states that changes of some inputs lead to, nearest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Explored {
    /// The inputs, by index.
    pub inputs: Vec<usize>,
    /// States in the order met: the fewer actions, the earlier.
    pub nodes: Vec<Node>,
    /// For each combination of positions and each verdict, the first change that ended so.
    pub troubles: Vec<Trouble>,
    /// Combinations of positions met.
    pub n_seen: u64,
    /// Combinations of positions there are; all of them can be reached.
    pub n_combinations: u64,
    /// Whether every change of every state has been tried.
    pub is_complete: bool,
    /// Whether a voltage was so near to where something changes that what is outside could tip it.
    pub is_doubtful: bool,
}

impl Explored {
    /// The shortest sequence of actions from rest to a state.
    pub fn actions(&self, node: usize) -> Vec<Action> {
        self.actions_of(self.nodes[node].before)
    }

    /// The shortest sequence of actions from rest to a change, the change itself the last.
    pub fn actions_of(&self, mut before: Option<(usize, Action)>) -> Vec<Action> {
        let mut actions = Vec::new();
        while let Some((node, action)) = before {
            actions.push(action);
            before = self.nodes[node].before;
        }
        actions.reverse();
        actions
    }

    /// The first state, and so one reached by the fewest actions, for which `wanted` holds.
    pub fn first(&self, wanted: impl FnMut(&Node) -> bool) -> Option<usize> {
        self.nodes.iter().position(wanted)
    }
}

/// What to explore, and how far.
pub(super) struct Task<'t, 'c> {
    pub solver: &'t Solver<'c>,
    pub base: &'t State,
    pub inputs: &'t BTreeSet<usize>,
    /// The most changes tried.
    pub most_changes: usize,
    /// Volts by which what is outside may shift anything.
    pub shift: f64,
    /// Where the shift comes from, to tell it more closely for one load in one state.
    pub supply: &'t Supply<'c>,
    /// Loads whose working must be beyond doubt, by branch.
    pub watched: &'t BTreeSet<usize>,
    /// Whether the first doubt ends it, because there is something outside to add.
    pub ends_in_doubt: bool,
}

/// How one change ends.
struct Outcome {
    verdict: Verdict,
    restless: Vec<usize>,
}

struct Walk<'t, 'c> {
    task: &'t Task<'t, 'c>,
    /// The same circuit at the lowest and the highest voltages that its surroundings can bring about, where electronic
    /// loads make what happens between depend on more than the distance from a threshold.
    shifted: Vec<Solver<'c>>,
    explored: Explored,
    known: BTreeSet<State>,
    outcomes: BTreeMap<State, Rc<Outcome>>,
    told: BTreeSet<(Vec<u8>, &'static str)>,
    seen: BTreeSet<Vec<u8>>,
}

/// Explores breadth first. `progress` is told how many combinations have been met so far, and may stop it.
pub(super) fn explore(task: &Task<'_, '_>, progress: &mut dyn FnMut(u64) -> ControlFlow<()>) -> Explored {
    let circuit = task.solver.circuit();
    let inputs: Vec<usize> = task.inputs.iter().copied().collect();
    let combinations =
        |product: u64, input: &usize| product.saturating_mul(u64::from(circuit.inputs[*input].positions));
    let has_electronic = circuit.devices.iter().any(|device| !device.relay);
    let shifted = match task.shift.is_finite() && task.shift > 0.0 && has_electronic {
        true => vec![task.solver.with_supply(-task.shift), task.solver.with_supply(task.shift)],
        false => Vec::new(),
    };
    let mut walk = Walk {
        task,
        shifted,
        explored: Explored {
            nodes: Vec::new(),
            troubles: Vec::new(),
            n_seen: 0,
            n_combinations: inputs.iter().fold(1, combinations),
            is_complete: false,
            is_doubtful: !task.shift.is_finite(),
            inputs,
        },
        known: BTreeSet::new(),
        outcomes: BTreeMap::new(),
        told: BTreeSet::new(),
        seen: BTreeSet::new(),
    };
    walk.explored.is_complete = walk.go(progress).is_continue();
    walk.explored.n_seen = walk.seen.len() as u64;
    walk.explored
}

impl Walk<'_, '_> {
    fn go(&mut self, progress: &mut dyn FnMut(u64) -> ControlFlow<()>) -> ControlFlow<()> {
        let circuit = self.task.solver.circuit();
        self.change(self.task.base.clone(), None);
        let (mut next, mut n_changes) = (0, 0);
        while next < self.explored.nodes.len() {
            // Whoever has no more time gets no more changes, not even those of the first state.
            progress(self.seen.len() as u64)?;
            for input in self.task.inputs.iter().map(|input| &circuit.inputs[*input]) {
                let here = &self.explored.nodes[next].state;
                let was = here.positions[input.part];
                for position in (0..input.positions).filter(|position| *position != was) {
                    n_changes += 1;
                    if n_changes > self.task.most_changes {
                        return ControlFlow::Break(());
                    }
                    let mut state = self.explored.nodes[next].state.clone();
                    state.positions[input.part] = position;
                    self.change(state, Some((next, (input.part, position))));
                }
            }
            if self.explored.is_doubtful && self.task.ends_in_doubt {
                return ControlFlow::Break(());
            }
            next += 1;
        }
        ControlFlow::Continue(())
    }

    /// Makes one change and takes down where it leads.
    fn change(&mut self, start: State, before: Option<(usize, Action)>) {
        let outcome = match self.outcomes.get(&start) {
            Some(known) => Rc::clone(known),
            None => {
                let (mut is_doubtful, mut needs_more) = (false, false);
                let task = self.task;
                let circuit = task.solver.circuit();
                let settled = task.solver.settle_watched(start.clone(), &mut |state, steady| {
                    let (tips, more) = may_move_otherwise(task, state, steady);
                    let is_judged = (tips || more) && !is_shorted(circuit, steady);
                    is_doubtful |= tips && is_judged;
                    needs_more |= more && is_judged;
                });
                self.explored.is_doubtful |= is_doubtful;
                if needs_more {
                    self.doubt(&start, &settled);
                }
                let outcome = Rc::new(self.enter(&start, settled, before));
                self.outcomes.insert(start.clone(), Rc::clone(&outcome));
                outcome
            }
        };
        self.seen.insert(start.positions.clone());
        if outcome.verdict != Verdict::Settled
            && self.told.insert((start.positions.clone(), outcome.verdict.word()))
        {
            self.explored.troubles.push(Trouble {
                positions: start.positions,
                verdict: outcome.verdict,
                restless: outcome.restless.clone(),
                before,
            });
        }
    }

    fn enter(&mut self, start: &State, settled: Settled, before: Option<(usize, Action)>) -> Outcome {
        let circuit = self.task.solver.circuit();
        let gives_up = settled.rests.is_empty() && settled.passing.is_empty() && settled.failed.is_empty();
        let lasting = settled.rests.into_iter().map(|rest| (rest, true));
        for (rest, lasts) in lasting.chain(settled.passing.into_iter().map(|rest| (rest, false))) {
            if self.known.contains(&rest.state) {
                continue;
            }
            let is_solved = !is_shorted(circuit, &rest.steady);
            if is_solved {
                self.doubt_loads(&rest);
            }
            let mut node = Node {
                state: rest.state.clone(),
                lasts,
                is_solved,
                lit: Vec::new(),
                glowing: Vec::new(),
                before,
            };
            for (branch, load) in circuit.loads() {
                if works(circuit, &rest, branch, load) {
                    node.lit.push(branch);
                } else if glows(circuit, &rest, branch) {
                    node.glowing.push(branch);
                }
            }
            self.add(node);
        }
        for state in settled.failed.into_iter().chain(gives_up.then(|| start.clone())) {
            if !self.known.contains(&state) {
                self.add(Node {
                    state,
                    lasts: false,
                    is_solved: false,
                    lit: Vec::new(),
                    glowing: Vec::new(),
                    before,
                });
            }
        }
        Outcome { verdict: settled.verdict, restless: settled.restless }
    }

    fn add(&mut self, node: Node) {
        self.known.insert(node.state.clone());
        self.explored.nodes.push(node);
    }

    /// Notes whether the same change might go another way with what is outside in another state.
    fn doubt(&mut self, start: &State, settled: &Settled) {
        let states = |settled: &Settled| -> Vec<State> {
            settled.rests.iter().chain(&settled.passing).map(|rest| rest.state.clone()).collect()
        };
        for solver in &self.shifted {
            let other = solver.settle(start.clone());
            self.explored.is_doubtful |=
                other.verdict != settled.verdict || states(&other) != states(settled);
        }
    }

    /// Notes whether a watched load might work, or no longer work, with its voltage shifted.
    fn doubt_loads(&mut self, rest: &Rest) {
        let circuit = self.task.solver.circuit();
        let shift = self.task.shift;
        if shift == 0.0 || !shift.is_finite() {
            return;
        }
        let may_differ = |branch: usize, shift: f64| {
            let Role::Load(load) = circuit.branches[branch].role else { return false };
            let (Some(rated), Some((least, most))) = (load.rated, power_range(circuit, rest, branch, shift))
            else {
                return false;
            };
            let enough = WORKING_SHARE * rated.get();
            least < enough && most >= enough
        };
        let is_doubtful = |branch: &usize| {
            may_differ(*branch, shift)
                && may_differ(*branch, self.task.supply.shift_of(self.task.inputs, &rest.steady, *branch))
        };
        self.explored.is_doubtful |= self.task.watched.iter().any(is_doubtful);
    }
}

/// The share of the highest voltage above which every electronic load must stand for [`MOST_GAIN`] to hold.
const FIRM_SHARE: f64 = 0.7;

/// How many times the shift of the supply may come out at an electronic load, because it draws more the less it gets.
///
/// With constant powers `P` behind the resistances `Z` the voltages are `u = E - Z (P/u)`, so a shift of `E` by `d`
/// shifts them by `(1 - Z diag(P/u^2))^-1 d`. As `Z diag(P/u^2) u = E - u`, no eigenvalue of that matrix exceeds the
/// greatest `(E - u)/u` (Collatz and Wielandt); at 0.7 `E` that makes `1/(1 - 3/7)` and, since the bound holds in parts of
/// `u`, which may differ by the same 0.7, at most 2.5 times.
const MOST_GAIN: f64 = 2.5;

/// Whether the voltage of a device is so near to where it moves, or would not move, that what is outside could tip it;
/// and whether electronic loads stand so low that this cannot be told from the distance alone.
fn may_move_otherwise(task: &Task<'_, '_>, state: &State, steady: &Steady) -> (bool, bool) {
    if task.shift == 0.0 {
        return (false, false);
    }
    let circuit = task.solver.circuit();
    let volts = |device: &Device| {
        let branch = &circuit.branches[device.branch];
        let volts = steady.between(branch.from, branch.to).unwrap_or(0.0);
        if device.relay { volts.abs() } else { volts }
    };
    let drawing = || circuit.devices.iter().zip(&state.devices).filter(|(device, on)| !device.relay && **on);
    let is_low = drawing().any(|(device, _)| volts(device) < FIRM_SHARE * task.supply.highest);
    let gain = if drawing().next().is_some() { MOST_GAIN } else { 1.0 };
    let is_near = |device: &Device, on: bool, shift: f64| {
        (volts(device) - if on { device.off_at } else { device.on_at }).abs() <= gain * shift
    };
    let tips = circuit.devices.iter().zip(&state.devices).any(|(device, on)| {
        is_near(device, *on, task.shift) && {
            let closely = task.supply.shift_of(task.inputs, steady, device.branch);
            closely > 0.0 && is_near(device, *on, closely)
        }
    });
    (tips, is_low)
}

/// The least and the most watts that a load can take with its voltage shifted by up to `shift` volts either way;
/// `None` for one that says itself whether it is on.
///
/// The current of what is no electronic load rises with its voltage, but by no greater a share than that does.
fn power_range(circuit: &Circuit, rest: &Rest, branch: usize, shift: f64) -> Option<(f64, f64)> {
    let at = &circuit.branches[branch];
    let volts = rest.steady.between(at.from, at.to).unwrap_or(0.0).abs();
    let most_siemens = match at.law? {
        Law::Resistance(ohm) => 1.0 / ohm.get(),
        Law::Filament { cold, .. } => 1.0 / cold.get(),
        _ => return None,
    };
    let conducts = rest.steady.conducting(branch);
    let siemens = match volts > 0.0 && conducts {
        true => rest.steady.amps(branch).abs() / volts,
        false => most_siemens,
    };
    let (low, high) = ((volts - shift).max(0.0), volts + shift);
    Some((low * low * siemens, if conducts { high * high * siemens } else { 0.0 }))
}
