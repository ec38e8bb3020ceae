//! The situations a check looks at, solved once for all checks.

use std::cell::{Cell, OnceCell};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::rc::Rc;

use petgraph::unionfind::UnionFind;

use crate::check::swept::{self, SweptState};
use crate::circuit::reach::walk;
use crate::circuit::{Circuit, Gate, Input, NetIndex, Origin};
use crate::document::{AT_REST, Situation};
use crate::kind::{Class, OPENS_ABOVE, Role};
use crate::solve::{Rest, Solution, Solver};
use crate::sweep::{Sweep, Sweeper, as_used, works};

/// One situation and what it comes to.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// Which one it is, to stand in a sentence: `at rest`, `with S1 on`, `in the situation “work”`.
    pub when: String,
    /// Whether it is one that the job names.
    pub is_named: bool,
    /// Position by part index.
    pub positions: Vec<u8>,
    /// What it comes to.
    pub solution: Solution,
    /// The sources whose poles are joined without a load between them.
    pub shorts: Vec<Short>,
    /// Whether a motor is blocked in it.
    pub is_blocked: bool,
    /// Whether it may last: unless a motor is blocked and a fuse is sure to open at what that takes, which is what the
    /// fuse is for.
    pub may_last: bool,
}

/// A source whose poles are joined without a load between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Short {
    /// The source, by branch index.
    pub source: usize,
    /// The branches from its positive to its negative pole, over the fewest of them.
    pub path: Vec<usize>,
    /// The branch that makes the short: the last contact on the way, else the last wire.
    pub root: usize,
}

impl Surveyed {
    fn new(solver: &Solver<'_>, when: String, is_named: bool, positions: Vec<u8>) -> Surveyed {
        let circuit = solver.circuit();
        let solution = solver.solve(positions.clone());
        let shorts = match solution.shown() {
            Some(rest) => {
                let together = Together::new(circuit, rest);
                let is_shorted = |source: &usize| {
                    together.are_joined(circuit.branches[*source].from, circuit.branches[*source].to)
                };
                let shorted = circuit.sources().filter(is_shorted);
                shorted.filter_map(|source| short(circuit, rest, source, &|_| false)).collect()
            }
            None => Vec::new(),
        };
        let working = as_used(circuit);
        let parts = &circuit.resolved.network.parts;
        // A load that is neither at rest nor at its work is a motor that is blocked.
        let is_blocked = !(0..parts.len()).all(|part| {
            let position = positions[part];
            parts[part].kind.class != Class::Load || position == 0 || position == working[part]
        });
        let may_last = !is_blocked || !solution.shown().is_some_and(|rest| opens_a_fuse(circuit, rest));
        Surveyed { when, is_named, positions, solution, shorts, is_blocked, may_last }
    }

    /// The lasting states to judge currents by: all of them, but none when a source is shorted,
    /// because then every current says only that.
    pub fn rests(&self) -> impl Iterator<Item = &Rest> {
        let sound = self.shorts.is_empty();
        self.solution.reached.iter().filter(move |_| sound).map(|reached| &reached.rest)
    }
}

/// Whether some fuse carries enough to be sure to open.
fn opens_a_fuse(circuit: &Circuit, rest: &Rest) -> bool {
    (0..circuit.branches.len()).any(|index| {
        let rating = circuit.rating(index).map(|rating| rating.high.get());
        rating.is_some_and(|rating| rest.steady.amps(index).abs() > OPENS_ABOVE * rating)
    })
}

/// The short circuit of a source in this state, over branches other than those that are `left_out`.
pub(super) fn short(
    circuit: &Circuit,
    rest: &Rest,
    source: usize,
    left_out: &dyn Fn(usize) -> bool,
) -> Option<Short> {
    let (from, to) = (circuit.branches[source].from, circuit.branches[source].to);
    let met = walk(circuit, &[from], |index, _| !left_out(index) && carries(circuit, rest, index));
    if !met.iter().any(|(net, _)| *net == to) {
        return None;
    }
    let reached_by: BTreeMap<NetIndex, usize> =
        met.into_iter().filter_map(|(net, by)| by.map(|by| (net, by))).collect();
    let mut path = Vec::new();
    let mut net = to;
    while net != from {
        let branch = *reached_by.get(&net)?;
        path.push(branch);
        net = circuit.branches[branch].from + circuit.branches[branch].to - net;
    }
    let is_contact = |index: &&usize| {
        circuit.branches[**index].role == Role::Path && circuit.branches[**index].gate != Gate::Always
    };
    let is_wire = |index: &&usize| matches!(circuit.branches[**index].origin, Origin::Wire(_));
    // The path runs backwards as it stands, so the first found is the last on the way.
    let root = *path.iter().find(is_contact).or_else(|| path.iter().find(is_wire)).or(path.first())?;
    path.reverse();
    Some(Short { source, path, root })
}

