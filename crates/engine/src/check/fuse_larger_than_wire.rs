//! Wires that their fuses do not protect.

use std::cell::RefCell;
use std::collections::BTreeMap;

use petgraph::algo::ford_fulkerson;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::unionfind::UnionFind;

use crate::check::Context;
use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, NetIndex};
use crate::document::Status;
use crate::finding::{Finding, Help, Label, Severity};
use crate::kind::{Law, Role};
use crate::quantity::{Amps, Quantity};
use crate::subject::Subject;

declare_check! {
    /// Finds wires that are thinner than the fuse ahead of them protects.
    ///
    /// # What it checks
    ///
    /// The greatest current that can flow through a wire for ever without any fuse opening: the greatest flow from the
    /// sources to it with the fuse ratings as capacities, so that fuses in parallel add and fuses in series limit.
    /// It must not exceed 1.07 times the current the wire stands (1.45 / 1.35: what protection may let pass over what a
    /// blade fuse opens at).
    /// A wire on the earth side must stand the largest fuse among the loads that have no other way back, because a load
    /// may fail to a short circuit.
    ///
    /// # Why it matters
    ///
    /// A fault, or simply too much load, then heats the wire without ever blowing the fuse.
    ///
    /// # Example
    ///
    /// A 30 A fuse ahead of a branch of 0.5 mm2.
    ///
    /// # What to do
    ///
    /// Fit the largest fuse the thinnest wire behind it allows, or give the thin branch a fuse of its own.
    name: "fuse-larger-than-wire",
    summary: "a fuse lets more current pass than a wire behind it stands",
    explained_by: &["undersized-conductor"],
    run: run,
}

/// Current that protection may let pass for a while (IEC 60364-4-43: 1.45 I_z) over the current at which a blade fuse
/// opens (ISO 8820-3, from memory: 1.35 I_n).
const OVERLOAD_FACTOR: f64 = 1.45 / 1.35;

const SOURCE: &str = "IEC 60364-4-43 overload rule with the 135 % gate of ISO 8820-3 (from memory); DIN VDE 0298-4:2013-06 Table 11";

/// A wire and the current that can pass it for ever.
struct Weak {
    branch: usize,
    passes: f64,
    stands: Amps,
    doubtful: bool,
    earth_side: bool,
    /// The fuses that let the current pass, by branch.
    fuses: Vec<usize>,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let zones = Zones::new(context.circuit);
    let mut by_fuse: BTreeMap<(bool, Vec<usize>), Vec<Weak>> = BTreeMap::new();
    for (branch, wire, used) in context.wires() {
        let Some(stands) = used.ampacity() else { continue };
        // An existing wire is judged only where new work hangs on it.
        if wire.status == Status::Existing && !touches_new(context, branch) {
            continue;
        }
        let earth_side = !context.supplied[context.circuit.branches[branch].from];
        let found =
            if earth_side { return_fuse(context, &zones, branch) } else { zones.flow_through(branch) };
        let Some((passes, fuses)) = found else { continue };
        if passes > OVERLOAD_FACTOR * stands.low.get() {
            let doubtful = passes <= OVERLOAD_FACTOR * stands.high.get() || wire.status == Status::Existing;
            let weak =
                Weak { branch, passes, stands: stands.low, doubtful, earth_side, fuses: fuses.clone() };
            by_fuse.entry((earth_side, fuses)).or_default().push(weak);
        }
    }
    for mut weak in by_fuse.into_values() {
        weak.sort_by(|a, b| a.stands.get().total_cmp(&b.stands.get()).then(a.branch.cmp(&b.branch)));
        findings.push(finding(context, &weak));
    }
}

/// Whether a new wire or part hangs on the run of a wire.
fn touches_new(context: &Context<'_>, branch: usize) -> bool {
    let circuit = context.circuit;
    let run = context.run_of(circuit.branches[branch].from);
    let nets = (1..circuit.nets.len()).filter(|net| context.run_of(*net) == run);
    let new_part = |net: usize| {
        circuit.nets[net].iter().any(|terminal| {
            circuit.resolved.network.part(&terminal.part).is_some_and(|part| part.status == Status::New)
        })
    };
    let mut nets = nets;
    nets.any(|net| {
        new_part(net)
            || context.circuit.at[net]
                .iter()
                .any(|index| context.wire_of(*index).is_some_and(|(wire, _)| wire.status == Status::New))
    })
}

/// Nets that no fuse separates, and the fuses between them.
struct Zones<'c> {
    circuit: &'c Circuit,
    of: Vec<usize>,
    /// Zones that hold a positive pole.
    sources: Vec<usize>,
    fuses: Vec<usize>,
    known: RefCell<BTreeMap<usize, Option<Flow>>>,
}

/// A current in amperes and the fuses that let it pass, by branch.
type Flow = (f64, Vec<usize>);

