//! What sizes must do, with the currents of one solution held: a least size for each wire, and volts that may be lost
//! on the way of each load.

use crate::check::{Context, Surveyed, least_mm2, stands_its_fuse, warm_resistance, works};
use crate::circuit::reach::walk;
use crate::circuit::series::chains;
use crate::circuit::{Circuit, NetIndex, Origin};
use crate::conductor::{own_temperature, temperature_factor};
use crate::document::settings::DROP_LOOK;
use crate::document::{Size, Status};
use crate::kind::{Class, LEAST_OHM, Role};
use crate::protection::Withstand;
use crate::protection::against::slowest_against;
use crate::quantity::{Amps, Ohms, Volts};
use crate::resolve::{Spread, UsedWire};
use crate::sizing::Reason;
use crate::sizing::task::{FreeWire, Task};
use crate::solve::Rest;
use crate::subject::Subject;

/// The volts that the way of one load may lose in one situation.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// The load.
    pub load: Subject,
    /// The free wires on its way, with the volts each loses by size.
    pub lost: Vec<(usize, Vec<f64>)>,
    /// The volts they may lose together.
    pub allowed: f64,
}

impl Row {
    /// The volts that all free wires on the way lose together.
    pub fn volts(&self, sizes: &[usize]) -> f64 {
        self.lost.iter().map(|(wire, volts)| volts[sizes[*wire]]).sum()
    }

    /// Whether this holding makes another hold, whatever the sizes.
    fn asks_more_than(&self, other: &Row) -> bool {
        let is_in = |(wire, volts): &(usize, Vec<f64>)| {
            let here = self.lost.iter().find(|(on_way, _)| on_way == wire);
            here.is_some_and(|(_, here)| here.iter().zip(volts).all(|(here, there)| here >= there))
        };
        self.allowed <= other.allowed && other.lost.iter().all(is_in)
    }

    /// Whether no more is lost than may be.
    pub fn holds(&self, sizes: &[usize]) -> bool {
        self.volts(sizes) <= self.allowed
    }
}

/// Everything that sizes must do, and what they cost.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Model {
    /// The place in its series of the least size of each wire.
    pub least: Vec<usize>,
    /// Copper by wire and size.
    pub copper: Vec<Vec<f64>>,
    /// Volts that may be lost, by load and situation.
    pub rows: Vec<Row>,
}

impl Model {
    /// The model with the currents that a job draws as it is looked at.
    ///
    /// # Errors
    ///
    /// When a wire or a load can not be served by any size: which, and why.
    pub fn of(context: &Context<'_>, task: &Task<'_>) -> Result<Model, Reason> {
        let mut least = Vec::new();
        for wire in &task.wires {
            least.push(least_size(context, wire)?);
        }
        let mut rows = Vec::new();
        for surveyed in &context.survey.situations {
            rows.extend(rows_of(context, task, surveyed)?);
        }
        // What holds with the least sizes holds with all, and what asks for less than another asks for nothing.
        rows.retain(|row| !row.holds(&least));
        let mut asking: Vec<Row> = Vec::new();
        for row in rows {
            if !asking.iter().any(|other| other.asks_more_than(&row)) {
                asking.retain(|other| !row.asks_more_than(other));
                asking.push(row);
            }
        }
        let rows = asking;
        Ok(Model { least, rows, ..Model::free(task) })
    }

    /// A model that asks for nothing.
    pub fn free(task: &Task<'_>) -> Model {
        let copper = task.wires.iter().map(|wire| wire.copper.clone()).collect();
        Model { least: vec![0; task.wires.len()], copper, rows: Vec::new() }
    }

    /// Admits sizes that pass every check. Where the model asks for more than the checks do, as it may where currents
    /// divide, it would not be a bound on what passes.
    pub fn admit(&mut self, sizes: &[usize]) {
        for (least, size) in self.least.iter_mut().zip(sizes) {
            *least = (*least).min(*size);
        }
        for row in &mut self.rows {
            row.allowed = row.allowed.max(row.volts(sizes));
        }
    }

    /// Whether sizes do all that is asked.
    pub fn holds(&self, sizes: &[usize]) -> bool {
        self.rows.iter().all(|row| row.holds(sizes))
    }
}

