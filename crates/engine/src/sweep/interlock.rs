//! Whether an interlock holds in every state that can be reached.

use std::collections::BTreeSet;
use std::rc::Rc;

use crate::circuit::{Circuit, State};
use crate::document::{InState, Interlock, Rule};
use crate::ids::PartId;
use crate::kind::{Class, Role};
use crate::solve::Action;
use crate::sweep::explore::{Explored, Node};
use crate::sweep::{Progress, Sweeper};

/// What came out for one interlock.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// Whether it holds.
    pub outcome: Outcome,
    /// States looked at.
    pub n_states: usize,
    /// States among them that have no solution, or a shorted source, so that nothing is known of them.
    pub n_unsolved: usize,
    /// Combinations of positions looked at, of those that have a say.
    pub n_seen: u64,
    /// Combinations of positions of all that has a say.
    pub n_combinations: u64,
}

/// Whether an interlock holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It holds in every state that can be reached.
    Proved,
    /// It does not hold in a state; none that breaks it is reached by fewer actions.
    Broken {
        /// The actions that lead there from rest, in order.
        actions: Vec<Action>,
        /// Positions there, by part.
        positions: Vec<u8>,
        /// Whether that state lasts; else it is one that the circuit passes through for ever.
        lasts: bool,
    },
    /// It holds wherever it was looked at, but that was not everywhere, or nothing is known of some states.
    NotFinished,
    /// It waits for something that is not known: this part is to be removed, or its values are not said.
    NotKnown(PartId),
    /// It has nothing to rule: the condition is waived.
    Waived,
}

/// Looks for a state that breaks an interlock, among all that the switches and donors with a say in it can lead to.
pub fn prove(sweeper: &Sweeper<'_>, interlock: &Interlock, progress: Progress<'_>) -> Proof {
    let circuit = sweeper.solver().circuit();
    let nothing = |outcome| Proof { outcome, n_states: 0, n_unsolved: 0, n_seen: 0, n_combinations: 0 };
    if interlock.rule == Rule::AnyTime {
        return nothing(Outcome::Waived);
    }
    match Judge::new(circuit, interlock) {
        Ok(judge) => {
            let breaks = |node: &Node| node.is_solved && judge.is_broken(&node.state, &works_in(node));
            judged(&sweeper.over(&judge.inputs(sweeper), progress), breaks)
        }
        Err(unknown) => nothing(Outcome::NotKnown(unknown)),
    }
}

/// Which loads work in a node, by branch.
fn works_in(node: &Node) -> impl Fn(usize) -> bool {
    |branch| node.lit.contains(&branch)
}

/// The positions, by part, in which an interlock is put to the test: what it demands is so there, and working one switch
/// or donor ends the demand and what is demanded together. Of those that differ only in switches that add nothing, the
/// hardest: of a load that must stay off, with all else on; of one that must work, with all else at rest.
pub fn tests(sweeper: &Sweeper<'_>, interlock: &Interlock, progress: Progress<'_>) -> Vec<Vec<u8>> {
    let circuit = sweeper.solver().circuit();
    let Ok(judge) = Judge::new(circuit, interlock) else { return Vec::new() };
    let explored = sweeper.over(&judge.inputs(sweeper), progress);
    let lasting: Vec<&Node> = explored.nodes.iter().filter(|node| node.is_solved && node.lasts).collect();
    let must_work = interlock.rule == Rule::AlwaysWith;
    let is_one_away = |one: &Node, other: &Node| {
        one.state.positions.iter().zip(&other.state.positions).filter(|(a, b)| a != b).count() == 1
    };
    let demands = |node: &Node| judge.demands(&node.state, &works_in(node));
    let is_free = |node: &Node| !demands(node) && judge.load.is_on(&node.state, &works_in(node)) != must_work;
    let demanded = |node: &&&Node| demands(node) && !judge.is_broken(&node.state, &works_in(node));
    let at_the_edge = |node: &&&Node| lasting.iter().any(|other| is_free(other) && is_one_away(node, other));
    let mut edge: Vec<&[u8]> = Vec::new();
    for node in lasting.iter().filter(demanded).filter(at_the_edge) {
        if !edge.contains(&node.state.positions.as_slice()) {
            edge.push(&node.state.positions);
        }
    }
    let rest = sweeper.base.positions.as_slice();
    let is_harder = |one: &[u8], other: &[u8]| {
        let (more, less) = if must_work { (other, one) } else { (one, other) };
        one != other
            && more.iter().zip(less).zip(rest).all(|((more, less), rest)| less == more || less == rest)
    };
    edge.iter()
        .filter(|one| !edge.iter().any(|other| is_harder(other, one)))
        .map(|one| one.to_vec())
        .collect()
}

/// An interlock with its load and its condition looked up in a circuit, to be judged in one state after the other.
pub struct Judge {
    rule: Rule,
    load: Thing,
    any_of: Vec<Vec<(Thing, bool)>>,
}

impl Judge {
    /// Looks an interlock up; the part that nothing is known of where there is one.
    pub fn new(circuit: &Circuit, interlock: &Interlock) -> Result<Judge, PartId> {
        let load = Thing::working(circuit, &interlock.load, &interlock.name)
            .ok_or_else(|| interlock.load.clone())?;
        let in_state = |one: &InState| Thing::in_state(circuit, one).ok_or_else(|| one.part.clone());
        let all = |all: &Vec<InState>| all.iter().map(in_state).collect();
        let any_of = interlock.any_of.iter().map(all).collect::<Result<_, PartId>>()?;
        Ok(Judge { rule: interlock.rule, load, any_of })
    }

