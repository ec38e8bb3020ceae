//! From resolved parts and wires to nets and branches.
//!
//! A net is what is joined without resistance; net [`CHASSIS`] is the vehicle body. A branch joins
//! two nets and knows its law, when it conducts, and which wire or part it belongs to. Which
//! branches conduct at one time is decided by a [`State`]; everything that is solved or walked
//! starts from here.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use petgraph::unionfind::UnionFind;

use crate::document::{Settings, Situation};
use crate::ids::{PartId, TerminalRef, WireId};
use crate::kind::{Class, End, Join, Law, Load, PartBranch, Role, When};
use crate::resolve::{Resolved, Spread, rating, resolve, resolve_laid};
use crate::subject::Subject;

mod change;
pub mod reach;
pub mod series;

pub use change::Change;

/// Index of a net within its circuit.
pub type NetIndex = usize;

/// The net of the vehicle body; it exists in every circuit.
pub const CHASSIS: NetIndex = 0;

/// What a branch belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// A wire, by its index in the network.
    Wire(usize),
    /// A part, by its index in the network and the index of the branch within the part.
    Part(usize, usize),
}

impl Origin {
    /// The part, by its index in the network.
    pub fn part(self) -> Option<usize> {
        match self {
            Origin::Part(part, _) => Some(part),
            Origin::Wire(_) => None,
        }
    }
}

/// When a branch conducts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gate {
    /// Always.
    Always,
    /// While the part is in one of the positions whose bits are set.
    In(usize, u8),
    /// While the device is in this state.
    Device(usize, bool),
}

/// One branch of a circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// First net; currents count from here.
    pub from: NetIndex,
    /// Second net.
    pub to: NetIndex,
    /// How current follows voltage; `None` when that is not known, and then it carries nothing.
    pub law: Option<Law>,
    /// When it conducts.
    pub gate: Gate,
    /// What it is.
    pub role: Role,
    /// What it belongs to.
    pub origin: Origin,
}

/// Something that changes its own state with the voltage across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Device {
    /// The branch whose voltage decides: a coil or an electronic load.
    pub branch: usize,
    /// Turns on at this voltage.
    pub on_at: f64,
    /// Turns off at this voltage: at or below for a coil, below for an electronic load.
    pub off_at: f64,
    /// Whether it is a relay, which answers to either polarity.
    pub relay: bool,
}

/// A switch or donor that a situation may set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// Index of the part.
    pub part: usize,
    /// Number of positions; position 0 is at rest.
    pub positions: u8,
}

/// The position of every part and the state of every device at one time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct State {
    /// Position by part index; 0 is at rest.
    pub positions: Vec<u8>,
    /// Whether each device is on.
    pub devices: Vec<bool>,
}

/// The circuit of one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// What it was made from.
    pub resolved: Arc<Resolved>,
    /// The terminals of each net, in document order.
    pub nets: Arc<Vec<Vec<TerminalRef>>>,
    /// All branches, wires first.
    pub branches: Vec<Branch>,
    /// Relays and electronic loads.
    pub devices: Vec<Device>,
    /// Switches and donors.
    pub inputs: Vec<Input>,
    /// The branches that end on each net; one within a net stands once.
    pub at: Arc<Vec<Vec<usize>>>,
    net_of: Arc<BTreeMap<TerminalRef, NetIndex>>,
    /// The branches of each part, which stand together.
    of_part: Arc<Vec<Range<usize>>>,
    /// The device that each branch decides.
    device_of: Vec<Option<usize>>,
}

/// Makes the circuit of a job.
pub fn build(network: &Arc<crate::document::Network>, settings: &Settings) -> Circuit {
    from_resolved(Arc::new(resolve(network, settings)))
}

impl Circuit {
    /// The circuit of a changed network in the place of this one's, led along the same plan.
    pub fn of_changed(&self, network: &Arc<crate::document::Network>) -> Circuit {
        let Resolved { settings, plan, loaded, .. } = &*self.resolved;
        from_resolved(Arc::new(resolve_laid(network, settings, plan, loaded)))
    }
}

