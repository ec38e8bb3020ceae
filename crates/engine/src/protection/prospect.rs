//! The faults of a circuit over all states it comes to, once for all checks.

use std::collections::BTreeSet;

use crate::arrange;
use crate::circuit::{CHASSIS, Circuit, NetIndex, State};
use crate::kind::Role;
use crate::protection::corner::{Corner, highest, lowest};
use crate::protection::fault::{Layout, Live, Place};
use crate::protection::guard::{Guard, Link};

/// One fault in one corner and one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Where it is.
    pub place: Place,
    /// The situation it was found in, to stand in a sentence.
    pub when: usize,
    /// Amperes of the fault, from the net to the body or from the load's first end to its second.
    pub amps: f64,
    /// Amperes of every branch, from its first net to its second.
    pub currents: Vec<f64>,
}

impl Case {
    /// The net that the current of the fault leaves by.
    pub fn start(&self, circuit: &Circuit) -> NetIndex {
        match self.place {
            Place::Body(net) => net,
            Place::Across(branch) if self.amps >= 0.0 => circuit.branches[branch].from,
            Place::Across(branch) => circuit.branches[branch].to,
        }
    }
}

/// What a fault at the end of a wire, or behind it, makes of the wire.
pub struct OnWire<'p> {
    /// The fault.
    pub case: &'p Case,
    /// Amperes in the wire.
    pub amps: f64,
    /// The end of the wire that the current comes from.
    pub near: NetIndex,
    /// What guards it; `None` where a way past every fuse is open, or a rating is not known.
    pub guard: Option<Guard<'p>>,
}

/// All faults of a circuit.
pub struct Prospects<'c> {
    circuit: &'c Circuit,
    layout: Layout<'c>,
    links: Vec<Option<Link>>,
    /// In the lowest corner, for each place one case for each current it may draw.
    pub lowest: Vec<Case>,
    /// In the highest corner, for each place the case that draws most.
    pub highest: Vec<Case>,
    /// The states that were looked at, each with the situation that leads to it.
    states: Vec<(String, State)>,
}

/// Relative difference below which two currents are one.
const SAME: f64 = 1e-9;

/// Share of a fault's current below which a wire does not take part in it.
const LITTLE: f64 = 0.01;

impl<'c> Prospects<'c> {
    /// The faults of a circuit in these states, each with the situation that leads to it.
    pub fn new(circuit: &'c Circuit, states: &[(String, &State)]) -> Prospects<'c> {
        let layout = Layout::new(circuit);
        let places = layout.places();
        let mut closed_before: BTreeSet<Vec<bool>> = BTreeSet::new();
        let mut kept = Vec::new();
        for (when, state) in states {
            let carries = |index: usize| {
                matches!(circuit.branches[index].role, Role::Path | Role::Protection(_) | Role::Source)
                    && circuit.closed(index, state)
            };
            let closed: Vec<bool> = (0..circuit.branches.len()).map(carries).collect();
            if closed_before.insert(closed) {
                kept.push((when.clone(), (*state).clone()));
            }
        }
        let live = |corner: Corner| {
            let lines = corner.lines(circuit);
            kept.iter().map(|(_, state)| Live::new(&layout, &lines, state)).collect::<Vec<_>>()
        };
        let (low, high) = (live(lowest()), live(highest()));
        let at_least = places.iter().flat_map(|place| least_at(*place, &low)).collect();
        let at_most = places.iter().filter_map(|place| most_at(*place, &high)).collect();
        drop((low, high));
        Prospects {
            circuit,
            layout,
            links: Link::all(circuit),
            lowest: at_least,
            highest: at_most,
            states: kept,
        }
    }

    /// A fault again, in another corner.
    pub fn again(&self, case: &Case, corner: &Corner) -> Option<Case> {
        let live = Live::new(&self.layout, &corner.lines(self.circuit), &self.states[case.when].1);
        let (amps, currents) = live.currents(case.place)?;
        Some(Case { place: case.place, when: case.when, amps, currents })
    }

    /// The link that a branch is; `None` for anything else and where its rating is not known.
    pub fn link(&self, branch: usize) -> Option<&Link> {
        self.links[branch].as_ref()
    }

    /// What guards the place of a fault.
    pub fn guard(&self, case: &Case) -> Option<Guard<'_>> {
        Guard::new(self.circuit, &self.links, &case.currents, case.start(self.circuit), case.amps.abs())
    }

