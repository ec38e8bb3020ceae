//! Solutions compared with the stored output of the programs in `tests/reference/`, which never saw the engine.

use std::collections::BTreeMap;

use engine::circuit::Circuit;
use engine::document::Document;
use engine::ids::TerminalRef;
use engine::path::{CurrentPath, Step, current_paths};
use engine::solve::{Rest, Solution, Verdict, solve};
use serde_json::Value as Json;

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

/// One stored entry with what the engine makes of its job.
struct Entry {
    name: String,
    stored: Json,
    circuit: Circuit,
    solution: Solution,
}

impl Entry {
    fn new(stored: Json) -> Entry {
        let document: Document =
            engine::file::read_json(&stored["job"].to_string()).expect("the stored job opens");
        let circuit = engine::circuit::build(&document.network, &document.settings);
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
