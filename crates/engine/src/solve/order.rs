//! In which order the nodes of a network are eliminated: always one of least degree.
//!
//! Wiring is nearly a tree, so nearly all nodes go while they have one neighbor or two: ends of chains first, then
//! series joints, which is series and parallel reduction where the network allows it. Lists of neighbors are best for
//! those. What is left, the core, soon fills with joints between its nodes; there a row of bits for each node makes
//! one elimination a few operations on whole words. Among nodes of equal degree the one of the lowest number goes
//! first, in either form.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Up to how many nodes the core is kept as rows of bits; these many rows are half a megabyte.
const MOST_IN_CORE: usize = 2048;

/// The largest degree that is eliminated from lists once the rest is small enough to be the core.
const FEW: usize = 2;

/// An order of elimination, and what is filled in by it.
#[derive(Clone, Debug, Default)]
pub struct Order {
    /// Nodes in order of elimination.
    pub nodes: Vec<u32>,
    /// Where the neighbors of each node in that order start in `neighbors`, and the end of the last.
    pub start: Vec<usize>,
    /// Neighbors that each node has when its turn comes.
    pub neighbors: Vec<u32>,
    /// From here on in the order, all nodes are neighbors of each other.
    pub dense_from: usize,
}

impl Order {
    /// The order for `n_nodes` nodes joined by `edges`.
    pub fn by_least_degree(n_nodes: usize, edges: &[(usize, usize)]) -> Order {
        let mut order = Order { start: vec![0], ..Order::default() };
        let mut adjacent = neighbors(n_nodes, edges);
        let mut waiting: BinaryHeap<Reverse<(usize, u32)>> =
            adjacent.iter().enumerate().map(|(node, near)| Reverse((near.len(), node as u32))).collect();
        let mut is_left = vec![true; n_nodes];
        let mut merged = Vec::new();
        while let Some(Reverse((degree, node))) = waiting.pop() {
            let n_left = n_nodes - order.nodes.len();
            // An entry whose degree has changed since is out of date; a newer one waits.
            if !is_left[node as usize] || adjacent[node as usize].len() != degree {
                continue;
            }
            if degree > FEW && n_left <= MOST_IN_CORE {
                break;
            }
            is_left[node as usize] = false;
            let near = std::mem::take(&mut adjacent[node as usize]);
            for &a in &near {
                merge(&adjacent[a as usize], &near, node, a, &mut merged);
                std::mem::swap(&mut adjacent[a as usize], &mut merged);
                waiting.push(Reverse((adjacent[a as usize].len(), a)));
            }
            order.push(node, near);
        }
        let core = (0..n_nodes as u32).filter(|node| is_left[*node as usize]).collect();
        order.dense_from = order.nodes.len();
        order.append_core(core, &adjacent);
        order
    }

    fn push(&mut self, node: u32, neighbors: impl IntoIterator<Item = u32>) {
        self.nodes.push(node);
        self.neighbors.extend(neighbors);
        self.start.push(self.neighbors.len());
    }

    /// Eliminates the nodes of the core, given rising, from rows of bits.
    fn append_core(&mut self, core: Vec<u32>, adjacent: &[Vec<u32>]) {
        let mut rows = Rows::new(&core, adjacent);
        let mut left: Vec<usize> = (0..core.len()).collect();
        let mut near = Vec::new();
        while let Some(at) = (0..left.len()).min_by_key(|at| rows.degree[left[*at]]) {
            if rows.degree[left[at]] + 1 == left.len() {
                // All that is left are neighbors of each other: their turn comes by number, and nothing is filled in.
                self.dense_from = self.nodes.len();
                for (i, row) in left.iter().enumerate() {
                    self.push(core[*row], left[i + 1..].iter().map(|row| core[*row]));
                }
                return;
            }
            let row = left.remove(at);
            rows.eliminate(row, &mut near);
            self.push(core[row], near.iter().map(|row| core[*row]));
            self.dense_from = self.nodes.len();
        }
    }
}

/// Which nodes of the core are neighbors, a row of bits for each.
struct Rows {
    /// Words of a row.
    n_words: usize,
    words: Vec<u64>,
    degree: Vec<usize>,
}

impl Rows {
    fn new(core: &[u32], adjacent: &[Vec<u32>]) -> Rows {
        let n_words = core.len().div_ceil(64);
        let mut rows = Rows { n_words, words: vec![0; n_words * core.len()], degree: Vec::new() };
        for (row, node) in core.iter().enumerate() {
            let near = &adjacent[*node as usize];
            for other in near {
                let bit = core.binary_search(other).expect("the neighbors of what is left are left too");
                rows.words[row * n_words + bit / 64] |= 1 << (bit % 64);
            }
            rows.degree.push(near.len());
        }
        rows
    }

