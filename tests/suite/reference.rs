//! Solutions compared with the stored output of the programs in `tests/reference/`, which never saw the engine.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use engine::bundle::{Bundle, bundle, conduit_working, grommet_working};
use engine::check::Context;
use engine::circuit::Circuit;
use engine::document::{Document, Situation, Status};
use engine::given::Given;
use engine::ids::TerminalRef;
use engine::kind::Value;
use engine::path::{CurrentPath, Step, current_paths};
use engine::solve::linear::{Factor, Pattern};
use engine::solve::{Rest, Solution, Verdict, solve};
use serde_json::Value as Json;
use suite::formula::evaluate;
use suite::networks::near_tree;

/// Largest difference of a voltage, in volts, and of a current, in amperes.
///
/// Stored numbers have nine digits after the point, and the root finder leaves less than a nanoampere.
const ALLOWED: f64 = 1e-6;

fn stored(name: &str) -> Vec<Json> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/reference");
    let text = std::fs::read_to_string(format!("{path}/{name}.json")).expect("the output is on file");
    match serde_json::from_str(&text) {
        Ok(Json::Array(entries)) => entries,
        _ => panic!("{name}.json is no list"),
    }
}

fn job_of(entry: &Json) -> Document {
    engine::file::read_json(&entry["job"].to_string()).expect("the stored job opens")
}

/// One stored entry with what the engine makes of its job.
struct Entry {
    name: String,
    stored: Json,
    circuit: Circuit,
    solution: Solution,
}

impl Entry {
    fn new(stored: Json) -> Entry {
        let document = job_of(&stored);
        let circuit = engine::laid::circuit(&document);
        let solution = solve(&circuit, &document.situations[0]);
        Entry { name: document.card.title.clone(), stored, circuit, solution }
    }

    fn shown(&self) -> &Rest {
        assert_eq!(self.solution.verdict, Verdict::Settled, "{}", self.name);
        self.solution.shown().expect("a settled situation shows its readings")
    }

    /// The stored numbers under `key`, by terminal or part.
    fn numbers(&self, key: &str) -> BTreeMap<String, Option<f64>> {
        let entries = self.stored[key].as_object().expect("numbers are stored by name");
        entries.iter().map(|(name, value)| (name.clone(), value.as_f64())).collect()
    }

    /// Volts by the engine and as stored, by terminal.
    fn volts(&self) -> Vec<(String, Option<f64>, Option<f64>)> {
        let shown = self.shown();
        let net = |name: &str| {
            let terminal = TerminalRef::parse(name).expect("voltages are stored by terminal");
            self.circuit.net_of(&terminal).expect("the terminal is in the circuit")
        };
        let volts = self.numbers("volts").into_iter();
        volts.map(|(name, wanted)| (name.clone(), shown.steady.volts(net(&name)), wanted)).collect()
    }

    /// Amperes by the engine and as stored, by part.
    fn amps(&self) -> Vec<(String, f64, f64)> {
        let shown = self.shown();
        let part = |id: &str| {
            let parts = &self.circuit.resolved.network.parts;
            parts.iter().position(|part| part.id.as_str() == id).expect("the part is in the job")
        };
        let amps = self.numbers("amps").into_iter();
        amps.map(|(id, wanted)| {
            let (branch, _) = self.circuit.branches_of_part(part(&id)).next().expect("the part has a branch");
            (id, shown.steady.amps(branch), wanted.expect("currents are numbers"))
        })
        .collect()
    }
}

fn entries() -> Vec<Entry> {
    stored("nonlinear").into_iter().map(Entry::new).collect()
}

#[test]
fn voltages_of_random_installations_are_those_of_a_general_root_finder() {
    let (mut n_volts, mut n_dead, mut n_made_up, mut most) = (0, 0, 0, 0.0f64);
    for entry in entries() {
        let volts = entry.volts();
        assert_eq!(volts.len(), entry.circuit.nets.len() - 1, "{}: every net is compared", entry.name);
        for (terminal, found, wanted) in volts {
            match (found, wanted) {
                (Some(found), Some(wanted)) => {
                    let difference = (found - wanted).abs();
                    assert!(difference <= ALLOWED, "{} {terminal}: {found}, not {wanted} V", entry.name);
                    most = most.max(difference);
                    n_volts += 1;
                }
                (None, Some(wanted)) => panic!("{} {terminal}: none, not {wanted} V", entry.name),
                (Some(_), None) => n_made_up += 1,
                (None, None) => n_dead += 1,
            }
        }
    }
    println!("{n_volts} voltages, largest difference {most:.1e} V; {n_dead} nets without potential");
    assert_eq!(n_made_up, 0);
    assert!(n_volts > 1500, "{n_volts}");
    assert!(n_dead > 50, "{n_dead}");
}

