//! Voltages and currents for one fixed set of switch, relay and load states.
//!
//! Filaments, diodes and limited sources have currents that never fall with rising voltage; with
//! them alone there is at most one solution, and Newton's method finds it. An electronic load takes
//! constant power, so it has two solutions or none: starting from the voltages without it and going
//! down, Newton's method meets the higher one, which is the one that exists in a workshop. A pivot
//! that turns negative, or a voltage that passes nought, shows that there is none: collapse.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

use petgraph::unionfind::UnionFind;

use crate::circuit::{Branch, CHASSIS, Circuit, NetIndex, State};
use crate::kind::{Law, Role};
use crate::quantity::Ohms;
use crate::solve::history::{self, Visit};
use crate::solve::influence::{Cone, Influence};
use crate::solve::law::{self, Companion};
use crate::solve::linear::{Factor, Pattern};
use crate::solve::settle::settle;

/// Voltages and currents of one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Steady {
    /// Volts of each net against the zero of its island.
    local: Vec<f64>,
    /// The island of each net: nets with one number are connected.
    island: Vec<usize>,
    /// Amperes of each branch, from its first net to its second.
    amps: Vec<f64>,
    /// Whether each branch joins its ends.
    conducting: Vec<bool>,
    /// What the self-check found.
    pub balance: Balance,
}

/// What remains when a solution is put back into the laws.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Balance {
    /// Largest sum of currents into any net, in amperes.
    pub current_a: f64,
    /// Power of all branches together, in watts: what sources give less what loads take.
    pub power_w: f64,
    /// Whether both are small enough to show the solution.
    pub holds: bool,
}

impl Steady {
    /// Volts of a net against the chassis; `None` where no such voltage is defined.
    pub fn volts(&self, net: NetIndex) -> Option<f64> {
        (self.island[net] == self.island[CHASSIS]).then_some(self.local[net])
    }

    /// Volts from one net to another; `None` when they are not connected.
    pub fn between(&self, from: NetIndex, to: NetIndex) -> Option<f64> {
        (self.island[from] == self.island[to]).then(|| self.local[from] - self.local[to])
    }

    /// Amperes through a branch, from its first net to its second.
    pub fn amps(&self, branch: usize) -> f64 {
        self.amps[branch]
    }

    /// Whether a branch joins its two nets: closed, and not a diode that blocks.
    pub fn conducting(&self, branch: usize) -> bool {
        self.conducting[branch]
    }

    /// Watts a branch takes; negative for one that gives.
    pub fn watts(&self, circuit: &Circuit, branch: usize) -> f64 {
        let Branch { from, to, .. } = circuit.branches[branch];
        self.between(from, to).unwrap_or(0.0) * self.amps[branch]
    }
}

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoSolution {
    /// The supply cannot deliver what these electronic loads (by device) ask for.
    Collapse(Vec<usize>),
    /// The iteration did not come to rest, or its result failed the self-check.
    NotFound,
}

/// A circuit prepared for solving many states.
pub struct Bench<'c> {
    /// The circuit.
    pub circuit: &'c Circuit,
    /// Law of each branch: the circuit's own, or what stands in for it.
    laws: Vec<Option<Law>>,
    pattern: Rc<Pattern>,
    /// Edge of the pattern by branch; `None` for a branch to the chassis or within one net.
    edge: Vec<Option<usize>>,
    n_edges: usize,
    /// Device of a branch that is an electronic load.
    device: Vec<Option<usize>>,
    linear: bool,
    influence: Rc<Influence>,
    at_rest: OnceCell<Vec<bool>>,
    /// Lasting states by the inputs whose changes lead there.
    visits: RefCell<BTreeMap<Vec<usize>, Rc<Vec<Visit>>>>,
}

/// Most iterations before giving up; circuits of this trade need fewer than ten.
const MOST_ITERATIONS: usize = 200;

/// Iterations after which steps are halved, against straight-line laws that flip to and fro.
const PATIENCE: usize = 25;

/// Relative change of voltages below which the iteration has come to rest: the step that made it leaves
/// about its square, and the last solution takes one more.
const AT_REST: f64 = 1e-5;

/// The same for the voltages that electronic loads find before they draw anything.
const NEARLY: f64 = 1e-2;

/// Branches of at least this conductance, in siemens, get their current from the sum at their net,
/// because the voltage across them is lost in the rounding of the potentials at their ends.
const STIFF: f64 = 500.0;

