//! How relays and electronic loads come to rest after a change.
//!
//! The states of all devices form a graph: from a state whose voltages ask some devices to move,
//! any of them may move first, or several at once (the general multiple-winner model of Brzozowski
//! and Seger 1995). Where the graph ends tells what happens: in one state that asks for nothing,
//! in a cycle that never ends, or in one of several states depending on which device is quicker.
//! Letting all devices move at once would invent oscillations that no workshop ever sees.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::arrange;
use crate::circuit::State;
use crate::solve::steady::{Bench, NoSolution, Steady};

/// How a situation comes to rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// In one state.
    Settled,
    /// Not at all: a relay pulls in and drops out for ever.
    Chatter,
    /// In one of several states, depending on which device is quicker.
    Race,
    /// In one of several states, depending on what was done before.
    History,
    /// Not at all: an electronic load turns on and off for ever.
    Flashing,
    /// The supply cannot deliver the power asked for.
    Collapse,
    /// No solution was found that stands its own check; nothing is shown.
    Unsolved,
}

impl Verdict {
    /// The word for it in command replies.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Settled => "settled",
            Verdict::Chatter => "chatter",
            Verdict::Race => "race",
            Verdict::History => "history",
            Verdict::Flashing => "flashing",
            Verdict::Collapse => "collapse",
            Verdict::Unsolved => "unsolved",
        }
    }

    /// What it means, in a sentence.
    pub fn meaning(self) -> &'static str {
        match self {
            Verdict::Settled => "Everything comes to rest, and in one way only.",
            Verdict::Chatter => "It never settles: a relay pulls in and drops out again and again.",
            Verdict::Race => "How it ends depends on which device is quicker; no readings are shown.",
            Verdict::History => {
                "How it ends depends on what was done before; shown is what comes of setting everything at once, from rest."
            }
            Verdict::Flashing => "It never settles: an electronic load turns on and off again and again.",
            Verdict::Collapse => "The supply cannot deliver the power asked for.",
            Verdict::Unsolved => "No solution was found that passes its own check; no readings are shown.",
        }
    }
}

/// One device state that lasts, and its solution.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Positions and device states.
    pub state: State,
    /// Voltages and currents.
    pub steady: Rc<Steady>,
}

/// Where a change leads.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// How it ends.
    pub verdict: Verdict,
    /// The lasting states it may end in: one when settled, several in a race, none in a cycle.
    pub rests: Vec<Rest>,
    /// Devices that never come to rest, or that race, or whose power cannot be delivered.
    pub restless: Vec<usize>,
    /// The states it goes through for ever, or might end in, when it does not come to rest.
    pub passing: Vec<Rest>,
    /// The states for which there is no solution, when it ends in such.
    pub failed: Vec<State>,
}

impl Settled {
    /// The lasting state whose readings are shown; none when there is none or when it depends on timing.
    pub fn shown(&self) -> Option<&Rest> {
        self.rests.first().filter(|_| self.verdict == Verdict::Settled)
    }

    fn resting(rest: Rest) -> Settled {
        Settled { rests: vec![rest], ..Settled::without_rest(Verdict::Settled, Vec::new()) }
    }

    fn without_rest(verdict: Verdict, restless: Vec<usize>) -> Settled {
        Settled { verdict, rests: Vec::new(), restless, passing: Vec::new(), failed: Vec::new() }
    }
}

/// Most states looked at before giving up, and the most branches in all of them together: a large job whose many
/// devices race for a weak supply has more orders than anybody waits for.
const MOST_STATES: usize = 2048;
const MOST_BRANCHES: usize = 1 << 18;

/// Devices that may move in any combination; beyond this many they move singly or all at once.
const MOST_TOGETHER: usize = 4;

enum Outcome {
    Solved(Rc<Steady>),
    Failed(NoSolution),
}

/// Lets the devices of `start` come to rest with its positions held.
pub fn settle(bench: &Bench<'_>, start: State) -> Settled {
    settle_watched(bench, start, &mut |_, _| {})
}

