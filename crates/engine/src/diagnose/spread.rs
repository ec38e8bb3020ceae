//! How far readings may be off what is computed, because parts are not exactly what is printed on them.
//!
//! By how much a voltage moves with a conductance follows from the network as it stands: with `z` the voltages for one
//! ampere into the net that is read, and `a`, `b` the ends of the branch, `dv = -(z_a - z_b) di`, where `di` is what the
//! branch would take more at the same voltage. One elimination serves all nets of one state.

use std::collections::BTreeMap;

use super::case::MOST_SOURCES;
use super::variant::ohm_ratio;
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin};
use crate::kind::{Law, Role};
use crate::solve::linear::{Factor, Pattern};
use crate::solve::{Rest, slope};

/// By how much each of the first sources moves a reading, in volts or amperes a volt.
pub(super) type BySource = [f64; MOST_SOURCES];

/// The spread of the readings of one state.
#[derive(Clone, Debug, Default)]
pub(super) struct Spread {
    /// Of the volts of each net against the chassis: variance, and what sources do.
    nets: Vec<(f64, BySource)>,
    /// Of the volts between the nets of each pair.
    pairs: Vec<(f64, BySource)>,
    /// Of the amperes of each branch that is a wire.
    amps: Vec<(f64, BySource)>,
}

/// Tolerances (all common practice, no source): of the length and the strands of a wire, of contacts and joints, of what
/// lamps take, of coils and other loads, of what is inside a source.
pub mod tolerance {
    /// Of the resistance of a wire.
    pub const WIRE: f64 = 0.1;
    /// Of the resistance of a contact, a fuse or a joint.
    pub const CONTACT: f64 = 0.4;
    /// Of the current of a lamp.
    pub const LAMP: f64 = 0.07;
    /// Of the current of any other load, and of a coil.
    pub const LOAD: f64 = 0.1;
    /// Of the inner resistance of a source.
    pub const SOURCE: f64 = 0.3;
    /// What crimps and contacts add or take off, in ohms.
    pub const CRIMP_OHM: f64 = 0.001;
}

/// One standard deviation of the current of a branch at the same voltage, as a share of it.
pub fn share(circuit: &Circuit, branch: usize) -> f64 {
    let own = &circuit.branches[branch];
    let series = |ohm: f64, share: f64| {
        let off = share * ohm;
        (off * off + tolerance::CRIMP_OHM * tolerance::CRIMP_OHM).sqrt() / ohm
    };
    match (own.law, own.role, own.origin) {
        (Some(Law::Resistance(ohm)), _, Origin::Wire(_)) => series(ohm.get(), tolerance::WIRE),
        (Some(Law::Resistance(ohm)), Role::Path | Role::Protection(_), _) => {
            series(ohm.get(), tolerance::CONTACT)
        }
        (Some(Law::Filament { .. }), ..) => tolerance::LAMP,
        (Some(Law::Source { .. }), ..) => tolerance::SOURCE,
        (None, ..) => 0.0,
        _ => tolerance::LOAD,
    }
}