    /// The situation of a case, to stand in a sentence.
    pub fn when(&self, case: &Case) -> &str {
        &self.states[case.when].0
    }

    /// The case in the highest corner at a place.
    pub fn highest_at(&self, place: Place) -> Option<&Case> {
        // The places stand in their own order.
        let at = self.highest.partition_point(|case| case.place < place);
        self.highest.get(at).filter(|case| case.place == place)
    }

    /// The cases in the lowest corner that tell what a wire meets: a fault at the end its current goes to. A wire on the
    /// way back meets none there, and is told of by the loads it serves.
    pub fn on_wire(&self, wire: usize) -> Vec<OnWire<'_>> {
        let branch = &self.circuit.branches[wire];
        let own = self.lowest.iter().filter_map(|case| {
            let amps = case.currents[wire];
            let (near, far) = if amps > 0.0 { (branch.from, branch.to) } else { (branch.to, branch.from) };
            let takes_part = amps.abs() > LITTLE * case.amps.abs();
            (case.place == Place::Body(far) && far != CHASSIS && takes_part).then_some((case, near))
        });
        let own: Vec<(&Case, NetIndex)> = own.collect();
        if !own.is_empty() {
            return own.into_iter().map(|(case, near)| self.met(case, wire, near, near)).collect();
        }
        let is_served = |case: &&Case| {
            matches!(case.place, Place::Across(_)) && case.currents[wire].abs() > LITTLE * case.amps.abs()
        };
        let shorted = self.lowest.iter().filter(is_served).map(|case| {
            let near = if case.currents[wire] > 0.0 { branch.from } else { branch.to };
            self.met(case, wire, near, case.start(self.circuit))
        });
        shorted.collect()
    }

    fn met<'p>(&'p self, case: &'p Case, wire: usize, near: NetIndex, start: NetIndex) -> OnWire<'p> {
        let amps = case.currents[wire].abs();
        let guard = Guard::new(self.circuit, &self.links, &case.currents, start, amps);
        OnWire { case, amps, near, guard }
    }

    /// The most a fault may draw through a wire, in amperes: one right where the current enters it, or of a load that
    /// the wire leads back from.
    pub fn highest_through(&self, wire: usize, met: &OnWire<'_>) -> f64 {
        match met.case.place {
            Place::Body(_) => self.highest_at(Place::Body(met.near)).map_or(0.0, |case| case.amps.abs()),
            Place::Across(_) => self
                .highest
                .iter()
                .filter(|case| case.place == met.case.place)
                .map(|case| case.currents[wire].abs())
                .fold(0.0, f64::max),
        }
    }
}

/// The states in which something flows at a place, one for each current, the greatest first.
///
/// The same current in another state has come the same way: all that has a say in it is in the resistance seen from
/// the place. Diodes conduct either way here, so what is left of it without those driven backwards is no more.
fn drawn(place: Place, states: &[Live<'_, '_>]) -> Vec<(usize, f64)> {
    let mut drawn: Vec<(usize, f64)> = Vec::new();
    for (when, live) in states.iter().enumerate() {
        if let Some(amps) = live.amps(place)
            && drawn.iter().all(|(_, known)| (amps - known).abs() > SAME * known.abs())
        {
            drawn.push((when, amps));
        }
    }
    arrange::sort_by(&mut drawn, |a, b| b.1.abs().total_cmp(&a.1.abs()));
    drawn
}

/// The fault at a place in one state.
fn case(place: Place, when: usize, states: &[Live<'_, '_>]) -> Option<Case> {
    let (amps, currents) = states[when].currents(place)?;
    Some(Case { place, when, amps, currents })
}

