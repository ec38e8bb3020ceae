//! Every number that shows its working comes out the same when its formula is worked out again from the inputs shown.

use std::collections::BTreeMap;

use engine::check::run_all;
use engine::document::{Document, Situation};
use engine::explain::workings;
use engine::solve::Solver;
use engine::subject::Subject;
use engine::working::Working;
use suite::formula::evaluate;
use suite::{files_in, fixtures, literate};

/// Whole jobs: the demonstration jobs, the starts, and the cases of every check, kind and hard circuit.
fn jobs() -> Vec<(String, Document)> {
    let mut all = Vec::new();
    for path in ["jobs", "starts"].iter().flat_map(|folder| files_in(&fixtures(folder), &[".json"])) {
        let name = suite::name_of(&path);
        let bytes = std::fs::read(&path).expect("a fixture can be read");
        all.push((name, engine::file::read(&bytes).expect("a whole job opens")));
    }
    for path in ["checks", "kinds", "solve"].iter().flat_map(|folder| files_in(&fixtures(folder), &[".md"])) {
        let text = std::fs::read_to_string(&path).expect("a fixture can be read");
        for case in literate::cases(&text).expect("a fixture has its form") {
            let document = engine::file::read_json(&case.job).expect("the job of a case opens");
            all.push((format!("{}: {}", suite::name_of(&path), case.title), document));
        }
    }
    all
}

fn agrees(at: &str, working: &Working) {
    let symbols: BTreeMap<&str, f64> =
        working.inputs.iter().map(|input| (input.symbol, input.value.value)).collect();
    let again =
        evaluate(working.formula, &symbols).unwrap_or_else(|why| panic!("{at}, {}: {why}", working.what));
    let result = working.result.value;
    // Currents come from voltages at both ends, of which rounding leaves some 1e-14 V.
    let tolerance = 1e-7 * result.abs() + 1e-9;
    assert!(
        (again - result).abs() <= tolerance,
        "{at}, {}: {} gives {again}, not {result}",
        working.what,
        working.formula
    );
    assert!(!working.source.is_empty(), "{at}, {}: no source", working.what);
    for symbol in symbols.keys() {
        assert!(
            working.formula.contains(symbol),
            "{at}, {}: {symbol} is not in {}",
            working.what,
            working.formula
        );
    }
}

#[test]
fn every_finding_with_a_number_shows_how_it_came_about() {
    let mut n_workings = 0;
    for (name, document) in jobs() {
        let circuit = engine::laid::circuit(&document);
        for finding in run_all(&circuit, &document.situations, &document.interlocks) {
            let at = format!("{name}, {}", finding.check);
            for working in &finding.working {
                agrees(&at, working);
                n_workings += 1;
            }
            if let (Some(measured), Some(allowed)) = (&finding.measured, &finding.allowed) {
                for number in [measured, allowed] {
                    let shown = finding.working.iter().any(|working| {
                        working.result == *number || working.inputs.iter().any(|input| input.value == *number)
                    });
                    assert!(shown, "{at}: {number} is not in {:#?}", finding.working);
                }
            }
        }
    }
    assert!(n_workings > 100, "only {n_workings} workings of findings");
}

#[test]
fn every_reading_shows_how_it_came_about() {
    let mut n_workings = 0;
    for (name, document) in jobs() {
        let circuit = engine::laid::circuit(&document);
        let solver = Solver::new(&circuit);
        let at_rest = [Situation::at_rest()];
        for situation in at_rest.iter().chain(document.situations.iter()) {
            let solution = solver.solve(circuit.positions(situation));
            let parts = document.network.parts.iter().map(|part| Subject::Part(part.id.clone()));
            let wires = document.network.wires.iter().map(|wire| Subject::Wire(wire.id.clone()));
            for subject in parts.chain(wires) {
                for working in workings(&circuit, &solution, &subject) {
                    agrees(&format!("{name}, {}, {subject}", situation.name), &working);
                    n_workings += 1;
                }
            }
        }
    }
    assert!(n_workings > 2000, "only {n_workings} workings of readings");
}
