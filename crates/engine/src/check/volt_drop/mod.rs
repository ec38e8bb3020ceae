//! Loads that get too little of the battery's voltage.

use std::collections::BTreeMap;

use crate::arrange;
use crate::check::survey::joined;
use crate::check::{Context, remedy, works};
use crate::circuit::series::chains;
use crate::circuit::{Circuit, NetIndex, Origin};
use crate::conductor::{own_temperature, temperature_factor};
use crate::document::settings::{DROP_LOOK, DROP_STOP};
use crate::document::{Edit, Setting, Settings, Status};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::kind::{Class, Law, Load, Role};
use crate::path::{Step, current_paths};
use crate::quantity::{Amps, Celsius, Ohms, Quantity, Unit, Volts};
use crate::resolve::UsedWire;
use crate::solve::{Rest, Solution, Verdict};
use crate::subject::Subject;
use crate::working::Working;

use working::{wire_working, working};

mod of_loads;
mod working;

pub use of_loads::{fed_through, greatest_drop};

declare_check! {
    /// Finds loads that lose too much of the battery's voltage on the way to them and back.
    ///
    /// # What it checks
    ///
    /// The voltage at the battery's posts less the voltage at the load's own terminals, in the situation in which the
    /// difference is greatest, as a share of the nominal voltage: feed, return, fuse and contacts together.
    /// Wires have the greatest resistance their size allows, at the temperature their own current gives them in their
    /// surroundings.
    /// More than 5 % is Look, more than 10 % is Stop, unless the job's settings say otherwise; a load below the voltage it needs at least, or one that turns on
    /// and off because of the drop, is Stop whatever the share. Where the size or length of a wire on the way is not known,
    /// it is no more than a Look.
    ///
    /// # Why it matters
    ///
    /// A filament lamp at 90 % of its voltage gives about seven tenths of its light (lamp rerating, power 3.4); an electronic lamp
    /// flickers, a motor stalls.
    ///
    /// # Example
    ///
    /// Two 55 W lamps at the end of 8 m of 1.5 mm2 and the same way back.
    ///
    /// # What to do
    ///
    /// Use a larger size for the wire that is named, shorten the run, or feed the load through a relay near it.
    name: "volt-drop",
    summary: "a load loses too much voltage on the way",
    harm: Harm::Failure,
    explained_by: &["earth-overloaded", "fuse-larger-than-wire", "undersized-conductor", "wrong-voltage", "unconnected-terminal", "strap-overloaded"],
    run: run,
}

const GREATEST: &str = "greatest resistance: ISO 6722-1:2011, sizes 0.5 and 0.75 mm2 and those between the usual ones from memory; copper: IEC 60028";

/// Volts lost on the way from which on a load is told, and too many of them.
struct Limits<'s> {
    settings: &'s Settings,
    look_v: f64,
    stop_v: f64,
}

impl Limits<'_> {
    fn of(circuit: &Circuit) -> Limits<'_> {
        let settings = &circuit.resolved.settings;
        let volts = |setting| settings.number(setting) / 100.0 * settings.nominal_v;
        Limits { settings, look_v: volts(&DROP_LOOK), stop_v: volts(&DROP_STOP) }
    }

    fn source(&self) -> String {
        let one = |word: &str, setting: &Setting| {
            format!("{word} above {} %: {}", self.settings.number(setting), self.settings.source(setting))
        };
        format!("{}; {}; {GREATEST}", one("Look", &DROP_LOOK), one("Stop", &DROP_STOP))
    }
}

fn number(value: f64, unit: Unit) -> Option<Quantity> {
    Quantity::new(value, unit)
}

struct Drop {
    load: usize,
    volts: f64,
    /// Volts left at the load.
    left: f64,
    /// Branch that loses most.
    cause: Option<(usize, f64)>,
    /// How what it loses came about.
    cause_working: Vec<Working>,
    /// Volts lost in each new wire on the way.
    way_lost: Vec<(usize, f64)>,
    least: Option<f64>,
    /// Wires on the way whose size or length had to be assumed.
    assumed_wires: Vec<usize>,
    when: String,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut by_cause: BTreeMap<Option<usize>, Vec<Drop>> = BTreeMap::new();
    let mut unsteady: Vec<(&str, Solution)> = Vec::new();
    for drop in drops(context, &mut unsteady) {
        by_cause.entry(drop.cause.map(|(branch, _)| branch)).or_default().push(drop);
    }
    for mut drops in by_cause.into_values() {
        arrange::sort_by(&mut drops, |a, b| b.volts.total_cmp(&a.volts));
        findings.push(finding(context, &drops));
    }
    let cold = context.survey.situations.iter().map(|surveyed| (surveyed.when.as_str(), &surveyed.solution));
    let warm = unsteady.iter().map(|(name, solution)| (*name, solution));
    restless(context, cold.chain(warm), findings);
}