impl<'c> Bench<'c> {
    /// Prepares `circuit`: orders its elimination once for all states.
    pub fn new(circuit: &'c Circuit) -> Bench<'c> {
        let mut pairs = Vec::new();
        let edge = circuit
            .branches
            .iter()
            .map(|branch| {
                let joins_two = branch.from != branch.to && branch.from != CHASSIS && branch.to != CHASSIS;
                joins_two.then(|| {
                    pairs.push((branch.from - 1, branch.to - 1));
                    pairs.len() - 1
                })
            })
            .collect();
        let mut device = vec![None; circuit.branches.len()];
        for (index, found) in circuit.devices.iter().enumerate().filter(|(_, device)| !device.relay) {
            device[found.branch] = Some(index);
        }
        let linear = circuit.branches.iter().filter_map(|branch| branch.law.as_ref()).all(law::is_linear);
        let pattern = Pattern::new(circuit.nets.len() - 1, &pairs);
        let influence = Rc::new(Influence::new(circuit));
        let laws = circuit.branches.iter().map(|branch| branch.law).collect();
        Bench {
            circuit,
            laws,
            n_edges: pairs.len(),
            pattern: Rc::new(pattern),
            edge,
            device,
            linear,
            influence,
            at_rest: OnceCell::new(),
            visits: RefCell::default(),
        }
    }

    /// The same circuit with other resistances in place of the wires' own, by branch.
    pub fn with_resistances(&self, resistance: impl Fn(usize) -> Option<Ohms>) -> Bench<'c> {
        let stand_in = |(index, law): (usize, &Option<Law>)| resistance(index).map(Law::Resistance).or(*law);
        Bench {
            circuit: self.circuit,
            laws: self.laws.iter().enumerate().map(stand_in).collect(),
            pattern: Rc::clone(&self.pattern),
            edge: self.edge.clone(),
            n_edges: self.n_edges,
            device: self.device.clone(),
            linear: self.linear,
            influence: Rc::clone(&self.influence),
            at_rest: OnceCell::new(),
            visits: RefCell::default(),
        }
    }

    /// The devices that are on with every part at rest, where that is one lasting state; else none.
    pub fn devices_at_rest(&self) -> &[bool] {
        self.at_rest.get_or_init(|| match &settle(self, self.circuit.rest()).rests[..] {
            [rest] => rest.state.devices.clone(),
            _ => self.circuit.rest().devices,
        })
    }

    /// What has a say in what.
    pub fn influence(&self) -> &Influence {
        &self.influence
    }

    /// The lasting states that changing the inputs of `place` leads to from rest; explored once.
    pub(super) fn visits(&self, place: &Cone) -> Rc<Vec<Visit>> {
        let inputs: Vec<usize> = place.inputs.iter().copied().collect();
        if let Some(known) = self.visits.borrow().get(&inputs) {
            return Rc::clone(known);
        }
        let visits = Rc::new(history::explore(self, place));
        self.visits.borrow_mut().insert(inputs, Rc::clone(&visits));
        visits
    }

    /// The solution of one state.
    pub fn steady(&self, state: &State) -> Result<Steady, NoSolution> {
        let circuit = self.circuit;
        let mut run = Run::new(self, state);
        run.companions = self
            .laws
            .iter()
            .enumerate()
            .map(|(index, law)| match law {
                Some(law) if run.closed[index] => law::first(law),
                _ => Companion { conductance: 0.0, offset: 0.0 },
            })
            .collect();
        let islands = run.islands(|_, _| true);
        run.solve(&islands)?;
        if !self.linear {
            let change = run.iterate(&islands, NEARLY)?;
            // Loads without enough voltage before they draw anything stay off: they are waiting to be
            // switched, and asking for their power now would be asking for a collapse that never was.
            run.asking = (0..circuit.branches.len()).map(|index| run.on(index) && run.asks(index)).collect();
            if run.asking.contains(&true) {
                run.unloaded.clone_from(&run.volts);
            }
            if change > AT_REST || run.asking.contains(&true) {
                run.iterate(&islands, AT_REST)?;
            }
        }
        run.finish()
    }
}

/// Which nets are connected, and the node that serves as zero for each island.
struct Islands {
    of: Vec<usize>,
    /// Whether the island of this number holds the chassis or a source.
    has_zero: Vec<bool>,
    /// Nets pinned to nought because their island has sources but no chassis.
    pinned: Vec<NetIndex>,
    /// Islands with neither chassis nor source.
    n_undefined: usize,
}

