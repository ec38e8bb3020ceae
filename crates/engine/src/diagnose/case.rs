//! What may be wrong with a job, and what each cause leads to in every situation: solved once, asked of every reading.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::cause::{AS_DRAWN, Cause};
use super::ends::sides;
use super::spread::{Spread, spread};
use super::test_lamp;
use crate::check::worth_a_look;
use crate::circuit::{CHASSIS, Change, Circuit, NetIndex, Origin};
use crate::document::{AT_REST, Probe, Situation};
use crate::fault::{BAD_JOINT_OHM, Fault, Mode, Trial, brightness, faults};
use crate::ids::{PartId, TerminalRef};
use crate::kind::{Class, Law, Role};
use crate::quantity::Ohms;
use crate::solve::Rest;
use crate::subject::Subject;

/// How many resistances a bad joint is tried with, each in the same ratio to the next.
pub const N_OHMS: usize = 10;

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

/// A cause with everything about it fixed: a bad joint with one resistance.
pub(super) struct Variant {
    /// Its cause, by index.
    pub cause: usize,
    /// The resistance of a bad joint.
    pub ohm: Option<f64>,
    /// How likely it is before anything is looked at.
    pub odds: f64,
    /// What it changes of the circuit, fuses that have opened among it.
    changes: Vec<Change>,
    /// Fuses that are open, by branch.
    pub open: BTreeSet<usize>,
    /// The terminals that sit at another net than drawn.
    moved: Vec<(TerminalRef, NetIndex)>,
    /// What it comes to, by moment.
    rows: Vec<Rc<Row>>,
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
        let mut variants = vec![Variant {
            cause: 0,
            ohm: None,
            odds: AS_DRAWN,
            changes: Vec::new(),
            open: BTreeSet::new(),
            moved: Vec::new(),
            rows: sound.clone(),
        }];
        for fault in faults(circuit) {
            let ohms = ohms(&fault);
            let mut is_new = true;
            for ohm in &ohms {
                let Some(joint) = Ohms::new(ohm.unwrap_or(0.0)) else { continue };
                let changes = fault.changes(circuit, joint);
                // What does nothing that a meter or an eye could tell is no answer to a complaint.
                if changes.is_empty() {
                    continue;
                }
                if std::mem::take(&mut is_new) {
                    causes.push(Cause::Fault(fault.clone()));
                }
                let mut variant = Variant {
                    cause: causes.len() - 1,
                    ohm: *ohm,
                    odds: fault.odds / ohms.len() as f64,
                    open: blown_fuse(circuit, &fault, &changes),
                    moved: moved(circuit, &fault, &changes),
                    changes,
                    rows: Vec::new(),
                };
                variant.solve(&trial, &positions, &sound, &lasts);
                variants.push(variant);
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
    fn of(circuit: &Circuit, rest: Option<&Rest>) -> Rc<Row> {
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

impl Variant {
    /// Solves it in every situation, until every fuse has opened that does in any of them.
    fn solve(&mut self, trial: &Trial<'_>, positions: &[Vec<u8>], sound: &[Rc<Row>], lasts: &[bool]) {
        loop {
            let outcomes = trial.changed(&self.changes, positions);
            let opened: Vec<usize> = (outcomes.iter().zip(lasts))
                .filter(|(_, lasts)| **lasts)
                .flat_map(|(outcome, _)| outcome.blown.iter().map(|blown| blown.branch))
                .filter(|branch| !self.open.contains(branch))
                .collect();
            if opened.is_empty() {
                // Loads may sit between other nets than drawn.
                let circuit = trial.circuit().changed(&self.changes);
                let row = |(outcome, sound): (&crate::fault::Outcome, &Rc<Row>)| match outcome.rest() {
                    Some(rest) if is_as_sound(trial.circuit(), rest, sound.rest.as_ref()) => Rc::clone(sound),
                    rest => Row::of(&circuit, rest),
                };
                self.rows = outcomes.iter().zip(sound).map(row).collect();
                return;
            }
            for branch in opened {
                if self.open.insert(branch) {
                    self.changes.push(Change::Law(branch, None));
                }
            }
        }
    }
}

/// What no meter of this trade shows, in volts and in amperes (common practice, no source).
const UNSEEN: f64 = 0.002;

/// Whether no reading tells a state from the one without a fault: then it need not be kept twice.
fn is_as_sound(circuit: &Circuit, rest: &Rest, sound: Option<&Rest>) -> bool {
    let Some(sound) = sound else { return false };
    let (one, other) = (&rest.steady, &sound.steady);
    let is_near = |a: f64, b: f64| (a - b).abs() < UNSEEN;
    rest.state == sound.state
        && (0..circuit.nets.len()).all(|net| match (one.volts(net), other.volts(net)) {
            (Some(a), Some(b)) => is_near(a, b),
            (None, None) => true,
            _ => false,
        })
        && (0..circuit.branches.len()).all(|branch| is_near(one.amps(branch), other.amps(branch)))
}

/// The resistances that a fault is tried with; `None` stands for one that has none.
fn ohms(fault: &Fault) -> Vec<Option<f64>> {
    if !fault.is_resistive() {
        return vec![None];
    }
    let (least, most) = BAD_JOINT_OHM;
    (0..N_OHMS).map(|step| Some(least * libm::pow(most / least, step as f64 / (N_OHMS - 1) as f64))).collect()
}

/// The ratio of one resistance of a bad joint to the next that is tried.
pub(super) fn ohm_ratio() -> f64 {
    libm::pow(BAD_JOINT_OHM.1 / BAD_JOINT_OHM.0, 1.0 / (N_OHMS - 1) as f64)
}

/// The fuse that is open because it is what is wrong.
fn blown_fuse(circuit: &Circuit, fault: &Fault, changes: &[Change]) -> BTreeSet<usize> {
    let is_fuse = |branch: &usize| matches!(circuit.branches[*branch].role, Role::Protection(_));
    let branches = changes.iter().map(|change| change.branch()).filter(is_fuse);
    if fault.mode == Mode::Blown { branches.collect() } else { BTreeSet::new() }
}

/// The terminals of a part whose wires are exchanged: a lead that touches one of them touches the other's net.
fn moved(circuit: &Circuit, fault: &Fault, changes: &[Change]) -> Vec<(TerminalRef, NetIndex)> {
    let (Subject::Part(id), Mode::Swapped(..) | Mode::Reversed) = (&fault.subject, &fault.mode) else {
        return Vec::new();
    };
    let mut nets: BTreeMap<NetIndex, NetIndex> = BTreeMap::new();
    for change in changes {
        if let Change::Ends(branch, from, to) = change {
            let drawn = &circuit.branches[*branch];
            nets.insert(drawn.from, *from);
            nets.insert(drawn.to, *to);
        }
    }
    let terminals = circuit.resolved.network.part(id).map(|part| part.terminals()).unwrap_or_default();
    let moved = |terminal: &crate::kind::Terminal| {
        let terminal = TerminalRef { part: id.clone(), terminal: terminal.name.clone() };
        let drawn = circuit.net_of(&terminal)?;
        let sits = *nets.get(&drawn)?;
        (sits != drawn).then_some((terminal, sits))
    };
    terminals.iter().filter_map(moved).collect()
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
