//! Currents and voltages against what wires, parts and loads stand.

use std::collections::{BTreeMap, BTreeSet};

use engine::circuit::{CHASSIS, Circuit, Gate, NetIndex, Origin};
use engine::document::{Size, Wire};
use engine::given::Given;
use engine::kind::{Class, Role, Used};
use engine::solve::Rest;

use super::{Fault, Harm, Solved, id, is_donor};
use crate::cable;

/// Rounding of a current that is compared with a limit.
const SLACK: f64 = 1.0 + 1e-9;

/// A load or coil at this many times its rated power or voltage will not last (common practice, no source): a filament
/// at 14.4 V instead of 12 V takes 1.33 times its power.
const OVERVOLTAGE: f64 = 1.5;

/// The share of the rated voltage at which a common plug-in relay pulls in (common practice, no source).
const PULL_IN_SHARE: f64 = 0.6;

/// Share of the nominal voltage that may be lost on the way to a load (common practice, no source).
const DROP_SHARE: f64 = 0.05;

/// How much more a wire may lose than copper of 20 degC and its nominal cross-section: ISO 6722-1 allows some 7 % more
/// resistance than the nominal (from memory), and at 100 degC copper has 1.31 times its resistance.
const POOR_COPPER: f64 = 1.4;

/// Adds what is exceeded in any of the solved situations.
///
/// `near` takes the loads whose drop is so near its limit that warmer or poorer copper than is reckoned with here may
/// exceed it.
pub(super) fn exceeded(
    circuit: &Circuit,
    solved: &[Solved<'_>],
    faults: &mut BTreeSet<Fault>,
    near: &mut BTreeSet<Fault>,
) {
    let stands = (0..circuit.branches.len()).map(|branch| limit(circuit, branch)).collect::<Vec<_>>();
    for rest in solved.iter().flat_map(|solved| &solved.rests) {
        for (branch, limit) in stands.iter().enumerate() {
            if let Some((harm, amps)) = limit
                && rest.steady.amps(branch).abs() > amps * SLACK
            {
                faults.insert(Fault { harm: *harm, of: id(circuit, branch) });
            }
        }
        through_joints(circuit, rest, faults);
        voltages(circuit, rest, faults, near);
    }
}

/// The largest current of every part and wire, by id; of a part with several branches that of the largest.
pub(super) fn largest(circuit: &Circuit, solved: &[Solved<'_>]) -> BTreeMap<String, f64> {
    let mut all: BTreeMap<String, f64> = BTreeMap::new();
    for rest in solved.iter().flat_map(|solved| &solved.rests) {
        for branch in 0..circuit.branches.len() {
            let known = all.entry(id(circuit, branch)).or_insert(0.0);
            *known = known.max(rest.steady.amps(branch).abs());
        }
    }
    all
}

/// The cross-section of a wire when it is exactly known.
pub(super) fn mm2(wire: &Wire) -> Option<f64> {
    match wire.size {
        Given::Known(Size::Metric(area)) => Some(area.get()),
        Given::Known(gauge @ Size::Gauge(_)) => Some(gauge.area().get()),
        _ => None,
    }
}

/// What a wire stands, when all that decides it is known.
pub(super) fn wire_stands(circuit: &Circuit, wire: &Wire) -> Option<f64> {
    let insulation = wire.insulation?.limit_c();
    let ambient = wire.surroundings?.ambient_c(&circuit.resolved.settings);
    cable::stands(mm2(wire)?, insulation, ambient, wire.bundle.unwrap_or(1))
}

/// The most a branch may carry, and what it is when it carries more.
fn limit(circuit: &Circuit, branch: usize) -> Option<(Harm, f64)> {
    let network = &circuit.resolved.network;
    let part = match circuit.branches[branch].origin {
        Origin::Wire(wire) => return Some((Harm::WireHot, wire_stands(circuit, &network.wires[wire])?)),
        Origin::Part(part, _) => part,
    };
    let used: &Used = circuit.resolved.parts[part].as_ref()?;
    let own = &circuit.branches[branch];
    let amps = match (network.parts[part].kind.class, own.role) {
        (Class::Protection, Role::Protection(rating)) => rating.map(|rating| rating.get()),
        (Class::Contact, Role::Path) => match own.gate {
            Gate::Device(_, false) => used.number("break_contact_a").or_else(|| used.number("contact_a")),
            Gate::Device(_, true) => used.number("contact_a"),
            _ => used.number("rating_a"),
        },
        (Class::Joint | Class::Valve, Role::Path) => used.number("rating_a"),
        // The vehicle's own fuse carries its own lamp and what is tapped.
        (Class::Donor, Role::Protection(rating)) => rating.map(|rating| rating.get()),
        _ => None,
    };
    amps.map(|amps| (Harm::OverRating, amps))
}

/// Bars, whose studs are one net, and donors, whose tapped current is what leaves by their wires.
fn through_joints(circuit: &Circuit, rest: &Rest, faults: &mut BTreeSet<Fault>) {
    let network = &circuit.resolved.network;
    for (index, part) in network.parts.iter().enumerate() {
        let Some(used) = &circuit.resolved.parts[index] else { continue };
        let limit = match part.kind.class {
            Class::Donor => used.number("spare_a"),
            Class::Joint if circuit.branches_of_part(index).next().is_none() => used.number("rating_a"),
            _ => None,
        };
        let Some(limit) = limit else { continue };
        // Of all that flows into a joint the same flows out again.
        let mut sums: BTreeMap<&str, f64> = BTreeMap::new();
        for (branch, own) in circuit.branches.iter().enumerate() {
            let Origin::Wire(wire) = own.origin else { continue };
            let wire = &network.wires[wire];
            let amps = rest.steady.amps(branch);
            for (end, out) in [(&wire.from, amps), (&wire.to, -amps)] {
                if end.part == part.id {
                    match part.kind.class {
                        Class::Donor => *sums.entry(end.terminal.as_str()).or_default() += out,
                        _ => *sums.entry("").or_default() += out.max(0.0),
                    }
                }
            }
        }
        if sums.values().any(|amps| amps.abs() > limit * SLACK) {
            faults.insert(Fault { harm: Harm::OverRating, of: part.id.to_string() });
        }
    }
}

fn voltages(circuit: &Circuit, rest: &Rest, faults: &mut BTreeSet<Fault>, near: &mut BTreeSet<Fault>) {
    let nominal = circuit.resolved.nominal_v;
    for (index, branch) in circuit.branches.iter().enumerate() {
        let volts = rest.steady.between(branch.from, branch.to).unwrap_or(0.0);
        match branch.role {
            Role::Load(load) => {
                let Some(rated) = load.rated else { continue };
                let share = rest.steady.watts(circuit, index) / rated.get();
                if share > OVERVOLTAGE {
                    faults.insert(Fault { harm: Harm::Overvoltage, of: id(circuit, index) });
                }
                let post = post(circuit, rest, branch.from);
                let drop = post.map_or(0.0, |post| post - volts);
                if share >= 0.1 && !is_donor(circuit, index) {
                    let fault = Fault { harm: Harm::Drop, of: id(circuit, index) };
                    if drop > DROP_SHARE * nominal {
                        faults.insert(fault.clone());
                    }
                    if drop > DROP_SHARE * nominal / POOR_COPPER {
                        near.insert(fault);
                    }
                }
            }
            Role::Coil { pull_in, .. } if volts.abs() > OVERVOLTAGE * pull_in.get() / PULL_IN_SHARE => {
                faults.insert(Fault { harm: Harm::Overvoltage, of: id(circuit, index) });
            }
            _ => {}
        }
    }
}

/// Volts at the posts of the battery that feeds a net in this state; of several the lowest.
fn post(circuit: &Circuit, rest: &Rest, net: NetIndex) -> Option<f64> {
    let mut met = BTreeSet::from([net]);
    let mut waiting = vec![net];
    let mut least: Option<f64> = None;
    while let Some(net) = waiting.pop() {
        for &branch in &circuit.at[net] {
            let own = &circuit.branches[branch];
            if own.role == Role::Source {
                let volts = rest.steady.between(own.from, own.to).unwrap_or(f64::INFINITY);
                least = Some(least.map_or(volts, |known| known.min(volts)));
            }
            let other = own.from + own.to - net;
            let joins =
                matches!(own.role, Role::Path | Role::Protection(_)) && rest.steady.conducting(branch);
            if joins && other != CHASSIS && met.insert(other) {
                waiting.push(other);
            }
        }
    }
    least
}