/// Whether a branch carries current without using it in this state.
pub(super) fn carries(circuit: &Circuit, rest: &Rest, index: usize) -> bool {
    matches!(circuit.branches[index].role, Role::Path | Role::Protection(_) | Role::Suppression)
        && rest.steady.conducting(index)
}

/// What hangs together by what uses no energy in one state: nets with one label.
pub(super) struct Together(Vec<usize>);

impl Together {
    pub(super) fn new(circuit: &Circuit, rest: &Rest) -> Together {
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        for index in (0..circuit.branches.len()).filter(|index| carries(circuit, rest, *index)) {
            joined.union(circuit.branches[index].from, circuit.branches[index].to);
        }
        Together(joined.into_labeling())
    }

    pub(super) fn are_joined(&self, one: NetIndex, other: NetIndex) -> bool {
        self.0[one] == self.0[other]
    }
}

/// The nets that `start` reaches over branches that use no energy, in this state.
pub(super) fn joined(circuit: &Circuit, rest: &Rest, start: &[NetIndex]) -> Vec<NetIndex> {
    walk(circuit, start, |index, _| carries(circuit, rest, index)).into_iter().map(|(net, _)| net).collect()
}

/// The situations every check shares, and a sweep over all of them for those that need it.
pub struct Survey<'c> {
    solver: Rc<Solver<'c>>,
    /// At rest, the named situations, each input alone, and all inputs at once.
    pub situations: Vec<Surveyed>,
    lit: OnceCell<Lit>,
    sweeper: OnceCell<Sweeper<'c>>,
    sweep: OnceCell<Sweep>,
    states: OnceCell<Vec<SweptState>>,
    /// States solved beside the sweep.
    n_beside: Cell<u64>,
}

/// Which loads work in some situation.
#[derive(Clone, Debug, Default)]
pub struct Lit {
    /// Loads seen working, by branch index.
    pub branches: BTreeSet<usize>,
    /// Loads not seen working whose inputs have more combinations than were tried.
    pub unfinished: BTreeSet<usize>,
}

/// Most changes tried in one set of inputs while somebody waits for the checks.
const MOST_CHANGES: usize = 1 << 12;

/// Most changes that sets are made one for, because they could tip each other over the supply they share, while
/// somebody waits for the checks.
const MOST_MERGED: usize = 1 << 8;

/// How much may be computed while somebody waits for the checks: changes times branches, for making sets one and in one
/// set, and states solved times branches, in the whole sweep. A solution takes time in proportion to the branches, so a
/// large job gets fewer of them, and what is left is told as not finished.
const WORK_MERGED: usize = 30_000;
const WORK_IN_A_SET: usize = 500_000;
const WORK_IN_ALL: usize = 1_000_000;

/// Most combinations of the inputs that have a say in a load tried from rest when it has not been seen working.
pub const MOST_COMBINATIONS: usize = 1 << 12;