/// A wire as it would be with another size.
fn resized(used: &UsedWire, size: Size) -> UsedWire {
    UsedWire { size: Some(Spread::exact(size)), area: Spread::exact(size.area()), ..used.clone() }
}

fn least_size(context: &Context<'_>, wire: &FreeWire) -> Result<usize, Reason> {
    let circuit = context.circuit;
    let branch = circuit.branches.iter().position(|branch| branch.origin == Origin::Wire(wire.index));
    let (Some(branch), Some(used)) = (branch, circuit.resolved.wires[wire.index].as_ref()) else {
        return Ok(0);
    };
    let rests = context.survey.situations.iter().flat_map(Surveyed::rests);
    let most = rests.map(|rest| rest.steady.amps(branch).abs()).fold(0.0, f64::max);
    let least_mm2 = least_mm2(used).unwrap_or(0.0);
    let refusal = |size: Size| {
        let used = resized(used, size);
        let stands = used.ampacity()?.low;
        if size.area().get() < least_mm2 {
            return Some("is too thin to handle".to_owned());
        }
        if most > stands.get() {
            return Some(format!("carries {}", Amps::new(most)?));
        }
        if !stands_its_fuse(context, branch, stands) {
            return Some("is not protected by its fuse".to_owned());
        }
        (!endures_its_faults(context, branch, &used)).then(|| "does not endure a short circuit".to_owned())
    };
    let found = wire.series.iter().position(|size| refusal(*size).is_none());
    found.ok_or_else(|| {
        let largest = wire.series[wire.series.len() - 1];
        let title = wire.subject.title(&circuit.resolved.network);
        let why = refusal(largest).unwrap_or_default();
        Reason {
            what: format!("no size is enough for {title}: of {} it {why}", largest.title()),
            subject: Some(wire.subject.clone()),
        }
    })
}

/// Whether every short circuit that a wire meets ends before it is ruined.
fn endures_its_faults(context: &Context<'_>, branch: usize, used: &UsedWire) -> bool {
    if context.zones().lead(branch).is_some() {
        return true;
    }
    let Some(withstand) = Withstand::of(used) else { return true };
    let prospects = context.prospects();
    prospects.on_wire(branch).iter().all(|one| {
        let Some(guard) = &one.guard else { return true };
        let slowest = slowest_against(guard, &withstand, prospects.highest_through(branch, one));
        slowest.is_none_or(|(amps, seconds)| seconds <= withstand.seconds(amps))
    })
}

fn rows_of(context: &Context<'_>, task: &Task<'_>, surveyed: &Surveyed) -> Result<Vec<Row>, Reason> {
    let circuit = context.circuit;
    // The currents are those that flow once the wires are as warm as the currents of cold ones make them.
    let Some(cold) = surveyed.rests().next() else { return Ok(Vec::new()) };
    let solver = context.survey.solver().with_resistances(|branch| warm_resistance(context, cold, branch));
    let solution = solver.solve(surveyed.positions.clone());
    let Some(rest) = solution.shown() else { return Ok(Vec::new()) };
    let settings = &circuit.resolved.settings;
    let look_v = settings.number(&DROP_LOOK) / 100.0 * settings.nominal_v;
    let mut rows = Vec::new();
    for (branch, load) in circuit.loads() {
        let is_new = context.part_of(branch).is_some_and(|(_, part)| part.status == Status::New);
        let is_judged = is_new && context.is_judged(branch) && load.name != "telltale";
        if !is_judged || !works(circuit, rest, branch, load) {
            continue;
        }
        let Some(way) = way(circuit, rest, branch) else { continue };
        let margin = load.least.map_or(f64::INFINITY, |least| way.posts_v - least.get());
        let may_lose = look_v.min(margin);
        let mut row = Row { load: circuit.subject(branch), lost: Vec::new(), allowed: may_lose };
        for (on_way, volts) in way.branches {
            let warming = cold.steady.amps(on_way).abs();
            let amps = rest.steady.amps(on_way).abs();
            let origin = circuit.branches[on_way].origin;
            let free = task.wires.iter().position(|wire| Origin::Wire(wire.index) == origin);
            match free {
                // Against the way it takes nothing off what is left for the others, whatever its size.
                Some(wire) if volts > 0.0 => {
                    let Some((_, used)) = context.wire_of(on_way) else { continue };
                    let sizes = task.wires[wire].series.iter();
                    let lost = sizes.map(|size| amps * warm_ohm(&resized(used, *size), warming));
                    row.lost.push((wire, lost.collect()));
                }
                Some(_) => {}
                None => row.allowed -= volts,
            }
        }
        let least = row.lost.iter().filter_map(|(_, volts)| volts.last()).sum::<f64>();
        if least > row.allowed && !row.lost.is_empty() {
            let title = row.load.title(&circuit.resolved.network);
            let volts = |volts: f64| Volts::new(volts).map_or_else(String::new, |volts| volts.to_string());
            let what = format!(
                "even with the largest sizes sold {title} loses {} of the battery's voltage {}, and may lose {}",
                volts(may_lose - row.allowed + least),
                surveyed.when,
                volts(may_lose)
            );
            return Err(Reason { what, subject: Some(row.load) });
        }
        if !row.lost.is_empty() {
            rows.push(row);
        }
    }
    Ok(rows)
}

