//! One corpus network solved three ways: by the engine, without rounding, and by a linear-algebra crate.

use std::fmt;

use engine::solve::linear::{Factor, Pattern};
use nalgebra::{DMatrix, DVector};
use suite::networks::{Network, corpus};

use crate::exact::{Equations, Exact};

/// The largest differences over some networks.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Networks compared.
    pub n_networks: usize,
    /// Parts with a way to the reference.
    pub n_grounded: usize,
    /// Parts without.
    pub n_floating: usize,
    /// Voltages compared with the exact ones.
    pub n_volts: usize,
    /// Networks in which the engine counted other floating parts than there are.
    pub n_miscounted: usize,
    /// Engine against exact, no injected current negative: difference over the voltage itself.
    pub raising: f64,
    /// Engine against exact, injected currents of either sign: difference over the voltage that the same currents
    /// would give if none were negative. What cancels between two sources cannot be known better by anyone.
    pub mixed: f64,
    /// The same within floating parts, as voltages against one of their nodes.
    pub floating: f64,
    /// Crate against exact, as [`Tally::raising`].
    pub outside_raising: f64,
    /// Grounded parts in which the crate is off by more than a millionth of a voltage, or gives up.
    pub n_outside_lost: usize,
    /// Engine against crate: difference over the largest voltage of the part.
    pub between: f64,
    /// The same, over parts whose condition lets the crate keep nine figures.
    pub between_tame: f64,
    /// Such parts.
    pub n_tame: usize,
    /// Engine against crate, over what rounding in the crate's method may amount to. Above one, the difference
    /// cannot be explained by rounding.
    pub over_bound: f64,
}

/// Compares the corpus networks with these numbers.
pub fn compare(numbers: impl IntoIterator<Item = u64>) -> Tally {
    let mut tally = Tally::default();
    for number in numbers {
        tally.add(&corpus(number));
    }
    tally
}

/// The engine's voltages for injected currents, and how many parts it found floating.
fn by_engine(network: &Network, currents: &[f64]) -> (Vec<f64>, usize) {
    let pattern = Pattern::new(network.n_nodes, &network.edges);
    let mut factor = Factor::default();
    pattern.factor(&network.conductance, &network.ground, &mut factor);
    assert!(!factor.has_negative_pivot(), "conductances are not negative");
    let mut volts = currents.to_vec();
    pattern.solve(&factor, &mut volts, &mut Vec::new());
    (volts, factor.n_floating())
}

/// The matrix of the equations of `nodes`, its diagonal added up in double precision as the crate's user would.
fn matrix(network: &Network, nodes: &[usize]) -> DMatrix<f64> {
    let mut matrix = DMatrix::zeros(nodes.len(), nodes.len());
    let row = |node: usize| nodes.iter().position(|other| *other == node);
    for (i, node) in nodes.iter().enumerate() {
        matrix[(i, i)] += network.ground[*node];
    }
    for (&(a, b), &conductance) in network.edges.iter().zip(&network.conductance) {
        if let (Some(a), Some(b)) = (row(a), row(b))
            && a != b
        {
            matrix[(a, a)] += conductance;
            matrix[(b, b)] += conductance;
            matrix[(a, b)] -= conductance;
            matrix[(b, a)] -= conductance;
        }
    }
    matrix
}

fn over(difference: f64, size: f64) -> f64 {
    if difference == 0.0 { 0.0 } else { difference.abs() / size }
}

impl Tally {
    fn add(&mut self, network: &Network) {
        self.n_networks += 1;
        let (raising, n_floating) = by_engine(network, &network.raising);
        let (mixed, _) = by_engine(network, &network.mixed);
        let floating = network.parts.iter().filter(|part| !network.is_grounded(part)).count();
        if floating != n_floating {
            self.n_miscounted += 1;
        }
        for part in &network.parts {
            if network.is_grounded(part) {
                self.add_grounded(network, part, &raising, &mixed);
            } else {
                self.add_floating(network, part, &mixed);
            }
        }
    }

