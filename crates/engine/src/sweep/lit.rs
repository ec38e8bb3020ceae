//! Whether a load works, or shows that it is fed without working.

use petgraph::unionfind::UnionFind;

use crate::circuit::{Circuit, Gate, Origin};
use crate::kind::{Law, Load, Role};
use crate::solve::{Rest, Steady};

/// The share of its rated power at which a load counts as working (common practice, no source):
/// below it a lamp only glows.
pub(super) const WORKING_SHARE: f64 = 0.1;

/// Whether a load works in this state.
pub fn works(circuit: &Circuit, rest: &Rest, branch: usize, load: &Load) -> bool {
    let watts = rest.steady.watts(circuit, branch);
    match circuit.branches[branch].law {
        Some(Law::Electronic { .. }) => {
            circuit.device_of(branch).is_some_and(|device| rest.state.devices[device]) && watts > 0.0
        }
        _ => load.rated.is_some_and(|rated| watts >= WORKING_SHARE * rated.get()),
    }
}

/// Whether a load that gives light without a filament does not work and still carries enough to be seen.
///
/// A filament that can be seen glowing counts as working: both begin at about a quarter of its rated voltage.
pub fn glows(circuit: &Circuit, rest: &Rest, branch: usize) -> bool {
    let Role::Load(load) = &circuit.branches[branch].role else { return false };
    let Some(seen_from) = load.seen_from else { return false };
    let amps = rest.steady.amps(branch);
    let amps = match circuit.branches[branch].law {
        Some(Law::Electronic { .. }) => amps.abs(),
        // A bare diode is dark the other way round, and is solved as a resistance.
        _ => amps,
    };
    amps >= seen_from.get() && !works(circuit, rest, branch, load)
}

/// Whether the poles of a source are joined without a load between them: then every voltage says only that.
pub fn is_shorted(circuit: &Circuit, steady: &Steady) -> bool {
    let carries = |index: usize| {
        matches!(circuit.branches[index].role, Role::Path | Role::Protection(_)) && steady.conducting(index)
    };
    // One pass for all sources: a large job has dozens of batteries, and this is asked of every state.
    let mut joined = UnionFind::<usize>::new(circuit.nets.len());
    for index in (0..circuit.branches.len()).filter(|index| carries(*index)) {
        joined.union(circuit.branches[index].from, circuit.branches[index].to);
    }
    circuit.sources().any(|source| joined.equiv(circuit.branches[source].from, circuit.branches[source].to))
}

/// Every part that is no switch and no donor in the position in which it is used: sockets in use, the rest at rest.
pub fn as_used(circuit: &Circuit) -> Vec<u8> {
    let mut positions = vec![0; circuit.resolved.parts.len()];
    for (index, branch) in circuit.branches.iter().enumerate() {
        if let (Role::Load(_), Origin::Part(part, _)) = (branch.role, branch.origin)
            && let Gate::In(_, mask) = branch.gate
            && mask & 1 == 0
            && circuit.branches_of_part(part).next().is_some_and(|(first, _)| first == index)
        {
            positions[part] = mask.trailing_zeros() as u8;
        }
    }
    positions
}
