//! Random networks of conductances, for comparing solutions of the engine with others.

use crate::chance::Chance;

/// A network of conductances between nodes, and from nodes to the reference.
#[derive(Clone, Debug)]
pub struct Network {
    /// Number of nodes besides the reference.
    pub n_nodes: usize,
    /// Which nodes each conductance joins; two edges may join the same nodes.
    pub edges: Vec<(usize, usize)>,
    /// Siemens by edge; nought is an open contact.
    pub conductance: Vec<f64>,
    /// Siemens from each node to the reference.
    pub ground: Vec<f64>,
    /// Nodes by part: parts are not joined with each other.
    pub parts: Vec<Vec<usize>>,
    /// Amperes into each node, none of them negative: sources with their negative pole on the reference.
    pub raising: Vec<f64>,
    /// Amperes into each node, of either sign: sources anywhere and any way round.
    pub mixed: Vec<f64>,
}

impl Network {
    /// Whether `part` has a way to the reference.
    pub fn is_grounded(&self, part: &[usize]) -> bool {
        part.iter().any(|node| self.ground[*node] > 0.0)
    }
}

/// Number of networks in the whole corpus.
pub const CORPUS: u64 = 1000;

/// The corpus network with this number: 2 to 60 nodes in one to three parts, trees with chords, conductances
/// spread evenly over twelve decades, one to four ways to the reference or none.
pub fn corpus(number: u64) -> Network {
    let mut chance = Chance::new(number.wrapping_mul(0xA076_1D64_78BD_642F) ^ 0x5EED);
    let n_nodes = chance.whole(2, 60);
    let n_parts = chance.whole(1, 3.min(n_nodes));
    let mut network = Network {
        n_nodes,
        edges: Vec::new(),
        conductance: Vec::new(),
        ground: vec![0.0; n_nodes],
        parts: vec![Vec::new(); n_parts],
        raising: vec![0.0; n_nodes],
        mixed: vec![0.0; n_nodes],
    };
    // The first nodes are one for each part, so that no part is empty; nodes of different parts mix in numbering.
    for node in 0..n_nodes {
        let part = if node < n_parts { node } else { chance.whole(0, n_parts - 1) };
        network.parts[part].push(node);
    }
    for part in network.parts.clone() {
        join(&mut network, &mut chance, &part);
    }
    // Open contacts join anything with anything, and nothing with nothing.
    for _ in 0..chance.whole(0, 4) {
        let (a, b) = (chance.whole(0, n_nodes - 1), chance.whole(0, n_nodes - 1));
        network.edges.push((a, b));
        network.conductance.push(0.0);
    }
    network
}

fn join(network: &mut Network, chance: &mut Chance, part: &[usize]) {
    let some = |chance: &mut Chance| part[chance.whole(0, part.len() - 1)];
    for i in 1..part.len() {
        let earlier = part[chance.whole(0, i - 1)];
        network.edges.push((part[i], earlier));
        network.conductance.push(chance.decades(-6.0, 6.0));
    }
    for _ in 0..chance.whole(0, part.len() / 2) {
        let (a, b) = (some(chance), some(chance));
        network.edges.push((a, b));
        network.conductance.push(chance.decades(-6.0, 6.0));
    }
    if chance.once_in(4) {
        let (a, b) = (some(chance), some(chance));
        let amps = chance.decades(-3.0, 3.0);
        network.mixed[a] += amps;
        network.mixed[b] -= amps;
        return;
    }
    for _ in 0..chance.whole(1, 4) {
        let node = some(chance);
        let conductance = chance.decades(-6.0, 6.0);
        network.ground[node] += conductance;
        network.raising[node] += chance.between(10.0, 30.0) * conductance;
    }
    for _ in 0..chance.whole(0, 3) {
        let (node, amps) = (some(chance), chance.decades(-3.0, 3.0));
        network.raising[node] += amps;
    }
    for _ in 0..chance.whole(1, 6) {
        let amps = chance.decades(-3.0, 3.0);
        network.mixed[some(chance)] += amps;
        network.mixed[some(chance)] -= amps;
    }
}

/// A network as installations have them: a tree of `n_nodes` nodes with a few chords, one stiff source at the root
/// and loads to the reference at a third of the nodes.
pub fn near_tree(n_nodes: usize, n_chords: usize, seed: u64) -> Network {
    let mut chance = Chance::new(seed);
    let mut network = Network {
        n_nodes,
        edges: Vec::new(),
        conductance: Vec::new(),
        ground: vec![0.0; n_nodes],
        parts: vec![(0..n_nodes).collect()],
        raising: vec![0.0; n_nodes],
        mixed: vec![0.0; n_nodes],
    };
    for node in 1..n_nodes {
        // A short reach back makes long runs with branches, as wires do.
        let earlier = node - 1 - chance.whole(0, 7.min(node - 1));
        network.edges.push((node, earlier));
        network.conductance.push(chance.between(1.0, 1000.0));
        if chance.once_in(3) {
            network.ground[node] = chance.between(0.01, 1.0);
        }
    }
    for _ in 0..n_chords {
        let (a, b) = (chance.whole(0, n_nodes - 1), chance.whole(0, n_nodes - 1));
        network.edges.push((a, b));
        network.conductance.push(chance.between(1.0, 1000.0));
    }
    network.ground[0] += 100.0;
    network.raising[0] = 1260.0;
    network
}

/// A chain of fifty nodes whose links are 1 nanoohm and 10 megohm in turn, fed with 12.6 V through the first and
/// loaded by 1 gigaohm at the end; and the voltage at that end, which is known because the chain is one series
/// circuit.
pub fn twenty_decades() -> (Network, f64) {
    let n_nodes = 50;
    let ohm = |i: usize| if i.is_multiple_of(2) { 1e-9 } else { 1e7 };
    let mut network = Network {
        n_nodes,
        edges: (1..n_nodes).map(|i| (i - 1, i)).collect(),
        conductance: (1..n_nodes).map(|i| 1.0 / ohm(i)).collect(),
        ground: vec![0.0; n_nodes],
        parts: vec![(0..n_nodes).collect()],
        raising: vec![0.0; n_nodes],
        mixed: vec![0.0; n_nodes],
    };
    network.ground[0] = 1.0 / ohm(0);
    network.ground[n_nodes - 1] = 1e-9;
    network.raising[0] = 12.6 / ohm(0);
    let series: f64 = (0..n_nodes).map(ohm).sum();
    (network, 12.6 * 1e9 / (series + 1e9))
}