/// Makes the circuit of a resolved job.
pub fn from_resolved(resolved: Arc<Resolved>) -> Circuit {
    let (nets, net_of) = nets(&resolved);
    let mut circuit = Circuit {
        resolved,
        nets: Arc::new(nets),
        branches: Vec::new(),
        devices: Vec::new(),
        inputs: Vec::new(),
        at: Arc::default(),
        net_of: Arc::new(net_of),
        of_part: Arc::default(),
        device_of: Vec::new(),
    };
    circuit.add_wires();
    let mut of_part = Vec::with_capacity(circuit.resolved.parts.len());
    for part in 0..circuit.resolved.parts.len() {
        let first = circuit.branches.len();
        circuit.add_part(part);
        of_part.push(first..circuit.branches.len());
    }
    circuit.of_part = Arc::new(of_part);
    circuit.device_of = vec![None; circuit.branches.len()];
    for (index, device) in circuit.devices.iter().enumerate() {
        circuit.device_of[device.branch] = Some(index);
    }
    circuit.at = Arc::new(ends(&circuit.branches, circuit.nets.len()));
    circuit
}

/// The branches that end on each of `n_nets` nets; one within a net stands once.
fn ends(branches: &[Branch], n_nets: usize) -> Vec<Vec<usize>> {
    let mut at = vec![Vec::new(); n_nets];
    for (index, branch) in branches.iter().enumerate() {
        at[branch.from].push(index);
        if branch.to != branch.from {
            at[branch.to].push(index);
        }
    }
    at
}

fn nets(resolved: &Resolved) -> (Vec<Vec<TerminalRef>>, BTreeMap<TerminalRef, NetIndex>) {
    let network = &resolved.network;
    let present =
        || network.parts.iter().zip(&resolved.parts).filter(|(_, used)| used.is_some()).map(|(part, _)| part);
    let mut index: BTreeMap<TerminalRef, usize> = BTreeMap::new();
    let mut order = Vec::new();
    for part in present() {
        for terminal in part.terminals() {
            let terminal = TerminalRef { part: part.id.clone(), terminal: terminal.name };
            index.insert(terminal.clone(), order.len());
            order.push(terminal);
        }
    }
    let mut joined = UnionFind::<usize>::new(order.len());
    for part in present() {
        for join in (part.kind.joins)(&part.values) {
            let (own, other) = match join {
                Join::Own(a, b) => (a, TerminalRef { part: part.id.clone(), terminal: b }),
                Join::Other(a, part, b) => (a, TerminalRef { part, terminal: b }),
            };
            let own = TerminalRef { part: part.id.clone(), terminal: own };
            // A seat in a box that is to be removed joins nothing.
            if let (Some(a), Some(b)) = (index.get(&own), index.get(&other)) {
                joined.union(*a, *b);
            }
        }
    }
    let mut nets: Vec<Vec<TerminalRef>> = vec![Vec::new()];
    let mut net_of_root = vec![None; order.len()];
    let mut net_of_place = Vec::with_capacity(order.len());
    for (place, terminal) in order.into_iter().enumerate() {
        let net = *net_of_root[joined.find(place)].get_or_insert_with(|| {
            nets.push(Vec::new());
            nets.len() - 1
        });
        nets[net].push(terminal);
        net_of_place.push(net);
    }
    for place in index.values_mut() {
        *place = net_of_place[*place];
    }
    (nets, index)
}

impl Circuit {
    fn add_wires(&mut self) {
        for (index, used) in self.resolved.wires.iter().enumerate() {
            let wire = &self.resolved.network.wires[index];
            // A wire to a part that is removed hangs in the air and joins nothing.
            let (Some(from), Some(to), Some(used)) =
                (self.net_of.get(&wire.from), self.net_of.get(&wire.to), used.as_ref())
            else {
                continue;
            };
            self.branches.push(Branch {
                from: *from,
                to: *to,
                law: used.expected().map(|ohm| Law::Resistance(at_least(ohm))),
                gate: Gate::Always,
                role: Role::Path,
                origin: Origin::Wire(index),
            });
        }
    }

