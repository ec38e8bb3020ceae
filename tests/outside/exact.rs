//! Networks solved without any rounding, in whole numbers.
//!
//! Every double is a whole number times a power of two, so the equations of a network can be scaled to whole
//! numbers and eliminated without fractions (Bareiss 1968). Nothing here shares a step with the engine: the full
//! matrix with its diagonal is made, and eliminated in the order of the nodes.

use num_bigint::{BigInt, Sign};
use suite::networks::Network;

/// Voltages of one part of a network as quotients of whole numbers.
pub struct Exact {
    /// Numerators by node of the part, for each right-hand side.
    volts: Vec<Vec<BigInt>>,
    denominator: BigInt,
}

/// The equations of some nodes, scaled to whole numbers.
pub struct Equations {
    /// Powers of two by which the whole numbers are too large.
    scale: i32,
    matrix: Vec<Vec<BigInt>>,
}

/// A double as `mantissa * 2^exponent`.
fn parts(value: f64) -> (i64, i32) {
    let bits = value.to_bits();
    let exponent = ((bits >> 52) & 0x7FF) as i32;
    let fraction = (bits & ((1 << 52) - 1)) as i64;
    let mantissa = if exponent == 0 { fraction << 1 } else { fraction | (1 << 52) };
    (if value < 0.0 { -mantissa } else { mantissa }, exponent - 1075)
}

fn whole(value: f64, scale: i32) -> BigInt {
    let (mantissa, exponent) = parts(value);
    if mantissa == 0 { BigInt::ZERO } else { BigInt::from(mantissa) << (exponent + scale) }
}

impl Equations {
    /// The equations of `nodes`, which are joined with no other node by any conductance except with those left out
    /// on purpose: leaving out a node makes it the reference.
    pub fn new(network: &Network, nodes: &[usize]) -> Equations {
        let used =
            network.conductance.iter().chain(&network.ground).chain(&network.raising).chain(&network.mixed);
        // One is among the right-hand sides.
        let least = used.chain([&1.0]).filter(|value| **value != 0.0).map(|value| parts(*value).1).min();
        let scale = -least.expect("one is not nought").min(0);
        let mut row = vec![usize::MAX; network.n_nodes];
        for (i, node) in nodes.iter().enumerate() {
            row[*node] = i;
        }
        let mut matrix = vec![vec![BigInt::ZERO; nodes.len()]; nodes.len()];
        for (i, node) in nodes.iter().enumerate() {
            matrix[i][i] += whole(network.ground[*node], scale);
        }
        for (&(a, b), &conductance) in network.edges.iter().zip(&network.conductance) {
            if a == b || conductance == 0.0 {
                continue;
            }
            let conductance = whole(conductance, scale);
            for (one, other) in [(row[a], row[b]), (row[b], row[a])] {
                if one != usize::MAX {
                    matrix[one][one] += &conductance;
                    if other != usize::MAX {
                        matrix[one][other] -= &conductance;
                    }
                }
            }
        }
        Equations { scale, matrix }
    }

    /// The exact solution for each of `sides`, given by node of the part.
    ///
    /// Panics when the equations have none, or when the solution put back does not give the sides to the last bit.
    pub fn solve(&self, sides: &[Vec<f64>]) -> Exact {
        let n = self.matrix.len();
        let mut rows: Vec<Vec<BigInt>> = self.matrix.clone();
        for (i, row) in rows.iter_mut().enumerate() {
            row.extend(sides.iter().map(|side| whole(side[i], self.scale)));
        }
        let width = n + sides.len();
        let mut before = BigInt::from(1);
        for k in 0..n {
            assert!(rows[k][k] != BigInt::ZERO, "the network has a part without reference");
            let (done, rest) = rows.split_at_mut(k + 1);
            let pivot = &done[k];
            for row in rest {
                let factor = std::mem::take(&mut row[k]);
                for j in k + 1..width {
                    let mut value = &row[j] * &pivot[k];
                    if factor != BigInt::ZERO && pivot[j] != BigInt::ZERO {
                        value -= &factor * &pivot[j];
                    }
                    row[j] = value / &before;
                }
            }
            before = rows[k][k].clone();
        }
        let denominator = before;
        let volts: Vec<Vec<BigInt>> = (0..sides.len())
            .map(|side| {
                let mut volts = vec![BigInt::ZERO; n];
                for i in (0..n).rev() {
                    let mut sum = &rows[i][n + side] * &denominator;
                    for j in i + 1..n {
                        sum -= &rows[i][j] * &volts[j];
                    }
                    volts[i] = sum / &rows[i][i];
                }
                volts
            })
            .collect();
        for (side, volts) in sides.iter().zip(&volts) {
            for (row, value) in self.matrix.iter().zip(side) {
                let sum: BigInt = row.iter().zip(volts).map(|(g, v)| g * v).sum();
                assert!(sum == whole(*value, self.scale) * &denominator, "exact elimination is exact");
            }
        }
        Exact { volts, denominator }
    }
}

impl Exact {
    /// The voltage of the node at `index` of the part, rounded once.
    pub fn volts(&self, side: usize, index: usize) -> f64 {
        quotient(&self.volts[side][index], &self.denominator)
    }

    /// `value` less the exact voltage, rounded once.
    pub fn off_by(&self, value: f64, side: usize, index: usize) -> f64 {
        let (mantissa, exponent) = parts(value);
        let shift = exponent.unsigned_abs();
        let (mantissa, volts) = (BigInt::from(mantissa) * &self.denominator, &self.volts[side][index]);
        if exponent < 0 {
            quotient(&(mantissa - (volts << shift)), &(&self.denominator << shift))
        } else {
            quotient(&((mantissa << shift) - volts), &self.denominator)
        }
    }
}

/// A quotient of whole numbers as a double, right to about the last bit.
fn quotient(numerator: &BigInt, denominator: &BigInt) -> f64 {
    if numerator.sign() == Sign::NoSign {
        return 0.0;
    }
    // Shifted so that the whole part of the quotient has 64 bits or a few more.
    let shift = 64 + denominator.bits() as i64 - numerator.bits() as i64;
    let whole =
        if shift >= 0 { (numerator << shift) / denominator } else { numerator / (denominator << -shift) };
    let (sign, digits) = whole.to_u64_digits();
    let size = digits.iter().rev().fold(0.0, |sum, digit| sum * 18_446_744_073_709_551_616.0 + *digit as f64);
    let size = size * 2f64.powi((-shift) as i32);
    if sign == Sign::Minus { -size } else { size }
}

#[test]
fn quotients_are_rounded_once() {
    for (a, b) in [(1i64, 3i64), (-2, 7), (10, 5), (1, 1 << 40), (7 << 50, 3)] {
        let expected = a as f64 / b as f64;
        let got = quotient(&BigInt::from(a), &BigInt::from(b));
        assert!((got / expected - 1.0).abs() < 3e-16, "{a}/{b}: {got}");
    }
}

#[test]
fn doubles_are_taken_apart_without_loss() {
    for value in [1.0, -0.1, 1e-6, 123_456.789, f64::MIN_POSITIVE, 5e-324] {
        let (mantissa, exponent) = parts(value);
        assert_eq!(mantissa as f64 * 2f64.powi(exponent / 2) * 2f64.powi(exponent - exponent / 2), value);
    }
}