/// The same; `watch` is shown every state whose voltages decide what moves next.
pub fn settle_watched(bench: &Bench<'_>, start: State, watch: &mut dyn FnMut(&State, &Steady)) -> Settled {
    let outcome = solved(bench, &start);
    // Mostly nothing moves, and there is no graph to explore.
    let outcome = match outcome {
        Outcome::Solved(steady) if excited(bench, &start, &steady).is_empty() => {
            watch(&start, &steady);
            return Settled::resting(Rest { state: start, steady });
        }
        other => other,
    };
    let mut graph: DiGraph<(State, Outcome), ()> = DiGraph::new();
    let mut index: BTreeMap<Vec<bool>, NodeIndex> = BTreeMap::new();
    index.insert(start.devices.clone(), graph.add_node((start, outcome)));
    let mut waiting: Vec<NodeIndex> = graph.node_indices().collect();
    let mut looked_at = BTreeSet::new();
    let most_states = MOST_STATES.min(MOST_BRANCHES / bench.circuit.branches.len().max(1));
    while let Some(here) = waiting.pop() {
        if !looked_at.insert(here) {
            continue;
        }
        if looked_at.len() > most_states {
            return Settled::without_rest(Verdict::Unsolved, Vec::new());
        }
        let (state, outcome) = &graph[here];
        let Outcome::Solved(steady) = outcome else { continue };
        watch(state, steady);
        let excited = excited(bench, state, steady);
        if excited.is_empty() {
            continue;
        }
        let state = state.clone();
        let mut next = Vec::new();
        if excited.len() > 1 && may_move_together(bench, &state, &excited) {
            let together = enter(bench, &mut graph, &mut index, after(&state, &excited));
            if all_stay(bench, &graph[together], &excited) {
                next.push(together);
            }
        }
        if next.is_empty() {
            next.extend(
                moves(&state, &excited).into_iter().map(|moved| enter(bench, &mut graph, &mut index, moved)),
            );
        }
        for node in next {
            graph.update_edge(here, node, ());
            waiting.push(node);
        }
    }
    ends(bench, graph)
}

fn solved(bench: &Bench<'_>, state: &State) -> Outcome {
    match bench.steady(state) {
        Ok(steady) => Outcome::Solved(steady),
        Err(failure) => Outcome::Failed(failure),
    }
}

fn enter(
    bench: &Bench<'_>,
    graph: &mut DiGraph<(State, Outcome), ()>,
    index: &mut BTreeMap<Vec<bool>, NodeIndex>,
    state: State,
) -> NodeIndex {
    if let Some(known) = index.get(&state.devices) {
        return *known;
    }
    let outcome = solved(bench, &state);
    let devices = state.devices.clone();
    let node = graph.add_node((state, outcome));
    index.insert(devices, node);
    node
}

/// The devices whose voltage asks them to change.
fn excited(bench: &Bench<'_>, state: &State, steady: &Steady) -> Vec<usize> {
    let circuit = bench.circuit;
    let asks = |(index, on): (usize, &bool)| {
        let device = &circuit.devices[index];
        let branch = &circuit.branches[device.branch];
        let across = steady.between(branch.from, branch.to).unwrap_or(0.0);
        let volts = if device.relay { across.abs() } else { across };
        let wants = if *on {
            if device.relay { volts > device.off_at } else { volts >= device.off_at }
        } else {
            volts >= device.on_at
        };
        (wants != *on).then_some(index)
    };
    state.devices.iter().enumerate().filter_map(asks).collect()
}

fn after(state: &State, devices: &[usize]) -> State {
    let mut next = state.clone();
    for device in devices {
        next.devices[*device] = !next.devices[*device];
    }
    next
}

/// Whether devices that are asked to move all turn on, or all turn off, and none of them has a say over another.
///
/// If each still has its turn-on voltage once all are on, they end up on in whatever order they
/// start: each that starts only lowers the voltage of the others, and the lowest is reached when
/// all are on. So they count as one. In the same way each that stops only raises the voltage of the
/// others, and if each is still asked to turn off once all are off, they end up off.
fn may_move_together(bench: &Bench<'_>, state: &State, excited: &[usize]) -> bool {
    let is_first_on = state.devices[excited[0]];
    excited.iter().all(|device| state.devices[*device] == is_first_on)
        && bench.influence().are_independent(excited)
}

