//! How far what is switched in one place can shift the voltages in another, over the supply they share.
//!
//! The conductors that hang on a source or the body without a contact or load between are shared by all that hangs on
//! them. A current `I` drawn anywhere between two of their points changes the voltage between two others by at most
//! `R I`, `R` being the resistance seen between those two: no network of resistances gives more voltage elsewhere than
//! where the current is drawn. Behind such points, parts whose current never falls with rising voltage pass on no
//! more than the greatest change between them. So the change is bounded by that resistance times the sum of the
//! currents that all other loads can ever draw.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use petgraph::unionfind::UnionFind;

use crate::circuit::reach::walk;
use crate::circuit::{CHASSIS, Circuit, Gate, NetIndex, State};
use crate::kind::{Law, Role};
use crate::solve::linear::{Factor, Pattern};
use crate::solve::{FILAMENT_EXPONENT, Solver, Steady};

/// Most voltages kept, of all nets together: some 32 megabytes.
const MOST_NUMBERS: usize = 1 << 22;

/// A load or a coil, and what may change its current.
pub(super) struct Drawer {
    /// Branch of the load or coil.
    pub branch: usize,
    /// The inputs that have a say in it.
    pub inputs: BTreeSet<usize>,
    /// The most it can ever draw, in amperes.
    pub most_a: f64,
}

/// The conductors shared by all, and all that draws from them.
pub(super) struct Supply<'c> {
    solver: Rc<Solver<'c>>,
    pattern: Pattern,
    factor: Factor,
    /// Nets with one label hang together by shared conductors and sources.
    island: Vec<usize>,
    /// No two points can differ by more volts than this.
    pub highest: f64,
    /// Loads and coils.
    pub drawers: Vec<Drawer>,
    /// The greatest resistance between some points, and what can be drawn outside some inputs: the same few are asked
    /// for in every state.
    resistances: RefCell<BTreeMap<Vec<NetIndex>, f64>>,
    /// Volts by net that one ampere into a net makes, by that.
    columns: RefCell<BTreeMap<NetIndex, Rc<Vec<f64>>>>,
    drawn_outside: RefCell<BTreeMap<BTreeSet<usize>, f64>>,
}