    /// Joins the neighbors of `row` with each other and takes the row out of theirs; `near` becomes their list, rising.
    fn eliminate(&mut self, row: usize, near: &mut Vec<usize>) {
        let gone = self.words[row * self.n_words..(row + 1) * self.n_words].to_vec();
        near.clear();
        for (i, word) in gone.iter().enumerate() {
            let mut word = *word;
            while word != 0 {
                near.push(i * 64 + word.trailing_zeros() as usize);
                word &= word - 1;
            }
        }
        for other in near {
            let words = &mut self.words[*other * self.n_words..(*other + 1) * self.n_words];
            for (word, gone) in words.iter_mut().zip(&gone) {
                *word |= gone;
            }
            words[row / 64] &= !(1 << (row % 64));
            words[*other / 64] &= !(1 << (*other % 64));
            self.degree[*other] = words.iter().map(|word| word.count_ones() as usize).sum();
        }
    }
}

/// The neighbors of each node, rising, each once.
fn neighbors(n_nodes: usize, edges: &[(usize, usize)]) -> Vec<Vec<u32>> {
    let mut adjacent = vec![Vec::new(); n_nodes];
    for &(a, b) in edges.iter().filter(|(a, b)| a != b) {
        for (own, other) in [(a, b as u32), (b, a as u32)] {
            let rising: &mut Vec<u32> = &mut adjacent[own];
            if let Err(at) = rising.binary_search(&other) {
                rising.insert(at, other);
            }
        }
    }
    adjacent
}

/// The numbers of two rising lists but for `node` and `own`, each once, rising.
fn merge(one: &[u32], other: &[u32], node: u32, own: u32, merged: &mut Vec<u32>) {
    merged.clear();
    let (mut i, mut j) = (0, 0);
    while i < one.len() || j < other.len() {
        let a = one.get(i).copied().unwrap_or(u32::MAX);
        let b = other.get(j).copied().unwrap_or(u32::MAX);
        let next = a.min(b);
        i += usize::from(a == next);
        j += usize::from(b == next);
        if next != node && next != own {
            merged.push(next);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The order and its fill-in by sets, as the definition says it.
    fn by_definition(n_nodes: usize, edges: &[(usize, usize)]) -> Vec<(u32, Vec<u32>)> {
        use std::collections::BTreeSet;
        let mut near = vec![BTreeSet::new(); n_nodes];
        for &(a, b) in edges.iter().filter(|(a, b)| a != b) {
            near[a].insert(b as u32);
            near[b].insert(a as u32);
        }
        let mut left: BTreeSet<u32> = (0..n_nodes as u32).collect();
        let mut order = Vec::new();
        while let Some(node) = left.iter().copied().min_by_key(|node| near[*node as usize].len()) {
            left.remove(&node);
            let own = std::mem::take(&mut near[node as usize]);
            for a in &own {
                near[*a as usize].extend(&own);
                near[*a as usize].remove(a);
                near[*a as usize].remove(&node);
            }
            order.push((node, own.into_iter().collect()));
        }
        order
    }

    /// Trees, meshes and complete networks in turn, of 1 to 100 nodes, some of several parts.
    #[test]
    fn lists_and_rows_of_bits_give_the_order_of_the_definition() {
        let mut bits = 0x5EED_u64;
        let mut below = |end: usize| {
            bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (bits >> 33) as usize % end
        };
        for round in 0..200 {
            let n_nodes = 1 + below(100);
            let n_edges = [n_nodes, n_nodes + n_nodes / 10, 3 * n_nodes, n_nodes * n_nodes][round % 4];
            let edges: Vec<_> = (0..n_edges).map(|_| (below(n_nodes), below(n_nodes))).collect();
            let order = Order::by_least_degree(n_nodes, &edges);
            let found: Vec<_> = (0..n_nodes)
                .map(|k| (order.nodes[k], order.neighbors[order.start[k]..order.start[k + 1]].to_vec()))
                .collect();
            assert_eq!(found, by_definition(n_nodes, &edges), "round {round}");
            for k in order.dense_from..n_nodes {
                assert_eq!(order.start[k + 1] - order.start[k], n_nodes - 1 - k, "round {round}");
            }
        }
    }
}