    /// The inputs that have a say in it.
    fn inputs(&self, sweeper: &Sweeper<'_>) -> BTreeSet<usize> {
        let conditions = self.any_of.iter().flatten().map(|(thing, _)| thing);
        conditions.chain([&self.load]).flat_map(|thing| thing.say(sweeper)).collect()
    }

    /// Whether it demands something of the load in a state in which those loads work, by branch, that `works` tells.
    fn demands(&self, state: &State, works: &dyn Fn(usize) -> bool) -> bool {
        let holds = |(thing, wanted): &(Thing, bool)| thing.is_on(state, works) == *wanted;
        let is_met = || self.any_of.iter().any(|all| all.iter().all(holds));
        match self.rule {
            Rule::OnlyWith => !is_met(),
            Rule::NeverWith | Rule::AlwaysWith => is_met(),
            Rule::AnyTime => false,
        }
    }

    /// Whether it does not hold in such a state.
    pub fn is_broken(&self, state: &State, works: &dyn Fn(usize) -> bool) -> bool {
        let must_work = self.rule == Rule::AlwaysWith;
        self.demands(state, works) && self.load.is_on(state, works) != must_work
    }
}

/// Looks for a state in which all of these hold; one that is found stands as [`Outcome::Broken`], and
/// [`Outcome::Proved`] says that there is none.
pub fn reach(sweeper: &Sweeper<'_>, states: &[InState], progress: Progress<'_>) -> Proof {
    let circuit = sweeper.solver().circuit();
    let mut things = Vec::new();
    for one in states {
        match Thing::in_state(circuit, one) {
            Some(thing) => things.push(thing),
            None => {
                let outcome = Outcome::NotKnown(one.part.clone());
                return Proof { outcome, n_states: 0, n_unsolved: 0, n_seen: 0, n_combinations: 0 };
            }
        }
    }
    let inputs = things.iter().flat_map(|(thing, _)| thing.say(sweeper)).collect();
    let holds = |node: &Node| {
        let works = |branch: usize| node.lit.contains(&branch);
        node.is_solved && things.iter().all(|(thing, wanted)| thing.is_on(&node.state, &works) == *wanted)
    };
    judged(&sweeper.over(&inputs, progress), holds)
}

fn judged(explored: &Rc<Explored>, breaks: impl Fn(&Node) -> bool) -> Proof {
    let outcome = match explored.first(breaks) {
        Some(node) => Outcome::Broken {
            actions: explored.actions(node),
            positions: explored.nodes[node].state.positions.clone(),
            lasts: explored.nodes[node].lasts,
        },
        None if explored.is_complete && explored.nodes.iter().all(|node| node.is_solved) => Outcome::Proved,
        None => Outcome::NotFinished,
    };
    Proof {
        outcome,
        n_states: explored.nodes.len(),
        n_unsolved: explored.nodes.iter().filter(|node| !node.is_solved).count(),
        n_seen: explored.n_seen,
        n_combinations: explored.n_combinations,
    }
}

/// Something that is on or off in a state.
enum Thing {
    /// A part by index, in this position or not.
    Position(usize, u8),
    /// Loads, by branch, one of which works.
    Loads(Vec<usize>),
    /// A relay, by device.
    Relay(usize),
}

impl Thing {
    /// The working of a part; `None` when nothing is known of it.
    fn working(circuit: &Circuit, id: &PartId, name: &str) -> Option<Thing> {
        let index = circuit.resolved.network.parts.iter().position(|part| part.id == *id)?;
        let is_known = |branch: usize| circuit.branches[branch].law.is_some();
        let mut loads = Vec::new();
        for (branch, at) in circuit.branches_of_part(index).filter(|(branch, _)| is_known(*branch)) {
            match at.role {
                Role::Load(load) if load.name == name => loads.push(branch),
                Role::Coil { .. } if name.is_empty() => {
                    let device = circuit.devices.iter().position(|device| device.branch == branch)?;
                    return Some(Thing::Relay(device));
                }
                _ => {}
            }
        }
        (!loads.is_empty()).then_some(Thing::Loads(loads))
    }

    /// What a state is about, and whether it must be so.
    fn in_state(circuit: &Circuit, one: &InState) -> Option<(Thing, bool)> {
        let index = circuit.resolved.network.parts.iter().position(|part| part.id == one.part)?;
        let part = &circuit.resolved.network.parts[index];
        let positions = part.positions();
        if one.name.is_empty()
            && !positions.is_empty()
            && matches!(part.kind.class, Class::Contact | Class::Donor)
        {
            circuit.resolved.parts[index].as_ref()?;
            let position = positions.iter().position(|position| *position == one.is)?;
            return Some((Thing::Position(index, position as u8), true));
        }
        Some((Thing::working(circuit, &one.part, &one.name)?, one.is == "on"))
    }

    /// The inputs that have a say in it.
    fn say(&self, sweeper: &Sweeper<'_>) -> BTreeSet<usize> {
        let circuit = sweeper.solver().circuit();
        match self {
            Thing::Position(part, _) => {
                circuit.inputs.iter().position(|input| input.part == *part).into_iter().collect()
            }
            Thing::Loads(branches) => branches.iter().flat_map(|branch| sweeper.say(*branch)).collect(),
            Thing::Relay(device) => sweeper.say(circuit.devices[*device].branch),
        }
    }

    fn is_on(&self, state: &State, works: &dyn Fn(usize) -> bool) -> bool {
        match self {
            Thing::Position(part, position) => state.positions[*part] == *position,
            Thing::Loads(branches) => branches.iter().any(|branch| works(*branch)),
            Thing::Relay(device) => state.devices[*device],
        }
    }
}
