//! Linear networks by star-mesh elimination.
//!
//! Eliminating a node replaces the star of conductances around it by a mesh between its
//! neighbors. With `c` the conductances between nodes, `s` those to the reference and `b` the
//! injected currents, node `k` with `d = s_k + sum_j c_kj` goes by
//!
//! ```text
//! c_ij += c_ki c_kj / d      s_i += c_ki s_k / d      b_i += c_ki b_k / d
//! v_k = (b_k + sum_j c_kj v_j) / d
//! ```
//!
//! No subtraction occurs as long as conductances are not negative, so every entry of the factor
//! keeps its relative accuracy whatever the ratio of the conductances: a milliohm beside ten
//! megohm does no harm, and `d` is exactly nought if and only if the node has no way to the
//! reference. (The idea is that of Grassmann, Taksar and Heyman 1985 for Markov chains.)
//!
//! The order of elimination is by least degree (`order`). Its last nodes are all neighbors of each other: there a
//! column is added to later ones as they lie, where before that each pair of rows has its target on record.

use std::ops::Range;

use super::order::Order;

/// The structure of a network: which nodes are joined, and in which order they are eliminated.
///
/// Made once; conductances may change as often as needed, an open contact being an edge of
/// conductance nought.
#[derive(Clone, Debug)]
pub struct Pattern {
    n_nodes: usize,
    /// Place in the order of elimination, by node.
    place: Vec<u32>,
    /// Where each column starts in `rows`; columns are in order of elimination.
    start: Vec<usize>,
    /// Later neighbors of each column, as places, rising within a column.
    rows: Vec<u32>,
    /// For each column before the dense ones and each pair of its rows, in order, the entry that the pair adds to.
    targets: Vec<u32>,
    /// From this column on, each has all later ones as its rows.
    dense_from: usize,
    /// The entry of `rows` by edge; `None` for an edge from a node to itself.
    entry_of_edge: Vec<Option<u32>>,
}

/// A network eliminated: the factor for one set of conductances.
#[derive(Clone, Debug, Default)]
pub struct Factor {
    conductance: Vec<f64>,
    ground: Vec<f64>,
    pivot: Vec<f64>,
    /// Nodes with no way to the reference, by place.
    n_floating: usize,
    negative: bool,
}

impl Factor {
    /// How many nodes were found without a way to the reference when their turn came: one for each
    /// part of the network that floats.
    pub fn n_floating(&self) -> usize {
        self.n_floating
    }

    /// Whether a pivot was negative, which only negative conductances can cause.
    pub fn has_negative_pivot(&self) -> bool {
        self.negative
    }
}

impl Factor {
    /// Takes the pivot of the column `k` from the entries it has by now; `None` where its node floats.
    #[inline]
    fn take_pivot(&mut self, k: usize, column: Range<usize>) -> Option<f64> {
        let pivot = self.ground[k] + self.conductance[column].iter().sum::<f64>();
        self.pivot[k] = pivot;
        if pivot == 0.0 {
            self.n_floating += 1;
            return None;
        }
        self.negative |= pivot < 0.0;
        Some(pivot)
    }
}

impl Pattern {
    /// The structure of `n_nodes` nodes, besides the reference, joined by `edges`.
    pub fn new(n_nodes: usize, edges: &[(usize, usize)]) -> Pattern {
        let Order { nodes, start, neighbors, dense_from } = Order::by_least_degree(n_nodes, edges);
        let mut place = vec![0; n_nodes];
        for (k, node) in nodes.iter().enumerate() {
            place[*node as usize] = k as u32;
        }
        let mut rows: Vec<u32> = neighbors.iter().map(|node| place[*node as usize]).collect();
        for k in 0..dense_from {
            rows[start[k]..start[k + 1]].sort_unstable();
        }
        let mut targets = Vec::new();
        for k in 0..dense_from {
            let column = &rows[start[k]..start[k + 1]];
            for (i, &a) in column.iter().enumerate() {
                // The rest of this column lies in the later one, both rising: one walk along it finds all.
                let mut at = start[a as usize];
                for &b in &column[i + 1..] {
                    while rows[at] != b {
                        at += 1;
                    }
                    targets.push(at as u32);
                }
            }
        }
        let entry = |column: u32, row: u32| -> u32 {
            let (from, to) = (start[column as usize], start[column as usize + 1]);
            let within = rows[from..to].binary_search(&row).expect("fill-in was recorded during ordering");
            (from + within) as u32
        };
        let entry_of_edge = edges
            .iter()
            .map(|&(a, b)| {
                (a != b).then(|| {
                    let (a, b) = (place[a], place[b]);
                    entry(a.min(b), a.max(b))
                })
            })
            .collect();
        Pattern { n_nodes, place, start, rows, targets, dense_from, entry_of_edge }
    }