fn judged_loads<'a>(context: &'a Context<'_>) -> impl Iterator<Item = (usize, &'a Load)> {
    context.circuit.loads().filter(|(branch, load)| {
        let is_new = context.part_of(*branch).is_some_and(|(_, part)| part.status == Status::New);
        is_new && context.is_judged(*branch) && load.name != "telltale"
    })
}

/// The greatest drop of each load with cold wires, and the surveyed situation it occurs in.
fn greatest_cold(context: &Context<'_>) -> BTreeMap<usize, (f64, usize)> {
    let circuit = context.circuit;
    let mut greatest: BTreeMap<usize, (f64, usize)> = BTreeMap::new();
    for (index, surveyed) in context.survey.situations.iter().enumerate() {
        for rest in surveyed.rests() {
            let posts = Posts::new(circuit, rest);
            for (branch, _) in judged_loads(context).filter(|(b, load)| works(circuit, rest, *b, load)) {
                if let Some((volts, _)) = posts.drop(branch)
                    && greatest.get(&branch).is_none_or(|known| volts > known.0)
                {
                    greatest.insert(branch, (volts, index));
                }
            }
        }
    }
    greatest
}

/// The greatest drop of each load, found with cold wires and computed with warm ones, where it is too much.
fn drops<'a>(context: &'a Context<'_>, unsteady: &mut Vec<(&'a str, Solution)>) -> Vec<Drop> {
    let circuit = context.circuit;
    let mut worst: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (branch, (volts, index)) in greatest_cold(context) {
        // Warm wires of the greatest resistance lose at most about twice what cold ones do.
        if volts > 0.4 * Limits::of(circuit).look_v {
            worst.entry(index).or_default().push(branch);
        }
    }
    let mut all = Vec::new();
    for (index, loads) in worst {
        let surveyed = &context.survey.situations[index];
        let Some(cold) = surveyed.rests().next() else { continue };
        let solver =
            context.survey.solver().with_resistances(|branch| warm_resistance(context, cold, branch));
        let solution = solver.solve(surveyed.positions.clone());
        match solution.shown() {
            Some(warm) => {
                let posts = Posts::new(circuit, warm);
                all.extend(
                    loads.iter().filter_map(|load| judged(context, &surveyed.when, cold, &posts, *load)),
                )
            }
            // Steady while cold, no longer so once warm.
            None => unsteady.push((&surveyed.when, solution)),
        }
    }
    all
}

/// The drop of a load, if it is too much.
fn judged(context: &Context<'_>, when: &str, cold: &Rest, posts: &Posts<'_>, load: usize) -> Option<Drop> {
    let Posts { circuit, rest, .. } = posts;
    let Role::Load(asks) = circuit.branches[load].role else { return None };
    let (volts, left) = posts.drop(load)?;
    let least = asks.least.map(Volts::get);
    let is_bad = volts > Limits::of(circuit).look_v || least.is_some_and(|least| left < least);
    is_bad.then(|| {
        let way = way(circuit, rest, load);
        let cause = greatest_loss(circuit, rest, &way);
        Drop {
            load,
            volts,
            left,
            cause,
            cause_working: cause
                .map_or_else(Vec::new, |(branch, _)| wire_working(context, cold, rest, branch)),
            least,
            way_lost: way_lost(context, rest, &way),
            assumed_wires: way.into_iter().filter(|branch| context.is_assumed(*branch)).collect(),
            when: when.to_owned(),
        }
    })
}

/// The temperature of a wire as its current makes it.
fn warm_temperature(used: &UsedWire, cold: &Rest, branch: usize) -> Option<Celsius> {
    let current = Amps::new(cold.steady.amps(branch))?;
    Some(match used.ampacity() {
        Some(stands) => own_temperature(used.insulation, used.ambient, stands.used, current),
        None => used.ambient,
    })
}

/// Resistance of a wire as great as its size allows and as warm as its current makes it.
pub fn warm_resistance(context: &Context<'_>, cold: &Rest, branch: usize) -> Option<Ohms> {
    let (_, used) = context.wire_of(branch)?;
    let temperature = warm_temperature(used, cold, branch)?;
    let ohm = used.greatest()?.get() * temperature_factor(temperature.get());
    Ohms::new(ohm.max(crate::kind::LEAST_OHM))
}

