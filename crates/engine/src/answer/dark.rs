//! Why a load carries no current: what stands open on the way to it, or that there is no way.
//!
//! The way looked for is the one from a positive pole through the load to a negative pole that needs the fewest things
//! to be changed. What would have to be changed on it is the answer.

use petgraph::algo::astar;
use petgraph::graph::{DiGraph, NodeIndex};

use super::lit::part_of;
use crate::circuit::{Branch, CHASSIS, Circuit, Gate};
use crate::ids::{PartId, TerminalName};
use crate::kind::{Law, Role};
use crate::path::LEAST_AMPS;
use crate::quantity::{Quantity, Volts};
use crate::solve::Rest;

/// Why no current flows: words, lowercase and without a full stop, and the parts that keep it from flowing.
pub(super) struct Why {
    pub words: String,
    pub parts: Vec<PartId>,
}

impl Why {
    fn plain(words: impl Into<String>) -> Why {
        Why { words: words.into(), parts: Vec::new() }
    }
}

/// How often the reason that a relay is off is followed to the relay that switches its coil.
const DEEPEST: usize = 4;

/// A diode that blocks is a worse way than several open switches: somebody has to turn it round.
const AGAINST_A_DIODE: u32 = 8;

/// Why the load or coil at branch `load` carries no current in the lasting state `rest`.
pub(super) fn why(circuit: &Circuit, rest: &Rest, load: usize) -> Why {
    explain(circuit, rest, load, DEEPEST)
}

fn explain(circuit: &Circuit, rest: &Rest, load: usize, deepest: usize) -> Why {
    let branch = &circuit.branches[load];
    if circuit.sources().next().is_none() {
        return Why::plain("there is no battery");
    }
    let ways = Ways::new(circuit, rest);
    // Either end may be the one that is fed; a lamp does not mind.
    let (straight, turned) = (ways.through(branch.from, branch.to), ways.through(branch.to, branch.from));
    let way = if turned.cost() < straight.cost() { turned } else { straight };
    // Without a way nothing else matters yet: not what is off on the rest of it, not what the load would take.
    if let Some(missing) = way.missing() {
        return Why::plain(match &loose(circuit, load)[..] {
            [] => missing.to_owned(),
            [terminal] => format!("its terminal {terminal} has no wire, so {missing}"),
            _ => "it is connected to nothing".to_owned(),
        });
    }
    if branch.law.is_none() {
        return Why::plain("what it takes is not known");
    }
    let mut reasons: Vec<String> = Vec::new();
    let mut parts = Vec::new();
    for obstacle in way.obstacles() {
        let Some(part) = part_of(circuit, obstacle) else { continue };
        let id = &circuit.resolved.network.parts[part].id;
        if !parts.contains(id) {
            parts.push(id.clone());
            let why = obstacle_words(circuit, rest, obstacle, deepest);
            reasons.push(why.words);
            parts.extend(why.parts);
        }
    }
    match reasons.is_empty() {
        true => Why::plain(no_obstacle(rest, load, branch)),
        false => Why { words: reasons.join(", and "), parts },
    }
}

/// The terminals at the ends of a load that nothing is connected to: neither a wire nor another part.
fn loose(circuit: &Circuit, load: usize) -> Vec<&TerminalName> {
    let branch = &circuit.branches[load];
    let part = part_of(circuit, load);
    let own = part.map(|part| &circuit.resolved.network.parts[part].id);
    [branch.from, branch.to]
        .into_iter()
        .filter(|net| {
            *net != CHASSIS && circuit.at[*net].iter().all(|index| part_of(circuit, *index) == part)
        })
        .filter_map(|net| match &circuit.nets[net][..] {
            [terminal] if Some(&terminal.part) == own => Some(&terminal.terminal),
            _ => None,
        })
        .collect()
}

/// What is said of a load that everything leads to and that still takes nothing.
fn no_obstacle(rest: &Rest, load: usize, branch: &Branch) -> String {
    let volts = rest.steady.between(branch.from, branch.to);
    let words = volts.and_then(Volts::new).map(|volts| {
        let volts = Quantity::from(volts).to_the_thousandth();
        match branch.law {
            Some(Law::Electronic { conducts_reversed: false, .. }) if volts.value < 0.0 => {
                "it is connected the wrong way round".to_owned()
            }
            Some(Law::Electronic { on_above, .. }) => {
                format!("it gets only {volts}, and turns on above {on_above}")
            }
            _ => format!("only {volts} are across it"),
        }
    });
    match rest.steady.conducting(load) {
        true => words.unwrap_or_else(|| "no voltage is across it".to_owned()),
        false => words.unwrap_or_else(|| "it does not conduct".to_owned()),
    }
}