fn all_stay(bench: &Bench<'_>, (state, outcome): &(State, Outcome), moved: &[usize]) -> bool {
    let Outcome::Solved(steady) = outcome else { return false };
    moved.iter().all(|index| {
        let device = &bench.circuit.devices[*index];
        let branch = &bench.circuit.branches[device.branch];
        let volts = steady.between(branch.from, branch.to).unwrap_or(0.0);
        let volts = if device.relay { volts.abs() } else { volts };
        match state.devices[*index] {
            true => device.on_at <= volts,
            false if device.relay => volts <= device.off_at,
            false => volts < device.off_at,
        }
    })
}

/// The states that may follow `state` when any of the `excited` devices may move first.
fn moves(state: &State, excited: &[usize]) -> Vec<State> {
    if excited.len() > MOST_TOGETHER {
        let single = excited.iter().map(|device| after(state, &[*device]));
        return single.chain([after(state, excited)]).collect();
    }
    (1..1usize << excited.len())
        .map(|choice| {
            let chosen = excited.iter().enumerate().filter(|(i, _)| choice & (1 << i) != 0);
            after(state, &chosen.map(|(_, device)| *device).collect::<Vec<_>>())
        })
        .collect()
}

/// Reads the verdict off the ends of the state graph: its strongly connected components without a
/// way out.
fn ends(bench: &Bench<'_>, mut graph: DiGraph<(State, Outcome), ()>) -> Settled {
    let components = tarjan_scc(&graph);
    let is_end = |component: &&Vec<NodeIndex>| {
        component.iter().all(|node| graph.neighbors(*node).all(|next| component.contains(&next)))
    };
    let last: Vec<Vec<NodeIndex>> = components.iter().filter(is_end).cloned().collect();
    let differing = |nodes: &[NodeIndex]| -> Vec<usize> {
        let states: Vec<&Vec<bool>> = nodes.iter().map(|node| &graph[*node].0.devices).collect();
        (0..bench.circuit.devices.len()).filter(|d| states.iter().any(|s| s[*d] != states[0][*d])).collect()
    };
    let nodes: Vec<NodeIndex> = last.iter().flatten().copied().collect();
    let failure = nodes.iter().find_map(|node| match &graph[*node].1 {
        Outcome::Failed(failure) => Some(failure.clone()),
        Outcome::Solved(_) => None,
    });
    let cycle = last.iter().find(|component| component.len() > 1);
    let (verdict, restless) = match (failure, cycle) {
        (Some(NoSolution::Collapse(devices)), _) => (Verdict::Collapse, devices),
        (Some(NoSolution::NotFound), _) => (Verdict::Unsolved, Vec::new()),
        (None, Some(cycle)) => {
            let restless = differing(cycle);
            match restless.iter().any(|device| bench.circuit.devices[*device].relay) {
                true => (Verdict::Chatter, restless),
                false => (Verdict::Flashing, restless),
            }
        }
        (None, None) if nodes.len() > 1 => (Verdict::Race, differing(&nodes)),
        (None, None) => (Verdict::Settled, Vec::new()),
    };
    let mut settled = Settled::without_rest(verdict, restless);
    // Removing a node moves the last one into its place, so the highest index goes first.
    let mut descending = nodes;
    arrange::sort(&mut descending);
    let mut solved = Vec::new();
    while let Some(node) = descending.pop() {
        match graph.remove_node(node) {
            Some((state, Outcome::Solved(steady))) => solved.push(Rest { state, steady }),
            Some((state, Outcome::Failed(_))) => settled.failed.push(state),
            None => {}
        }
    }
    arrange::sort_by(&mut solved, |a, b| a.state.cmp(&b.state));
    match verdict {
        Verdict::Settled | Verdict::Race => settled.rests = solved,
        _ => settled.passing = solved,
    }
    settled
}
