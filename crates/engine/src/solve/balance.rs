//! Currents from voltages, and what remains when both are put back into the laws.

use crate::circuit::{CHASSIS, NetIndex};
use crate::kind::Law;
use crate::solve::law::Companion;
use crate::solve::newton::{Islands, Run};
use crate::solve::steady::Balance;

/// Branches of at least this conductance, in siemens, get their current from the sum at their net,
/// because the voltage across them is lost in the rounding of the potentials at their ends.
const STIFF: f64 = 500.0;

impl Run<'_, '_> {
    /// Amperes of each branch, from its first net to its second.
    pub fn currents(&self) -> Vec<f64> {
        let circuit = self.bench.circuit;
        let mut amps = vec![0.0; circuit.branches.len()];
        let mut sum = vec![0.0; circuit.nets.len()];
        // Stiff branches whose current is not known yet, and how many of them end on each net.
        let mut waiting = vec![false; circuit.branches.len()];
        let mut open = vec![0_usize; circuit.nets.len()];
        for (index, branch) in circuit.branches.iter().enumerate() {
            if !self.closed[index] || branch.from == branch.to {
                continue;
            }
            let Companion { conductance, offset } = self.companions[index];
            if conductance >= STIFF {
                waiting[index] = true;
                open[branch.from] += 1;
                open[branch.to] += 1;
                continue;
            }
            amps[index] = conductance * self.across(index) + offset;
            sum[branch.from] -= amps[index];
            sum[branch.to] += amps[index];
        }
        // A net with one stiff branch left: that branch carries what the others bring.
        let mut ready: Vec<NetIndex> = (1..circuit.nets.len()).filter(|net| open[*net] == 1).collect();
        let mut settle = |index: usize, current: f64, sum: &mut [f64], open: &mut [usize]| {
            let branch = &circuit.branches[index];
            amps[index] = current;
            sum[branch.from] -= current;
            sum[branch.to] += current;
            open[branch.from] -= 1;
            open[branch.to] -= 1;
        };
        while let Some(net) = ready.pop() {
            let Some(&index) = circuit.at[net].iter().find(|index| waiting[**index]) else { continue };
            waiting[index] = false;
            let branch = &circuit.branches[index];
            let (current, far) =
                if branch.from == net { (sum[net], branch.to) } else { (-sum[net], branch.from) };
            settle(index, current, &mut sum, &mut open);
            if far != CHASSIS && open[far] == 1 {
                ready.push(far);
            }
        }
        for index in (0..waiting.len()).filter(|index| waiting[*index]) {
            let Companion { conductance, offset } = self.companions[index];
            settle(index, conductance * self.across(index) + offset, &mut sum, &mut open);
        }
        amps
    }

    /// How well the currents add up.
    pub fn balance(&self, amps: &[f64], islands: &Islands) -> Balance {
        let circuit = self.bench.circuit;
        let mut sum = vec![0.0; circuit.nets.len()];
        let mut size = vec![0.0; circuit.nets.len()];
        let (mut power, mut turnover, mut noise) = (0.0, 0.0, 0.0);
        let mut agrees = true;
        let scale = self.volts.iter().fold(1.0, |most: f64, v| most.max(v.abs()));
        for (index, branch) in circuit.branches.iter().enumerate() {
            let current = amps[index];
            sum[branch.from] -= current;
            sum[branch.to] += current;
            // The most that rounding of the two potentials can do to this current.
            let rounding = 8.0 * f64::EPSILON * scale * self.companions[index].conductance.abs();
            size[branch.from] += current.abs() + rounding / 1e-9;
            size[branch.to] += current.abs() + rounding / 1e-9;
            noise += rounding * scale;
            power += self.across(index) * current;
            turnover += (self.across(index) * current).abs();
            if let Some(Law::Resistance(ohm)) = self.bench.laws[index]
                && self.closed[index]
            {
                let expected = current * ohm.get();
                agrees &= (expected - self.across(index)).abs()
                    <= 1e-9 * expected.abs() + 64.0 * f64::EPSILON * scale;
            }
        }
        let worst = |net: usize| -> f64 { sum[net].abs() };
        let current_a = (1..sum.len()).map(worst).fold(0.0, f64::max);
        let kirchhoff = (1..sum.len()).all(|net| sum[net].abs() <= 1e-9 * size[net] + 1e-12);
        let tellegen = power.abs() <= 1e-9 * turnover + noise + 1e-12;
        // Every island without a zero shows as exactly one pivot of nought.
        let floats = self.factor.n_floating() == islands.n_undefined;
        Balance { current_a, power_w: power, holds: kirchhoff && tellegen && agrees && floats }
    }
}