struct Run<'b, 'c> {
    bench: &'b Bench<'c>,
    state: &'b State,
    closed: Vec<bool>,
    companions: Vec<Companion>,
    /// Electronic loads that draw their power, by branch.
    asking: Vec<bool>,
    volts: Vec<f64>,
    /// The voltages before the last step.
    before: Vec<f64>,
    /// The voltages without electronic loads, once known.
    unloaded: Vec<f64>,
    factor: Factor,
    edge: Vec<f64>,
    ground: Vec<f64>,
    work: Vec<f64>,
}

impl<'b, 'c> Run<'b, 'c> {
    fn new(bench: &'b Bench<'c>, state: &'b State) -> Run<'b, 'c> {
        let n = bench.circuit.nets.len();
        let closed = (0..bench.circuit.branches.len())
            .map(|index| bench.laws[index].is_some() && bench.circuit.closed(index, state))
            .collect();
        Run {
            bench,
            state,
            closed,
            companions: Vec::new(),
            asking: vec![false; bench.circuit.branches.len()],
            volts: vec![0.0; n],
            before: vec![0.0; n],
            unloaded: Vec::new(),
            factor: Factor::default(),
            edge: vec![0.0; bench.n_edges],
            ground: vec![0.0; n - 1],
            work: Vec::new(),
        }
    }

    fn across(&self, index: usize) -> f64 {
        let branch = &self.bench.circuit.branches[index];
        self.volts[branch.from] - self.volts[branch.to]
    }

    fn on(&self, index: usize) -> bool {
        self.bench.device[index].is_some_and(|device| self.state.devices[device])
    }

    /// Whether an electronic load has voltage enough to draw its power.
    fn asks(&self, index: usize) -> bool {
        self.bench.device[index]
            .is_some_and(|device| self.across(index) >= self.bench.circuit.devices[device].off_at)
    }

    fn companion(&self, index: usize, law: &Law) -> Companion {
        let u = self.across(index);
        let branch = &self.bench.circuit.branches[index];
        let was = self.before[branch.from] - self.before[branch.to];
        if u * was < 0.0 {
            return law::companion_after_reversal(law, u, self.asking[index]);
        }
        law::companion(law, u, self.asking[index])
    }

    fn islands(&self, joins: impl Fn(usize, &Law) -> bool) -> Islands {
        let circuit = self.bench.circuit;
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        for (index, branch) in circuit.branches.iter().enumerate() {
            if let Some(law) = &self.bench.laws[index]
                && self.closed[index]
                && joins(index, law)
            {
                joined.union(branch.from, branch.to);
            }
        }
        let of = joined.into_labeling();
        let mut has_zero = vec![false; of.len()];
        has_zero[of[CHASSIS]] = true;
        let mut pinned = Vec::new();
        for (index, branch) in circuit.branches.iter().enumerate() {
            // The negative pole of the first source of an island without chassis is its zero.
            if branch.role == Role::Source && self.closed[index] && !has_zero[of[branch.to]] {
                has_zero[of[branch.to]] = true;
                pinned.push(branch.to);
            }
        }
        let n_undefined = (0..of.len()).filter(|net| of[*net] == *net && !has_zero[*net]).count();
        Islands { of, has_zero, pinned, n_undefined }
    }

    /// One linear solution with the present companions.
    fn solve(&mut self, islands: &Islands) -> Result<(), NoSolution> {
        let circuit = self.bench.circuit;
        self.edge.fill(0.0);
        self.ground.fill(0.0);
        self.volts.fill(0.0);
        for (index, branch) in circuit.branches.iter().enumerate() {
            let Companion { conductance, offset } = self.companions[index];
            if !self.closed[index] || branch.from == branch.to {
                continue;
            }
            match (self.bench.edge[index], branch.from, branch.to) {
                (Some(edge), ..) => self.edge[edge] += conductance,
                (None, CHASSIS, net) | (None, net, _) => self.ground[net - 1] += conductance,
            }
            self.volts[branch.from] -= offset;
            self.volts[branch.to] += offset;
        }
        for net in &islands.pinned {
            // No current flows through the pin, because nothing else joins its island to the chassis.
            self.ground[net - 1] += 1.0;
        }
        self.bench.pattern.factor(&self.edge, &self.ground, &mut self.factor);
        self.volts[CHASSIS] = 0.0;
        self.bench.pattern.solve(&self.factor, &mut self.volts[1..], &mut self.work);
        if self.factor.has_negative_pivot() { Err(self.collapse()) } else { Ok(()) }
    }

