//! Batteries one behind another, as the two of 12 V that make the 24 V of a truck.

use crate::arrange;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin, State};
use crate::kind::{Class, Law, Role};

/// A source by itself, or batteries in series, which together are one source.
///
/// The same current flows through all of them, and their voltages add up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Chain {
    /// By branch, from the one at the negative end up; never empty.
    pub sources: Vec<usize>,
}

impl Chain {
    /// The net of the negative post of the lowest.
    pub fn negative_post(&self, circuit: &Circuit) -> NetIndex {
        circuit.branches[self.sources[0]].to
    }

    /// The nets of the positive and the negative post that the voltage of all of them lies between.
    pub fn posts(&self, circuit: &Circuit) -> (NetIndex, NetIndex) {
        let top = self.sources[self.sources.len() - 1];
        (circuit.branches[top].from, self.negative_post(circuit))
    }

    /// Amperes that the chain gives, out of `gives` by branch: once, however many carry it. Where something hangs between
    /// two of them, what the one gives that gives most.
    pub fn gives(&self, gives: impl Fn(usize) -> Option<f64>) -> Option<f64> {
        self.sources.iter().filter_map(|source| gives(*source)).max_by(f64::total_cmp)
    }
}

/// All sources in chains, each in exactly one: a battery stands above another when its negative pole leads to the
/// positive pole of that one over wires, contacts and fuses that are closed in `state`, and neither leads to the body.
/// Everything else is a chain of its own.
pub fn chains(circuit: &Circuit, state: &State) -> Vec<Chain> {
    let batteries: Vec<usize> = circuit.sources().filter(|source| is_battery(circuit, *source)).collect();
    let mut above: Vec<Option<usize>> = vec![None; circuit.branches.len()];
    let mut is_above = vec![false; circuit.branches.len()];
    for upper in &batteries {
        let joined = joined_with(circuit, state, circuit.branches[*upper].to);
        let is_below = |lower: &&usize| {
            *lower != upper && above[**lower].is_none() && joined.contains(&circuit.branches[**lower].from)
        };
        // What hangs on the body is earthed, not on top of anything.
        if !joined.contains(&CHASSIS)
            && let Some(lower) = batteries.iter().find(is_below)
        {
            above[*lower] = Some(*upper);
            is_above[*upper] = true;
        }
    }
    let mut chains: Vec<Chain> = Vec::new();
    let mut is_in_one = vec![false; circuit.branches.len()];
    // Batteries in a ring have no lowest; they follow, each from wherever the ring is met.
    let lowest = circuit.sources().filter(|source| !is_above[*source]);
    for source in lowest.chain(batteries.iter().copied()) {
        let mut sources = Vec::new();
        let mut next = Some(source);
        while let Some(here) = next.filter(|here| !is_in_one[*here]) {
            is_in_one[here] = true;
            sources.push(here);
            next = above[here];
        }
        if !sources.is_empty() {
            chains.push(Chain { sources });
        }
    }
    arrange::sort(&mut chains);
    chains
}

fn is_battery(circuit: &Circuit, source: usize) -> bool {
    let Origin::Part(part, _) = circuit.branches[source].origin else { return false };
    circuit.resolved.network.parts[part].kind.class == Class::Battery
}

/// The nets joined with a pole without using energy; the body is named when it is met, and not passed.
fn joined_with(circuit: &Circuit, state: &State, pole: NetIndex) -> Vec<NetIndex> {
    let met = walk(circuit, &[pole], |index, near| {
        let branch = &circuit.branches[index];
        near != CHASSIS
            && matches!(branch.role, Role::Path | Role::Protection(_))
            && matches!(branch.law, Some(Law::Resistance(_)))
            && circuit.closed(index, state)
    });
    met.into_iter().map(|(net, _)| net).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation::network;

    /// The chains of a job at rest, as the labels of their batteries from the bottom up.
    fn of(text: &str) -> Vec<Vec<String>> {
        let circuit = build(&network(text).unwrap(), &Settings::of(24.0));
        let labels =
            |chain: Chain| chain.sources.iter().map(|source| circuit.subject(*source).id()).collect();
        chains(&circuit, &circuit.rest()).into_iter().map(labels).collect()
    }

    #[test]
    fn batteries_joined_pole_to_pole_are_one_chain_whatever_their_order() {
        assert_eq!(
            of("battery G1\nbattery G2 to_chassis=no\nwire w1 G1.+ G2.- mm2=50 m=0.3"),
            [["G1", "G2"]]
        );
        assert_eq!(
            of("battery G1 to_chassis=no\nbattery G2\nwire w1 G1.- G2.+ mm2=50 m=0.3"),
            [["G2", "G1"]]
        );
        let over_a_fuse = "battery G1\nbattery G2 to_chassis=no\nfuse F1 rating_a=100\n\
                           wire w1 G1.+ F1.1 mm2=50 m=0.3\nwire w2 F1.2 G2.- mm2=50 m=0.3";
        assert_eq!(of(over_a_fuse), [["G1", "G2"]]);
    }

    #[test]
    fn batteries_beside_each_other_and_alternators_are_chains_of_their_own() {
        let beside = "battery G1\nbattery G2\nalternator G3\n\
                      wire w1 G1.+ G2.+ mm2=50 m=0.3\nwire w2 G3.B+ G1.+ mm2=16 m=1";
        assert_eq!(of(beside), [["G1"], ["G2"], ["G3"]]);
        // Over the body every negative pole meets a positive one that is shorted to it; that is no chain.
        let shorted = "battery G1\nbattery G2\nwire w1 G1.+ G2.- mm2=50 m=0.3";
        assert_eq!(of(shorted), [["G1"], ["G2"]]);
    }

    #[test]
    fn two_pairs_beside_each_other_are_two_chains_even_with_their_middles_joined() {
        let pairs = "battery G1\nbattery G2 to_chassis=no\nbattery G3\nbattery G4 to_chassis=no\n\
                     wire w1 G1.+ G2.- mm2=50 m=0.3\nwire w2 G3.+ G4.- mm2=50 m=0.3\n\
                     wire w3 G2.+ G4.+ mm2=50 m=0.3\nwire w4 G1.+ G3.+ mm2=50 m=0.3";
        assert_eq!(of(pairs), [["G1", "G2"], ["G3", "G4"]]);
    }

    #[test]
    fn a_ring_of_batteries_is_told_once() {
        let ring = "battery G1 to_chassis=no\nbattery G2 to_chassis=no\n\
                    wire w1 G1.+ G2.- mm2=50 m=0.3\nwire w2 G2.+ G1.- mm2=50 m=0.3";
        assert_eq!(of(ring), [["G1", "G2"]]);
    }

    #[test]
    fn a_chain_gives_its_current_once() {
        let chain = Chain { sources: vec![3, 5] };
        assert_eq!(chain.gives(|source| Some(if source == 3 { 7.0 } else { 2.0 })), Some(7.0));
        assert_eq!(chain.gives(|_| None), None);
    }
}
