//! What fuses let pass lastingly, and the wires that do not stand it.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use engine::circuit::{Branch, CHASSIS, Circuit, NetIndex};
use engine::kind::{Law, Role};

use super::{NONE, Plan, far, is_too_long, wire_of};
use crate::judge::limits::wire_stands;
use crate::judge::{Fault, Harm, id, is_path};

/// Protection may let pass 1.45 times what the cable stands (IEC 60364-4-43, from memory), and a blade fuse opens from
/// 1.35 times its rating on (printed for links declared to ISO 8820-3).
const MOST_FUSE: f64 = 1.45 / 1.35;

/// Whether a branch is a diode, which lets current pass one way.
fn is_diode(branch: &Branch) -> bool {
    matches!(branch.law, Some(Law::Diode { .. }))
}

/// The zone of each net: nets that neither a fuse nor a diode separates, one wire left out.
fn zones(circuit: &Circuit, but: usize) -> Vec<usize> {
    let mut zone: Vec<usize> = (0..circuit.nets.len()).collect();
    // Small numbers spread until nothing changes; nets are few.
    loop {
        let mut changed = false;
        for (index, branch) in circuit.branches.iter().enumerate() {
            let joins = index != but && is_path(circuit, index) && !is_diode(branch);
            if joins && branch.from != CHASSIS && branch.to != CHASSIS {
                let least = zone[branch.from].min(zone[branch.to]);
                changed |= zone[branch.from] != least || zone[branch.to] != least;
                (zone[branch.from], zone[branch.to]) = (least, least);
            }
        }
        if !changed {
            return zone;
        }
    }
}