#[test]
fn currents_of_random_installations_are_those_of_a_general_root_finder() {
    let (mut n_amps, mut most) = (0, 0.0f64);
    for entry in entries() {
        for (part, found, wanted) in entry.amps() {
            assert!((found - wanted).abs() <= ALLOWED, "{} {part}: {found}, not {wanted} A", entry.name);
            most = most.max((found - wanted).abs());
            n_amps += 1;
        }
    }
    println!("{n_amps} currents, largest difference {most:.1e} A");
    assert!(n_amps > 500, "{n_amps}");
}

/// What the installations hold at work: each law on each side of its corners, and all of them together.
#[test]
fn random_installations_work_every_law_on_both_sides_of_its_corners() {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for entry in entries() {
        let amps = entry.numbers("amps");
        let mut laws = BTreeSet::new();
        for part in &entry.circuit.resolved.network.parts {
            let Some(amps) = amps.get(part.id.as_str()).copied().flatten() else { continue };
            let limit = match part.values.get("limit_a") {
                Given::Known(Value::Number(limit)) => limit,
                _ => f64::INFINITY,
            };
            let at_work = match part.kind.name {
                "lamp" if amps.abs() > 1e-3 => "filament lit",
                "lamp" => "filament dark",
                "diode" if amps > 1e-3 => "diode conducting",
                "diode" => "diode blocking",
                "led-lamp" if amps > limit - 1e-6 => "electronic load at its current limit",
                "led-lamp" if amps > 0.05 => "electronic load on",
                "led-lamp" => "electronic load off",
                "alternator" if -amps > limit - 1e-6 => "alternator at its limit",
                "alternator" if amps < -1e-3 => "alternator at its set voltage",
                "alternator" => "alternator that stands below the battery",
                "battery" if amps > 0.0 => "battery that is charged",
                "battery" => "battery that gives",
                _ => continue,
            };
            *seen.entry(at_work).or_default() += 1;
            laws.insert(at_work.split(' ').next());
        }
        *seen.entry("four laws and a battery in one").or_default() += usize::from(laws.len() == 5);
    }
    println!("{seen:#?}");
    assert_eq!(seen.len(), 13, "{seen:?}");
    assert!(seen.values().all(|n| *n >= 10), "{seen:?}");
}

/// Largest difference of a voltage of a linear network, in volts.
const ALLOWED_LINEAR: f64 = 1e-9;

/// The networks are made from their seeds on both sides; what is on file is voltages alone.
#[test]
fn voltages_of_linear_networks_are_those_of_general_linear_algebra() {
    let mut largest: BTreeMap<u64, f64> = BTreeMap::new();
    for entry in stored("linear") {
        let [n_nodes, n_chords, seed] =
            ["nodes", "chords", "seed"].map(|key| entry[key].as_u64().expect("numbers tell the network"));
        let network = near_tree(n_nodes as usize, n_chords as usize, seed);
        let pattern = Pattern::new(network.n_nodes, &network.edges);
        let mut factor = Factor::default();
        pattern.factor(&network.conductance, &network.ground, &mut factor);
        let mut volts = network.raising.clone();
        pattern.solve(&factor, &mut volts, &mut Vec::new());
        let wanted = entry["volts"].as_array().expect("voltages are a list");
        assert_eq!(wanted.len(), volts.len());
        for (node, (found, wanted)) in volts.iter().zip(wanted).enumerate() {
            let difference = (found - wanted.as_f64().expect("a voltage is a number")).abs();
            assert!(
                difference < ALLOWED_LINEAR,
                "{n_nodes} nodes, seed {seed}, node {node}: {difference:e} V"
            );
            let most = largest.entry(n_nodes).or_default();
            *most = most.max(difference);
        }
    }
    for (n_nodes, most) in &largest {
        println!("{n_nodes} nodes: largest difference {most:.1e} V");
    }
    assert_eq!(largest.into_keys().collect::<Vec<_>>(), [20, 150, 1_000, 10_000]);
}

