//! Newton's method for one state.
//!
//! Filaments, diodes and limited sources have currents that never fall with rising voltage; with
//! them alone there is at most one solution, and Newton's method finds it. An electronic load takes
//! constant power, so it has two solutions or none: starting from the voltages without it and going
//! down, Newton's method meets the higher one, which is the one that exists in a workshop. A pivot
//! that turns negative, or a voltage that passes nought, shows that there is none: collapse.

use petgraph::unionfind::UnionFind;

use crate::circuit::{CHASSIS, NetIndex};
use crate::kind::{Law, Role};
use crate::solve::law::{self, Companion};
use crate::solve::linear::Factor;
use crate::solve::steady::{Bench, NoSolution, Steady};

/// Most iterations before giving up; circuits of this trade need fewer than ten.
const MOST_ITERATIONS: usize = 200;

/// Iterations after which steps are halved, against straight-line laws that flip to and fro.
const PATIENCE: usize = 25;

/// Relative change of voltages below which the iteration has come to rest: the step that made it leaves less than its
/// square, and the last solution squares that once more. The same share of its own voltage holds for each filament, and
/// no law may have gone over to another of its pieces.
const AT_REST: f64 = 1e-3;

/// The same while electronic loads draw: near the most a supply can deliver each step only halves what is left.
const AT_REST_DRAWING: f64 = 1e-5;

/// The same for the voltages that electronic loads find before they draw anything.
const NEARLY: f64 = 1e-2;

/// The voltages that electronic loads find before they draw anything. They depend on nothing but which branches are
/// closed.
#[derive(Clone, Debug)]
pub(super) struct Unloaded {
    pub volts: Vec<f64>,
    /// The voltages before the last step, and the share by which that changed them.
    before: Vec<f64>,
    change: f64,
    /// Nets pinned to nought.
    pinned: Vec<NetIndex>,
}

/// The voltages with these branches closed, before electronic loads draw anything.
pub(super) fn unloaded(bench: &Bench<'_>, closed: &[bool]) -> Result<Unloaded, NoSolution> {
    let n = bench.circuit.nets.len();
    let mut run = Run::new(bench, closed, vec![0.0; n], vec![0.0; n]);
    let pinned = if bench.structure().is_tied { Vec::new() } else { run.islands(|_| true).pinned };
    run.solve(&pinned)?;
    let change = if bench.bent.is_empty() { 0.0 } else { run.iterate(&pinned, NEARLY)? };
    run.make_room();
    Ok(Unloaded { volts: run.volts, before: run.before, change, pinned })
}

/// The solution with these branches closed, once the electronic loads draw that are `drawing`, by device.
pub(super) fn loaded(
    bench: &Bench<'_>,
    closed: &[bool],
    unloaded: Unloaded,
    drawing: Vec<usize>,
) -> Result<Steady, NoSolution> {
    let Unloaded { volts, before, change, pinned } = unloaded;
    let mut run = Run::new(bench, closed, volts, before);
    let is_loaded = !drawing.is_empty();
    run.draw(drawing);
    if is_loaded || change > AT_REST {
        run.iterate(&pinned, if is_loaded { AT_REST_DRAWING } else { AT_REST })?;
    }
    run.finish()
}

/// The solution with these branches closed and these electronic loads drawing, by device, searched from `start`: the
/// solution in a circuit that differs little. `None` where the search does not lead to the one that
/// [`unloaded`] and [`loaded`] find.
///
/// Of the solutions with electronic loads the highest has no negative pivot, and no other has none: the current that such
/// a load takes is a convex function of the voltages, so the straight line at a solution lies below it, and where that
/// line has an inverse without negative entries nothing higher can solve it. That leaves out lamps and diodes, whose
/// currents bend the other way; with them it is held by comparison (`tests/suite/faults.rs`). A load whose voltage lets it
/// stay on while all draw had that before any did.
pub(super) fn near(
    bench: &Bench<'_>,
    closed: &[bool],
    start: &Steady,
    drawing: Vec<usize>,
) -> Option<Steady> {
    let mut volts = start.local.clone();
    // A net more is the middle of a branch that touches the chassis.
    volts.resize(bench.circuit.nets.len(), 0.0);
    let mut run = Run::new(bench, closed, volts.clone(), volts);
    let pinned = if bench.structure().is_tied { Vec::new() } else { run.islands(|_| true).pinned };
    let until = if drawing.is_empty() { AT_REST } else { AT_REST_DRAWING };
    run.draw(drawing.clone());
    if !bench.bent.is_empty() && run.iterate(&pinned, until).is_err() {
        run.make_room();
        return None;
    }
    let found = run.finish().ok()?;
    let stays_on = |device: &usize| {
        let device = &bench.circuit.devices[*device];
        let branch = &bench.circuit.branches[device.branch];
        found.local[branch.from] - found.local[branch.to] >= device.off_at
    };
    drawing.iter().all(stays_on).then_some(found)
}