    /// Electronic loads that are on and draw.
    fn drawing(&self) -> Vec<usize> {
        let devices = self.bench.circuit.devices.iter().enumerate();
        let draws = |branch: usize| self.closed[branch] && self.asking[branch];
        devices.filter(|(_, device)| draws(device.branch)).map(|(index, _)| index).collect()
    }

    /// The collapse of the electronic loads whose voltage has gone below half of what they had before they drew
    /// anything: beyond that point a supply delivers less, not more, the more current is drawn. Of all that draw when
    /// that tells none apart.
    fn collapse(&self) -> NoSolution {
        let drawing = self.drawing();
        // The step that failed may have led anywhere; the one before it led down.
        let across = |volts: &[f64], device: usize| {
            let branch = &self.bench.circuit.branches[self.bench.circuit.devices[device].branch];
            let at = |net: NetIndex| volts.get(net).copied().unwrap_or(0.0);
            at(branch.from) - at(branch.to)
        };
        let fallen =
            |device: &&usize| across(&self.before, **device) < 0.5 * across(&self.unloaded, **device);
        let fallen: Vec<usize> = drawing.iter().filter(fallen).copied().collect();
        NoSolution::Collapse(if fallen.is_empty() { drawing } else { fallen })
    }

    /// Companions of what is not linear, at the present voltages.
    fn draw_companions(&mut self) {
        for (index, law) in self.bench.laws.iter().enumerate() {
            if let Some(law) = law
                && self.closed[index]
                && !law::is_linear(law)
            {
                self.companions[index] = self.companion(index, law);
            }
        }
    }

    /// Newton's method until the voltages change by no more than a share of the largest; gives that share.
    fn iterate(&mut self, islands: &Islands, until: f64) -> Result<f64, NoSolution> {
        let circuit = self.bench.circuit;
        for round in 0..MOST_ITERATIONS {
            self.draw_companions();
            self.before.clone_from(&self.volts);
            self.solve(islands)?;
            if self.drawing().into_iter().any(|device| self.across(circuit.devices[device].branch) <= 0.0) {
                return Err(self.collapse());
            }
            let scale = self.volts.iter().fold(1.0, |most: f64, v| most.max(v.abs()));
            let change = self
                .volts
                .iter()
                .zip(&self.before)
                .fold(0.0, |most: f64, (now, was)| most.max((now - was).abs()));
            if change <= until * scale {
                return Ok(change / scale);
            }
            if round >= PATIENCE {
                for (now, was) in self.volts.iter_mut().zip(&self.before) {
                    *now = 0.5 * (*now + was);
                }
            }
        }
        Err(if self.drawing().is_empty() { NoSolution::NotFound } else { self.collapse() })
    }

    /// The last solution, with blocked branches taken out, then currents and the self-check.
    fn finish(mut self) -> Result<Steady, NoSolution> {
        let circuit = self.bench.circuit;
        self.draw_companions();
        let mut conducting: Vec<bool> = (0..circuit.branches.len())
            .map(|index| match &self.bench.laws[index] {
                Some(law) if self.closed[index] => {
                    law::is_linear(law) || law::conducts(law, self.across(index), self.asking[index])
                }
                _ => false,
            })
            .collect();
        self.part_unfed_corners(&mut conducting);
        let islands = self.islands(|index, _| conducting[index]);
        self.solve(&islands)?;
        // An island's own zero may carry a rounding error through its pin; take it off.
        let zero: Vec<(usize, f64)> =
            islands.pinned.iter().map(|net| (islands.of[*net], self.volts[*net])).collect();
        for (net, volts) in self.volts.iter_mut().enumerate() {
            if let Some((_, off)) = zero.iter().find(|(island, _)| *island == islands.of[net]) {
                *volts -= off;
            }
        }
        let amps = self.currents();
        let balance = self.balance(&amps, &islands);
        if !balance.holds {
            return Err(NoSolution::NotFound);
        }
        Ok(Steady { local: self.volts, island: islands.of, amps, conducting, balance })
    }

    /// Parts the ends of diodes that stand at the corner of their law, carrying nothing, unless their anode is fed:
    /// an open cathode follows the anode, an open anode follows nothing.
    fn part_unfed_corners(&mut self, conducting: &mut [bool]) {
        let is_corner = |index: &usize| match &self.bench.laws[*index] {
            Some(law) => conducting[*index] && law::is_at_corner(law, self.across(*index)),
            None => false,
        };
        let mut unfed: Vec<usize> = (0..conducting.len()).filter(is_corner).collect();
        for index in &unfed {
            conducting[*index] = false;
        }
        while !unfed.is_empty() {
            let islands = self.islands(|index, _| conducting[index]);
            let (fed, rest): (Vec<usize>, Vec<usize>) = unfed
                .into_iter()
                .partition(|index| islands.has_zero[islands.of[self.bench.circuit.branches[*index].from]]);
            unfed = rest;
            if fed.is_empty() {
                break;
            }
            for index in fed {
                conducting[index] = true;
            }
        }
        for index in unfed {
            self.companions[index] = Companion { conductance: 0.0, offset: 0.0 };
        }
    }