/// The batteries in one state, and what hangs on their positive poles.
struct Posts<'a> {
    circuit: &'a Circuit,
    rest: &'a Rest,
    /// The posts of each battery, the negative one that of the lowest where it stands on others in series, and whether
    /// each net is joined with the positive one.
    batteries: Vec<([NetIndex; 2], Vec<bool>)>,
}

impl<'a> Posts<'a> {
    fn new(circuit: &'a Circuit, rest: &'a Rest) -> Posts<'a> {
        let is_battery = |source: &usize| {
            let Origin::Part(part, _) = circuit.branches[*source].origin else { return false };
            circuit.resolved.network.parts[part].kind.class == Class::Battery
        };
        let hangs_on = |positive: NetIndex, negative: NetIndex| {
            let mut on = vec![false; circuit.nets.len()];
            for net in joined(circuit, rest, &[positive]) {
                on[net] = true;
            }
            ([positive, negative], on)
        };
        let mut batteries = Vec::new();
        for chain in chains(circuit, &rest.state) {
            let sources = chain.sources.iter().filter(|source| is_battery(source));
            batteries.extend(
                sources.map(|source| hangs_on(circuit.branches[*source].from, chain.negative_post(circuit))),
            );
        }
        Posts { circuit, rest, batteries }
    }

    /// Volts lost between the posts of the battery that feeds a load and the load, and volts left at it.
    ///
    /// Batteries share the body; only one whose positive pole is joined with the load feeds it. Of several the nearest
    /// counts: the one with the least between it and the load.
    fn drop(&self, load: usize) -> Option<(f64, f64)> {
        let branch = &self.circuit.branches[load];
        let left = self.rest.steady.between(branch.from, branch.to)?.abs();
        let lost = |([positive, negative], on): &([NetIndex; 2], Vec<bool>)| {
            let feeds = on[branch.from] || on[branch.to];
            feeds.then(|| self.rest.steady.between(*positive, *negative).map(|volts| volts - left))?
        };
        self.batteries.iter().filter_map(lost).min_by(f64::total_cmp).map(|lost| (lost, left))
    }
}

/// The wires, contacts and fuses on the shortest current path of a load.
fn way(circuit: &Circuit, rest: &Rest, load: usize) -> Vec<usize> {
    let Some(path) = current_paths(circuit, rest, load).into_iter().next() else { return Vec::new() };
    let on_path = |branch: usize| match circuit.subject(branch) {
        Subject::Wire(wire) => path.steps.contains(&Step::Wire(wire)),
        Subject::Part(part) => {
            path.steps.iter().any(|step| matches!(step, Step::Terminal(terminal) if terminal.part == part))
        }
        Subject::Terminal(_) | Subject::Net(_) => false,
    };
    let uses_none = |index: &usize| matches!(circuit.branches[*index].role, Role::Path | Role::Protection(_));
    (0..circuit.branches.len()).filter(uses_none).filter(|index| on_path(*index)).collect()
}

/// The new wires on the way, with what each loses.
fn way_lost(context: &Context<'_>, rest: &Rest, way: &[usize]) -> Vec<(usize, f64)> {
    let lost = |index: &usize| {
        let branch = &context.circuit.branches[*index];
        let (wire, _) = context.wire_of(*index)?;
        let volts = rest.steady.between(branch.from, branch.to)?.abs();
        (wire.status == Status::New).then_some((*index, volts))
    };
    way.iter().filter_map(lost).collect()
}

/// The branch on the way that loses most, and how much.
fn greatest_loss(circuit: &Circuit, rest: &Rest, way: &[usize]) -> Option<(usize, f64)> {
    let lost = |index: &usize| {
        let branch = &circuit.branches[*index];
        rest.steady.between(branch.from, branch.to).map(|volts| (*index, volts.abs()))
    };
    way.iter().filter_map(lost).max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
}

