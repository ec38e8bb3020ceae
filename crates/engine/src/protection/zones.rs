//! Protection zones: nets that no fuse separates, and what current the fuses between them let into each.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;

use petgraph::algo::ford_fulkerson;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use crate::arrange;
use crate::circuit::reach::walk;
use crate::circuit::{Branch, CHASSIS, Circuit, NetIndex};
use crate::kind::{Law, Role};
use crate::quantity::Amps;

/// Nets that neither a fuse nor a diode separates, and the fuses and diodes between them.
pub struct Zones<'c> {
    circuit: &'c Circuit,
    of: Vec<usize>,
    /// Nets that no fuse separates.
    unfused: Vec<usize>,
    /// Zones that hold a positive pole, each with the most its source delivers where it limits itself.
    sources: Vec<(usize, Option<f64>)>,
    fuses: Vec<usize>,
    diodes: Vec<usize>,
    /// All zones with all sources, and the node that feeds them.
    network: OnceCell<(DiGraph<(), f64>, NodeIndex)>,
    known: RefCell<BTreeMap<usize, Option<Flow>>>,
}

/// A current in amperes and the fuses that let it pass, by branch.
pub type Flow = (f64, Vec<usize>);

impl<'c> Zones<'c> {
    /// The zones of a circuit.
    pub fn new(circuit: &'c Circuit) -> Zones<'c> {
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        for branch in circuit.branches.iter().filter(|branch| joins(branch)) {
            joined.union(branch.from, branch.to);
        }
        let of = joined.clone().into_labeling();
        let is_diode = |index: &usize| leads_one_way(&circuit.branches[*index]);
        let diodes: Vec<usize> = (0..circuit.branches.len()).filter(is_diode).collect();
        for diode in &diodes {
            joined.union(circuit.branches[*diode].from, circuit.branches[*diode].to);
        }
        let unfused = joined.into_labeling();
        let source = |index: usize| {
            let limit = match circuit.branches[index].law {
                Some(Law::Source { limit, one_way: true, .. }) => {
                    Some(limit.map_or(f64::INFINITY, Amps::get))
                }
                _ => None,
            };
            (of[circuit.branches[index].from], limit)
        };
        let sources = circuit.sources().map(source).collect();
        let is_fuse = |index: &usize| matches!(circuit.branches[*index].role, Role::Protection(_));
        let fuses = (0..circuit.branches.len()).filter(is_fuse).collect();
        let (network, known) = (OnceCell::new(), RefCell::default());
        Zones { circuit, of, unfused, sources, fuses, diodes, network, known }
    }

    /// The zone of a net.
    pub fn of(&self, net: NetIndex) -> usize {
        self.of[net]
    }

    /// What of the circuit a net belongs to when only fuses separate: what a diode feeds is in it, whichever way.
    pub fn unfused_of(&self, net: NetIndex) -> usize {
        self.unfused[net]
    }

    /// The most a fuse may be rated.
    fn rating(&self, fuse: usize) -> Option<f64> {
        self.circuit.rating(fuse).map(|rating| rating.high.get())
    }

    /// The greatest lasting current into a zone without a fuse opening, and the fuses next to the
    /// zone that let it in. `None` when the zone holds a battery, is not fed, or a rating is not known.
    /// What an alternator in the zone itself delivers is not counted.
    pub fn inflow(&self, zone: usize) -> Option<Flow> {
        if let Some(known) = self.known.borrow().get(&zone) {
            return known.clone();
        }
        let flow = self.flow_into(zone);
        self.known.borrow_mut().insert(zone, flow.clone());
        flow
    }

    fn flow_into(&self, zone: usize) -> Option<Flow> {
        if self.sources.contains(&(zone, None)) {
            return None;
        }
        let mut own = None;
        // What an alternator delivers into its own zone meets no fuse.
        let (graph, start) = if self.sources.iter().any(|(source, _)| *source == zone) {
            &*own.insert(self.network_without(Some(zone)))
        } else {
            self.network.get_or_init(|| self.network_without(None))
        };
        let nodes = |zone: usize| NodeIndex::new(zone);
        let (flow, by_edge) = ford_fulkerson(graph, *start, nodes(zone));
        if flow <= 0.0 || flow >= self.unlimited() {
            return None;
        }
        // What comes through a diode was let in by the fuses before that.
        let carries = |from: usize, to: usize| {
            graph.edges_connecting(nodes(from), nodes(to)).any(|edge| by_edge[edge.id().index()] > 0.0)
        };
        let mut fed = vec![zone];
        let mut next = 0;
        while let Some(&to) = fed.get(next) {
            next += 1;
            for diode in &self.diodes {
                let (from, into) = self.ends(*diode);
                if into == to && !fed.contains(&from) && carries(from, to) {
                    fed.push(from);
                }
            }
        }
        let feeds = |fuse: &usize| {
            let (a, b) = self.ends(*fuse);
            let lets_into =
                |to: usize, from: usize| fed.contains(&to) && !fed.contains(&from) && carries(from, to);
            lets_into(a, b) || lets_into(b, a)
        };
        Some((flow, self.fuses.iter().copied().filter(feeds).collect()))
    }

    /// The zones of the two nets of a branch.
    fn ends(&self, branch: usize) -> (usize, usize) {
        let branch = &self.circuit.branches[branch];
        (self.of[branch.from], self.of[branch.to])
    }

    /// More than all fuses together, which is as good as no limit.
    fn unlimited(&self) -> f64 {
        1.0 + self.fuses.iter().filter_map(|fuse| self.rating(*fuse)).sum::<f64>()
    }

    /// The zones as nodes with the fuses as edges both ways and the diodes as edges one way, and a node that feeds all
    /// sources but those of one zone.
    fn network_without(&self, zone: Option<usize>) -> (DiGraph<(), f64>, NodeIndex) {
        let mut graph: DiGraph<(), f64> = DiGraph::new();
        let nodes: Vec<NodeIndex> = self.of.iter().map(|_| graph.add_node(())).collect();
        let start = graph.add_node(());
        let unlimited = self.unlimited();
        for (source, limit) in self.sources.iter().filter(|(source, _)| Some(*source) != zone) {
            graph.add_edge(start, nodes[*source], limit.unwrap_or(unlimited).min(unlimited));
        }
        for fuse in &self.fuses {
            let (a, b) = self.ends(*fuse);
            let capacity = self.rating(*fuse).unwrap_or(unlimited);
            if a != b {
                graph.add_edge(nodes[a], nodes[b], capacity);
                graph.add_edge(nodes[b], nodes[a], capacity);
            }
        }
        for diode in &self.diodes {
            let (from, to) = self.ends(*diode);
            if from != to {
                graph.add_edge(nodes[from], nodes[to], unlimited);
            }
        }
        (graph, start)
    }

    /// The greatest lasting current through one wire, and the fuses that let it pass: those that feed
    /// it, or the ones at the end of a lead.
    pub fn flow_through(&self, wire: usize) -> Option<Flow> {
        let zone = self.of[self.circuit.branches[wire].from];
        let Some((flow, feeding)) = self.inflow(zone) else { return self.lead_from_source(wire) };
        if let Some(lead) = self.lead(wire) {
            let sum: f64 = lead.fuses.iter().filter_map(|fuse| self.rating(*fuse)).sum();
            return Some(if sum < flow { (sum, lead.fuses) } else { (flow, feeding) });
        }
        if feeding.len() < 2 {
            return Some((flow, feeding));
        }
        // Fed at several places: what meets at one end of the wire without passing it is what it
        // must carry to the other.
        let sides = [self.circuit.branches[wire].from, self.circuit.branches[wire].to];
        sides
            .into_iter()
            .filter_map(|side| self.fed_at(wire, side, &feeding))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The fuses of `feeding` that reach the end `side` of a wire without passing the wire.
    fn fed_at(&self, wire: usize, side: NetIndex, feeding: &[usize]) -> Option<Flow> {
        let circuit = self.circuit;
        // Against the current: a diode is passed from its cathode, and what lies before it is another zone.
        let met = walk(circuit, &[side], |index, near| {
            let branch = &circuit.branches[index];
            let passes = joins(branch) || leads_one_way(branch) && branch.to == near;
            index != wire && passes
        });
        let here: Vec<usize> = feeding
            .iter()
            .copied()
            .filter(|fuse| {
                let branch = &circuit.branches[*fuse];
                met.iter().any(|(net, _)| *net == branch.from || *net == branch.to)
            })
            .collect();
        let sum: f64 = here.iter().filter_map(|fuse| self.rating(*fuse)).sum();
        (sum > 0.0).then_some((sum, here))
    }

    /// What a lead from a battery may carry lastingly: as much as the fuses at its end let pass, which nothing else
    /// bounds.
    fn lead_from_source(&self, wire: usize) -> Option<Flow> {
        let branch = &self.circuit.branches[wire];
        if !self.sources.contains(&(self.of[branch.from], None)) {
            return None;
        }
        let ways = [(branch.from, branch.to), (branch.to, branch.from)];
        let fuses = ways.into_iter().find_map(|(near, far)| self.only_fuses(wire, near, far))?;
        let ratings: Option<Vec<f64>> = fuses.iter().map(|fuse| self.rating(*fuse)).collect();
        Some((ratings?.iter().sum(), fuses))
    }

    /// The lead a wire is, if behind it there are only fuses that do not feed its zone.
    pub fn lead(&self, wire: usize) -> Option<Lead> {
        let branch = &self.circuit.branches[wire];
        let (_, feeding) = self.inflow(self.of[branch.from])?;
        [(branch.from, branch.to), (branch.to, branch.from)].into_iter().find_map(|(near, far)| {
            let fuses = self.only_fuses(wire, near, far)?;
            let own = fuses.iter().all(|fuse| !feeding.contains(fuse) && self.rating(*fuse).is_some());
            own.then_some(Lead { near, far, fuses })
        })
    }

    /// The fuses on what hangs on the far end of a wire; `None` when a user of energy or a source hangs there too, or
    /// the near end by another way.
    fn only_fuses(&self, wire: usize, near: NetIndex, far: NetIndex) -> Option<Vec<usize>> {
        let circuit = self.circuit;
        let met = walk(circuit, &[far], |index, _| index != wire && joins(&circuit.branches[index]));
        let mut fuses = Vec::new();
        for (net, _) in met {
            for &index in circuit.at[net].iter().filter(|index| **index != wire) {
                match circuit.branches[index].role {
                    // Whatever it feeds, or is fed by, a lead to a diode is more than one to fuses.
                    Role::Path if net != near && !leads_one_way(&circuit.branches[index]) => {}
                    Role::Protection(_) => fuses.push(index),
                    _ => return None,
                }
            }
        }
        arrange::sort(&mut fuses);
        fuses.dedup();
        (!fuses.is_empty()).then_some(fuses)
    }
}

/// Whether a branch carries current between two nets without using or limiting it. The chassis is no zone: it would join
/// all.
fn is_way(branch: &Branch) -> bool {
    let ends_on_chassis = branch.from == CHASSIS || branch.to == CHASSIS;
    branch.role == Role::Path && branch.law.is_some() && !ends_on_chassis
}

/// Whether a branch makes one zone of its two nets.
fn joins(branch: &Branch) -> bool {
    is_way(branch) && !leads_one_way(branch)
}

/// Whether a branch lets current pass from its first net to its second alone.
fn leads_one_way(branch: &Branch) -> bool {
    is_way(branch) && matches!(branch.law, Some(Law::Diode { .. }))
}

/// A wire behind which there are only fuses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lead {
    /// The end it is fed from.
    pub near: NetIndex,
    /// The end that leads to the fuses.
    pub far: NetIndex,
    /// Those fuses, by branch.
    pub fuses: Vec<usize>,
}
