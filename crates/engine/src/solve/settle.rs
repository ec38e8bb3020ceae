//! How relays and electronic loads come to rest after a change.
//!
//! The states of all devices form a graph: from a state whose voltages ask some devices to move,
//! any of them may move first, or several at once (the general multiple-winner model of Brzozowski
//! and Seger 1995). Where the graph ends tells what happens: in one state that asks for nothing,
//! in a cycle that never ends, or in one of several states depending on which device is quicker.
//! Letting all devices move at once would invent oscillations that no workshop ever sees.

use std::collections::BTreeMap;

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

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
}

/// One device state that lasts, and its solution.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Positions and device states.
    pub state: State,
    /// Voltages and currents.
    pub steady: Steady,
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
}

/// Most states looked at before giving up.
const MOST_STATES: usize = 2048;

/// Units that may move in any combination; beyond this many they move singly or all at once.
const MOST_TOGETHER: usize = 4;

enum Outcome {
    Solved(Box<Steady>),
    Failed(NoSolution),
}

/// Lets the devices of `start` come to rest with its positions held.
pub fn settle(bench: &Bench<'_>, start: State) -> Settled {
    let mut graph: DiGraph<(State, Outcome), ()> = DiGraph::new();
    let mut index: BTreeMap<Vec<bool>, NodeIndex> = BTreeMap::new();
    let first = enter(bench, &mut graph, &mut index, start);
    let mut waiting = vec![first];
    let mut looked_at = 0;
    while let Some(here) = waiting.pop() {
        looked_at += 1;
        if looked_at > MOST_STATES {
            return Settled { verdict: Verdict::Unsolved, rests: Vec::new(), restless: Vec::new() };
        }
        let (state, outcome) = &graph[here];
        let Outcome::Solved(steady) = outcome else { continue };
        let excited = excited(bench, state, steady);
        if excited.is_empty() {
            continue;
        }
        let state = state.clone();
        for moved in moves(bench, &state, &excited) {
            let known = index.len();
            let next = enter(bench, &mut graph, &mut index, moved);
            graph.update_edge(here, next, ());
            if index.len() > known {
                waiting.push(next);
            }
        }
    }
    ends(bench, graph)
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
    let outcome = match bench.steady(&state) {
        Ok(steady) => Outcome::Solved(Box::new(steady)),
        Err(failure) => Outcome::Failed(failure),
    };
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

/// The states that may follow `state` when the `excited` devices are asked to move.
fn moves(bench: &Bench<'_>, state: &State, excited: &[usize]) -> Vec<State> {
    let after = |devices: &[usize]| {
        let mut next = state.clone();
        for device in devices {
            next.devices[*device] = !next.devices[*device];
        }
        next
    };
    // Electronic loads that all turn on, and still have their turn-on voltage once all are on, end
    // up on in whatever order they start: each that starts only lowers the voltage of the others,
    // and the lowest is reached when all are on. So they count as one.
    let (starting, mut units): (Vec<usize>, Vec<Vec<usize>>) = {
        let is_starting = |device: &usize| !bench.circuit.devices[*device].relay && !state.devices[*device];
        let starting: Vec<usize> = excited.iter().copied().filter(is_starting).collect();
        let others = excited
            .iter()
            .copied()
            .filter(|device| !is_starting(device))
            .map(|device| vec![device])
            .collect();
        (starting, others)
    };
    if starting.len() > 1 && all_stay_on(bench, &after(&starting), &starting) {
        units.push(starting);
    } else {
        units.extend(starting.into_iter().map(|device| vec![device]));
    }
    if units.len() > MOST_TOGETHER {
        let mut next: Vec<State> = units.iter().map(|unit| after(unit)).collect();
        next.push(after(excited));
        return next;
    }
    (1..1usize << units.len())
        .map(|choice| {
            let chosen = units.iter().enumerate().filter(|(i, _)| choice & (1 << i) != 0);
            after(&chosen.flat_map(|(_, unit)| unit.iter().copied()).collect::<Vec<_>>())
        })
        .collect()
}

fn all_stay_on(bench: &Bench<'_>, state: &State, started: &[usize]) -> bool {
    let Ok(steady) = bench.steady(state) else { return false };
    started.iter().all(|index| {
        let device = &bench.circuit.devices[*index];
        let branch = &bench.circuit.branches[device.branch];
        steady.between(branch.from, branch.to).is_some_and(|volts| volts >= device.on_at)
    })
}

/// Reads the verdict off the ends of the state graph: its strongly connected components without a
/// way out.
fn ends(bench: &Bench<'_>, graph: DiGraph<(State, Outcome), ()>) -> Settled {
    let components = tarjan_scc(&graph);
    let is_end = |component: &&Vec<NodeIndex>| {
        component.iter().all(|node| graph.neighbors(*node).all(|next| component.contains(&next)))
    };
    let last: Vec<Vec<NodeIndex>> = components.iter().filter(is_end).cloned().collect();
    let differing = |nodes: &[NodeIndex]| -> Vec<usize> {
        let states: Vec<&Vec<bool>> = nodes.iter().map(|node| &graph[*node].0.devices).collect();
        (0..bench.circuit.devices.len()).filter(|d| states.iter().any(|s| s[*d] != states[0][*d])).collect()
    };
    for component in &last {
        for node in component {
            if let Outcome::Failed(failure) = &graph[*node].1 {
                let (verdict, restless) = match failure {
                    NoSolution::Collapse(devices) => (Verdict::Collapse, devices.clone()),
                    NoSolution::NotFound => (Verdict::Unsolved, Vec::new()),
                };
                return Settled { verdict, rests: Vec::new(), restless };
            }
        }
    }
    if let Some(cycle) = last.iter().find(|component| component.len() > 1) {
        let restless = differing(cycle);
        let verdict = match restless.iter().any(|device| bench.circuit.devices[*device].relay) {
            true => Verdict::Chatter,
            false => Verdict::Flashing,
        };
        return Settled { verdict, rests: Vec::new(), restless };
    }
    let nodes: Vec<NodeIndex> = last.into_iter().flatten().collect();
    let restless = differing(&nodes);
    let mut graph = graph;
    // Removing a node moves the last one into its place, so the highest index goes first.
    let mut descending = nodes;
    descending.sort_unstable();
    let mut rests = Vec::new();
    while let Some(node) = descending.pop() {
        if let Some((state, Outcome::Solved(steady))) = graph.remove_node(node) {
            rests.push(Rest { state, steady: *steady });
        }
    }
    rests.sort_by(|a, b| a.state.cmp(&b.state));
    let verdict = if rests.len() > 1 { Verdict::Race } else { Verdict::Settled };
    Settled { verdict, rests, restless }
}
