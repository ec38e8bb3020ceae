//! What may be wrong with a job, and what each cause leads to in every situation: solved once, asked of every reading.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::cause::Cause;
use super::ends::sides;
use super::spread::{Spread, spread};
use super::test_lamp;
use super::variant::{Solving, Variant};
use crate::check::worth_a_look;
use crate::circuit::{CHASSIS, Circuit, NetIndex, Origin};
use crate::document::{AT_REST, Probe, Situation};
use crate::fault::{Trial, brightness, faults};
use crate::ids::{PartId, TerminalRef};
use crate::kind::{Class, Law, Role};
use crate::solve::Rest;

/// Most sources whose voltage is taken as not known; further ones give what is drawn.
pub const MOST_SOURCES: usize = 4;

/// How everything is set at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The situation, as a reading keeps it.
    pub situation: Situation,
    /// How it stands in a sentence: `with S1 on`.
    pub when: String,
    /// Position by part.
    pub positions: Vec<u8>,
}

/// What one variant comes to at one moment.
pub(super) struct Row {
    /// The lasting state; none where nothing lasts.
    pub rest: Option<Rest>,
    /// How bright each load is, by branch.
    pub bright: Vec<(usize, f64)>,
    /// How far readings may be off, found when it is asked for.
    spread: OnceCell<Spread>,
}

/// A probe, looked up in the circuit.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Target {
    /// The leads of a voltmeter; without a second terminal the black one is at the body.
    Volts(Lead, Option<Lead>),
    /// The leads of a test lamp, likewise.
    TestLamp(Lead, Option<Lead>),
    /// A wire, by branch.
    Amps(usize),
    /// The branches of a load.
    Look(Vec<usize>),
    /// A relay, by device.
    Listen(usize),
    /// A fuse, by branch.
    Fuse(usize),
}

/// A lead of a meter: the terminal that it touches, and the net that the terminal is drawn at.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lead {
    terminal: TerminalRef,
    net: NetIndex,
}

/// A job in which the cause of a complaint is looked for.
pub struct Case {
    /// The circuit as it is drawn.
    pub circuit: Circuit,
    /// The situations in which readings may be taken, at rest first.
    pub moments: Vec<Moment>,
    /// What may be the cause: as drawn first, then every fault that does something.
    pub causes: Vec<Cause>,
    pub(super) variants: Vec<Variant>,
    /// What test lamps get, by variant, moment and nets.
    test_lamps: RefCell<BTreeMap<(usize, usize, NetIndex, NetIndex), f64>>,
    /// The sources whose voltage is not known for certain, by branch.
    pub(super) sources: Vec<usize>,
    /// Pairs of nets between which readings are proposed, as they are drawn.
    pub(super) pairs: BTreeMap<(NetIndex, NetIndex), usize>,
}

impl Case {
    /// Solves every cause in every situation worth a look: those of the job, those that readings were taken in, each
    /// switch by itself and all at once.
    ///
    /// Situations in which the circuit as drawn opens a fuse or does not come to rest are left out unless they are
    /// named: nobody takes readings in them. A fuse that a fault opens in one situation is taken as open in all: the
    /// vehicle was used before somebody complained.
    pub fn new(circuit: &Circuit, named: &[Situation]) -> Case {
        let trial = Trial::new(circuit);
        let mut moments = moments(circuit, named);
        let mut healthy = trial.healthy(&positions(&moments));
        for index in (0..moments.len()).rev() {
            let is_named = named.contains(&moments[index].situation);
            if !is_named && (healthy[index].rest().is_none() || !healthy[index].blown.is_empty()) {
                moments.remove(index);
                healthy.remove(index);
            }
        }
        let positions = positions(&moments);
        let sound: Vec<Rc<Row>> = healthy.iter().map(|outcome| Row::of(circuit, outcome.rest())).collect();
        let lasts: Vec<bool> = healthy.iter().map(|outcome| outcome.blown.is_empty()).collect();
        let mut causes = vec![Cause::AsDrawn];
        let mut variants = vec![Variant::as_drawn(&sound)];
        let solving = Solving { trial: &trial, positions: &positions, sound: &sound, lasts: &lasts };
        for fault in faults(circuit) {
            let own = solving.variants(&fault, causes.len());
            // What does nothing that a meter or an eye could tell is no answer to a complaint.
            if !own.is_empty() {
                causes.push(Cause::Fault(fault));
                variants.extend(own);
            }
        }
        let sources = circuit.sources().take(MOST_SOURCES).collect();
        Case {
            circuit: circuit.clone(),
            moments,
            causes,
            variants,
            test_lamps: RefCell::default(),
            sources,
            pairs: pairs(circuit),
        }
    }