    fn add_grounded(&mut self, network: &Network, part: &[usize], raising: &[f64], mixed: &[f64]) {
        self.n_grounded += 1;
        let sides = [
            of(part, &network.raising),
            of(part, &network.mixed),
            of(part, &network.mixed).into_iter().map(f64::abs).collect(),
            vec![1.0; part.len()],
        ];
        let exact = Equations::new(network, part).solve(&sides);
        for (i, node) in part.iter().enumerate() {
            self.n_volts += 2;
            let size = exact.volts(0, i);
            self.raising = self.raising.max(over(exact.off_by(raising[*node], 0, i), size));
            let size = exact.volts(2, i);
            self.mixed = self.mixed.max(over(exact.off_by(mixed[*node], 1, i), size));
        }
        self.add_outside(network, part, &exact, [raising, mixed]);
    }

    fn add_outside(&mut self, network: &Network, part: &[usize], exact: &Exact, engine: [&[f64]; 2]) {
        let matrix = matrix(network, part);
        let norm = matrix.row_iter().map(|row| row.iter().map(|g| g.abs()).sum()).fold(0.0, f64::max);
        // The inverse of such a matrix has no negative entries, so its row sums are the solution for all ones.
        let inverse_norm = (0..part.len()).map(|i| exact.volts(3, i)).fold(0.0, f64::max);
        // Elimination with pivoting is wrong by at most a small multiple of n times condition times the unit
        // roundoff (Higham 2002, theorem 9.5, with the growth factor of a diagonally dominant matrix, at most 2).
        let allowed = 8.0 * part.len() as f64 * 0.5 * f64::EPSILON * norm * inverse_norm;
        let lu = matrix.lu();
        let mut lost = false;
        for (side, (currents, engine)) in
            [&network.raising, &network.mixed].into_iter().zip(engine).enumerate()
        {
            let Some(outside) = lu.solve(&DVector::from_vec(of(part, currents))) else {
                lost = true;
                continue;
            };
            let largest = (0..part.len()).map(|i| exact.volts(side, i).abs()).fold(0.0, f64::max);
            for (i, node) in part.iter().enumerate() {
                let between = over(outside[i] - engine[*node], largest);
                self.between = self.between.max(between);
                self.over_bound = self.over_bound.max(over(between, allowed));
                if allowed <= 1e-9 {
                    self.between_tame = self.between_tame.max(between);
                }
                if side == 0 {
                    let off = over(exact.off_by(outside[i], side, i), exact.volts(side, i));
                    self.outside_raising = self.outside_raising.max(off);
                    lost |= off > 1e-6;
                }
            }
        }
        self.n_tame += usize::from(allowed <= 1e-9);
        self.n_outside_lost += usize::from(lost);
    }

    fn add_floating(&mut self, network: &Network, part: &[usize], mixed: &[f64]) {
        self.n_floating += 1;
        // The engine puts one node of the part at nought.
        let zero = part.iter().position(|node| mixed[*node] == 0.0);
        let zero = zero.expect("a floating part has a node at nought");
        let mut others = part.to_vec();
        others.remove(zero);
        let currents = of(&others, &network.mixed);
        let sizes = currents.iter().map(|amps| amps.abs()).collect();
        let exact = Equations::new(network, &others).solve(&[currents, sizes]);
        for (i, node) in others.iter().enumerate() {
            self.n_volts += 1;
            self.floating = self.floating.max(over(exact.off_by(mixed[*node], 0, i), exact.volts(1, i)));
        }
    }
}

fn of(part: &[usize], values: &[f64]) -> Vec<f64> {
    part.iter().map(|node| values[*node]).collect()
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} networks: {} parts with a reference, {} without, {} voltages compared",
            self.n_networks, self.n_grounded, self.n_floating, self.n_volts
        )?;
        writeln!(f, "floating parts miscounted in {} networks", self.n_miscounted)?;
        writeln!(f, "largest difference, engine against exact, relative to the voltage itself:")?;
        writeln!(f, "  no injected current negative     {:.2e}", self.raising)?;
        writeln!(f, "  either sign, before cancelling   {:.2e}", self.mixed)?;
        writeln!(f, "  within floating parts            {:.2e}", self.floating)?;
        writeln!(f, "largest difference, engine against LU of the crate, relative to the largest voltage:")?;
        writeln!(f, "  all parts                        {:.2e}", self.between)?;
        writeln!(f, "  {:4} parts of low condition      {:.2e}", self.n_tame, self.between_tame)?;
        writeln!(f, "  over the crate's rounding bound  {:.2e}", self.over_bound)?;
        writeln!(
            f,
            "crate against exact: largest {:.2e}, above 1e-6 in {} parts",
            self.outside_raising, self.n_outside_lost
        )
    }
}