    fn currents(&self) -> Vec<f64> {
        let circuit = self.bench.circuit;
        let mut amps = vec![0.0; circuit.branches.len()];
        let mut sum = vec![0.0; circuit.nets.len()];
        // Stiff branches whose current is not known yet, and how many of them end on each net.
        let mut waiting = vec![false; circuit.branches.len()];
        let mut open = vec![0_usize; circuit.nets.len()];
        for (index, branch) in circuit.branches.iter().enumerate() {
            if !self.closed[index] || branch.from == branch.to {
                continue;
            }
            let Companion { conductance, offset } = self.companions[index];
            if conductance >= STIFF {
                waiting[index] = true;
                open[branch.from] += 1;
                open[branch.to] += 1;
                continue;
            }
            amps[index] = conductance * self.across(index) + offset;
            sum[branch.from] -= amps[index];
            sum[branch.to] += amps[index];
        }
        // A net with one stiff branch left: that branch carries what the others bring.
        let mut ready: Vec<NetIndex> = (1..circuit.nets.len()).filter(|net| open[*net] == 1).collect();
        let mut settle = |index: usize, current: f64, sum: &mut [f64], open: &mut [usize]| {
            let branch = &circuit.branches[index];
            amps[index] = current;
            sum[branch.from] -= current;
            sum[branch.to] += current;
            open[branch.from] -= 1;
            open[branch.to] -= 1;
        };
        while let Some(net) = ready.pop() {
            let Some(&index) = circuit.at[net].iter().find(|index| waiting[**index]) else { continue };
            waiting[index] = false;
            let branch = &circuit.branches[index];
            let (current, far) =
                if branch.from == net { (sum[net], branch.to) } else { (-sum[net], branch.from) };
            settle(index, current, &mut sum, &mut open);
            if far != CHASSIS && open[far] == 1 {
                ready.push(far);
            }
        }
        for index in (0..waiting.len()).filter(|index| waiting[*index]) {
            let Companion { conductance, offset } = self.companions[index];
            settle(index, conductance * self.across(index) + offset, &mut sum, &mut open);
        }
        amps
    }

    fn balance(&self, amps: &[f64], islands: &Islands) -> Balance {
        let circuit = self.bench.circuit;
        let mut sum = vec![0.0; circuit.nets.len()];
        let mut size = vec![0.0; circuit.nets.len()];
        let (mut power, mut turnover, mut noise) = (0.0, 0.0, 0.0);
        let mut agrees = true;
        let scale = self.volts.iter().fold(1.0, |most: f64, v| most.max(v.abs()));
        for (index, branch) in circuit.branches.iter().enumerate() {
            let current = amps[index];
            sum[branch.from] -= current;
            sum[branch.to] += current;
            // The most that rounding of the two potentials can do to this current.
            let rounding = 8.0 * f64::EPSILON * scale * self.companions[index].conductance.abs();
            size[branch.from] += current.abs() + rounding / 1e-9;
            size[branch.to] += current.abs() + rounding / 1e-9;
            noise += rounding * scale;
            power += self.across(index) * current;
            turnover += (self.across(index) * current).abs();
            if let Some(Law::Resistance(ohm)) = self.bench.laws[index]
                && self.closed[index]
            {
                let expected = current * ohm.get();
                agrees &= (expected - self.across(index)).abs()
                    <= 1e-9 * expected.abs() + 64.0 * f64::EPSILON * scale;
            }
        }
        let worst = |net: usize| -> f64 { sum[net].abs() };
        let current_a = (1..sum.len()).map(worst).fold(0.0, f64::max);
        let kirchhoff = (1..sum.len()).all(|net| sum[net].abs() <= 1e-9 * size[net] + 1e-12);
        let tellegen = power.abs() <= 1e-9 * turnover + noise + 1e-12;
        // Every island without a zero shows as exactly one pivot of nought.
        let floats = self.factor.n_floating() == islands.n_undefined;
        Balance { current_a, power_w: power, holds: kirchhoff && tellegen && agrees && floats }
    }
}