    /// Number of nodes besides the reference.
    pub fn n_nodes(&self) -> usize {
        self.n_nodes
    }

    /// When each node is eliminated, counted from nought.
    pub fn places(&self) -> &[u32] {
        &self.place
    }

    /// Eliminates the network with `edge` conductances between nodes, in the order of the edges
    /// given to [`Pattern::new`], and `ground` conductances from each node to the reference.
    pub fn factor(&self, edge: &[f64], ground: &[f64], factor: &mut Factor) {
        factor.conductance.clear();
        factor.conductance.resize(self.rows.len(), 0.0);
        for (entry, conductance) in self.entry_of_edge.iter().zip(edge) {
            if let Some(entry) = entry {
                factor.conductance[*entry as usize] += conductance;
            }
        }
        factor.ground.clear();
        factor.ground.resize(self.n_nodes, 0.0);
        for (place, conductance) in self.place.iter().zip(ground) {
            factor.ground[*place as usize] = *conductance;
        }
        factor.pivot.clear();
        factor.pivot.resize(self.n_nodes, 0.0);
        factor.n_floating = 0;
        factor.negative = false;
        let mut pair = 0;
        for k in 0..self.dense_from {
            let (from, to) = (self.start[k], self.start[k + 1]);
            let Some(pivot) = factor.take_pivot(k, from..to) else {
                pair += pairs(to - from);
                continue;
            };
            let ground = factor.ground[k];
            // What a column adds to lies in later columns, so it is read from one half and added to the other.
            let (done, later) = factor.conductance.split_at_mut(to);
            let column = &done[from..];
            for (i, (conductance, row)) in column.iter().zip(&self.rows[from..to]).enumerate() {
                let rest = &column[i + 1..];
                let targets = &self.targets[pair..pair + rest.len()];
                pair += rest.len();
                // An open contact adds nothing.
                if *conductance == 0.0 {
                    continue;
                }
                let share = conductance / pivot;
                factor.ground[*row as usize] += share * ground;
                for (other, target) in rest.iter().zip(targets) {
                    later[*target as usize - to] += share * other;
                }
            }
        }
        for k in self.dense_from..self.n_nodes {
            let (from, to) = (self.start[k], self.start[k + 1]);
            let Some(pivot) = factor.take_pivot(k, from..to) else { continue };
            let ground = factor.ground[k];
            let (done, later) = factor.conductance.split_at_mut(to);
            let column = &done[from..];
            // The columns to add to follow each other, each one shorter than the one before.
            let mut later = later.iter_mut();
            for (i, conductance) in column.iter().enumerate() {
                let share = conductance / pivot;
                factor.ground[k + 1 + i] += share * ground;
                for (other, entry) in column[i + 1..].iter().zip(&mut later) {
                    *entry += share * other;
                }
            }
        }
    }

