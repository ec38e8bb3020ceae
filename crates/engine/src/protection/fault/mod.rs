//! The current of a fault: a net touching the body, or a load shorted, on the network of one corner and one state.
//!
//! What uses energy is left out, because the fault takes its voltage. What is left is linear but for diodes, so the
//! voltages before the fault and the resistance seen from it say what flows, `I = U / R`, and one elimination gives both
//! for every place at once. Where the current goes is plain on the twigs of the network (`twigs`), and
//! takes one solution more for each net of the core that twigs hang on.

mod twigs;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Index;
use std::rc::Rc;

use petgraph::unionfind::UnionFind;

use crate::arrange;
use crate::circuit::{CHASSIS, Circuit, NetIndex, State};
use crate::kind::{Law, Role};
use crate::protection::corner::Line;
use crate::solve::linear::{Factor, Inverse, Pattern};

use twigs::Twigs;

/// Where a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A net that touches the body; the negative pole of its source where that is not joined with the body.
    Body(NetIndex),
    /// A load or a coil, by branch, whose ends are joined.
    Across(usize),
}

/// The structure of a circuit's faults, made once for all corners and states.
pub struct Layout<'c> {
    circuit: &'c Circuit,
    pattern: Pattern,
    /// Edge of the pattern by branch; `None` for a branch to the chassis or within one net.
    edge: Vec<Option<usize>>,
    n_edges: usize,
    diodes: Vec<usize>,
}

impl<'c> Layout<'c> {
    /// The structure of a circuit.
    pub fn new(circuit: &'c Circuit) -> Layout<'c> {
        let mut pairs = Vec::new();
        let mut edge = Vec::with_capacity(circuit.branches.len());
        for branch in &circuit.branches {
            let joins_two = branch.from != branch.to && branch.from != CHASSIS && branch.to != CHASSIS;
            edge.push(joins_two.then_some(pairs.len()));
            if joins_two {
                pairs.push((branch.from - 1, branch.to - 1));
            }
        }
        let is_diode = |index: &usize| matches!(circuit.branches[*index].law, Some(Law::Diode { .. }));
        Layout {
            circuit,
            pattern: Pattern::new(circuit.nets.len() - 1, &pairs),
            n_edges: pairs.len(),
            edge,
            diodes: (0..circuit.branches.len()).filter(is_diode).collect(),
        }
    }

    /// Every place a fault may be at: each net, and each load or coil.
    pub fn places(&self) -> Vec<Place> {
        let is_user =
            |index: &usize| matches!(self.circuit.branches[*index].role, Role::Load(_) | Role::Coil { .. });
        let across = (0..self.circuit.branches.len()).filter(is_user).map(Place::Across);
        (1..self.circuit.nets.len()).map(Place::Body).chain(across).collect()
    }
}

/// Amperes by branch, from its first net to its second, of those that a fault makes carry anything.
///
/// A fault takes one way out of very many, so the few are listed rather than all.
#[derive(Clone, Debug, PartialEq)]
pub struct Currents {
    /// Rising by branch.
    listed: Vec<(usize, f64)>,
}

/// Share of a fault's current below which a branch carries nothing but rounding.
const ROUNDING: f64 = 1e-9;

impl Currents {
    /// Those that count of some branches in a fault of so many amperes.
    fn of(mut some: Vec<(usize, f64)>, fault: f64) -> Currents {
        some.retain(|(_, amps)| amps.abs() > ROUNDING * fault.abs());
        arrange::sort_by_key(&mut some, |(branch, _)| *branch);
        Currents { listed: some }
    }

    /// The branches on a net that carry anything, rising, with their amperes.
    fn at<'a>(&'a self, circuit: &'a Circuit, net: NetIndex) -> impl Iterator<Item = (usize, f64)> + 'a {
        // A net has few branches or a fault's way has: the fewer are gone through.
        let of_net = &circuit.at[net];
        let (own, listed) = match of_net.len() < self.listed.len() {
            true => (of_net.as_slice(), &[][..]),
            false => (&[][..], self.listed.as_slice()),
        };
        let carries = |index: &usize| Some((*index, self[*index])).filter(|(_, amps)| *amps != 0.0);
        let ends_here = move |(index, _): &&(usize, f64)| {
            circuit.branches[*index].from == net || circuit.branches[*index].to == net
        };
        own.iter().filter_map(carries).chain(listed.iter().filter(ends_here).copied())
    }
}

impl Index<usize> for Currents {
    type Output = f64;