    fn add_part(&mut self, index: usize) {
        let resolved = Arc::clone(&self.resolved);
        let (part, Some(used)) = (&resolved.network.parts[index], &resolved.parts[index]) else { return };
        let positions = part.positions();
        if matches!(part.kind.class, Class::Contact | Class::Donor) && positions.len() > 1 {
            self.inputs.push(Input { part: index, positions: positions.len() as u8 });
        }
        let own = (part.kind.branches)(used);
        // A part has at most one coil, and its contacts follow that one.
        let coil =
            own.iter().any(|branch| matches!(branch.role, Role::Coil { .. })).then_some(self.devices.len());
        for (i, branch) in own.into_iter().enumerate() {
            let (Some(from), Some(to)) =
                (self.end(&branch.from, &part.id, index), self.end(&branch.to, &part.id, index))
            else {
                continue;
            };
            let gate = match branch.when {
                When::Always => Gate::Always,
                When::In(names) => Gate::In(index, bits(positions, names)),
                When::Energized => coil.map_or(Gate::In(index, 0), |device| Gate::Device(device, true)),
                When::Released => coil.map_or(Gate::Always, |device| Gate::Device(device, false)),
            };
            self.devices.extend(device(&branch, self.branches.len()));
            self.branches.push(Branch {
                from,
                to,
                law: branch.law,
                gate,
                role: branch.role,
                origin: Origin::Part(index, i),
            });
        }
    }

    fn end(&self, end: &End, own: &PartId, index: usize) -> Option<NetIndex> {
        match end {
            End::Terminal(name) => {
                self.net_of.get(&TerminalRef { part: own.clone(), terminal: name.clone() }).copied()
            }
            End::Chassis => Some(CHASSIS),
            End::Supply => self.feeding_battery(index).and_then(|part| self.supply_net(part)),
        }
    }

    /// The battery that feeds the donor at `index`: the one it names, else the first.
    fn feeding_battery(&self, index: usize) -> Option<usize> {
        let parts = &self.resolved.network.parts;
        let present = |i: &usize| self.resolved.parts[*i].is_some() && parts[*i].kind.class == Class::Battery;
        let named = parts[index].values.iter().find_map(|(_, given)| match given {
            crate::given::Given::Known(crate::kind::Value::Part(id)) => {
                parts.iter().position(|part| part.id == *id)
            }
            _ => None,
        });
        named.filter(present).or_else(|| (0..parts.len()).find(present))
    }

    /// The net of the positive pole of the source part at `index`: where its first branch starts.
    fn supply_net(&self, index: usize) -> Option<NetIndex> {
        let part = &self.resolved.network.parts[index];
        let used = self.resolved.parts[index].as_ref()?;
        let source = (part.kind.branches)(used).into_iter().find(|branch| branch.role == Role::Source)?;
        match source.from {
            End::Terminal(name) => {
                self.net_of.get(&TerminalRef { part: part.id.clone(), terminal: name }).copied()
            }
            End::Chassis | End::Supply => None,
        }
    }

    /// The net of a terminal; `None` when its part is removed or does not have it.
    pub fn net_of(&self, terminal: &TerminalRef) -> Option<NetIndex> {
        self.net_of.get(terminal).copied()
    }

    /// The subject that stands for a net: its first terminal. The chassis has none.
    pub fn net_subject(&self, net: NetIndex) -> Option<Subject> {
        self.nets[net].first().map(|terminal| Subject::Net(terminal.clone()))
    }

    /// The subject a branch belongs to.
    pub fn subject(&self, branch: usize) -> Subject {
        match self.branches[branch].origin {
            Origin::Wire(wire) => Subject::Wire(self.resolved.network.wires[wire].id.clone()),
            Origin::Part(part, _) => Subject::Part(self.resolved.network.parts[part].id.clone()),
        }
    }

    /// Index of the wire with this id.
    pub fn wire_index(&self, id: &WireId) -> Option<usize> {
        self.resolved.network.wires.iter().position(|wire| wire.id == *id)
    }

