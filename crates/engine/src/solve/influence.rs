//! Which inputs and relays may move what, told from the structure of the circuit alone.
//!
//! Nets that hang on a source or the chassis without a contact or load between are stiff: their voltage hardly
//! depends on what is switched elsewhere. What hangs together once they are taken away is a region. A contact has
//! a say in the regions it touches; a relay has one wherever its contacts have. What is left out is the little
//! that loads pull the stiff supply down, except that a switched source has a say in everything.

use std::collections::BTreeSet;

use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;
use petgraph::unionfind::UnionFind;

use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex};
use crate::kind::{Law, Role};

/// What has a say in something: in a load, or in whether a device is on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cone {
    /// Indices into the inputs of the circuit.
    pub inputs: BTreeSet<usize>,
    /// Relays, by device index.
    pub devices: BTreeSet<usize>,
}

impl Cone {
    fn overlaps(&self, other: &Cone) -> bool {
        !self.inputs.is_disjoint(&other.inputs) || !self.devices.is_disjoint(&other.devices)
    }

    fn add(&mut self, other: Cone) {
        self.inputs.extend(other.inputs);
        self.devices.extend(other.devices);
    }
}

/// The influence of inputs and relays.
#[derive(Clone, Debug)]
pub struct Influence {
    /// The region of each net; stiff nets have none.
    region: Vec<Option<usize>>,
    /// What has a contact on each region.
    movers: Vec<Cone>,
    /// Inputs that switch a source.
    everywhere: BTreeSet<usize>,
    /// The regions that the coil or supply of each device touches.
    touches: Vec<[Option<usize>; 2]>,
    /// Pairs of the relay that moves and the device it may move.
    pairs: BTreeSet<(usize, usize)>,
    /// What has a say in circles of relays; the cones do not overlap.
    memories: Vec<Cone>,
}

impl Influence {
    /// Reads the influence off a circuit.
    pub fn new(circuit: &Circuit) -> Influence {
        let stiff = stiff(circuit);
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        for branch in &circuit.branches {
            if !stiff[branch.from] && !stiff[branch.to] {
                joined.union(branch.from, branch.to);
            }
        }
        let of = joined.into_labeling();
        let region: Vec<Option<usize>> = (0..of.len()).map(|net| (!stiff[net]).then(|| of[net])).collect();
        let regions_of = |branch: usize| {
            let branch = &circuit.branches[branch];
            [region[branch.from], region[branch.to]]
        };
        let mut movers = vec![Cone::default(); circuit.nets.len()];
        let mut everywhere = BTreeSet::new();
        for (index, branch) in circuit.branches.iter().enumerate() {
            let input = match branch.gate {
                Gate::In(part, _) => circuit.inputs.iter().position(|input| input.part == part),
                _ => None,
            };
            for region in regions_of(index).into_iter().flatten() {
                movers[region].inputs.extend(input);
                if let Gate::Device(owner, _) = branch.gate {
                    movers[region].devices.insert(owner);
                }
            }
            if branch.role == Role::Source {
                everywhere.extend(input);
            }
        }
        let touches: Vec<_> = circuit.devices.iter().map(|device| regions_of(device.branch)).collect();
        let pairs = pairs(&movers, &touches);
        let mut influence = Influence { region, movers, everywhere, touches, pairs, memories: Vec::new() };
        influence.memories = influence.memories();
        influence
    }

    /// The region of a net; a stiff net has none.
    pub fn region(&self, net: NetIndex) -> Option<usize> {
        self.region[net]
    }

    /// What has a say in the voltage across a branch.
    pub fn on_branch(&self, circuit: &Circuit, branch: usize) -> Cone {
        let branch = &circuit.branches[branch];
        self.closure([self.region[branch.from], self.region[branch.to]])
    }

    /// What has a say in the state of a device, itself among it.
    pub fn on_device(&self, device: usize) -> Cone {
        let mut cone = self.closure(self.touches[device]);
        cone.devices.insert(device);
        cone
    }

    /// What has a say in relays whose contacts have a say in their own coil circuits, perhaps by way of other
    /// relays, so that the past may matter. Circles that share nothing are told apart.
    pub fn remembering(&self) -> &[Cone] {
        &self.memories
    }

    /// Whether none of these devices may move another of them.
    pub fn are_independent(&self, devices: &[usize]) -> bool {
        devices.iter().all(|a| devices.iter().all(|b| !self.pairs.contains(&(*a, *b))))
    }

    fn closure(&self, start: [Option<usize>; 2]) -> Cone {
        let mut cone = Cone { inputs: self.everywhere.clone(), devices: BTreeSet::new() };
        let mut waiting: Vec<usize> = start.into_iter().flatten().collect();
        let mut met: BTreeSet<usize> = waiting.iter().copied().collect();
        while let Some(region) = waiting.pop() {
            cone.inputs.extend(&self.movers[region].inputs);
            for device in &self.movers[region].devices {
                if cone.devices.insert(*device) {
                    waiting
                        .extend(self.touches[*device].into_iter().flatten().filter(|next| met.insert(*next)));
                }
            }
        }
        cone
    }

    fn memories(&self) -> Vec<Cone> {
        let mut graph: DiGraph<(), ()> = DiGraph::new();
        let nodes: Vec<_> = self.touches.iter().map(|_| graph.add_node(())).collect();
        for (owner, device) in &self.pairs {
            graph.add_edge(nodes[*owner], nodes[*device], ());
        }
        let mut memories = Vec::new();
        for circle in tarjan_scc(&graph) {
            if circle.len() > 1 || graph.contains_edge(circle[0], circle[0]) {
                let mut cone = Cone::default();
                for device in circle {
                    cone.add(self.on_device(device.index()));
                }
                gather(&mut memories, cone);
            }
        }
        memories
    }
}