/// `steady` in a circuit in which the same voltages and currents hold, with these branches closed: what hangs together may
/// be otherwise. `None` when it is not.
pub(super) fn rejoined(bench: &Bench<'_>, closed: &[bool], steady: &Steady) -> Option<Steady> {
    let mut run = Run::new(bench, closed, steady.local.clone(), steady.local.clone());
    let joins = |index: usize| match &bench.laws[index] {
        Some(law) if closed[index] => law::is_linear(law) || steady.conducting[index],
        _ => false,
    };
    let mut conducting: Vec<bool> = (0..closed.len()).map(joins).collect();
    run.part_unfed_corners(&mut conducting);
    let island = (conducting != steady.conducting).then(|| run.islands(|index| conducting[index]).of);
    run.make_room();
    island.map(|island| Steady { island, conducting, ..steady.clone() })
}

/// Which nets are connected, and the node that serves as zero for each island.
pub(super) struct Islands {
    of: Vec<u32>,
    /// Whether the island of this number holds the chassis or a source.
    has_zero: Vec<bool>,
    /// Nets pinned to nought because their island has sources but no chassis.
    pinned: Vec<NetIndex>,
    /// Islands with neither chassis nor source.
    pub n_undefined: usize,
}

/// What every solution fills anew and the next one can use again: for small circuits, getting the memory for it takes as
/// long as filling it.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    companions: Vec<Companion>,
    factor: Factor,
    edge: Vec<f64>,
    ground: Vec<f64>,
    work: Vec<f64>,
}

pub(super) struct Run<'b, 'c> {
    pub bench: &'b Bench<'c>,
    pub closed: &'b [bool],
    pub companions: Vec<Companion>,
    /// Whether each branch is an electronic load that draws its power; empty when none does.
    asking: Vec<bool>,
    /// The electronic loads that do, by device.
    drawing: Vec<usize>,
    pub volts: Vec<f64>,
    /// The voltages before the last step.
    before: Vec<f64>,
    /// The voltages without electronic loads, once known.
    unloaded: Vec<f64>,
    pub factor: Factor,
    edge: Vec<f64>,
    ground: Vec<f64>,
    work: Vec<f64>,
}

impl<'b, 'c> Run<'b, 'c> {
    /// Everything as it is before any voltage is known.
    fn new(bench: &'b Bench<'c>, closed: &'b [bool], volts: Vec<f64>, before: Vec<f64>) -> Run<'b, 'c> {
        let first = |(first, closed): (&Companion, &bool)| if *closed { *first } else { law::NOTHING };
        let Scratch { mut companions, factor, edge, mut ground, work } = bench.scratch.take();
        companions.clear();
        companions.extend(bench.first.iter().zip(closed).map(first));
        ground.resize(volts.len() - 1, 0.0);
        Run {
            bench,
            companions,
            closed,
            asking: Vec::new(),
            drawing: Vec::new(),
            volts,
            before,
            unloaded: Vec::new(),
            factor,
            edge,
            ground,
            work,
        }
    }

    /// From here on these electronic loads draw their power, by device.
    fn draw(&mut self, drawing: Vec<usize>) {
        if drawing.is_empty() {
            return;
        }
        self.unloaded.clone_from(&self.volts);
        self.asking = vec![false; self.closed.len()];
        for device in &drawing {
            self.asking[self.bench.circuit.devices[*device].branch] = true;
        }
        self.drawing = drawing;
    }

