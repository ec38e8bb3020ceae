//! How far sources reach without a fuse, and what fuses let pass.

use std::collections::{BTreeMap, BTreeSet};

use engine::circuit::{Branch, CHASSIS, Circuit, NetIndex, Origin};
use engine::document::{Status, Use, Wire};
use engine::given::Given;
use engine::kind::{Law, Role};

use super::limits::{mm2, wire_stands};
use super::{Fault, Harm, Solved, id, is_path};
use crate::cable;

/// Protection may let pass 1.45 times what the cable stands (IEC 60364-4-43, from memory), and a blade fuse opens from
/// 1.35 times its rating on (printed for links declared to ISO 8820-3).
const MOST_FUSE: f64 = 1.45 / 1.35;

/// Metres from the source to the fuse: bare, sheathed, and sheathed straight from the battery (ABYC E-11, edition not
/// known to us; 33 CFR 183.460).
const BARE_M: f64 = 0.2;
const SHEATHED_M: f64 = 1.0;
const FROM_BATTERY_M: f64 = 1.83;

/// The lowest corner of a short circuit (all common practice, no source): volts for 12 V nominal, ohms of the battery,
/// of the body and of each contact, and how many times its rating blows a fuse at once.
const FAULT_V: f64 = 12.0;
const FAULT_BATTERY_OHM: f64 = 0.020;
const FAULT_JOINT_OHM: f64 = 0.005;
const BLOWS_AT: f64 = 2.0;

/// In place of a branch, when none is left out.
const NONE: usize = usize::MAX;

/// The circuit as protection sees it.
struct Plan<'c> {
    circuit: &'c Circuit,
    /// Whether a branch conducts in some situation.
    conducts: Vec<bool>,
    /// Positive poles: net, branch, and the most the source gives where it limits itself.
    sources: Vec<(NetIndex, usize, Option<f64>)>,
}