/// Adds a cone to some that do not overlap, merging it with those it overlaps.
pub fn gather(cones: &mut Vec<Cone>, cone: Cone) {
    let (overlapping, mut apart): (Vec<Cone>, Vec<Cone>) =
        std::mem::take(cones).into_iter().partition(|other| other.overlaps(&cone));
    let mut whole = cone;
    for other in overlapping {
        whole.add(other);
    }
    apart.push(whole);
    *cones = apart;
}

fn pairs(movers: &[Cone], touches: &[[Option<usize>; 2]]) -> BTreeSet<(usize, usize)> {
    let mut pairs = BTreeSet::new();
    for (device, regions) in touches.iter().enumerate() {
        for region in regions.iter().flatten() {
            pairs.extend(movers[*region].devices.iter().map(|owner| (*owner, device)));
        }
    }
    pairs
}

/// Nets that hang on a source or the chassis without a contact or load between.
fn stiff(circuit: &Circuit) -> Vec<bool> {
    let mut starts = vec![CHASSIS];
    starts.extend(
        circuit.sources().flat_map(|index| [circuit.branches[index].from, circuit.branches[index].to]),
    );
    let mut stiff = vec![false; circuit.nets.len()];
    for (net, _) in walk(circuit, &starts, |index, _| {
        let branch = &circuit.branches[index];
        let fixed = branch.gate == Gate::Always && branch.role == Role::Path;
        // A fuse that is taken out is no switch; the vehicle's own fuse hangs behind the switch of its circuit.
        let is_switched =
            matches!(branch.gate, Gate::In(part, _) if circuit.inputs.iter().any(|input| input.part == part));
        fixed && matches!(branch.law, Some(Law::Resistance(_)))
            || matches!(branch.role, Role::Protection(_)) && !is_switched
    }) {
        stiff[net] = true;
    }
    stiff
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::notation;

    /// Two lamps with a switch each, one of them by way of a relay, behind a common fuse.
    const TWO_LAMPS: &str = "
        battery G1
        earth X1
        fuse F1 rating_a=20
        splice X2 ways=4
        switch S1
        switch S2
        relay K1
        lamp E1 watts=21
        lamp E2 watts=21
        wire w1 G1.+ F1.1 mm2=2.5 m=0.2
        wire w2 F1.2 X2.1 mm2=2.5 m=1
        wire w3 X2.2 S1.in mm2=1 m=1
        wire w4 S1.out E1.1 mm2=1 m=1
        wire w5 E1.2 X1.1 mm2=1 m=1
        wire w6 X2.3 S2.in mm2=1 m=1
        wire w7 S2.out K1.86 mm2=1 m=1
        wire w8 K1.85 X1.1 mm2=1 m=1
        wire w9 X2.4 K1.30 mm2=1 m=1
        wire w10 K1.87 E2.1 mm2=1 m=1
        wire w11 E2.2 X1.1 mm2=1 m=1";

    fn with(text: &str) -> (Circuit, Influence) {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let influence = Influence::new(&circuit);
        (circuit, influence)
    }

    #[test]
    fn a_load_answers_to_its_own_switch_or_the_switch_of_its_relay() {
        let (circuit, influence) = with(TWO_LAMPS);
        let cones: Vec<Cone> =
            circuit.loads().map(|(branch, _)| influence.on_branch(&circuit, branch)).collect();
        let inputs = |cone: &Cone| cone.inputs.iter().copied().collect::<Vec<_>>();
        assert_eq!(cones.len(), 2);
        assert_eq!((inputs(&cones[0]), cones[0].devices.len()), (vec![0], 0));
        assert_eq!((inputs(&cones[1]), cones[1].devices.len()), (vec![1], 1));
        assert!(influence.remembering().is_empty());
    }

    #[test]
    fn a_contact_in_its_own_coil_circuit_remembers() {
        let (_, influence) = with(&format!("{TWO_LAMPS}\nwire w12 K1.87 K1.86 mm2=1 m=0.1"));
        let [memory] = influence.remembering() else { panic!("one circle") };
        assert_eq!(memory.inputs.iter().copied().collect::<Vec<_>>(), [1]);
        assert!(!influence.are_independent(&[0]));
    }

    #[test]
    fn what_is_tapped_from_a_donor_answers_to_the_donor() {
        let (circuit, influence) = with(
            "battery G1\nearth X1\ndonor E9 lamp_w=55\nswitch S1\nlamp E1 watts=5\nwire w1 E9.feed S1.in mm2=1 m=1\nwire w2 S1.out E1.1 mm2=1 m=1\nwire w3 E1.2 X1.1 mm2=1 m=1",
        );
        for (branch, _) in circuit.loads().skip(1) {
            assert_eq!(influence.on_branch(&circuit, branch).inputs.len(), 2);
        }
    }

    #[test]
    fn cones_that_share_an_input_become_one() {
        let cone = |inputs: &[usize]| Cone { inputs: inputs.iter().copied().collect(), ..Cone::default() };
        let mut cones = Vec::new();
        for inputs in [&[1, 2][..], &[3], &[4, 5], &[2, 4]] {
            gather(&mut cones, cone(inputs));
        }
        assert_eq!(cones, [cone(&[3]), cone(&[1, 2, 4, 5])]);
    }
}