fn finding(context: &Context<'_>, drops: &[Drop]) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let nominal = circuit.resolved.nominal_v;
    let worst = &drops[0];
    let subject = circuit.subject(worst.load);
    let too_low = worst.least.filter(|least| worst.left < *least);
    let limits = Limits::of(circuit);
    let is_stop = too_low.is_some() || worst.volts > limits.stop_v;
    let percent = |volts: f64| {
        number(100.0 * volts / nominal, Unit::Percent).map_or_else(String::new, |share| share.to_string())
    };
    let (limit, limit_words) = match is_stop && worst.volts > limits.stop_v {
        true => (limits.stop_v, format!("more than {} is too much", percent(limits.stop_v))),
        false => (
            limits.look_v,
            format!(
                "up to {} is good practice, more than {} too much",
                percent(limits.look_v),
                percent(limits.stop_v)
            ),
        ),
    };
    let is_possible = !worst.assumed_wires.is_empty();
    // A number that rests on a guess says so before it is read.
    let guessed = if is_possible { ", with the sizes and lengths that are assumed," } else { "" };
    let volts = |value: f64| Volts::new(value).map_or_else(String::new, |volts| volts.to_string());
    let share = percent(worst.volts);
    let gets = format!("{}{guessed} gets {} {}", subject.title(network), volts(worst.left), worst.when);
    let message = match too_low {
        Some(least) => format!("{gets}, less than the {} it needs at least", volts(least)),
        None => format!(
            "{gets}: {} of the battery's voltage is lost on the way, {share} of nominal; {limit_words}",
            volts(worst.volts)
        ),
    };
    let mut because: Vec<Label> = Vec::new();
    let mut touches = vec![subject.clone()];
    touches.extend(context.misplaced_at(&context.ways_to(worst.load)));
    if let Some((cause, lost)) = worst.cause {
        let cause = circuit.subject(cause);
        because.push(Label { subject: cause.clone(), text: format!("loses {} of it", volts(lost)) });
        touches.push(cause);
    }
    because.extend(worst.assumed_wires.iter().map(|wire| Label {
        subject: circuit.subject(*wire),
        text: "its size or length is assumed".to_owned(),
    }));
    because.extend(drops[1..].iter().map(|other| Label {
        subject: circuit.subject(other.load),
        text: format!("loses {} for the same reason", volts(other.volts)),
    }));
    let working = working(context, worst, &subject.title(network), limit);
    let (measured, allowed) = match too_low {
        Some(least) => (number(worst.left, Unit::Volt), number(least, Unit::Volt)),
        None => (number(worst.volts, Unit::Volt), number(limit, Unit::Volt)),
    };
    Finding {
        check: CHECK.name,
        severity: if is_stop && !is_possible { Severity::Stop } else { Severity::Look },
        message,
        subject,
        because,
        measured,
        basis: Basis::Calculated,
        allowed,
        help: vec![Help::words(
            "use a larger size where most is lost, shorten the run, or feed the load through a relay near it",
        )
        .with_fix(thicker(context, worst, limit))],
        source: limits.source(),
        working,
        touches,
    }
}

/// Electronic loads that turn on and off because their own current pulls their voltage down.
fn restless<'a>(
    context: &Context<'_>,
    solutions: impl Iterator<Item = (&'a str, &'a Solution)>,
    findings: &mut Vec<Finding>,
) {
    let circuit = context.circuit;
    let mut reported = Vec::new();
    for (when, solution) in solutions {
        if !matches!(solution.verdict, Verdict::Flashing | Verdict::Collapse) {
            continue;
        }
        for device in &solution.restless {
            let device = &circuit.devices[*device];
            let subject = circuit.subject(device.branch);
            if device.relay || reported.contains(&subject) {
                continue;
            }
            let Some(Law::Electronic { power, off_below, .. }) = circuit.branches[device.branch].law else {
                continue;
            };
            let title = subject.title(&circuit.resolved.network);
            let message = match solution.verdict {
                Verdict::Collapse => format!(
                    "the way to {title} cannot deliver the {power} it takes {when}: its voltage collapses"
                ),
                _ => format!(
                    "{title} turns on and off {when}: taking {power} pulls its own voltage below {off_below}"
                ),
            };
            reported.push(subject.clone());
            findings.push(Finding {
                check: CHECK.name,
                severity: Severity::Stop,
                message,
                subject: subject.clone(),
                because: Vec::new(),
                measured: None,
                basis: Basis::Calculated,
                allowed: Some(off_below.into()),
                help: vec![Help::words("use a larger size or a shorter way, out and back")],
                source: "computed: no lasting voltage at or above the load's turn-off voltage".to_owned(),
                working: Vec::new(),
                touches: vec![subject],
            });
        }
    }
}

/// The new wires on the way so much thicker, all in one proportion, that no more than `limit` volts are lost.
fn thicker(context: &Context<'_>, drop: &Drop, limit: f64) -> Vec<Edit> {
    let network = &context.circuit.resolved.network;
    let ours: f64 = drop.way_lost.iter().map(|(_, lost)| lost).sum();
    // What is lost in the rest of the way stays; a little room is left for rounding.
    let room = 0.98 * limit - (drop.volts - ours);
    if room <= 0.0 || ours <= 0.0 {
        return Vec::new();
    }
    let times = ours / room;
    let wires = drop.way_lost.iter().filter_map(|(branch, _)| context.wire_of(*branch));
    wires.flat_map(|(wire, used)| remedy::larger(network, &wire.id, used.area.used.get() * times)).collect()
}