    /// The moment of a situation, by index; none where it was not solved.
    pub(super) fn moment(&self, situation: &Situation) -> Option<usize> {
        let positions = self.circuit.positions(situation);
        self.moments.iter().position(|moment| moment.positions == positions)
    }

    /// What a probe looks at; none where the job has no such thing.
    pub(super) fn target(&self, probe: &Probe) -> Option<Target> {
        let circuit = &self.circuit;
        let network = &circuit.resolved.network;
        let of_part = |id: &PartId| {
            let part = network.parts.iter().position(|part| part.id == *id);
            part.into_iter().flat_map(|part| circuit.branches_of_part(part))
        };
        let lead = |terminal: &TerminalRef| {
            circuit.net_of(terminal).map(|net| Lead { terminal: terminal.clone(), net })
        };
        let leads = |at: &TerminalRef, against: Option<&TerminalRef>| {
            Some(match against {
                Some(against) => (lead(at)?, Some(lead(against)?)),
                None => (lead(at)?, None),
            })
        };
        match probe {
            Probe::Volts { at, against } => {
                let (at, against) = leads(at, against.as_ref())?;
                Some(Target::Volts(at, against))
            }
            Probe::TestLamp { at, against } => {
                let (at, against) = leads(at, against.as_ref())?;
                Some(Target::TestLamp(at, against))
            }
            Probe::Amps(wire) => {
                let wire = circuit.wire_index(wire)?;
                let is_it = |branch: &usize| circuit.branches[*branch].origin == Origin::Wire(wire);
                (0..circuit.branches.len()).find(is_it).map(Target::Amps)
            }
            Probe::Look(part, name) => {
                let is_it = |branch: &crate::circuit::Branch| matches!(branch.role, Role::Load(load) if load.name == name);
                let all: Vec<usize> =
                    of_part(part).filter(|(_, branch)| is_it(branch)).map(|(index, _)| index).collect();
                (!all.is_empty()).then_some(Target::Look(all))
            }
            Probe::Listen(part) => {
                let coil = of_part(part).find(|(_, branch)| matches!(branch.role, Role::Coil { .. }))?;
                circuit.device_of(coil.0).map(Target::Listen)
            }
            Probe::Fuse(part) => {
                let fuse = of_part(part).find(|(_, branch)| matches!(branch.role, Role::Protection(_)))?;
                Some(Target::Fuse(fuse.0))
            }
            Probe::Pin { .. } => None,
        }
    }

    /// Whether everything but fuses reads the same for two variants at one moment.
    pub(super) fn reads_the_same(&self, one: usize, other: usize, moment: usize) -> bool {
        let (one, other) = (&self.variants[one], &self.variants[other]);
        Rc::ptr_eq(&one.rows[moment], &other.rows[moment]) && one.moved == other.moved
    }

    pub(super) fn row(&self, variant: usize, moment: usize) -> &Row {
        &self.variants[variant].rows[moment]
    }

    /// How far the readings of a variant at one moment may be off.
    pub(super) fn spread(&self, variant: usize, moment: usize) -> &Spread {
        let row = self.row(variant, moment);
        row.spread.get_or_init(|| {
            // A row that is that of the job as drawn belongs to its circuit, whoever asks.
            let is_sound = std::ptr::eq(row, self.row(0, moment));
            let own = &self.variants[if is_sound { 0 } else { variant }];
            let circuit = self.circuit.changed(&own.changes);
            let fault = self.causes[own.cause].fault();
            let joint = own
                .ohm
                .zip(fault.and_then(|_| own.changes.first()))
                .map(|(ohm, change)| (change.branch(), ohm));
            spread(&circuit, row.rest.as_ref(), joint, &self.sources, &self.pairs)
        })
    }

    /// The circuit of a variant.
    pub(super) fn changed(&self, variant: usize) -> Circuit {
        self.circuit.changed(&self.variants[variant].changes)
    }

    /// The share of its voltage that a test lamp gets, found when it is asked for.
    pub(super) fn test_lamp(&self, variant: usize, moment: usize, from: NetIndex, to: NetIndex) -> f64 {
        let mut known = self.test_lamps.borrow_mut();
        *known
            .entry((variant, moment, from, to))
            .or_insert_with(|| test_lamp::brightness(self, variant, moment, from, to))
    }