/// Adds what is not protected.
pub(super) fn missing(circuit: &Circuit, solved: &[Solved<'_>], faults: &mut BTreeSet<Fault>) {
    let rests = || solved.iter().flat_map(|solved| &solved.rests);
    let conducts = (0..circuit.branches.len())
        .map(|branch| rests().any(|rest| circuit.closed(branch, &rest.state)))
        .collect();
    let sources = circuit
        .sources()
        .map(|source| {
            let limit = match circuit.branches[source].law {
                Some(Law::Source { limit, one_way: true, .. }) => limit.map(|limit| limit.get()),
                _ => None,
            };
            (circuit.branches[source].from, source, limit)
        })
        .collect();
    let plan = Plan { circuit, conducts, sources };
    let mut found = BTreeSet::new();
    plan.reach(&mut found);
    plan.feeds(&mut found);
    plan.returns(&mut found);
    plan.short_circuits(&mut found);
    // What was there before is protected as the vehicle's maker saw fit.
    let wires = &circuit.resolved.network.wires;
    let is_new =
        |fault: &Fault| wires.iter().any(|wire| wire.id.as_str() == fault.of && wire.status == Status::New);
    faults.extend(found.into_iter().filter(is_new));
}

fn wire_of(circuit: &Circuit, branch: usize) -> Option<&Wire> {
    match circuit.branches[branch].origin {
        Origin::Wire(wire) => Some(&circuit.resolved.network.wires[wire]),
        Origin::Part(..) => None,
    }
}

fn far(circuit: &Circuit, branch: usize, near: NetIndex) -> NetIndex {
    circuit.branches[branch].from + circuit.branches[branch].to - near
}

/// The zone of each net: nets that no fuse separates, one wire left out.
fn zones(circuit: &Circuit, but: usize) -> Vec<usize> {
    let mut zone: Vec<usize> = (0..circuit.nets.len()).collect();
    // Small numbers spread until nothing changes; nets are few.
    loop {
        let mut changed = false;
        for (index, branch) in circuit.branches.iter().enumerate() {
            if index != but && is_path(circuit, index) && branch.from != CHASSIS && branch.to != CHASSIS {
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

/// Whether a wire by itself is longer than a lead to its own fuse may be.
fn is_too_long(wire: &Wire) -> bool {
    let allowed = if wire.sleeve.is_some() { SHEATHED_M } else { BARE_M };
    matches!(wire.length, Given::Known(metres) if metres.get() > allowed + 1e-9)
}

/// Where a walk from a source stands.
#[derive(Clone, Copy)]
struct Way {
    metres: f64,
    sheathed: bool,
    from_battery: bool,
    mm2: f64,
    starter: bool,
}

impl Plan<'_> {
    /// Nets joined with `start` without passing a fuse, `but` or the chassis.
    fn joined(&self, start: NetIndex, but: usize) -> BTreeSet<NetIndex> {
        let mut met = BTreeSet::from([start]);
        let mut waiting = vec![start];
        while let Some(net) = waiting.pop() {
            for &branch in &self.circuit.at[net] {
                let other = far(self.circuit, branch, net);
                if branch != but && is_path(self.circuit, branch) && other != CHASSIS && met.insert(other) {
                    waiting.push(other);
                }
            }
        }
        met
    }

    /// The sides of what lies beyond a wire: whether something uses or gives current there, and whether fuses do.
    fn beyond(&self, wire: usize, net: NetIndex, source: usize) -> (bool, bool) {
        let (mut uses, mut fuses) = (false, false);
        for net in self.joined(net, wire) {
            for &branch in &self.circuit.at[net] {
                match self.circuit.branches[branch].role {
                    Role::Load(_) | Role::Coil { .. } => uses = true,
                    Role::Source if branch != source => uses = true,
                    Role::Protection(_) => fuses = true,
                    _ => {}
                }
            }
        }
        (uses, fuses)
    }

    /// What each source reaches without a fuse.
    fn reach(&self, faults: &mut BTreeSet<Fault>) {
        for &(post, source, limit) in &self.sources {
            let mut best: BTreeMap<NetIndex, f64> = BTreeMap::from([(post, 0.0)]);
            let start =
                Way { metres: 0.0, sheathed: true, from_battery: true, mm2: f64::INFINITY, starter: false };
            let mut waiting = vec![(post, start, None)];
            while let Some((net, way, by)) = waiting.pop() {
                for &branch in &self.circuit.at[net] {
                    let other = far(self.circuit, branch, net);
                    let blocked = matches!(self.circuit.branches[branch].law, Some(Law::Diode { .. }))
                        && self.circuit.branches[branch].from != net;
                    if Some(branch) == by
                        || !is_path(self.circuit, branch)
                        || !self.conducts[branch]
                        || blocked
                        || other == CHASSIS
                    {
                        continue;
                    }
                    let next = match wire_of(self.circuit, branch) {
                        Some(wire) => {
                            let next = self.along(way, wire, net);
                            self.judge_reached(branch, other, source, limit, &next, wire, faults);
                            next
                        }
                        None => way,
                    };
                    if best.get(&other).is_none_or(|metres| next.metres < *metres - 1e-9) {
                        best.insert(other, next.metres);
                        waiting.push((other, next, Some(branch)));
                    }
                }
            }
        }
    }

    /// A wire on: a thinner one begins anew where it leaves a thicker, a starter cable or a bar.
    fn along(&self, way: Way, wire: &Wire, net: NetIndex) -> Way {
        let metres = match wire.length {
            Given::Known(metres) => metres.get(),
            _ => 0.0,
        };
        let mm2 = mm2(wire).unwrap_or(f64::INFINITY);
        let sheathed = wire.sleeve.is_some();
        let network = &self.circuit.resolved.network;
        let is_bar = self.circuit.nets[net]
            .iter()
            .any(|terminal| network.part(&terminal.part).is_some_and(|part| part.kind.name == "bar"));
        let starter = wire.used_for == Some(Use::StarterCable);
        let first = way.mm2.is_infinite();
        if first || way.starter || mm2 < way.mm2 || is_bar {
            return Way { metres, sheathed, from_battery: first, mm2, starter };
        }
        Way {
            metres: way.metres + metres,
            sheathed: way.sheathed && sheathed,
            from_battery: way.from_battery,
            mm2,
            starter,
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one place of one walk")]
    fn judge_reached(
        &self,
        branch: usize,
        other: NetIndex,
        source: usize,
        limit: Option<f64>,
        way: &Way,
        wire: &Wire,
        faults: &mut BTreeSet<Fault>,
    ) {
        let stands = wire_stands(wire);
        if way.starter || limit.zip(stands).is_some_and(|(limit, stands)| stands >= limit) {
            return;
        }
        let (uses, fuses) = self.beyond(branch, other, source);
        let harm = if uses || !fuses {
            Harm::Unprotected
        } else {
            let allowed = match (way.sheathed, way.from_battery) {
                (false, _) => BARE_M,
                (true, false) => SHEATHED_M,
                (true, true) => FROM_BATTERY_M,
            };
            if way.metres <= allowed + 1e-9 {
                return;
            }
            Harm::FuseFar
        };
        faults.insert(Fault { harm, of: id(self.circuit, branch) });
    }

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
    fn feeds(&self, faults: &mut BTreeSet<Fault>) {
        let poles: Vec<NetIndex> = self.sources.iter().map(|(net, ..)| *net).collect();
        let supplied = self.side(&poles);
        for branch in 0..self.circuit.branches.len() {
            let own = &self.circuit.branches[branch];
            let Some(wire) = wire_of(self.circuit, branch) else { continue };
            let Some(stands) = wire_stands(wire) else { continue };
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
    fn returns(&self, faults: &mut BTreeSet<Fault>) {
        let poles: Vec<NetIndex> = self.sources.iter().map(|(net, ..)| *net).collect();
        let supplied = self.side(&poles);
        for branch in 0..self.circuit.branches.len() {
            let Some(stands) = wire_of(self.circuit, branch).and_then(wire_stands) else { continue };
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

    /// Feed wires at whose end a short circuit to the body does not blow the fuse soon.
    fn short_circuits(&self, faults: &mut BTreeSet<Fault>) {
        let circuit = self.circuit;
        let volts = FAULT_V * circuit.resolved.nominal_v / 12.0;
        let batteries: Vec<NetIndex> =
            self.sources.iter().filter(|(_, _, limit)| limit.is_none()).map(|(net, ..)| *net).collect();
        // Ohms and smallest fuse on the way of least resistance.
        let mut best: BTreeMap<NetIndex, (f64, f64)> = BTreeMap::new();
        let mut waiting: Vec<(NetIndex, f64, f64)> = batteries
            .iter()
            .map(|post| (*post, FAULT_BATTERY_OHM + FAULT_JOINT_OHM, f64::INFINITY))
            .collect();
        while let Some((net, ohm, fuse)) = waiting.pop() {
            if net == CHASSIS || best.get(&net).is_some_and(|(known, _)| *known <= ohm) {
                continue;
            }
            best.insert(net, (ohm, fuse));
            for &branch in &circuit.at[net] {
                let other = far(circuit, branch, net);
                let step = match (circuit.branches[branch].role, wire_of(circuit, branch)) {
                    (Role::Path, Some(wire)) => {
                        let celsius = wire.insulation.map_or(100.0, |insulation| insulation.limit_c());
                        match (mm2(wire), wire.length) {
                            (Some(mm2), Given::Known(metres)) => {
                                Some((cable::ohms(mm2, metres.get(), celsius), fuse))
                            }
                            _ => None,
                        }
                    }
                    (Role::Path, None) => match circuit.branches[branch].law {
                        Some(Law::Resistance(_)) => Some((FAULT_JOINT_OHM, fuse)),
                        _ => None,
                    },
                    (Role::Protection(Some(rating)), None) => {
                        let own = match circuit.branches[branch].law {
                            Some(Law::Resistance(ohm)) => ohm.get(),
                            _ => 0.0,
                        };
                        Some((own, fuse.min(rating.get())))
                    }
                    _ => None,
                };
                if let Some((more, fuse)) = step {
                    waiting.push((other, ohm + more, fuse));
                }
            }
        }
        for branch in 0..circuit.branches.len() {
            let Some(wire) = wire_of(circuit, branch) else { continue };
            let own = &circuit.branches[branch];
            let ends = [best.get(&own.from), best.get(&own.to)];
            let [Some(one), Some(other)] = ends else { continue };
            let (ohm, fuse) = if one.0 > other.0 { one } else { other };
            let amps = volts / ohm;
            if fuse.is_finite() && amps < BLOWS_AT * fuse && wire_stands(wire).is_some_and(|i| amps > i) {
                faults.insert(Fault { harm: Harm::FaultNotCleared, of: id(circuit, branch) });
            }
        }
    }
}

/// The way over the fewest edges that still let something pass.
fn shortest(left: &BTreeMap<(usize, usize), f64>, from: usize, to: usize) -> Option<Vec<(usize, usize)>> {
    let mut before: BTreeMap<usize, usize> = BTreeMap::new();
    let mut waiting = std::collections::VecDeque::from([from]);
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