impl<'c> Survey<'c> {
    /// Solves the shared situations of a circuit.
    pub fn new(circuit: &'c Circuit, named: &[Situation]) -> Survey<'c> {
        let solver = Rc::new(Solver::new(circuit));
        let mut situations: Vec<Surveyed> = Vec::new();
        let mut known = BTreeSet::new();
        for (number, (when, positions)) in worth_a_look(circuit, named).into_iter().enumerate() {
            // The one at rest comes first, then those that the job names.
            let is_named = (1..=named.len()).contains(&number);
            if known.insert(positions.clone()) {
                situations.push(Surveyed::new(&solver, when, is_named, positions));
            }
        }
        Survey {
            solver,
            situations,
            lit: OnceCell::new(),
            sweeper: OnceCell::new(),
            sweep: OnceCell::new(),
            states: OnceCell::new(),
            n_beside: Cell::new(0),
        }
    }

    /// The lasting states of the shared situations to judge currents by, each with its situation.
    pub fn rests(&self) -> impl Iterator<Item = (&Surveyed, &Rest)> {
        self.situations.iter().flat_map(|surveyed| surveyed.rests().map(move |rest| (surveyed, rest)))
    }

    /// The greatest current of a branch, without its sign, and where it flows, among the situations that count.
    pub fn greatest_amps(
        &self,
        branch: usize,
        counts: impl Fn(&Surveyed) -> bool,
    ) -> Option<(f64, &Rest, &Surveyed)> {
        self.rests()
            .filter(|(surveyed, _)| counts(surveyed))
            .map(|(surveyed, rest)| (rest.steady.amps(branch).abs(), rest, surveyed))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The circuit, prepared for going through all its states.
    pub fn sweeper(&self) -> &Sweeper<'c> {
        self.sweeper.get_or_init(|| {
            let n_branches = self.solver.circuit().branches.len().max(1);
            let at_most = |most: usize, work: usize| most.min(work / n_branches);
            let (changes, merged) = (at_most(MOST_CHANGES, WORK_IN_A_SET), at_most(MOST_MERGED, WORK_MERGED));
            Sweeper::new(Rc::clone(&self.solver)).at_most(changes, merged)
        })
    }

    /// All states, set by set of inputs that decide something alone; a set that is too large is not finished.
    pub fn sweep(&self) -> &Sweep {
        self.sweep.get_or_init(|| {
            let end = self.solver.n_solved() + self.most_solved();
            self.sweeper().sweep(&mut |_, _| match self.solver.n_solved() <= end {
                true => ControlFlow::Continue(()),
                false => ControlFlow::Break(()),
            })
        })
    }

    /// For going through the states of some inputs beside the sweep: all who do so share as much work as the whole sweep
    /// may take.
    pub fn budget(&self) -> impl FnMut(u64, u64) -> ControlFlow<()> + '_ {
        let mut last = self.solver.n_solved();
        move |_, _| {
            let now = self.solver.n_solved();
            self.n_beside.set(self.n_beside.get() + (now - last));
            last = now;
            match self.n_beside.get() <= self.most_solved() {
                true => ControlFlow::Continue(()),
                false => ControlFlow::Break(()),
            }
        }
    }

    fn most_solved(&self) -> u64 {
        (WORK_IN_ALL / self.solver.circuit().branches.len().max(1)) as u64
    }

    /// The lasting states of the sweep, solved.
    pub fn states(&self) -> &[SweptState] {
        self.states.get_or_init(|| swept::states(self))
    }

    /// The circuit, prepared for solving.
    pub fn solver(&self) -> &Solver<'c> {
        &self.solver
    }

    /// Which loads work in some situation.
    ///
    /// For those not seen working in the shared situations, combinations of the inputs that have a say in them are
    /// swept, fewest away from rest first, until they have been seen working, every combination has been tried or
    /// 4096 have. Inputs that have no say in them stay at rest.
    pub fn lit(&self) -> &Lit {
        self.lit.get_or_init(|| {
            let circuit = self.solver.circuit();
            let mut lit = Lit::default();
            for surveyed in &self.situations {
                see(circuit, &surveyed.solution, &mut lit.branches);
            }
            let mut dark: BTreeMap<BTreeSet<usize>, Vec<usize>> = BTreeMap::new();
            for (branch, _) in circuit.loads() {
                if circuit.branches[branch].law.is_some() && !lit.branches.contains(&branch) {
                    dark.entry(self.solver.influence().on_branch(circuit, branch).inputs)
                        .or_default()
                        .push(branch);
                }
            }
            for (inputs, loads) in dark {
                self.try_combinations(&inputs, loads, &mut lit);
            }
            lit
        })
    }

    fn try_combinations(&self, inputs: &BTreeSet<usize>, mut dark: Vec<usize>, lit: &mut Lit) {
        let circuit = self.solver.circuit();
        let inputs: Vec<&Input> = inputs.iter().map(|input| &circuit.inputs[*input]).collect();
        for (tried, positions) in combinations(&as_used(circuit), &inputs).enumerate() {
            dark.retain(|load| !lit.branches.contains(load));
            if dark.is_empty() {
                return;
            }
            if tried == MOST_COMBINATIONS {
                lit.unfinished.extend(dark);
                return;
            }
            see(circuit, &self.solver.solve(positions), &mut lit.branches);
        }
    }
}

