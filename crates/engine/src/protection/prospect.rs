//! The faults of a circuit over all states it comes to, once for all checks.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::arrange;
use crate::circuit::{CHASSIS, Circuit, NetIndex, State};
use crate::kind::Role;
use crate::protection::corner::{Corner, highest, lowest};
use crate::protection::fault::{Currents, Layout, Live, Place};
use crate::protection::guard::{Guard, Link};
use crate::protection::mix::Mix;

/// One fault in one corner and one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Where it is.
    pub place: Place,
    /// The situation it was found in, to stand in a sentence.
    pub when: usize,
    /// Amperes of the fault, from the net to the body or from the load's first end to its second.
    pub amps: f64,
    /// Amperes by branch, from its first net to its second.
    pub currents: Currents,
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
        let (mut kept, mut closed_in) = (Vec::new(), Vec::new());
        for (when, state) in states {
            let carries = |index: usize| {
                matches!(circuit.branches[index].role, Role::Path | Role::Protection(_) | Role::Source)
                    && circuit.closed(index, state)
            };
            let closed: Vec<bool> = (0..circuit.branches.len()).map(carries).collect();
            if closed_before.insert(closed.clone()) {
                kept.push((when.clone(), (*state).clone()));
                closed_in.push(closed);
            }
        }
        let mix = Mix::new(circuit, &closed_in);
        let live = |corner: Corner| {
            let lines = corner.lines(circuit);
            let of_closed = |closed: &Vec<bool>| Live::of_closed(&layout, &lines, closed);
            mix.networks.iter().map(of_closed).collect::<Vec<_>>()
        };
        let (low, high) = (live(lowest()), live(highest()));
        let views = |place: &Place| mix.views(circuit, *place);
        let at_least = places.iter().flat_map(|place| least_at(*place, views(place), &low)).collect();
        let at_most = places.iter().filter_map(|place| most_at(*place, views(place), &high)).collect();
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

    /// Where the cases of a place stand in the lowest corner.
    fn lowest_at(&self, place: Place) -> Range<usize> {
        // The places stand in their own order.
        let from = self.lowest.partition_point(|case| case.place < place);
        let n = self.lowest[from..].partition_point(|case| case.place == place);
        from..from + n
    }

    /// The cases in the lowest corner that tell what a wire meets: a fault at the end its current goes to. A wire on the
    /// way back meets none there, and is told of by the loads it serves.
    pub fn on_wire(&self, wire: usize) -> Vec<OnWire<'_>> {
        let branch = &self.circuit.branches[wire];
        let ends = [branch.from.min(branch.to), branch.from.max(branch.to)];
        let at_ends = ends.into_iter().flat_map(|net| &self.lowest[self.lowest_at(Place::Body(net))]);
        let own = at_ends.filter_map(|case| {
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
            Place::Across(_) => self.highest_at(met.case.place).map_or(0.0, |case| case.currents[wire].abs()),
        }
    }
}

/// Something that flows at a place: in which state, by index, in which network, and how many amperes.
struct Drawn {
    when: usize,
    network: usize,
    amps: f64,
}

/// The states in which something flows at a place, one for each current, the greatest first. `views` are states and
/// the network for each.
///
/// The same current in another state has come the same way: all that has a say in it is in the resistance seen from
/// the place. Diodes conduct either way here, so what is left of it without those driven backwards is no more.
fn drawn(place: Place, views: &[(usize, usize)], networks: &[Live<'_, '_>]) -> Vec<Drawn> {
    let mut drawn: Vec<Drawn> = Vec::new();
    for (when, network) in views.iter().copied() {
        if let Some(amps) = networks[network].amps(place)
            && drawn.iter().all(|known| (amps - known.amps).abs() > SAME * known.amps.abs())
        {
            drawn.push(Drawn { when, network, amps });
        }
    }
    arrange::sort_by(&mut drawn, |a, b| b.amps.abs().total_cmp(&a.amps.abs()));
    drawn
}

/// The fault at a place in one state.
fn case(place: Place, drawn: &Drawn, networks: &[Live<'_, '_>]) -> Option<Case> {
    let (amps, currents) = networks[drawn.network].currents(place)?;
    Some(Case { place, when: drawn.when, amps, currents })
}