impl<'c> Supply<'c> {
    /// Reads the supply off a circuit; `base` is the state that everything starts from.
    pub fn new(solver: &Rc<Solver<'c>>, base: &State) -> Supply<'c> {
        let circuit = solver.circuit();
        let mut joined = UnionFind::<usize>::new(circuit.nets.len());
        let (mut pairs, mut conductances) = (Vec::new(), Vec::new());
        let mut ground = vec![0.0; circuit.nets.len() - 1];
        for (index, branch) in circuit.branches.iter().enumerate() {
            let Some(siemens) = shared_conductance(solver, base, index) else { continue };
            joined.union(branch.from, branch.to);
            match (branch.from, branch.to) {
                (from, to) if from == to => {}
                (CHASSIS, net) | (net, CHASSIS) => ground[net - 1] += siemens,
                (from, to) => {
                    pairs.push((from - 1, to - 1));
                    conductances.push(siemens);
                }
            }
        }
        let pattern = Pattern::new(circuit.nets.len() - 1, &pairs);
        let mut factor = Factor::default();
        pattern.factor(&conductances, &ground, &mut factor);
        let pole = poles(solver);
        let highest = highest_voltage(circuit, &pole);
        let drawers = drawers(solver, base, &pole, highest);
        Supply {
            solver: Rc::clone(solver),
            pattern,
            factor,
            island: joined.into_labeling(),
            highest,
            drawers,
            resistances: RefCell::default(),
            columns: RefCell::default(),
            drawn_outside: RefCell::default(),
        }
    }

    /// The most volts by which anything outside can shift what these inputs decide alone.
    pub fn shift(&self, inputs: &BTreeSet<usize>) -> f64 {
        self.shift_between(&self.points(inputs), inputs)
    }

    /// The same for the voltage across one branch in one state: only where that hangs on the supply then counts.
    pub fn shift_of(&self, inputs: &BTreeSet<usize>, steady: &Steady, branch: usize) -> f64 {
        let circuit = self.solver.circuit();
        let ends = [circuit.branches[branch].from, circuit.branches[branch].to];
        let met =
            walk(circuit, &ends, |index, near| !is_stiff(&self.solver, near) && steady.conducting(index));
        let points: Vec<NetIndex> =
            met.into_iter().map(|(net, _)| net).filter(|net| is_stiff(&self.solver, *net)).collect();
        self.shift_between(&points, inputs)
    }

    fn shift_between(&self, points: &[NetIndex], inputs: &BTreeSet<usize>) -> f64 {
        let most_a = self.drawn_outside(inputs);
        let ohm = self.resistance(points);
        if most_a == 0.0 || ohm == 0.0 { 0.0 } else { ohm * most_a }
    }

    /// What draws most of all that these inputs do not decide alone.
    pub fn heaviest_outside(&self, inputs: &BTreeSet<usize>) -> Option<&Drawer> {
        let outside = self.drawers.iter().filter(|drawer| !drawer.inputs.is_subset(inputs));
        outside.max_by(|a, b| a.most_a.total_cmp(&b.most_a).then(b.branch.cmp(&a.branch)))
    }

    /// The most amperes that all these inputs do not decide alone can draw together.
    fn drawn_outside(&self, inputs: &BTreeSet<usize>) -> f64 {
        if let Some(known) = self.drawn_outside.borrow().get(inputs) {
            return *known;
        }
        let outside = |drawer: &&Drawer| !drawer.inputs.is_subset(inputs);
        let most_a = self.drawers.iter().filter(outside).map(|drawer| drawer.most_a).sum();
        self.drawn_outside.borrow_mut().insert(inputs.clone(), most_a);
        most_a
    }

    /// The greatest resistance, in ohms, seen between two of some points of the supply.
    fn resistance(&self, points: &[NetIndex]) -> f64 {
        if let Some(known) = self.resistances.borrow().get(points) {
            return *known;
        }
        let ohm = self.resistance_anew(points);
        self.resistances.borrow_mut().insert(points.to_vec(), ohm);
        ohm
    }

    fn resistance_anew(&self, points: &[NetIndex]) -> f64 {
        let columns: Vec<Rc<Vec<f64>>> =
            points.iter().map(|point| self.volts_of_one_ampere(*point)).collect();
        let at = |column: &[f64], net: NetIndex| if net == CHASSIS { 0.0 } else { column[net - 1] };
        let mut most: f64 = 0.0;
        for (i, a) in points.iter().enumerate() {
            for (j, b) in points.iter().enumerate().take(i) {
                if self.island[*a] != self.island[*b] {
                    return f64::INFINITY;
                }
                let (x, y) = (&columns[i], &columns[j]);
                most = most.max(at(x, *a) - at(x, *b) - at(y, *a) + at(y, *b));
            }
        }
        most
    }

    /// What one ampere into a net of the supply makes of the voltage of every other.
    fn volts_of_one_ampere(&self, net: NetIndex) -> Rc<Vec<f64>> {
        if let Some(known) = self.columns.borrow().get(&net) {
            return Rc::clone(known);
        }
        let n = self.pattern.n_nodes();
        let mut volts = vec![0.0; n];
        if net != CHASSIS {
            volts[net - 1] = 1.0;
            self.pattern.solve(&self.factor, &mut volts, &mut Vec::new());
        }
        let (volts, mut columns) = (Rc::new(volts), self.columns.borrow_mut());
        // The same few nets are asked for again and again; where they are very many, they are computed again.
        if columns.len() >= MOST_NUMBERS / n.max(1) {
            columns.clear();
        }
        columns.insert(net, Rc::clone(&volts));
        volts
    }

    /// Where what these inputs decide hangs on the supply.
    fn points(&self, inputs: &BTreeSet<usize>) -> Vec<NetIndex> {
        let circuit = self.solver.circuit();
        let influence = self.solver.influence();
        let mut regions = BTreeSet::new();
        let mut points = BTreeSet::new();
        for drawer in self.drawers.iter().filter(|drawer| drawer.inputs.is_subset(inputs)) {
            let branch = &circuit.branches[drawer.branch];
            for net in [branch.from, branch.to] {
                match influence.region(net) {
                    Some(region) => drop(regions.insert(region)),
                    None => drop(points.insert(net)),
                }
            }
        }
        for branch in &circuit.branches {
            for (near, far) in [(branch.from, branch.to), (branch.to, branch.from)] {
                let inside = influence.region(near).is_some_and(|region| regions.contains(&region));
                if inside && influence.region(far).is_none() {
                    points.insert(far);
                }
            }
        }
        points.into_iter().collect()
    }
}

/// The conductance of what always conducts: fixed conductors, fuses, and sources as far as they hold their voltage.
fn shared_conductance(solver: &Solver<'_>, base: &State, index: usize) -> Option<f64> {
    let branch = &solver.circuit().branches[index];
    let is_closed =
        branch.gate == Gate::Always || is_fuse(branch.role) && solver.circuit().closed(index, base);
    match branch.law {
        Some(Law::Resistance(ohm)) if is_closed && is_path(branch.role) => {
            (is_stiff(solver, branch.from) && is_stiff(solver, branch.to)).then(|| 1.0 / ohm.get())
        }
        // One that limits its current, or lets none flow back, may hold nothing.
        Some(Law::Source { internal, limit: None, one_way: false, .. }) if is_closed => {
            Some(1.0 / internal.get())
        }
        _ => None,
    }
}

fn drawers(solver: &Solver<'_>, base: &State, pole: &[usize], highest: f64) -> Vec<Drawer> {
    let circuit = solver.circuit();
    let everywhere = joining(solver, pole);
    let is_input = |part: usize| circuit.inputs.iter().any(|input| input.part == part);
    let mut drawers = Vec::new();
    for (index, branch) in circuit.branches.iter().enumerate() {
        if !matches!(branch.role, Role::Load(_) | Role::Coil { .. }) {
            continue;
        }
        // What stands in a position that nothing changes never draws when it does not now.
        if matches!(branch.gate, Gate::In(part, _) if !is_input(part)) && !circuit.closed(index, base) {
            continue;
        }
        let Some(most_a) = branch.law.as_ref().map(|law| most_current(law, highest)) else { continue };
        let mut inputs = solver.influence().on_branch(circuit, index).inputs;
        if let Gate::In(part, _) = branch.gate {
            inputs.extend(circuit.inputs.iter().position(|input| input.part == part));
        }
        inputs.extend(&everywhere);
        drawers.push(Drawer { branch: index, inputs, most_a });
    }
    drawers
}

/// No two points of the circuit can differ by more than this.
fn highest_voltage(circuit: &Circuit, pole: &[usize]) -> f64 {
    let volts = circuit.sources().filter_map(|source| match circuit.branches[source].law {
        Some(Law::Source { emf, .. }) => Some(emf.get()),
        _ => None,
    });
    // Sources that all stand on the body are side by side; others may stand in series.
    let side_by_side = circuit.sources().all(|source| pole[circuit.branches[source].to] == pole[CHASSIS]);
    if side_by_side { volts.fold(0.0, f64::max) } else { volts.sum() }
}

/// The most current that a law lets pass up to a voltage; infinite where nothing bounds it.
fn most_current(law: &Law, volts: f64) -> f64 {
    match *law {
        Law::Resistance(ohm) => volts / ohm.get(),
        Law::Filament { rated_v, rated_a, .. } => {
            rated_a.get() * libm::pow(volts / rated_v.get(), FILAMENT_EXPONENT)
        }
        Law::Electronic { conducts_reversed: true, .. } => f64::INFINITY,
        Law::Electronic { power, limit, off_below, leak, .. } => {
            let drawn = power.get() / off_below.get();
            limit.map_or(drawn, |limit| limit.get().min(drawn)) + leak.map_or(0.0, |ohm| volts / ohm.get())
        }
        Law::Source { .. } | Law::Diode { .. } => f64::INFINITY,
    }
}

/// Which pole holds each stiff net: nets with one number hang together by fixed conductors.
fn poles(solver: &Solver<'_>) -> Vec<usize> {
    let circuit = solver.circuit();
    let mut joined = UnionFind::<usize>::new(circuit.nets.len());
    let is_fixed = |role: Role, gate: Gate| is_fuse(role) || role == Role::Path && gate == Gate::Always;
    for branch in circuit.branches.iter().filter(|branch| is_fixed(branch.role, branch.gate)) {
        if is_stiff(solver, branch.from) && is_stiff(solver, branch.to) {
            joined.union(branch.from, branch.to);
        }
    }
    joined.into_labeling()
}

fn is_path(role: Role) -> bool {
    matches!(role, Role::Path | Role::Protection(_))
}

fn is_fuse(role: Role) -> bool {
    matches!(role, Role::Protection(_))
}

fn is_stiff(solver: &Solver<'_>, net: NetIndex) -> bool {
    solver.influence().region(net).is_none()
}

/// Inputs whose contacts may join one pole with another without a load between, directly or by way of relays: what
/// flows then is bounded by no load, so they have a say in everything.
fn joining(solver: &Solver<'_>, pole: &[usize]) -> BTreeSet<usize> {
    let circuit = solver.circuit();
    let stiff = |net: NetIndex| is_stiff(solver, net);
    // What contacts and conductors alone may join, between the stiff nets.
    let mut joined = UnionFind::<usize>::new(circuit.nets.len());
    let paths = || circuit.branches.iter().filter(|branch| is_path(branch.role));
    for branch in paths().filter(|branch| !stiff(branch.from) && !stiff(branch.to)) {
        joined.union(branch.from, branch.to);
    }
    let mut held_by: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); circuit.nets.len()];
    for branch in paths() {
        for (near, far) in [(branch.from, branch.to), (branch.to, branch.from)] {
            if !stiff(near) && stiff(far) {
                held_by[joined.find(near)].insert(pole[far]);
            }
        }
    }
    let mut inputs = BTreeSet::new();
    for branch in paths() {
        let mixes = match (stiff(branch.from), stiff(branch.to)) {
            (true, true) => pole[branch.from] != pole[branch.to],
            (true, false) => held_by[joined.find(branch.to)].len() > 1,
            (false, _) => held_by[joined.find(branch.from)].len() > 1,
        };
        match branch.gate {
            Gate::In(part, _) if mixes => {
                inputs.extend(circuit.inputs.iter().position(|input| input.part == part));
            }
            Gate::Device(device, _) if mixes => inputs.extend(solver.influence().on_device(device).inputs),
            _ => {}
        }
    }
    inputs
}