    /// The branches of the part at `index`, with their indices.
    pub fn branches_of_part(&self, index: usize) -> impl Iterator<Item = (usize, &Branch)> {
        let own = self.of_part[index].clone();
        own.clone().zip(&self.branches[own])
    }

    /// The rating of a fuse, a breaker or the fuse of a donor circuit; `None` for anything else and where it is not known.
    ///
    /// Where only a range was said, a wire must stand the higher end, and a load be content with the lower.
    pub fn rating(&self, branch: usize) -> Option<Spread<crate::quantity::Amps>> {
        match (self.branches[branch].role, self.branches[branch].origin) {
            (Role::Protection(Some(used)), Origin::Part(part, _)) => {
                Some(rating(&self.resolved.network.parts[part], used))
            }
            _ => None,
        }
    }

    /// The device whose state the voltage across a branch decides.
    pub fn device_of(&self, branch: usize) -> Option<usize> {
        self.device_of[branch]
    }

    /// The net at the other end of a branch.
    pub fn far_end(&self, branch: usize, near: NetIndex) -> NetIndex {
        let Branch { from, to, .. } = self.branches[branch];
        if from == near { to } else { from }
    }

    /// All loads: branch index and what the load asks for.
    pub fn loads(&self) -> impl Iterator<Item = (usize, &Load)> {
        self.branches.iter().enumerate().filter_map(|(index, branch)| match &branch.role {
            Role::Load(load) => Some((index, load)),
            _ => None,
        })
    }

    /// All sources, by branch index.
    pub fn sources(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.branches.len()).filter(|index| self.branches[*index].role == Role::Source)
    }

    /// Everything at rest: position 0, every device off.
    pub fn rest(&self) -> State {
        State { positions: vec![0; self.resolved.parts.len()], devices: vec![false; self.devices.len()] }
    }

    /// The positions of a situation, by part index; what it does not name is at rest.
    pub fn positions(&self, situation: &Situation) -> Vec<u8> {
        let mut positions = vec![0; self.resolved.parts.len()];
        for (index, part) in self.resolved.network.parts.iter().enumerate() {
            if let Some(name) = situation.set.get(&part.id) {
                let found = part.positions().iter().position(|position| position == name);
                positions[index] = found.unwrap_or(0) as u8;
            }
        }
        positions
    }

    /// Whether a branch conducts in `state`, as far as gates decide; a diode may still block.
    pub fn closed(&self, branch: usize, state: &State) -> bool {
        match self.branches[branch].gate {
            Gate::Device(device, on) => state.devices[device] == on,
            _ => self.is_in_position(branch, &state.positions),
        }
    }

    /// Whether its part's position lets a branch conduct; what only a device decides is let through.
    pub fn is_in_position(&self, branch: usize, positions: &[u8]) -> bool {
        match self.branches[branch].gate {
            Gate::In(part, mask) => mask & (1 << positions[part]) != 0,
            Gate::Always | Gate::Device(..) => true,
        }
    }
}

fn at_least(ohm: crate::quantity::Ohms) -> crate::quantity::Ohms {
    crate::quantity::Ohms::new(ohm.get().max(crate::kind::LEAST_OHM)).unwrap_or(ohm)
}

fn bits(positions: &[&str], names: &[&str]) -> u8 {
    positions.iter().enumerate().filter(|(_, name)| names.contains(name)).map(|(i, _)| 1u8 << i).sum()
}

fn device(branch: &PartBranch, index: usize) -> Option<Device> {
    match (branch.role, branch.law) {
        (Role::Coil { pull_in, drop_out }, Some(_)) => Some(Device {
            branch: index,
            on_at: pull_in.get(),
            // A drop-out above pull-in would let the armature flutter at every voltage in between.
            off_at: drop_out.get().min(pull_in.get()),
            relay: true,
        }),
        (_, Some(Law::Electronic { off_below, on_above, .. })) => Some(Device {
            branch: index,
            on_at: on_above.get(),
            off_at: off_below.get().min(on_above.get()),
            relay: false,
        }),
        _ => None,
    }
}