#[test]
fn what_fuses_let_into_zones_is_the_greatest_flow_of_a_general_graph_library() {
    let (mut n_flows, mut n_cuts, mut n_unlimited) = (0, 0, 0);
    for entry in stored("zones") {
        let document = job_of(&entry);
        let circuit = engine::laid::circuit(&document);
        let context = Context::new(&circuit, &[], &[]);
        for (terminal, wanted) in entry["let_in"].as_object().expect("zones are stored by terminal") {
            let name = format!("{}, {terminal}", document.card.title);
            let at = TerminalRef::parse(terminal).expect("zones are stored by terminal");
            let zone = |context: &Context<'_>, circuit: &Circuit| {
                let net = circuit.net_of(&at).expect("the terminal is in the circuit");
                context.zones().inflow(context.zones().of(net))
            };
            let found = zone(&context, &circuit).map(|(amps, _)| amps);
            assert_eq!(found, wanted["amps"].as_f64(), "{name}");
            let Some(found) = found else {
                n_unlimited += 1;
                continue;
            };
            n_flows += 1;
            // The fuses of a least cut have just that rating together, and without them nothing flows.
            let cut: Vec<&str> =
                wanted["cut"].as_array().expect("a cut is a list").iter().filter_map(Json::as_str).collect();
            let mut network = (*document.network).clone();
            let mut together = wanted["limits"].as_f64().expect("limits are a number");
            let from_limits = together > 0.0;
            for part in network.parts.iter_mut().filter(|part| cut.contains(&part.id.as_str())) {
                part.status = Status::Remove;
                match part.values.get("rating_a") {
                    Given::Known(Value::Number(rating)) => together += rating,
                    other => panic!("{name}: {other:?} is no rating"),
                }
            }
            assert_eq!(together, found, "{name}");
            if !from_limits {
                let without = engine::circuit::build(&Arc::new(network), &document.settings);
                assert_eq!(zone(&Context::new(&without, &[], &[]), &without), None, "{name}");
                n_cuts += usize::from(cut.len() > 1);
            }
        }
    }
    println!("{n_flows} flows, {n_cuts} cuts of several fuses, {n_unlimited} zones without");
    assert!(n_flows > 150, "{n_flows}");
    assert!(n_cuts > 50, "{n_cuts}");
}

/// Without a wire that is a bridge something has no potential any more, and without any other wire all has one.
#[test]
fn wires_without_which_a_potential_is_lost_are_the_bridges_of_a_general_graph_library() {
    let (mut n_wires, mut n_bridges) = (0, 0);
    for entry in stored("zones") {
        let document = job_of(&entry);
        let bridges = entry["bridges"].as_array().expect("bridges are a list");
        for wire in &document.network.wires {
            let mut network = (*document.network).clone();
            network.wires.retain(|other| other.id != wire.id);
            let circuit = engine::circuit::build(&Arc::new(network), &document.settings);
            let solution = solve(&circuit, &Situation::at_rest());
            let rest = solution.shown().expect("lamps and batteries settle");
            let lost = (0..circuit.nets.len()).any(|net| rest.steady.volts(net).is_none());
            let is_bridge = bridges.contains(&Json::from(wire.id.as_str()));
            assert_eq!(lost, is_bridge, "{} {}", document.card.title, wire.id);
            n_wires += 1;
            n_bridges += usize::from(is_bridge);
        }
    }
    println!("{n_bridges} of {n_wires} wires are bridges");
    assert!(n_bridges > 150 && n_bridges + 500 < n_wires, "{n_bridges} of {n_wires}");
}

#[test]
fn current_paths_of_random_installations_are_those_of_a_general_graph_library() {
    let (mut n_loads, mut n_paths) = (0, 0);
    for (entry, wanted) in entries().into_iter().zip(stored("paths")) {
        let wanted = wanted.as_object().expect("paths are stored by load").clone();
        assert_eq!(wanted.len(), entry.circuit.loads().count(), "{}: every load is compared", entry.name);
        for (branch, _) in entry.circuit.loads() {
            let load = entry.circuit.subject(branch).id().to_string();
            let mut found: Vec<String> =
                current_paths(&entry.circuit, entry.shown(), branch).iter().map(wires).collect();
            found.sort();
            assert_eq!(Json::from(found.clone()), wanted[&load], "{} {load}", entry.name);
            n_loads += usize::from(!found.is_empty());
            n_paths += found.len();
        }
    }
    println!("{n_paths} paths of {n_loads} loads");
    assert!(n_loads > 200, "{n_loads}");
    assert!(n_paths > 450, "{n_paths}");
}