    /// Leaves the room to the next.
    fn make_room(&mut self) {
        let scratch = Scratch {
            companions: std::mem::take(&mut self.companions),
            factor: std::mem::take(&mut self.factor),
            edge: std::mem::take(&mut self.edge),
            ground: std::mem::take(&mut self.ground),
            work: std::mem::take(&mut self.work),
        };
        self.bench.scratch.replace(scratch);
    }

    /// Volts across a branch.
    pub fn across(&self, index: usize) -> f64 {
        let branch = &self.bench.circuit.branches[index];
        self.volts[branch.from] - self.volts[branch.to]
    }

    /// Volts that were across a branch before the last step.
    fn across_before(&self, index: usize) -> f64 {
        let branch = &self.bench.circuit.branches[index];
        self.before[branch.from] - self.before[branch.to]
    }

    /// Whether a branch is an electronic load that draws its power.
    fn is_asking(&self, index: usize) -> bool {
        self.asking.get(index).copied().unwrap_or(false)
    }

    fn companion(&self, index: usize, law: &Law) -> Companion {
        let (u, is_asking) = (self.across(index), self.is_asking(index));
        match u * self.across_before(index) < 0.0 {
            true => law::companion_after_reversal(law, u, is_asking),
            false => law::companion(law, u, is_asking),
        }
    }

    /// Whether the last step took a branch to where the straight line that stood for it no longer fits: to another piece
    /// of its law, or along the curve of a filament.
    fn leaves_its_line(&self) -> bool {
        let leaves = |index: &usize| {
            let law = self.bench.laws[*index].as_ref().filter(|_| self.closed[*index]);
            let (was, now) = (self.across_before(*index), self.across(*index));
            let piece = |law, u| law::piece(law, u, self.is_asking(*index));
            let is_curved = matches!(law, Some(Law::Filament { .. }));
            is_curved && (now - was).abs() > AT_REST * now.abs()
                || law.is_some_and(|law| piece(law, now) != piece(law, was))
        };
        self.bench.bent.iter().any(leaves)
    }

    fn islands(&self, joins: impl Fn(usize) -> bool) -> Islands {
        let circuit = self.bench.circuit;
        let mut joined = UnionFind::<u32>::new(circuit.nets.len());
        for (index, branch) in circuit.branches.iter().enumerate() {
            if self.closed[index] && joins(index) {
                joined.union(branch.from as u32, branch.to as u32);
            }
        }
        let of = joined.into_labeling();
        let mut has_zero = vec![false; of.len()];
        has_zero[of[CHASSIS] as usize] = true;
        let mut pinned = Vec::new();
        for (index, branch) in circuit.branches.iter().enumerate() {
            // The negative pole of the first source of an island without chassis is its zero.
            let island = of[branch.to] as usize;
            if branch.role == Role::Source && self.closed[index] && !has_zero[island] {
                has_zero[island] = true;
                pinned.push(branch.to);
            }
        }
        let n_undefined = (0..of.len()).filter(|net| of[*net] as usize == *net && !has_zero[*net]).count();
        Islands { of, has_zero, pinned, n_undefined }
    }

    /// One linear solution with the present companions.
    fn solve(&mut self, pinned: &[NetIndex]) -> Result<(), NoSolution> {
        let (circuit, structure) = (self.bench.circuit, self.bench.structure());
        self.edge.resize(structure.n_edges, 0.0);
        self.edge.fill(0.0);
        self.ground.fill(0.0);
        self.volts.fill(0.0);
        for (index, branch) in circuit.branches.iter().enumerate() {
            let Companion { conductance, offset } = self.companions[index];
            if !self.closed[index] || branch.from == branch.to {
                continue;
            }
            match (structure.edge[index], branch.from, branch.to) {
                (Some(edge), ..) => self.edge[edge] += conductance,
                (None, CHASSIS, net) | (None, net, _) => self.ground[net - 1] += conductance,
            }
            self.volts[branch.from] -= offset;
            self.volts[branch.to] += offset;
        }
        for net in pinned {
            // No current flows through the pin, because nothing else joins its island to the chassis.
            self.ground[net - 1] += 1.0;
        }
        structure.pattern.factor(&self.edge, &self.ground, &mut self.factor);
        self.volts[CHASSIS] = 0.0;
        structure.pattern.solve(&self.factor, &mut self.volts[1..], &mut self.work);
        if self.factor.has_negative_pivot() { Err(self.collapse()) } else { Ok(()) }
    }