impl Plan<'_> {
    /// The greatest lasting current into what hangs together with a net, one wire left out; infinite where a battery
    /// hangs there, nought where nothing feeds it.
    fn let_in(&self, net: NetIndex, but: usize) -> f64 {
        let zone = zones(self.circuit, but);
        let target = zone[net];
        if self.sources.iter().any(|(net, _, limit)| limit.is_none() && zone[*net] == target) {
            return f64::INFINITY;
        }
        let mut left: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let top = usize::MAX;
        for (net, _, limit) in &self.sources {
            *left.entry((top, zone[*net])).or_default() += limit.unwrap_or(1e9);
        }
        for branch in &self.circuit.branches {
            if let Role::Protection(rating) = branch.role {
                let (a, b) = (zone[branch.from], zone[branch.to]);
                let amps = rating.map_or(1e9, |rating| rating.get());
                *left.entry((a, b)).or_default() += amps;
                *left.entry((b, a)).or_default() += amps;
            } else if is_diode(branch) && branch.role == Role::Path {
                *left.entry((zone[branch.from], zone[branch.to])).or_default() += 1e9;
            }
        }
        if but != NONE {
            // What comes to the wire's far end does not come through the wire.
            let own = &self.circuit.branches[but];
            let (a, b) = (zone[own.from], zone[own.to]);
            if a != b {
                let other = if a == target { b } else { a };
                left.retain(|(_, to), _| *to != other);
            }
        }
        let mut flow = 0.0;
        // Edmonds and Karp 1972: fill the shortest way until there is none.
        while let Some(way) = shortest(&left, top, target) {
            let least = way.iter().map(|edge| left[edge]).fold(f64::INFINITY, f64::min);
            for &(a, b) in &way {
                *left.entry((a, b)).or_default() -= least;
                *left.entry((b, a)).or_default() += least;
            }
            flow += least;
        }
        // A fuse without a rating limits nothing that is known.
        if flow < 1e8 { flow } else { 0.0 }
    }

    /// Feed wires that stand less than their fuses let pass.
    pub(super) fn feeds(&self, faults: &mut BTreeSet<Fault>) {
        let poles: Vec<NetIndex> = self.sources.iter().map(|(net, ..)| *net).collect();
        let supplied = self.side(&poles);
        for branch in 0..self.circuit.branches.len() {
            let own = &self.circuit.branches[branch];
            let Some(wire) = wire_of(self.circuit, branch) else { continue };
            let Some(stands) = wire_stands(self.circuit, wire) else { continue };
            if !supplied.contains(&own.from) || own.from == CHASSIS || own.to == CHASSIS {
                continue;
            }
            let too_much = |amps: f64| amps > MOST_FUSE * stands * (1.0 + 1e-9);
            for (near, far) in [(own.from, own.to), (own.to, own.from)] {
                let amps = self.let_in(near, branch);
                let (uses, fuses) = self.beyond(branch, far, NONE);
                // A lead behind which there are fuses alone is protected by those, if it is short.
                let lead = amps > 0.0 && !uses && fuses && !self.joined(far, branch).contains(&near);
                let harm = if lead && too_much(amps.min(self.fuses_at(far, branch))) {
                    Harm::FuseTooLarge
                } else if lead && amps.is_finite() && too_much(amps) && is_too_long(wire) {
                    Harm::FuseFar
                } else if !lead && amps.is_finite() && too_much(amps) {
                    Harm::FuseTooLarge
                } else {
                    continue;
                };
                faults.insert(Fault { harm, of: id(self.circuit, branch) });
            }
        }
    }

    /// The ratings together of the fuses that hang on a net, one wire left out.
    fn fuses_at(&self, net: NetIndex, but: usize) -> f64 {
        let nets = self.joined(net, but);
        let rating = |branch: &Branch| match branch.role {
            Role::Protection(Some(rating)) if nets.contains(&branch.from) || nets.contains(&branch.to) => {
                rating.get()
            }
            _ => 0.0,
        };
        self.circuit.branches.iter().map(rating).sum()
    }

    /// Nets that hang on these when every contact is closed and every fuse fitted.
    fn side(&self, start: &[NetIndex]) -> BTreeSet<NetIndex> {
        let mut met: BTreeSet<NetIndex> = start.iter().copied().collect();
        let mut waiting: Vec<NetIndex> = start.to_vec();
        while let Some(net) = waiting.pop() {
            if net == CHASSIS {
                continue;
            }
            for &branch in &self.circuit.at[net] {
                let other = far(self.circuit, branch, net);
                let fuse = matches!(self.circuit.branches[branch].role, Role::Protection(_));
                if (fuse || is_path(self.circuit, branch)) && met.insert(other) {
                    waiting.push(other);
                }
            }
        }
        met
    }

    /// Whether a net still reaches the body or a negative pole without one wire.
    fn returns_without(&self, start: NetIndex, but: usize) -> bool {
        let negative: Vec<NetIndex> =
            self.sources.iter().map(|(_, source, _)| self.circuit.branches[*source].to).collect();
        let home = |net: NetIndex| net == CHASSIS || negative.contains(&net);
        let mut met = BTreeSet::from([start]);
        let mut waiting = vec![start];
        while let Some(net) = waiting.pop() {
            if home(net) {
                return true;
            }
            for &branch in &self.circuit.at[net] {
                let other = far(self.circuit, branch, net);
                if branch != but && is_path(self.circuit, branch) && met.insert(other) {
                    waiting.push(other);
                }
            }
        }
        false
    }

    /// Return wires that stand less than the fuse of a load they alone serve.
    pub(super) fn returns(&self, faults: &mut BTreeSet<Fault>) {
        let poles: Vec<NetIndex> = self.sources.iter().map(|(net, ..)| *net).collect();
        let supplied = self.side(&poles);
        for branch in 0..self.circuit.branches.len() {
            let Some(wire) = wire_of(self.circuit, branch) else { continue };
            let Some(stands) = wire_stands(self.circuit, wire) else { continue };
            let own = &self.circuit.branches[branch];
            if supplied.contains(&own.from) {
                continue;
            }
            for load in &self.circuit.branches {
                if !matches!(load.role, Role::Load(_) | Role::Coil { .. }) || !supplied.contains(&load.from) {
                    continue;
                }
                let alone = self.returns_without(load.to, NONE) && !self.returns_without(load.to, branch);
                let too_much = |amps: f64| amps > stands * (1.0 + 1e-9);
                let amps = self.let_in(load.from, NONE);
                if alone && amps.is_finite() && too_much(amps) {
                    faults.insert(Fault { harm: Harm::FuseTooLarge, of: id(self.circuit, branch) });
                }
            }
        }
    }
}

/// The way over the fewest edges that still let something pass.
fn shortest(left: &BTreeMap<(usize, usize), f64>, from: usize, to: usize) -> Option<Vec<(usize, usize)>> {
    let mut before: BTreeMap<usize, usize> = BTreeMap::new();
    let mut waiting = VecDeque::from([from]);
    while let Some(here) = waiting.pop_front() {
        for ((a, b), amps) in left {
            if *a == here && *amps > 1e-9 && *b != from && !before.contains_key(b) {
                before.insert(*b, here);
                waiting.push_back(*b);
            }
        }
    }
    let mut way = Vec::new();
    let mut here = to;
    while here != from {
        let last = *before.get(&here)?;
        way.push((last, here));
        here = last;
    }
    way.reverse();
    Some(way)
}
