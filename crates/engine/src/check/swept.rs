//! The states of the sweep as checks look at them: solved, with what is live and grounded.

use crate::check::survey::joined;
use crate::check::{Context, Survey};
use crate::circuit::{CHASSIS, Circuit, NetIndex};
use crate::document::Status;
use crate::kind::Role;
use crate::solve::{Action, Rest};
use crate::sweep::Component;

/// One lasting state that can be reached, in which no source is shorted.
pub struct SweptState {
    /// The set of inputs it was found with, by index into the sweep.
    pub component: usize,
    /// The state there, by index.
    pub node: usize,
    /// Its solution.
    pub rest: Rest,
    /// Whether each net hangs on a positive pole without a load between.
    pub live: Vec<bool>,
    /// Whether each net hangs on a negative pole or the body without a load between.
    pub grounded: Vec<bool>,
}

/// Solves all states that a sweep found once more, because it keeps no voltages.
pub(super) fn states(survey: &Survey<'_>) -> Vec<SweptState> {
    let circuit = survey.solver().circuit();
    let sources: Vec<usize> = circuit.sources().collect();
    let positive: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].from).collect();
    let mut negative: Vec<NetIndex> = sources.iter().map(|source| circuit.branches[*source].to).collect();
    negative.push(CHASSIS);
    let mut states = Vec::new();
    for (index, component) in survey.sweep().components.iter().enumerate() {
        for (node, found) in component.explored.nodes.iter().enumerate() {
            if !found.lasts || !found.is_solved {
                continue;
            }
            if let Some(rest) = survey.solver().settle(found.state.clone()).rests.pop() {
                let (live, grounded) = (flags(circuit, &rest, &positive), flags(circuit, &rest, &negative));
                states.push(SweptState { component: index, node, rest, live, grounded });
            }
        }
    }
    states
}

fn flags(circuit: &Circuit, rest: &Rest, start: &[NetIndex]) -> Vec<bool> {
    let mut flags = vec![false; circuit.nets.len()];
    for net in joined(circuit, rest, start) {
        flags[net] = true;
    }
    flags
}

impl SweptState {
    /// The set of inputs it was found with.
    pub fn set<'s>(&self, survey: &'s Survey<'_>) -> &'s Component {
        &survey.sweep().components[self.component]
    }

    /// The shortest sequence of actions that leads to it.
    pub fn actions(&self, survey: &Survey<'_>) -> Vec<Action> {
        self.set(survey).explored.actions(self.node)
    }

    /// Whether a branch hangs between a live and a grounded net, with no other load in series.
    pub fn is_direct(&self, circuit: &Circuit, branch: usize) -> bool {
        let at = &circuit.branches[branch];
        let between = |a: NetIndex, b: NetIndex| self.live[a] && self.grounded[b];
        between(at.from, at.to) || between(at.to, at.from)
    }
}

/// Whether anything new hangs on the nets between which a branch lies: what the vehicle was built with is not judged.
pub(super) fn is_of_this_job(context: &Context<'_>, branch: usize) -> bool {
    let own = match (context.part_of(branch), context.wire_of(branch)) {
        (Some((_, part)), _) => part.status,
        (_, Some((wire, _))) => wire.status,
        _ => Status::Existing,
    };
    own == Status::New || context.touches_new(branch)
}

/// Whether a branch uses energy: a load or a coil.
pub(super) fn uses(role: Role) -> bool {
    matches!(role, Role::Load(_) | Role::Coil { .. })
}