    /// Node voltages for currents injected into each node; `volts` holds the currents on entry.
    ///
    /// A floating part of the network gets nought volts at the node eliminated last; only voltages
    /// within it mean anything, and its injected currents must add up to nought.
    pub fn solve(&self, factor: &Factor, volts: &mut [f64], work: &mut Vec<f64>) {
        work.clear();
        work.resize(self.n_nodes, 0.0);
        for (place, current) in self.place.iter().zip(volts.iter()) {
            work[*place as usize] = *current;
        }
        for k in 0..self.n_nodes {
            let pivot = factor.pivot[k];
            if pivot == 0.0 {
                continue;
            }
            let share = work[k] / pivot;
            if share == 0.0 {
                continue;
            }
            let column = self.start[k]..self.start[k + 1];
            for (row, conductance) in self.rows[column.clone()].iter().zip(&factor.conductance[column]) {
                work[*row as usize] += conductance * share;
            }
        }
        for k in (0..self.n_nodes).rev() {
            let pivot = factor.pivot[k];
            if pivot == 0.0 {
                work[k] = 0.0;
                continue;
            }
            let mut current = work[k];
            let column = self.start[k]..self.start[k + 1];
            for (row, conductance) in self.rows[column.clone()].iter().zip(&factor.conductance[column]) {
                current += conductance * work[*row as usize];
            }
            work[k] = current / pivot;
        }
        for (place, volts) in self.place.iter().zip(volts.iter_mut()) {
            *volts = work[*place as usize];
        }
    }

    /// The entries of the inverse at each node with itself, and at the two ends of each edge.
    ///
    /// With a current of one ampere injected at node `a`, the entry of `a` and `b` is the voltage of `b`; the resistance
    /// between two nodes is the sum of their own entries less twice the one they share. Only entries of the pattern are
    /// computed, from the last column to the first (Takahashi, Fagan and Chin 1973), so it takes about as long as
    /// [`Pattern::factor`]:
    ///
    /// ```text
    /// z_ik = sum_j c_kj z_ij / d      z_kk = 1 / d + sum_j c_kj z_jk / d
    /// ```
    ///
    /// Entries of a floating node mean nothing.
    pub fn inverse(&self, factor: &Factor) -> Inverse {
        let mut own = vec![0.0; self.n_nodes];
        let mut shared = vec![0.0; self.rows.len()];
        let mut pairs_end = self.targets.len();
        for k in (0..self.n_nodes).rev() {
            let (from, to) = (self.start[k], self.start[k + 1]);
            let n = to - from;
            let is_dense = k >= self.dense_from;
            let pairs = pairs_end - if is_dense { 0 } else { pairs(n) }..pairs_end;
            pairs_end = pairs.start;
            let pivot = factor.pivot[k];
            if pivot == 0.0 {
                continue;
            }
            let (rows, conductance) = (&self.rows[from..to], &factor.conductance[from..to]);
            let (done, later) = shared.split_at_mut(to);
            let column = &mut done[from..];
            let mut targets = self.targets[pairs].iter();
            for (i, row) in rows.iter().enumerate() {
                column[i] += conductance[i] / pivot * own[*row as usize];
                for j in i + 1..n {
                    let target = if is_dense {
                        self.start[*row as usize] + (j - i - 1)
                    } else {
                        *targets.next().expect("one target for each pair of a column") as usize
                    };
                    let entry = later[target - to];
                    column[i] += conductance[j] / pivot * entry;
                    column[j] += conductance[i] / pivot * entry;
                }
            }
            let seen: f64 = column.iter().zip(conductance).map(|(entry, c)| c / pivot * entry).sum();
            own[k] = 1.0 / pivot + seen;
        }
        let of_edge = |entry: &Option<u32>| entry.map_or(0.0, |entry| shared[entry as usize]);
        Inverse {
            node: self.place.iter().map(|place| own[*place as usize]).collect(),
            edge: self.entry_of_edge.iter().map(of_edge).collect(),
        }
    }
}

/// Entries of the inverse of a network's matrix, in ohms.
#[derive(Clone, Debug)]
pub struct Inverse {
    /// The entry of each node with itself.
    pub node: Vec<f64>,
    /// The entry of the two ends of each edge; nought for an edge from a node to itself.
    pub edge: Vec<f64>,
}

/// How many pairs `n` rows make.
fn pairs(n: usize) -> usize {
    n * n.saturating_sub(1) / 2
}

#[cfg(test)]
mod tests {
    use super::*;