/// The greatest resistance of a wire's size, as warm as this current makes it, in ohm.
fn warm_ohm(used: &UsedWire, amps: f64) -> f64 {
    let current = Amps::new(amps).unwrap_or_else(|| Amps::new(0.0).expect("nought is finite"));
    let temperature = match used.ampacity() {
        Some(stands) => own_temperature(used.insulation, used.ambient, stands.used, current),
        None => used.ambient,
    };
    let ohm = used.greatest().map_or(0.0, Ohms::get) * temperature_factor(temperature.get());
    ohm.max(LEAST_OHM)
}

/// The way of a load's current.
struct Way {
    /// Volts between the posts of the battery that feeds it.
    posts_v: f64,
    /// The branches on it, each with the volts it loses.
    branches: Vec<(usize, f64)>,
}

/// The way from a battery to a load and back over the fewest branches.
fn way(circuit: &Circuit, rest: &Rest, load: usize) -> Option<Way> {
    let ends = &circuit.branches[load];
    let is_forward = rest.steady.between(ends.from, ends.to)? >= 0.0;
    let (high, low) = if is_forward { (ends.from, ends.to) } else { (ends.to, ends.from) };
    let met = [high, low].map(|end| {
        walk(circuit, &[end], |index, _| {
            matches!(circuit.branches[index].role, Role::Path | Role::Protection(_))
                && rest.steady.conducting(index)
        })
    });
    let is_battery = |source: &usize| match circuit.branches[*source].origin {
        Origin::Part(part, _) => circuit.resolved.network.parts[part].kind.class == Class::Battery,
        Origin::Wire(_) => false,
    };
    let order =
        |met: &[(NetIndex, Option<usize>)], goal: NetIndex| met.iter().position(|(net, _)| *net == goal);
    // What hangs between batteries in series gets the voltage of those between.
    let mut posts: Vec<(NetIndex, NetIndex)> = Vec::new();
    for chain in chains(circuit, &rest.state) {
        for (index, top) in chain.sources.iter().enumerate().filter(|(_, source)| is_battery(source)) {
            let bottoms = &chain.sources[..=index];
            posts.extend(bottoms.iter().map(|low| (circuit.branches[*top].from, circuit.branches[*low].to)));
        }
    }
    let far = |(positive, negative): &(NetIndex, NetIndex)| {
        Some(((*positive, *negative), order(&met[0], *positive)? + order(&met[1], *negative)?))
    };
    let ((positive, negative), _) = posts.iter().filter_map(far).min_by_key(|(_, far)| *far)?;
    let mut branches = Vec::new();
    for (met, goal, sign) in [(&met[0], positive, 1.0), (&met[1], negative, -1.0)] {
        let mut net = goal;
        while let Some((_, Some(by))) = met.iter().find(|(found, _)| *found == net) {
            let branch = &circuit.branches[*by];
            let nearer = branch.from + branch.to - net;
            branches.push((*by, sign * rest.steady.between(net, nearer)?));
            net = nearer;
        }
    }
    Some(Way { posts_v: rest.steady.between(positive, negative)?, branches })
}