    /// The net that a lead touches.
    pub(super) fn touched(&self, variant: usize, lead: &Lead) -> NetIndex {
        let moved = self.variants[variant].moved.iter().find(|(moved, _)| *moved == lead.terminal);
        moved.map_or(lead.net, |(_, net)| *net)
    }
}

impl Row {
    /// The row of a state of this circuit.
    pub fn of(circuit: &Circuit, rest: Option<&Rest>) -> Rc<Row> {
        let bright = |rest: &Rest| {
            let level = |(branch, load)| (branch, brightness(circuit, rest, branch, load));
            circuit.loads().map(level).collect()
        };
        Rc::new(Row {
            rest: rest.cloned(),
            bright: rest.map(bright).unwrap_or_default(),
            spread: OnceCell::new(),
        })
    }
}

fn positions(moments: &[Moment]) -> Vec<Vec<u8>> {
    moments.iter().map(|moment| moment.positions.clone()).collect()
}

/// The situations worth a look, each once; the job's own keep their names.
fn moments(circuit: &Circuit, named: &[Situation]) -> Vec<Moment> {
    let parts = &circuit.resolved.network.parts;
    let mut known = BTreeSet::new();
    let mut found = Vec::new();
    for (index, (when, positions)) in worth_a_look(circuit, named).into_iter().enumerate() {
        if !known.insert(positions.clone()) {
            continue;
        }
        let set = parts.iter().zip(&positions).filter(|(_, position)| **position > 0);
        let set =
            set.map(|(part, at)| (part.id.clone(), part.positions()[usize::from(*at)].to_owned())).collect();
        let name = match index {
            0 => AT_REST.to_owned(),
            _ => named.get(index - 1).map_or_else(|| when.clone(), |situation| situation.name.clone()),
        };
        found.push(Moment { situation: Situation { name, set }, when, positions });
    }
    found
}

/// The nets at the two ends of every branch and of every side of a circuit, and those of earth points and the negative poles of batteries.
fn pairs(circuit: &Circuit) -> BTreeMap<(NetIndex, NetIndex), usize> {
    let mut pairs = BTreeMap::new();
    let mut add = |a: NetIndex, b: NetIndex| {
        let next = pairs.len();
        if a != b && a != CHASSIS && b != CHASSIS {
            pairs.entry((a, b)).or_insert(next);
        }
    };
    for branch in &circuit.branches {
        add(branch.from, branch.to);
    }
    for side in sides(circuit) {
        if let (Some(a), Some(b)) = (circuit.net_of(&side.at), circuit.net_of(&side.against)) {
            add(a, b);
        }
    }
    for earth in earths(circuit) {
        for pole in poles(circuit) {
            if let (Some(a), Some(b)) = (circuit.net_of(&earth), circuit.net_of(&pole)) {
                add(a, b);
            }
        }
    }
    pairs
}

/// The studs of earth points.
pub(super) fn earths(circuit: &Circuit) -> Vec<TerminalRef> {
    let parts = circuit.resolved.network.parts.iter().filter(|part| part.kind.class == Class::Earth);
    parts
        .flat_map(|part| {
            part.terminals()
                .into_iter()
                .map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name })
        })
        .collect()
}

/// The negative poles of batteries that are tied to the body.
pub(super) fn poles(circuit: &Circuit) -> Vec<TerminalRef> {
    let parts = &circuit.resolved.network.parts;
    let mut found = Vec::new();
    for (index, part) in parts.iter().enumerate().filter(|(_, part)| part.kind.class == Class::Battery) {
        let strap = circuit
            .branches_of_part(index)
            .find(|(_, branch)| branch.to == CHASSIS && branch.role == Role::Path);
        let Some((_, strap)) = strap else { continue };
        let own = part
            .terminals()
            .into_iter()
            .map(|terminal| TerminalRef { part: part.id.clone(), terminal: terminal.name });
        found.extend(own.filter(|terminal| circuit.net_of(terminal) == Some(strap.from)));
    }
    found
}

/// Whether a branch is a source whose voltage depends on its charge.
pub(super) fn is_battery(circuit: &Circuit, branch: usize) -> bool {
    matches!(circuit.branches[branch].law, Some(Law::Source { one_way: false, .. }))
}