fn see(circuit: &Circuit, solution: &Solution, lit: &mut BTreeSet<usize>) {
    for reached in &solution.reached {
        let working = circuit.loads().filter(|(branch, load)| works(circuit, &reached.rest, *branch, load));
        lit.extend(working.map(|(branch, _)| branch));
    }
}

/// The branch that shows a part as it is used; `usize::MAX` for a part without any.
pub(super) fn first_branch_of(circuit: &Circuit, part: usize) -> usize {
    circuit.branches_of_part(part).next().map_or(usize::MAX, |(index, _)| index)
}

/// The positions that every job is looked at in, and how they stand in a sentence: at rest, as named, each input alone, and
/// all at once.
pub fn worth_a_look(circuit: &Circuit, named: &[Situation]) -> Vec<(String, Vec<u8>)> {
    let parts = &circuit.resolved.network.parts;
    let mut all = vec![(AT_REST.to_owned(), vec![0; parts.len()])];
    let in_words = |situation: &Situation| match situation.name.as_str() {
        "" => "with the positions as they are set".to_owned(),
        name => format!("in the situation “{name}”"),
    };
    all.extend(named.iter().map(|situation| (in_words(situation), circuit.positions(situation))));
    let working = as_used(circuit);
    all.push(("with all loads without a switch in use".to_owned(), working.clone()));
    for input in &circuit.inputs {
        for position in 1..input.positions {
            let mut positions = working.clone();
            positions[input.part] = position;
            let part = &parts[input.part];
            let at = part.positions()[usize::from(position)];
            let at = if at.starts_with(|c: char| c.is_ascii_digit()) {
                format!("in position {at}")
            } else {
                at.to_owned()
            };
            all.push((format!("with {} {at}", part.title()), positions));
        }
    }
    let mut everything = working;
    for input in &circuit.inputs {
        everything[input.part] = 1;
    }
    all.push(("with everything on".to_owned(), everything));
    // What an alternator feeds takes more current than a battery alone would give it.
    if let Some(running) = parts.iter().position(|part| part.kind.class == Class::Generator) {
        let engine_off: Vec<_> = all.iter().skip(1 + named.len()).cloned().collect();
        for (when, mut positions) in engine_off {
            positions[running] = 1;
            all.push((format!("{when} and the engine running"), positions));
        }
    }
    all
}

/// All combinations of positions of some inputs, those with the fewest inputs away from rest first; the rest as in
/// `working`.
fn combinations(working: &[u8], inputs: &[&Input]) -> impl Iterator<Item = Vec<u8>> {
    (0..=inputs.len()).flat_map(move |n_away| {
        choices(inputs.len(), n_away).flat_map(move |chosen| {
            let most: Vec<u8> = chosen.iter().map(|input| inputs[*input].positions - 1).collect();
            counters(most).map(move |counter| {
                let mut positions = working.to_vec();
                for (input, position) in chosen.iter().zip(counter) {
                    positions[inputs[*input].part] = position;
                }
                positions
            })
        })
    })
}

/// All ways to choose `k` of `n`, in lexicographic order.
fn choices(n: usize, k: usize) -> impl Iterator<Item = Vec<usize>> {
    let mut next = (k <= n).then(|| (0..k).collect::<Vec<usize>>());
    std::iter::from_fn(move || {
        let current = next.take()?;
        let movable = (0..k).rev().find(|i| current[*i] < n - k + i);
        if let Some(i) = movable {
            let mut following = current.clone();
            following[i] += 1;
            for j in i + 1..k {
                following[j] = following[j - 1] + 1;
            }
            next = Some(following);
        }
        Some(current)
    })
}

/// All counters with digit `i` from 1 to `most[i]`.
fn counters(most: Vec<u8>) -> impl Iterator<Item = Vec<u8>> {
    let mut next = Some(vec![1; most.len()]);
    std::iter::from_fn(move || {
        let current = next.take()?;
        let movable = (0..most.len()).rev().find(|i| current[*i] < most[*i]);
        if let Some(i) = movable {
            let mut following = current.clone();
            following[i] += 1;
            following[i + 1..].fill(1);
            next = Some(following);
        }
        Some(current)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_and_counters_are_complete() {
        assert_eq!(choices(4, 2).count(), 6);
        assert_eq!(choices(3, 0).collect::<Vec<_>>(), [Vec::<usize>::new()]);
        assert_eq!(choices(2, 3).count(), 0);
        assert_eq!(counters(vec![2, 1]).collect::<Vec<_>>(), [vec![1, 1], vec![2, 1]]);
    }
}