/// The spread of a state of a circuit; `joint` is the branch with a bad joint, and its resistance.
pub(super) fn spread(
    circuit: &Circuit,
    rest: Option<&Rest>,
    joint: Option<(usize, f64)>,
    sources: &[usize],
    pairs: &BTreeMap<(NetIndex, NetIndex), usize>,
) -> Spread {
    let Some(rest) = rest else { return Spread::default() };
    let n_nets = circuit.nets.len();
    let Some(answers) = answers(circuit, rest) else { return Spread::default() };
    let steady = &rest.steady;
    // What may be off: branch by branch, the current it may take more or less.
    let off: Vec<(usize, f64)> = (0..circuit.branches.len())
        .filter_map(|branch| {
            let mut part = share(circuit, branch);
            if let (Some((at, ohm)), Some(Law::Resistance(whole))) = (joint, circuit.branches[branch].law)
                && at == branch
            {
                // Any resistance between this one and the next is as likely: so much is a standard deviation of it.
                part = libm::log(ohm_ratio()) / 12f64.sqrt() * ohm / whole.get();
            }
            let amps = steady.amps(branch) * part;
            (amps.abs() > 1e-9).then_some((branch, amps))
        })
        .collect();
    let across = |z: &[f64], branch: usize| {
        let own = &circuit.branches[branch];
        z[own.from] - z[own.to]
    };
    let by_source = |z: &[f64]| {
        let mut by = BySource::default();
        for (by, source) in by.iter_mut().zip(sources) {
            *by = across(z, *source) * slope(circuit, rest, *source);
        }
        by
    };
    let variance = |z: &[f64]| -> f64 {
        let of = |(branch, amps): &(usize, f64)| {
            let volts = across(z, *branch) * amps;
            volts * volts
        };
        off.iter().map(of).sum()
    };
    let difference = |a: NetIndex, b: NetIndex| -> Vec<f64> {
        answers[a].iter().zip(&answers[b]).map(|(a, b)| a - b).collect()
    };
    let nets = (0..n_nets).map(|net| (variance(&answers[net]), by_source(&answers[net]))).collect();
    let mut of_pairs = vec![(0.0, BySource::default()); pairs.len()];
    for ((a, b), index) in pairs {
        let z = difference(*a, *b);
        of_pairs[*index] = (variance(&z), by_source(&z));
    }
    let amps = (0..circuit.branches.len())
        .map_while(|branch| matches!(circuit.branches[branch].origin, Origin::Wire(_)).then_some(branch))
        .map(|wire| {
            let own = &circuit.branches[wire];
            let conductance = slope(circuit, rest, wire);
            if conductance == 0.0 {
                return (0.0, BySource::default());
            }
            let z = difference(own.from, own.to);
            let of = |(branch, amps): &(usize, f64)| {
                let direct = if *branch == wire { *amps } else { 0.0 };
                let amps = direct - conductance * across(&z, *branch) * amps;
                amps * amps
            };
            (off.iter().map(of).sum(), by_source(&z).map(|volts| conductance * volts))
        })
        .collect();
    Spread { nets, pairs: of_pairs, amps }
}

/// The voltages of all nets for one ampere into each of them; none where the state stands on the edge of collapse.
fn answers(circuit: &Circuit, rest: &Rest) -> Option<Vec<Vec<f64>>> {
    let n = circuit.nets.len() - 1;
    let (mut ends, mut edges, mut ground) = (Vec::new(), Vec::new(), vec![0.0; n]);
    for (index, branch) in circuit.branches.iter().enumerate() {
        let conductance = slope(circuit, rest, index);
        if branch.from == branch.to || conductance == 0.0 {
            continue;
        }
        match (branch.from, branch.to) {
            (CHASSIS, net) | (net, CHASSIS) => ground[net - 1] += conductance,
            (from, to) => {
                ends.push((from - 1, to - 1));
                edges.push(conductance);
            }
        }
    }
    let pattern = Pattern::new(n, &ends);
    let mut factor = Factor::default();
    pattern.factor(&edges, &ground, &mut factor);
    if factor.has_negative_pivot() {
        return None;
    }
    let mut work = Vec::new();
    let answer = |net: NetIndex| {
        let mut volts = vec![0.0; n + 1];
        if net != CHASSIS && rest.steady.volts(net).is_some() {
            volts[net] = 1.0;
            pattern.solve(&factor, &mut volts[1..], &mut work);
        }
        volts
    };
    Some((0..=n).map(answer).collect())
}

impl Spread {
    /// Of the volts from one net to another.
    pub fn volts(
        &self,
        pairs: &BTreeMap<(NetIndex, NetIndex), usize>,
        from: NetIndex,
        to: NetIndex,
    ) -> (f64, BySource) {
        let of = |net: NetIndex| self.nets.get(net).copied().unwrap_or_default();
        if to == CHASSIS {
            return of(from);
        }
        if let Some(index) = pairs.get(&(from, to)).or_else(|| pairs.get(&(to, from))) {
            let (variance, by) = self.pairs.get(*index).copied().unwrap_or_default();
            let sign = if pairs.contains_key(&(from, to)) { 1.0 } else { -1.0 };
            return (variance, by.map(|volts| sign * volts));
        }
        // Nets that are no pair of the drawing: at the most, as if nothing of it were common to both.
        let ((a, mut by), (b, other)) = (of(from), of(to));
        for (by, other) in by.iter_mut().zip(other) {
            *by -= other;
        }
        (a + b, by)
    }

    /// Of the amperes of a wire.
    pub fn amps(&self, branch: usize) -> (f64, BySource) {
        self.amps.get(branch).copied().unwrap_or_default()
    }
}
