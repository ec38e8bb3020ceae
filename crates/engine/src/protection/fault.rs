//! The current of a fault: a net touching the body, or a load shorted, on the network of one corner and one state.
//!
//! What uses energy is left out, because the fault takes its voltage. What is left is linear but for diodes, so the
//! voltages before the fault and the resistance seen from it say what flows, `I = U / R`, and one elimination gives both
//! for every place at once. Where the current goes takes one solution more.

use std::ops::Index;

use petgraph::unionfind::UnionFind;

use crate::circuit::{CHASSIS, Circuit, NetIndex, State};
use crate::kind::{Law, Role};
use crate::protection::corner::Line;
use crate::solve::linear::{Factor, Inverse, Pattern};

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
    /// Those of all that count in a fault of so many amperes.
    fn of(all: impl Iterator<Item = f64>, fault: f64) -> Currents {
        let counts = |(_, amps): &(usize, f64)| amps.abs() > ROUNDING * fault.abs();
        Currents { listed: all.enumerate().filter(counts).collect() }
    }

    /// The branches on a net that carry anything, rising, with their amperes.
    fn at<'a>(&'a self, circuit: &'a Circuit, net: NetIndex) -> impl Iterator<Item = (usize, f64)> + 'a {
        let ends_here = move |(index, _): &&(usize, f64)| {
            circuit.branches[*index].from == net || circuit.branches[*index].to == net
        };
        self.listed.iter().filter(ends_here).copied()
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
    /// Injected current by net, and the voltage it makes before the fault.
    injected: Vec<f64>,
    volts: Vec<f64>,
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
        let mut volts = injected.clone();
        volts[CHASSIS] = 0.0;
        layout.pattern.solve(&factor, &mut volts[1..], &mut Vec::new());
        Live { layout, lines, factor, inverse, injected, volts, island, zero }
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

    /// Amperes of every branch, from its first net to its second, with a bolted fault at a place, and of the fault.
    ///
    /// A diode that the fault would drive backwards is left out.
    pub fn currents(&self, place: Place) -> Option<(f64, Currents)> {
        let amps = self.amps(place)?;
        let (from, to) = self.ends(place)?;
        let mut volts = self.injected.clone();
        volts[from] -= amps;
        volts[to] += amps;
        volts[CHASSIS] = 0.0;
        self.layout.pattern.solve(&self.factor, &mut volts[1..], &mut Vec::new());
        let circuit = self.layout.circuit;
        let current = |(branch, line): (&crate::circuit::Branch, &Line)| {
            line.conductance * (volts[branch.from] - volts[branch.to]) + line.offset
        };
        let currents = Currents::of(circuit.branches.iter().zip(&self.lines).map(current), amps);
        let backwards: Vec<usize> =
            self.layout.diodes.iter().copied().filter(|diode| currents[*diode] < 0.0).collect();
        if backwards.is_empty() {
            return Some((amps, currents));
        }
        let mut lines = self.lines.clone();
        for diode in backwards {
            lines[diode] = Line::NOTHING;
        }
        // One diode less each time, so it ends.
        Live::of_lines(self.layout, lines).currents(place)
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
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::ids::TerminalRef;
    use crate::notation;
    use crate::protection::corner::{Corner, Wires, highest, lowest};
    use crate::quantity::Celsius;

    fn circuit(text: &str) -> Circuit {
        build(&notation::network(text).unwrap_or_else(|error| panic!("{error}")), &Settings::default())
    }

    fn net(circuit: &Circuit, terminal: &str) -> NetIndex {
        circuit.net_of(&TerminalRef::parse(terminal).unwrap()).unwrap()
    }

    /// A battery of 12.6 V whose every resistance is as given, with wires at one temperature.
    fn as_given(celsius: f64) -> Corner {
        Corner {
            volts: 1.0,
            internal_unsaid: 0.0,
            internal_least: 0.0,
            is_internal_highest: false,
            is_engine_running: false,
            wires: Wires::Expected(Celsius::new(celsius).unwrap()),
            joint_least: Some(0.0),
            fuse_factor: 1.0,
            is_fuse_typical: false,
        }
    }

    /// 30 A of blade fuse, 2 m of 4 mm2, then 5 m of 0.5 mm2: no load flow shows anything, and a fault at the far end
    /// leaves the thin wire hotter than its insulation stands long before the fuse opens.
    #[test]
    fn a_fault_behind_a_thin_branch_is_too_small_for_a_large_fuse() {
        let circuit = circuit(
            "battery G1 internal_ohm=0.0118
            fuse F1 rating_a=30 element_ohm=0
            splice X1
            lamp E1 watts=5
            earth X2
            wire w1 G1.+ F1.1 mm2=4 m=0
            wire w2 F1.2 X1.1 mm2=4 m=2
            wire w3 X1.2 E1.1 mm2=0.5 m=5
            wire w4 E1.2 X2.1 mm2=4 m=1",
        );
        let layout = Layout::new(&circuit);
        let far = Place::Body(net(&circuit, "E1.1"));
        let link =
            crate::protection::Band::of_link("blade-C", crate::quantity::Amps::new(30.0).unwrap()).unwrap();
        // Source and joints 12.8 milliohm, of which 1 is the strap of the battery.
        for (celsius, amps, multiple, k, endures, opens) in [
            (20.0, 65.0, 2.17, 115.0, 0.78, 3.59),
            (70.0, 54.9, 1.83, 115.0, 1.10, 12.4),
            (105.0, 49.5, 1.65, 87.6, 0.78, 36.0),
        ] {
            let live = Live::new(&layout, &as_given(celsius).lines(&circuit), &circuit.rest());
            let found = live.amps(far).unwrap();
            assert!((found - amps).abs() < 0.06, "{celsius} degC: {found} A");
            assert!((found / 30.0 - multiple).abs() < 0.005, "{celsius} degC: {}", found / 30.0);
            let limit = (k * 0.5 / found) * (k * 0.5 / found);
            assert!((limit - endures).abs() < 0.005, "{celsius} degC: {limit} s");
            let slowest = link.slowest_s(found / 30.0);
            assert!((slowest / opens - 1.0).abs() < 0.005, "{celsius} degC: {slowest} s");
            assert!(slowest > limit);
        }
    }

    /// 12.8 V behind 6 milliohm and nothing else but the wire: 1 m of 6 mm2 is 2.873 milliohm.
    #[test]
    fn the_highest_corner_has_no_joints_and_a_new_battery() {
        let circuit = circuit("battery G1\nswitch S1\nlamp E1 watts=5\nwire w1 G1.+ E1.1 mm2=6 m=1");
        let layout = Layout::new(&circuit);
        let at = Place::Body(net(&circuit, "E1.1"));
        let found = Live::new(&layout, &highest().lines(&circuit), &circuit.rest()).amps(at).unwrap();
        assert!((found - 12.8 / (0.006 + 0.01724 / 6.0)).abs() < 1.0, "{found}");
    }

    /// 12.0 V behind 20 milliohm and 5 of the strap; 3.14 milliohm a metre of 6 mm2 at 20 degC, a factor of 1.3144 at
    /// 100 degC.
    #[test]
    fn the_lowest_corner_has_a_tired_battery_and_warm_wires() {
        let circuit = circuit("battery G1\nlamp E1 watts=5\nwire w1 G1.+ E1.1 mm2=6 m=1 insulation=B");
        let layout = Layout::new(&circuit);
        let at = Place::Body(net(&circuit, "E1.1"));
        let found = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest()).amps(at).unwrap();
        assert!((found - 12.0 / (0.025 + 0.00314 * 1.3144)).abs() < 0.1, "{found}");
    }

    #[test]
    fn an_alternator_adds_all_it_delivers() {
        let text = "battery G1 internal_ohm=0.01\nalternator G2 limit_a=90\nlamp E1 watts=5
            wire w1 G1.+ E1.1 mm2=6 m=1\nwire w2 G2.B+ E1.1 mm2=6 m=1";
        let circuit = circuit(text);
        let layout = Layout::new(&circuit);
        let at = Place::Body(net(&circuit, "E1.1"));
        let mut running = circuit.rest();
        running.positions[1] = 1;
        let amps = |state: &State| Live::new(&layout, &highest().lines(&circuit), state).amps(at).unwrap();
        // It is joined with the place of the fault itself, where there is no voltage left: all of it flows there.
        assert!((amps(&running) - amps(&circuit.rest()) - 90.0).abs() < 0.01);
    }

    #[test]
    fn the_currents_of_a_fault_add_up_and_split_as_the_resistances_ask() {
        let circuit = circuit(
            "battery G1
            splice X1
            lamp E1 watts=5
            earth X2
            wire w1 G1.+ X1.1 mm2=6 m=1
            wire w2 X1.2 E1.1 mm2=2.5 m=1
            wire w3 X1.3 E1.1 mm2=1.5 m=1
            wire w4 E1.2 X2.1 mm2=2.5 m=1",
        );
        let layout = Layout::new(&circuit);
        let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
        let (amps, currents) = live.currents(Place::Body(net(&circuit, "E1.1"))).unwrap();
        assert!((currents[1] / currents[2] - 2.5 / 1.5).abs() < 1e-9);
        assert!((currents[1] + currents[2] - amps).abs() < 1e-6 * amps);
        assert!((currents[0] - amps).abs() < 1e-6 * amps);
        assert!(currents[3].abs() < 1e-6);
        // A load that is shorted has the way back in its loop.
        let across =
            (0..circuit.branches.len()).find(|i| matches!(circuit.branches[*i].role, Role::Load(_))).unwrap();
        let (shorted, currents) = live.currents(Place::Across(across)).unwrap();
        assert!(shorted < amps && (currents[3] - shorted).abs() < 1e-6 * amps);
        assert_eq!(live.amps(Place::Across(across)), Some(shorted));
    }

    #[test]
    fn what_is_not_fed_draws_nothing() {
        let circuit = circuit(
            "battery G1\nswitch S1\nlamp E1 watts=5\nearth X1
            wire w1 G1.+ S1.in mm2=2.5 m=1\nwire w2 S1.out E1.1 mm2=2.5 m=1\nwire w3 E1.2 X1.1 mm2=2.5 m=1",
        );
        let layout = Layout::new(&circuit);
        let live = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest());
        for place in layout.places() {
            let is_feed = matches!(place, Place::Body(at) if [net(&circuit, "G1.+"), net(&circuit, "S1.in")].contains(&at));
            assert_eq!(live.amps(place).is_some(), is_feed, "{place:?}");
        }
    }

    #[test]
    fn an_isolated_battery_is_faulted_to_its_own_negative_pole() {
        let circuit = circuit(
            "battery G1 to_chassis=no internal_ohm=0.01\nlamp E1 watts=5
            wire w1 G1.+ E1.1 mm2=6 m=1\nwire w2 E1.2 G1.- mm2=6 m=1",
        );
        let layout = Layout::new(&circuit);
        let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
        let found = live.amps(Place::Body(net(&circuit, "E1.1"))).unwrap();
        assert!((found - 12.6 / (0.01 + 0.01724 / 6.0)).abs() < 1e-6 * found, "{found}");
    }

    #[test]
    fn a_diode_feeds_a_fault_one_way_only() {
        let text = |diode: &str| {
            format!(
                "battery G1\nbattery G2\ndiode R1\nlamp E1 watts=5
                wire w1 G1.+ E1.1 mm2=6 m=1\n{diode}"
            )
        };
        let amps = |text: &str| {
            let circuit = circuit(text);
            let layout = Layout::new(&circuit);
            let live = Live::new(&layout, &as_given(20.0).lines(&circuit), &circuit.rest());
            live.currents(Place::Body(net(&circuit, "E1.1"))).unwrap().0
        };
        let alone = amps(&text(""));
        let with = amps(&text("wire w2 G2.+ R1.A mm2=6 m=1\nwire w3 R1.K E1.1 mm2=6 m=1"));
        let against = amps(&text("wire w2 G2.+ R1.K mm2=6 m=1\nwire w3 R1.A E1.1 mm2=6 m=1"));
        assert!(with > alone + 100.0, "{with} {alone}");
        assert!((against / alone - 1.0).abs() < 1e-9, "{against} {alone}");
    }

    #[test]
    fn a_walk_against_the_current_meets_what_feeds_the_fault() {
        let circuit = circuit(
            "battery G1\nfuse F1 rating_a=10\nfuse F2 rating_a=5\nlamp E1 watts=5\nlamp E2 watts=5
            wire w1 G1.+ F1.1 mm2=6 m=1\nwire w2 F1.2 E1.1 mm2=6 m=1
            wire w3 F1.2 F2.1 mm2=6 m=1\nwire w4 F2.2 E2.1 mm2=6 m=1",
        );
        let layout = Layout::new(&circuit);
        let live = Live::new(&layout, &lowest().lines(&circuit), &circuit.rest());
        let start = net(&circuit, "E1.1");
        let (_, currents) = live.currents(Place::Body(start)).unwrap();
        let met: Vec<String> = upstream(&circuit, &currents, start, 1e-3)
            .into_iter()
            .map(|index| circuit.subject(index).id())
            .collect();
        assert_eq!(met, ["w2", "F1", "w1"]);
    }
}