impl<'c> Zones<'c> {
    fn new(circuit: &'c Circuit) -> Zones<'c> {
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        for branch in &circuit.branches {
            if branch.role == Role::Path
                && branch.law.is_some()
                && branch.from != CHASSIS
                && branch.to != CHASSIS
            {
                joined.union(branch.from, branch.to);
            }
        }
        let of = joined.into_labeling();
        let sources = circuit.sources().map(|source| of[circuit.branches[source].from]).collect();
        let is_fuse = |index: &usize| matches!(circuit.branches[*index].role, Role::Protection(_));
        let fuses = (0..circuit.branches.len()).filter(is_fuse).collect();
        Zones { circuit, of, sources, fuses, known: RefCell::default() }
    }

    fn rating(&self, fuse: usize) -> Option<f64> {
        match self.circuit.branches[fuse].role {
            Role::Protection(rating) => rating.map(Amps::get),
            _ => None,
        }
    }

    /// The greatest lasting current into a zone without a fuse opening, and the fuses next to the
    /// zone that let it in. `None` when the zone holds a source, is not fed, or a rating is not known.
    fn inflow(&self, zone: usize) -> Option<Flow> {
        if let Some(known) = self.known.borrow().get(&zone) {
            return known.clone();
        }
        let flow = self.flow_into(zone);
        self.known.borrow_mut().insert(zone, flow.clone());
        flow
    }

    fn flow_into(&self, zone: usize) -> Option<Flow> {
        if self.sources.contains(&zone) {
            return None;
        }
        let mut graph: DiGraph<(), f64> = DiGraph::new();
        let nodes: Vec<NodeIndex> = self.of.iter().map(|_| graph.add_node(())).collect();
        let start = graph.add_node(());
        // More than all fuses together is as good as no limit.
        let mut unlimited = 1.0;
        for fuse in &self.fuses {
            unlimited += self.rating(*fuse).unwrap_or(0.0);
        }
        for source in &self.sources {
            graph.add_edge(start, nodes[*source], unlimited);
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
        let (flow, by_edge) = ford_fulkerson(&graph, start, nodes[zone]);
        if flow <= 0.0 || flow >= unlimited {
            return None;
        }
        let feeding: Vec<usize> = self
            .fuses
            .iter()
            .enumerate()
            .filter(|(_, fuse)| self.touches(**fuse, zone))
            .filter(|(_, fuse)| {
                let far = self.far_zone(**fuse, zone);
                graph.edge_indices().any(|edge| {
                    by_edge[edge.index()] > 0.0
                        && graph.edge_endpoints(edge) == Some((nodes[far], nodes[zone]))
                })
            })
            .map(|(_, fuse)| *fuse)
            .collect();
        Some((flow, feeding))
    }

    fn touches(&self, fuse: usize, zone: usize) -> bool {
        let branch = &self.circuit.branches[fuse];
        (self.of[branch.from] == zone) != (self.of[branch.to] == zone)
    }

    fn far_zone(&self, fuse: usize, zone: usize) -> usize {
        let branch = &self.circuit.branches[fuse];
        if self.of[branch.from] == zone { self.of[branch.to] } else { self.of[branch.from] }
    }

    /// The greatest lasting current through one wire, and the fuses that let it pass.
    fn flow_through(&self, wire: usize) -> Option<Flow> {
        let zone = self.of[self.circuit.branches[wire].from];
        let (flow, feeding) = self.inflow(zone)?;
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
}

/// The largest fuse among the loads that have no way back but this wire.
fn return_fuse(context: &Context<'_>, zones: &Zones<'_>, wire: usize) -> Option<Flow> {
    let circuit = context.circuit;
    let negative: Vec<NetIndex> =
        std::iter::once(CHASSIS).chain(circuit.sources().map(|source| circuit.branches[source].to)).collect();
    let mut home = vec![false; circuit.nets.len()];
    for (net, _) in walk(circuit, &negative, |index, near| {
        let far = circuit.branches[index].from + circuit.branches[index].to - near;
        index != wire && !context.supplied[far] && circuit.branches[index].role == Role::Path
    }) {
        home[net] = true;
    }
    let served = circuit.branches.iter().filter(|branch| {
        let is_user = matches!(branch.role, Role::Load(_) | Role::Coil { .. });
        is_user
            && context.returned[branch.to]
            && !home[branch.to]
            && context.supplied[branch.from]
            && !matches!(branch.law, Some(Law::Source { .. }))
    });
    served.filter_map(|branch| zones.inflow(zones.of[branch.from])).max_by(|a, b| a.0.total_cmp(&b.0))
}

fn finding(context: &Context<'_>, weak: &[Weak]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let worst = &weak[0];
    let subject = circuit.subject(worst.branch);
    let fuses: Vec<Subject> = worst.fuses.iter().map(|fuse| circuit.subject(*fuse)).collect();
    let names: Vec<String> = fuses.iter().map(|fuse| fuse.title(network)).collect();
    let passes = Amps::new(worst.passes).expect("a sum of ratings is finite");
    let allowed = Amps::new(OVERLOAD_FACTOR * worst.stands.get()).expect("a multiple of a current is finite");
    let title = subject.title(network);
    let possibly = if worst.doubtful { "possibly " } else { "" };
    let message = if worst.earth_side {
        format!(
            "{title} brings back loads behind {} and is {possibly}too thin for it: {passes} may flow when a load \
             fails, it stands {}",
            names.join(" and "),
            worst.stands
        )
    } else {
        format!(
            "{} lets {passes} pass for ever, {possibly}too much for {title}, which stands {}",
            names.join(" and "),
            worst.stands
        )
    };
    let mut because: Vec<Label> = fuses
        .iter()
        .map(|fuse| Label { subject: fuse.clone(), text: "lets the current pass".to_owned() })
        .collect();
    because.extend(weak[1..].iter().map(|other| Label {
        subject: circuit.subject(other.branch),
        text: format!("stands {}", other.stands),
    }));
    let mut touches: Vec<Subject> = weak.iter().map(|other| circuit.subject(other.branch)).collect();
    touches.extend(fuses);
    Finding {
        check: CHECK.name,
        severity: if worst.doubtful { Severity::Look } else { Severity::Stop },
        message,
        subject,
        because,
        measured: Some(passes.into()),
        allowed: Some(Quantity::from(allowed)),
        help: vec![Help {
            text: format!(
                "fit a fuse of at most {allowed}, use a larger size, or give the thin branch a fuse of its own"
            ),
        }],
        source: SOURCE,
        touches,
    }
}