/// The ids of the wires on a path, in the order of the current.
fn wires(path: &CurrentPath) -> String {
    let wire = |step: &Step| match step {
        Step::Wire(id) => Some(id.to_string()),
        Step::Terminal(_) | Step::Chassis => None,
    };
    path.steps.iter().filter_map(wire).collect::<Vec<_>>().join(" ")
}

/// A list of numbers.
fn numbers_of(list: &Json) -> Vec<f64> {
    let list = list.as_array().expect("numbers are a list");
    list.iter().map(|number| number.as_f64().expect("a number is a number")).collect()
}

/// The stored sets of wires as the engine packs them, each with its stored packing.
fn bundles() -> Vec<(Bundle, Json)> {
    let packed = |entry: Json| {
        let outer_mm = numbers_of(&entry["outer_mm"]);
        (bundle(&outer_mm).expect("wires have diameters"), entry)
    };
    stored("bundles").into_iter().map(packed).collect()
}

/// How much larger than the best of many hundred optimizations a packing may be.
const ALLOWED_LARGER: f64 = 1.01;

#[test]
fn wires_lie_as_close_as_a_general_method_of_constrained_optimization_packs_them() {
    let (mut n_smaller, mut most, mut sum) = (0, 0.0f64, 0.0);
    let bundles = bundles();
    for (bundle, entry) in &bundles {
        let name = &bundle.outer_mm;
        let wanted = entry["diameter_mm"].as_f64().expect("a diameter is a number");
        let ratio = bundle.diameter_mm / wanted;
        assert!(ratio <= ALLOWED_LARGER, "{name:?}: {} mm, not {wanted} mm", bundle.diameter_mm);
        // Nothing that holds is below the bound, whoever found it. Stored numbers have nine digits after the point.
        for diameter in [bundle.diameter_mm, wanted] {
            let at_least = bundle.at_least_mm;
            assert!(
                diameter >= at_least - 1e-7,
                "{name:?}: {diameter} mm, proved not to be below {at_least}"
            );
        }
        // Up to three wires the bound is the diameter.
        if name.len() <= 3 {
            assert!((wanted - bundle.at_least_mm).abs() < 1e-6, "{name:?}: {wanted} mm, {bundle:?}");
        }
        n_smaller += usize::from(ratio < 1.0 - 1e-6);
        most = most.max(ratio);
        sum += ratio;
    }
    let mean = sum / bundles.len() as f64;
    println!(
        "{} bundles, ratio {mean:.5} in the mean and {most:.5} at most; {n_smaller} smaller",
        bundles.len()
    );
    assert!(bundles.len() >= 25, "{}", bundles.len());
    assert!(mean < 1.002, "{mean}");
}

#[test]
fn stored_packings_hold_their_wires() {
    for entry in stored("bundles") {
        let outer = numbers_of(&entry["outer_mm"]);
        let centers: Vec<Vec<f64>> =
            entry["centers"].as_array().expect("centers are a list").iter().map(numbers_of).collect();
        let diameter = entry["diameter_mm"].as_f64().expect("a diameter is a number");
        assert_eq!(outer.len(), centers.len());
        for (i, one) in centers.iter().enumerate() {
            assert!(2.0 * one[0].hypot(one[1]) + outer[i] <= diameter + 1e-7, "{outer:?}: {i} stands out");
            for (j, other) in centers.iter().enumerate().take(i) {
                let apart = (one[0] - other[0]).hypot(one[1] - other[1]);
                assert!(2.0 * apart >= outer[i] + outer[j] - 1e-7, "{outer:?}: {i} and {j} overlap");
            }
        }
    }
}

#[test]
fn tubing_and_hole_for_packed_wires_come_out_the_same_when_worked_out_again() {
    let mut n_workings = 0;
    for (bundle, _) in bundles() {
        for working in [conduit_working(&bundle), grommet_working(&bundle)] {
            let working = working.expect("diameters are numbers");
            let symbols = working.inputs.iter().map(|input| (input.symbol, input.value.value)).collect();
            let again = evaluate(working.formula, &symbols).expect("the formula can be worked out");
            assert!(
                (again - working.result.value).abs() < 1e-9,
                "{}: {again}, {}",
                working.what,
                working.result
            );
            n_workings += 1;
        }
    }
    assert!(n_workings >= 50, "{n_workings}");
}