    fn index(&self, branch: usize) -> &f64 {
        match self.listed.binary_search_by_key(&branch, |(listed, _)| *listed) {
            Ok(at) => &self.listed[at].1,
            Err(_) => &0.0,
        }
    }
}

/// Conductance of the pin that gives an island without the body its zero, in siemens. No current passes it before a
/// fault, and all of the fault's own.
const PIN: f64 = 1000.0;

/// Volts that a place must have before a fault to count as fed: less is rounding, or what a diode leaves.
const FED_V: f64 = 0.1;

/// The network of one corner in one state, ready for faults.
pub struct Live<'l, 'c> {
    layout: &'l Layout<'c>,
    lines: Vec<Line>,
    factor: Factor,
    inverse: Inverse,
    /// Volts of each net before the fault.
    volts: Vec<f64>,
    twigs: Twigs,
    /// By net of the core, what one ampere taken from it to the body makes of the current of each branch of the core.
    taken: RefCell<BTreeMap<NetIndex, Rc<Vec<f64>>>>,
    /// The same network without some of its diodes, by branch: faults near each other drive the same ones backwards.
    without: RefCell<BTreeMap<Vec<usize>, Rc<Live<'l, 'c>>>>,
    island: Vec<usize>,
    /// The zero of each island that has one, by its number.
    zero: Vec<Option<NetIndex>>,
}

impl<'l, 'c> Live<'l, 'c> {
    /// The network of a corner, whose `lines` are those of closed branches, in `state`.
    pub fn new(layout: &'l Layout<'c>, lines: &[Line], state: &State) -> Live<'l, 'c> {
        let closed = (0..lines.len()).map(|index| layout.circuit.closed(index, state)).collect::<Vec<bool>>();
        Live::of_closed(layout, lines, &closed)
    }

    /// The same where these branches are closed.
    pub fn of_closed(layout: &'l Layout<'c>, lines: &[Line], closed: &[bool]) -> Live<'l, 'c> {
        let line = |(line, closed): (&Line, &bool)| if *closed { *line } else { Line::NOTHING };
        Live::of_lines(layout, lines.iter().zip(closed).map(line).collect())
    }

    fn of_lines(layout: &'l Layout<'c>, lines: Vec<Line>) -> Live<'l, 'c> {
        let circuit = layout.circuit;
        let n = circuit.nets.len();
        let mut joined = UnionFind::<usize>::new(n);
        let (mut edge, mut ground, mut injected) =
            (vec![0.0; layout.n_edges], vec![0.0; n - 1], vec![0.0; n]);
        for (index, branch) in circuit.branches.iter().enumerate() {
            let Line { conductance, offset } = lines[index];
            if conductance == 0.0 || branch.from == branch.to {
                continue;
            }
            joined.union(branch.from, branch.to);
            match (layout.edge[index], branch.from, branch.to) {
                (Some(edge_index), ..) => edge[edge_index] += conductance,
                (None, CHASSIS, net) | (None, net, _) => ground[net - 1] += conductance,
            }
            injected[branch.from] -= offset;
            injected[branch.to] += offset;
        }
        let island = joined.into_labeling();
        let mut zero = vec![None; n];
        zero[island[CHASSIS]] = Some(CHASSIS);
        for (index, branch) in circuit.branches.iter().enumerate() {
            let is_source = branch.role == Role::Source && lines[index].conductance > 0.0;
            if is_source && zero[island[branch.to]].is_none() {
                zero[island[branch.to]] = Some(branch.to);
                ground[branch.to - 1] += PIN;
            }
        }
        let mut factor = Factor::default();
        layout.pattern.factor(&edge, &ground, &mut factor);
        let inverse = layout.pattern.inverse(&factor);
        let mut volts = injected;
        volts[CHASSIS] = 0.0;
        layout.pattern.solve(&factor, &mut volts[1..], &mut Vec::new());
        let mut is_core = vec![false; n];
        for net in zero.iter().flatten() {
            is_core[*net] = true;
        }
        for (branch, _) in circuit.branches.iter().zip(&lines).filter(|(_, line)| line.offset != 0.0) {
            is_core[branch.from] = true;
            is_core[branch.to] = true;
        }
        let twigs = Twigs::new(circuit, |index| lines[index].conductance != 0.0, |net| is_core[net]);
        let (taken, without) = (RefCell::default(), RefCell::default());
        Live { layout, lines, factor, inverse, volts, twigs, taken, without, island, zero }
    }

    /// The two nets that a fault joins; `None` where it joins what no source connects.
    fn ends(&self, place: Place) -> Option<(NetIndex, NetIndex)> {
        match place {
            Place::Body(net) => Some((net, self.zero[self.island[net]]?)),
            Place::Across(branch) => {
                let branch = &self.layout.circuit.branches[branch];
                (self.island[branch.from] == self.island[branch.to]).then_some((branch.from, branch.to))
            }
        }
    }

    /// Amperes of a bolted fault at a place, from the load's first end to its second or from the net to the body;
    /// `None` where nothing would flow.
    pub fn amps(&self, place: Place) -> Option<f64> {
        let (from, to) = self.ends(place)?;
        let volts = self.volts[from] - self.volts[to];
        (volts.abs() > FED_V).then(|| volts / self.resistance(place, from, to))
    }

