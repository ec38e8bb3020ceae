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
use crate::document::{Settings, settings};
use crate::kind::{Law, OPENS_ABOVE, Role};
use crate::quantity::{Amps, Unit};
use crate::working::{Basis, Working};

/// How large the fuse ahead of a wire may be, as a multiple of the current that the wire can carry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseRule {
    /// The multiple.
    pub factor: f64,
    /// The formula of the allowed rating.
    formula: &'static str,
    /// Where it is from.
    pub source: &'static str,
}

impl FuseRule {
    /// The rule that the settings of a job name.
    pub fn of(settings: &Settings) -> FuseRule {
        match settings.word(&settings::FUSE_RULE) {
            // Up to 150 % of the conductor's current, circuits under 50 V.
            settings::CFR_RULE => FuseRule {
                factor: 1.5,
                formula: "I_max = 1.5 * I_z",
                source: "33 CFR 183.455(c)(1): up to 150 % of the current of the conductor, set for this job",
            },
            // Current that protection may let pass for a while, 1.45 I_z, over the current at which a fuse opens.
            _ => FuseRule {
                factor: 1.45 / OPENS_ABOVE,
                formula: "I_max = 1.45 / 1.35 * I_z",
                source: IEC_SOURCE,
            },
        }
    }

    /// How the largest rating for a wire of `stands` came about; `title` names the wire.
    pub fn working(self, title: &str, stands: Amps) -> Option<Working> {
        let what = format!("largest fuse ahead of {title}");
        let working = Working::of(what, self.formula, self.factor * stands.get(), Unit::Ampere, self.source)?;
        let of_wire = format!("current that {title} can carry");
        Some(working.with("I_z", of_wire, stands.get(), Unit::Ampere, Basis::Calculated))
    }
}

const IEC_SOURCE: &str = "overload rule of IEC 60364-4-43 (from memory); that a fuse opens from 1.35 times its rating on is printed for links declared to ISO 8820-3";

/// Nets that no fuse separates, and the fuses between them.
pub struct Zones<'c> {
    circuit: &'c Circuit,
    of: Vec<usize>,
    /// Zones that hold a positive pole, each with the most its source delivers where it limits itself.
    sources: Vec<(usize, Option<f64>)>,
    fuses: Vec<usize>,
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
        for branch in &circuit.branches {
            if joins(branch) {
                joined.union(branch.from, branch.to);
            }
        }
        let of = joined.into_labeling();
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
        Zones { circuit, of, sources, fuses, network: OnceCell::new(), known: RefCell::default() }
    }

    /// The zone of a net.
    pub fn of(&self, net: NetIndex) -> usize {
        self.of[net]
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
        let feeds = |fuse: &usize| {
            let mut edges = graph.edges_connecting(nodes(self.far_zone(*fuse, zone)), nodes(zone));
            self.touches(*fuse, zone) && edges.any(|edge| by_edge[edge.id().index()] > 0.0)
        };
        Some((flow, self.fuses.iter().copied().filter(feeds).collect()))
    }

    /// More than all fuses together, which is as good as no limit.
    fn unlimited(&self) -> f64 {
        1.0 + self.fuses.iter().filter_map(|fuse| self.rating(*fuse)).sum::<f64>()
    }

    /// The zones as nodes with the fuses as edges both ways, and a node that feeds all sources but those of one zone.
    fn network_without(&self, zone: Option<usize>) -> (DiGraph<(), f64>, NodeIndex) {
        let mut graph: DiGraph<(), f64> = DiGraph::new();
        let nodes: Vec<NodeIndex> = self.of.iter().map(|_| graph.add_node(())).collect();
        let start = graph.add_node(());
        let unlimited = self.unlimited();
        for (source, limit) in self.sources.iter().filter(|(source, _)| Some(*source) != zone) {
            graph.add_edge(start, nodes[*source], limit.unwrap_or(unlimited).min(unlimited));
        }
        for fuse in &self.fuses {
            let branch = &self.circuit.branches[*fuse];
            let (a, b) = (self.of[branch.from], self.of[branch.to]);
            let capacity = self.rating(*fuse).unwrap_or(unlimited);
            if a != b {
                graph.add_edge(nodes[a], nodes[b], capacity);
                graph.add_edge(nodes[b], nodes[a], capacity);
            }
        }
        (graph, start)
    }

    fn touches(&self, fuse: usize, zone: usize) -> bool {
        let branch = &self.circuit.branches[fuse];
        (self.of[branch.from] == zone) != (self.of[branch.to] == zone)
    }

    fn far_zone(&self, fuse: usize, zone: usize) -> usize {
        let branch = &self.circuit.branches[fuse];
        if self.of[branch.from] == zone { self.of[branch.to] } else { self.of[branch.from] }
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
            .filter_map(|side| self.fed_at(wire, side, zone, &feeding))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The fuses of `feeding` that reach the end `side` of a wire without passing the wire.
    fn fed_at(&self, wire: usize, side: NetIndex, zone: usize, feeding: &[usize]) -> Option<Flow> {
        let circuit = self.circuit;
        let met = walk(circuit, &[side], |index, _| {
            let branch = &circuit.branches[index];
            index != wire && branch.role == Role::Path && branch.law.is_some() && self.of[branch.from] == zone
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
                    Role::Path if net != near => {}
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

/// Whether a branch makes one zone of its two nets. The chassis is no zone: it would join all.
fn joins(branch: &Branch) -> bool {
    let ends_on_chassis = branch.from == CHASSIS || branch.to == CHASSIS;
    branch.role == Role::Path && branch.law.is_some() && !ends_on_chassis
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