    fn solved(
        n: usize,
        edges: &[(usize, usize, f64)],
        ground: &[f64],
        currents: &[f64],
    ) -> (Vec<f64>, Factor) {
        let pairs: Vec<_> = edges.iter().map(|&(a, b, _)| (a, b)).collect();
        let conductances: Vec<_> = edges.iter().map(|&(_, _, g)| g).collect();
        let pattern = Pattern::new(n, &pairs);
        let mut factor = Factor::default();
        pattern.factor(&conductances, ground, &mut factor);
        let mut volts = currents.to_vec();
        pattern.solve(&factor, &mut volts, &mut Vec::new());
        (volts, factor)
    }

    /// Unbalanced bridge: 12 V behind no resistance is a current into stiff ground conductances here;
    /// the exact potentials are 756/85 and 696/85 V.
    #[test]
    fn a_bridge_that_is_not_series_parallel_comes_out_right() {
        // Nodes: left, right. The top node is held at 12 V, so its resistors act as sources.
        let (g_tl, g_tr, g_lb, g_rb) = (1.0, 0.5, 1.0 / 3.0, 0.25);
        let (volts, _) = solved(2, &[(0, 1, 0.2)], &[g_tl + g_lb, g_tr + g_rb], &[12.0 * g_tl, 12.0 * g_tr]);
        assert!((volts[0] - 756.0 / 85.0).abs() < 1e-13);
        assert!((volts[1] - 696.0 / 85.0).abs() < 1e-13);
    }

    /// Fifty nodes joined by links of 1 nanoohm and 10 megohm in turn, loaded by 1 gigaohm: the voltage
    /// left at the end is known in closed form, because the chain is one series circuit.
    #[test]
    fn twenty_decades_of_resistance_keep_full_accuracy() {
        let n = 50;
        let ohm = |i: usize| if i.is_multiple_of(2) { 1e-9 } else { 1e7 };
        let edges: Vec<_> = (1..n).map(|i| (i - 1, i, 1.0 / ohm(i))).collect();
        let (source, load) = (1.0 / ohm(0), 1e-9);
        let mut ground = vec![0.0; n];
        ground[0] = source;
        ground[n - 1] = load;
        let mut currents = vec![0.0; n];
        currents[0] = 12.6 * source;
        let (volts, _) = solved(n, &edges, &ground, &currents);
        let series: f64 = (0..n).map(ohm).sum();
        let exact = 12.6 * 1e9 / (series + 1e9);
        assert!((volts[n - 1] / exact - 1.0).abs() < 1e-14, "{} against {exact}", volts[n - 1]);
    }

    /// The inverse is what one ampere at each node makes of all voltages, whatever the order of elimination.
    #[test]
    fn the_entries_of_the_inverse_are_the_voltages_of_one_ampere() {
        let n = 7;
        let edges = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (3, 4), (4, 5), (5, 6), (6, 3), (1, 6)];
        let conductances: Vec<f64> = (0..edges.len()).map(|i| 0.3 + 1.7 * i as f64).collect();
        let pattern = Pattern::new(n, &edges);
        let mut factor = Factor::default();
        pattern.factor(&conductances, &[0.2, 0.0, 0.0, 5.0, 0.0, 0.0, 0.1], &mut factor);
        let inverse = pattern.inverse(&factor);
        let one_ampere_at = |node: usize| {
            let mut volts = vec![0.0; n];
            volts[node] = 1.0;
            pattern.solve(&factor, &mut volts, &mut Vec::new());
            volts
        };
        for node in 0..n {
            assert!((inverse.node[node] / one_ampere_at(node)[node] - 1.0).abs() < 1e-13);
        }
        for (edge, (a, b)) in edges.iter().enumerate() {
            assert!((inverse.edge[edge] / one_ampere_at(*a)[*b] - 1.0).abs() < 1e-13);
        }
    }

    #[test]
    fn each_floating_part_gives_exactly_one_zero_pivot() {
        let edges = [(0, 1, 3.0), (2, 3, 0.1), (3, 4, 7.0), (4, 2, 0.3), (1, 2, 0.0)];
        let (volts, factor) =
            solved(6, &edges, &[1.0, 0.0, 0.0, 0.0, 0.0, 0.0], &[1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        // The triangle and the lone node.
        assert_eq!(factor.n_floating(), 2);
        assert!((volts[1] - 1.0).abs() < 1e-15);
    }
}