/// The faults at a place in the lowest corner, one for each current it may draw.
fn least_at(place: Place, states: &[Live<'_, '_>]) -> Vec<Case> {
    drawn(place, states).into_iter().filter_map(|(when, _)| case(place, when, states)).collect()
}

/// The fault at a place in the highest corner, in the state in which it draws most.
fn most_at(place: Place, states: &[Live<'_, '_>]) -> Option<Case> {
    let mut most: Option<Case> = None;
    for (when, at_most) in drawn(place, states) {
        if most.as_ref().is_some_and(|known| known.amps.abs() >= at_most.abs() * (1.0 - SAME)) {
            break;
        }
        let found = case(place, when, states);
        if found.as_ref().map(|one| one.amps.abs()) > most.as_ref().map(|one| one.amps.abs()) {
            most = found;
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Context;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;

    /// Two fuses, a relay between two batteries, a load with its return.
    const JOB: &str = "battery G1
        battery G2
        fuse F1 rating_a=40
        fuse F2 rating_a=20
        switch S1
        lamp E1 watts=55
        earth X1
        wire w1 G1.+ F1.1 mm2=10 m=0.1
        wire w2 F1.2 S1.in mm2=10 m=2
        wire w3 S1.out F2.1 mm2=4 m=2
        wire w4 F2.2 G2.+ mm2=4 m=0.1
        wire w5 S1.out E1.1 mm2=4 m=1
        wire w6 E1.2 X1.1 mm2=2.5 m=1";

    fn on_wire<T>(wire: usize, take: impl Fn(&Prospects<'_>, Vec<OnWire<'_>>) -> T) -> T {
        let circuit = build(&notation::network(JOB).unwrap(), &Settings::default());
        let context = Context::new(&circuit, &[], &[]);
        let prospects = context.prospects();
        take(prospects, prospects.on_wire(wire))
    }

    fn guards<'m>(met: &'m [OnWire<'_>]) -> impl Iterator<Item = &'m Guard<'m>> {
        met.iter().filter_map(|one| one.guard.as_ref())
    }

    fn rated(met: &[OnWire<'_>]) -> Vec<f64> {
        let mut all: Vec<f64> = guards(met).map(|guard| (10.0 * guard.rated()).round() / 10.0).collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    }

    #[test]
    fn a_wire_between_two_fuses_is_guarded_by_the_one_its_current_comes_from() {
        // W2 meets the current of G1 through F1, and with S1 on that of G2 through F2.
        assert_eq!(on_wire(1, |_, met| rated(&met)), [20.0, 40.0]);
        // So does W3.
        assert_eq!(on_wire(2, |_, met| rated(&met)), [20.0, 40.0]);
    }

    #[test]
    fn a_wire_that_both_fuses_feed_is_free_only_when_both_have_opened() {
        let (rated, most) = on_wire(4, |prospects, met| {
            let alone = guards(&met).map(Guard::rated).fold(0.0, f64::max);
            (alone, met.iter().map(|one| prospects.highest_through(4, one)).fold(0.0, f64::max))
        });
        assert!(rated > 40.0, "{rated}");
        assert!(most > 1000.0, "{most}");
    }

    #[test]
    fn a_way_back_meets_the_current_of_its_load_shorted() {
        on_wire(5, |prospects, met| {
            assert!(!met.is_empty());
            for one in &met {
                assert!(matches!(one.case.place, Place::Across(_)));
                assert!((one.amps / one.case.amps - 1.0).abs() < 1e-6);
                assert!(prospects.highest_through(5, one) > one.amps);
            }
        });
    }

    #[test]
    fn a_lead_without_a_fuse_has_no_guard() {
        // The post of G1 to F1; with S1 on the current of G2 comes through both fuses.
        on_wire(0, |prospects, met| {
            assert!(met.iter().any(|one| one.guard.is_none()));
            assert!(guards(&met).all(|guard| guard.links().count() == 2));
            assert!(prospects.lowest.iter().any(|case| prospects.guard(case).is_none()));
        });
    }
}