/// The faults at a place in the lowest corner, one for each current it may draw.
fn least_at(place: Place, views: &[(usize, usize)], networks: &[Live<'_, '_>]) -> Vec<Case> {
    drawn(place, views, networks).iter().filter_map(|drawn| case(place, drawn, networks)).collect()
}

/// The fault at a place in the highest corner, in the state in which it draws most.
fn most_at(place: Place, views: &[(usize, usize)], networks: &[Live<'_, '_>]) -> Option<Case> {
    let mut most: Option<Case> = None;
    for drawn in drawn(place, views, networks) {
        if most.as_ref().is_some_and(|known| known.amps.abs() >= drawn.amps.abs() * (1.0 - SAME)) {
            break;
        }
        let found = case(place, &drawn, networks);
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

    /// Switches side by side, one ahead of another, one that joins two batteries, and one with a second way round it.
    const MANY: &str = "battery G1
        battery G2
        fuse F1 rating_a=30
        fuse F2 rating_a=15
        switch S1
        switch S2
        switch S3
        switch S4
        switch S5
        lamp E1 watts=55
        lamp E2 watts=21
        lamp E3 watts=5
        earth X1
        splice X2
        wire w1 G1.+ F1.1 mm2=10 m=0.1
        wire w2 F1.2 X2.1 mm2=6 m=1
        wire w3 X2.2 S1.in mm2=4 m=2
        wire w4 S1.out E1.1 mm2=4 m=2
        wire w5 E1.2 X1.1 mm2=2.5 m=1
        wire w6 X2.3 S2.in mm2=2.5 m=2
        wire w7 S2.out S3.in mm2=2.5 m=1
        wire w8 S3.out E2.1 mm2=1.5 m=1
        wire w9 E2.2 X1.1 mm2=1.5 m=1
        wire w10 G2.+ F2.1 mm2=6 m=0.1
        wire w11 F2.2 S4.in mm2=6 m=1
        wire w12 S4.out X2.2 mm2=6 m=1
        wire w13 S2.out S5.in mm2=1.5 m=1
        wire w14 S5.out F2.2 mm2=1.5 m=1
        wire w15 S3.out E3.1 mm2=1 m=1
        wire w16 E3.2 X1.1 mm2=1 m=1";

    #[test]
    fn networks_that_serve_several_states_tell_what_each_state_tells_by_itself() {
        let circuit = build(&notation::network(MANY).unwrap(), &Settings::default());
        let state = |bits: u8| {
            let mut state = circuit.rest();
            for (i, input) in circuit.inputs.iter().enumerate() {
                state.positions[input.part] = bits >> i & 1;
            }
            state
        };
        assert_eq!(circuit.inputs.len(), 5);
        let all: Vec<State> = (0..32).map(state).collect();
        let named: Vec<(String, &State)> =
            all.iter().enumerate().map(|(bits, state)| (bits.to_string(), state)).collect();
        let together = Prospects::new(&circuit, &named);
        let mut n_cases = 0;
        for place in together.layout.places() {
            let alone = |corner: Corner| {
                let lines = corner.lines(&circuit);
                let one = |state| Live::new(&together.layout, &lines, state).currents(place).map(|one| one.0);
                let mut amps: Vec<f64> = all.iter().filter_map(one).collect();
                amps.sort_by(|a, b| b.abs().total_cmp(&a.abs()));
                amps.dedup_by(|a, b| (*a - *b).abs() <= SAME * b.abs());
                amps
            };
            let found = together.lowest[together.lowest_at(place)].iter();
            let found: Vec<f64> = found.map(|case| case.amps).collect();
            let expected = alone(lowest());
            assert_eq!(found.len(), expected.len(), "{place:?}: {found:?} {expected:?}");
            assert!(found.iter().zip(&expected).all(|(a, b)| (a - b).abs() <= SAME * b.abs()), "{place:?}");
            let most = together.highest_at(place).map_or(0.0, |case| case.amps.abs());
            assert!((most - alone(highest()).first().map_or(0.0, |amps| amps.abs())).abs() <= SAME * most);
            n_cases += found.len();
        }
        assert!(n_cases > 40, "{n_cases}");
    }
}