    /// The collapse of the electronic loads whose voltage has gone below half of what they had before they drew
    /// anything: beyond that point a supply delivers less, not more, the more current is drawn. Of all that draw when
    /// that tells none apart.
    fn collapse(&self) -> NoSolution {
        // The step that failed may have led anywhere; the one before it led down.
        let across = |volts: &[f64], device: usize| {
            let branch = &self.bench.circuit.branches[self.bench.circuit.devices[device].branch];
            let at = |net: NetIndex| volts.get(net).copied().unwrap_or(0.0);
            at(branch.from) - at(branch.to)
        };
        let fallen =
            |device: &&usize| across(&self.before, **device) < 0.5 * across(&self.unloaded, **device);
        let fallen: Vec<usize> = self.drawing.iter().filter(fallen).copied().collect();
        NoSolution::Collapse(if fallen.is_empty() { self.drawing.clone() } else { fallen })
    }

    /// Companions of what is not linear, at the present voltages.
    fn draw_companions(&mut self) {
        for &index in self.bench.bent.iter().filter(|index| self.closed[**index]) {
            if let Some(law) = &self.bench.laws[index] {
                self.companions[index] = self.companion(index, law);
            }
        }
    }

    /// Newton's method until the voltages change by no more than a share of the largest; gives that share.
    fn iterate(&mut self, pinned: &[NetIndex], until: f64) -> Result<f64, NoSolution> {
        let circuit = self.bench.circuit;
        for round in 0..MOST_ITERATIONS {
            self.draw_companions();
            self.before.clone_from(&self.volts);
            self.solve(pinned)?;
            if self.drawing.iter().any(|device| self.across(circuit.devices[*device].branch) <= 0.0) {
                return Err(self.collapse());
            }
            let scale = self.volts.iter().fold(1.0, |most: f64, v| most.max(v.abs()));
            let change = self
                .volts
                .iter()
                .zip(&self.before)
                .fold(0.0, |most: f64, (now, was)| most.max((now - was).abs()));
            let is_small = change <= AT_REST_DRAWING * scale;
            if is_small || change <= until * scale && !self.leaves_its_line() {
                return Ok(change / scale);
            }
            if round >= PATIENCE {
                for (now, was) in self.volts.iter_mut().zip(&self.before) {
                    *now = 0.5 * (*now + was);
                }
            }
        }
        Err(if self.drawing.is_empty() { NoSolution::NotFound } else { self.collapse() })
    }

    /// The last solution, with blocked branches taken out, then currents and the self-check.
    fn finish(mut self) -> Result<Steady, NoSolution> {
        self.draw_companions();
        let mut conducting: Vec<bool> = (0..self.closed.len())
            .map(|index| match &self.bench.laws[index] {
                Some(law) if self.closed[index] => {
                    law::is_linear(law) || law::conducts(law, self.across(index), self.is_asking(index))
                }
                _ => false,
            })
            .collect();
        self.part_unfed_corners(&mut conducting);
        let islands = self.islands(|index| conducting[index]);
        self.solve(&islands.pinned)?;
        // An island's own zero may carry a rounding error through its pin; take it off.
        let zero: Vec<(u32, f64)> =
            islands.pinned.iter().map(|net| (islands.of[*net], self.volts[*net])).collect();
        for (net, volts) in self.volts.iter_mut().enumerate() {
            if let Some((_, off)) = zero.iter().find(|(island, _)| *island == islands.of[net]) {
                *volts -= off;
            }
        }
        let amps = self.currents();
        let balance = self.balance(&amps, &islands);
        self.make_room();
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
            let islands = self.islands(|index| conducting[index]);
            let (fed, rest): (Vec<usize>, Vec<usize>) = unfed.into_iter().partition(|index| {
                islands.has_zero[islands.of[self.bench.circuit.branches[*index].from] as usize]
            });
            unfed = rest;
            if fed.is_empty() {
                break;
            }
            for index in fed {
                conducting[index] = true;
            }
        }
        for index in unfed {
            self.companions[index] = law::NOTHING;
        }
    }
}