    /// The resistance between the two nets of a fault.
    fn resistance(&self, place: Place, from: NetIndex, to: NetIndex) -> f64 {
        let own = |net: NetIndex| if net == CHASSIS { 0.0 } else { self.inverse.node[net - 1] };
        let shared = match place {
            // All of the current leaves by the pin, wherever it enters.
            Place::Body(_) if to != CHASSIS => 1.0 / PIN,
            Place::Body(_) => 0.0,
            Place::Across(branch) => self.layout.edge[branch].map_or(0.0, |edge| self.inverse.edge[edge]),
        };
        own(from) + own(to) - 2.0 * shared
    }

    /// Amperes of a branch with these volts at its ends, but for what it gives without any.
    fn driven(&self, index: usize, volts: &[f64]) -> f64 {
        let branch = &self.layout.circuit.branches[index];
        self.lines[index].conductance * (volts[branch.from] - volts[branch.to])
    }

    /// Amperes of a branch before the fault: what sources give each other.
    fn amps_before(&self, index: usize) -> f64 {
        self.driven(index, &self.volts) + self.lines[index].offset
    }

    /// What one ampere taken from a net of the core to the body, or the pin, makes of the current of each branch of the
    /// core.
    fn taken_from(&self, net: NetIndex) -> Rc<Vec<f64>> {
        let make = || {
            let mut volts = vec![0.0; self.volts.len()];
            if net != CHASSIS {
                volts[net] = -1.0;
                self.layout.pattern.solve(&self.factor, &mut volts[1..], &mut Vec::new());
            }
            Rc::new(self.twigs.core.iter().map(|index| self.driven(*index, &volts)).collect())
        };
        Rc::clone(self.taken.borrow_mut().entry(net).or_insert_with(make))
    }

    /// Amperes of every branch, from its first net to its second, with a bolted fault at a place, and of the fault.
    ///
    /// A diode that the fault would drive backwards is left out.
    pub fn currents(&self, place: Place) -> Option<(f64, Currents)> {
        let amps = self.amps(place)?;
        let (from, to) = self.ends(place)?;
        let circuit = self.layout.circuit;
        let (mut out, out_of) = self.twigs.way(circuit, from);
        let (mut back, back_into) = self.twigs.way(circuit, to);
        // What leaves and enters on the same way is not on it.
        while out.last().is_some_and(|last| back.last() == Some(last)) {
            out.pop();
            back.pop();
        }
        let mut some = Vec::new();
        // From the core the current comes to the first end, and from the second it goes back.
        for (way, mut near, toward_near) in [(out, from, amps), (back, to, -amps)] {
            for index in way {
                some.push((
                    index,
                    if circuit.branches[index].to == near { toward_near } else { -toward_near },
                ));
                near = circuit.far_end(index, near);
            }
        }
        let (taken, given) = (self.taken_from(out_of), self.taken_from(back_into));
        for ((index, taken), given) in self.twigs.core.iter().zip(&*taken).zip(&*given) {
            some.push((*index, self.amps_before(*index) + amps * (taken - given)));
        }
        let currents = Currents::of(some, amps);
        let backwards: Vec<usize> =
            self.layout.diodes.iter().copied().filter(|diode| currents[*diode] < 0.0).collect();
        if backwards.is_empty() {
            return Some((amps, currents));
        }
        // One diode less each time, so it ends.
        self.without(backwards).currents(place)
    }

    /// The same network without some diodes.
    fn without(&self, diodes: Vec<usize>) -> Rc<Live<'l, 'c>> {
        if let Some(known) = self.without.borrow().get(&diodes) {
            return Rc::clone(known);
        }
        let mut lines = self.lines.clone();
        for diode in &diodes {
            lines[*diode] = Line::NOTHING;
        }
        let made = Rc::new(Live::of_lines(self.layout, lines));
        self.without.borrow_mut().insert(diodes, Rc::clone(&made));
        made
    }
}

/// The nets that the current into `start` comes over, with `amps` by branch: those that a walk against the current
/// meets, which stops at sources. Currents below `least` amperes do not count.
pub fn upstream(circuit: &Circuit, amps: &Currents, start: NetIndex, least: f64) -> Vec<usize> {
    let mut met = vec![false; circuit.nets.len()];
    met[start] = true;
    let mut waiting = vec![start];
    let mut branches = Vec::new();
    while let Some(net) = waiting.pop() {
        for (index, current) in amps.at(circuit, net) {
            let branch = &circuit.branches[index];
            let (into, far) = if branch.to == net { (current, branch.from) } else { (-current, branch.to) };
            let passes = matches!(branch.role, Role::Path | Role::Protection(_));
            if passes && into > least {
                branches.push(index);
                if !std::mem::replace(&mut met[far], true) {
                    waiting.push(far);
                }
            }
        }
    }
    branches
}

#[cfg(test)]
mod tests;