/// What one thing on the way does: `switch S1 is off`.
fn obstacle_words(circuit: &Circuit, rest: &Rest, index: usize, deepest: usize) -> Why {
    let branch = &circuit.branches[index];
    let title = circuit.subject(index).title(&circuit.resolved.network);
    let part = part_of(circuit, index);
    match branch.gate {
        Gate::In(part, _) => {
            let positions = circuit.resolved.network.parts[part].positions();
            let position = positions.get(usize::from(rest.state.positions[part])).unwrap_or(&"open");
            Why::plain(format!("{title} is {position}"))
        }
        Gate::Device(device, true) if deepest > 0 => {
            let coil = circuit.devices[device].branch;
            let amps = rest.steady.amps(coil).abs();
            let why = match amps > LEAST_AMPS {
                true => Why::plain("its coil gets too little voltage"),
                false => explain(circuit, rest, coil, deepest - 1),
            };
            // The relay itself stands among the parts already.
            let own = part.map(|part| &circuit.resolved.network.parts[part].id);
            let parts = why.parts.into_iter().filter(|id| Some(id) != own).collect();
            Why { words: format!("{title} is off because {}", why.words), parts }
        }
        Gate::Device(_, true) => Why::plain(format!("{title} is off")),
        Gate::Device(_, false) => Why::plain(format!("{title} is on")),
        Gate::Always => Why::plain(format!("{title} does not let current through that way")),
    }
}

/// Every way that could be, with what would have to be changed on it as its cost.
struct Ways<'c> {
    circuit: &'c Circuit,
    graph: DiGraph<Option<usize>, u32>,
    nets: Vec<NodeIndex>,
    /// What opens: branches that would have to conduct and do not.
    open: Vec<bool>,
}

impl<'c> Ways<'c> {
    fn new(circuit: &'c Circuit, rest: &Rest) -> Ways<'c> {
        let mut graph: DiGraph<Option<usize>, u32> = DiGraph::new();
        let nets: Vec<NodeIndex> = circuit.nets.iter().map(|_| graph.add_node(None)).collect();
        let mut open = vec![false; circuit.branches.len()];
        for (index, branch) in circuit.branches.iter().enumerate() {
            let joins = matches!(branch.role, Role::Path | Role::Protection(_)) && branch.law.is_some();
            if !joins || branch.from == branch.to {
                continue;
            }
            open[index] = !circuit.closed(index, &rest.state);
            let cost = u32::from(open[index]);
            let mut join = |from: usize, to: usize, cost: u32| {
                let vertex = graph.add_node(Some(index));
                graph.add_edge(nets[from], vertex, cost);
                graph.add_edge(vertex, nets[to], 0);
            };
            join(branch.from, branch.to, cost);
            let against = if matches!(branch.law, Some(Law::Diode { .. })) { AGAINST_A_DIODE } else { 0 };
            join(branch.to, branch.from, cost + against);
        }
        Ways { circuit, graph, nets, open }
    }

    /// The way through a load that is fed at net `fed` and gives back at net `back`.
    fn through(&self, fed: usize, back: usize) -> Way<'_> {
        let poles = |pole: fn(&Branch) -> usize| -> Vec<NodeIndex> {
            self.circuit.sources().map(|source| self.nets[pole(&self.circuit.branches[source])]).collect()
        };
        let (positive, negative) = (poles(|source| source.from), poles(|source| source.to));
        let cheapest = |start: NodeIndex, goals: &[NodeIndex]| {
            astar(&self.graph, start, |here| goals.contains(&here), |edge| *edge.weight(), |_| 0)
        };
        let feed = positive.iter().filter_map(|pole| cheapest(*pole, &[self.nets[fed]]));
        let feed = feed.min_by_key(|(cost, _)| *cost);
        Way { ways: self, feed, back: cheapest(self.nets[back], &negative) }
    }
}

/// A way through a load: from a source to it, and from it back; each with its cost, `None` when there is none.
struct Way<'w> {
    ways: &'w Ways<'w>,
    feed: Option<(u32, Vec<NodeIndex>)>,
    back: Option<(u32, Vec<NodeIndex>)>,
}

impl Way<'_> {
    /// What would have to be changed; a way that is missing costs more than any that is there.
    fn cost(&self) -> u32 {
        const MISSING: u32 = 1_000_000;
        let cost = |way: &Option<(u32, Vec<NodeIndex>)>| way.as_ref().map_or(MISSING, |(cost, _)| *cost);
        cost(&self.feed) + cost(&self.back)
    }

    /// What of it is not there at all, in words.
    fn missing(&self) -> Option<&'static str> {
        match (&self.feed, &self.back) {
            (None, None) => Some("nothing leads to it from a battery, and nothing from it back"),
            (None, Some(_)) => Some("nothing leads to it from a battery"),
            (Some(_), None) => Some("it has no way back to the battery"),
            (Some(_), Some(_)) => None,
        }
    }

    /// The branches along it that keep current from flowing, in the order of the current.
    fn obstacles(&self) -> Vec<usize> {
        let mut found = Vec::new();
        for (_, walk) in [&self.feed, &self.back].into_iter().flatten() {
            for (at, vertex) in walk.iter().enumerate() {
                let Some(branch) = self.ways.graph[*vertex] else { continue };
                let entered = walk.get(at.wrapping_sub(1)).copied();
                let forward = entered == Some(self.ways.nets[self.ways.circuit.branches[branch].from]);
                let diode = matches!(self.ways.circuit.branches[branch].law, Some(Law::Diode { .. }));
                if self.ways.open[branch] || (diode && !forward) {
                    found.push(branch);
                }
            }
        }
        found
    }
}
