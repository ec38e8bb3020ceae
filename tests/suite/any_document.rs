//! Documents made by chance go the whole way: solved, checked, told and drawn, whatever nonsense they are wired to.

use drawing::overlay::Overlay;
use engine::answer::{Prepared, Request};
use engine::check::run_all;
use engine::circuit::Circuit;
use engine::document::{Document, Situation};
use engine::path::current_paths;
use engine::solve::{Solution, Verdict, solve};
use suite::generate;

/// Documents tried.
const SEEDS: std::ops::Range<u64> = 0..200;

fn situations(document: &Document) -> Vec<Situation> {
    std::iter::once(Situation::at_rest()).chain(document.situations.iter().cloned()).collect()
}

#[test]
fn whatever_opens_is_solved_checked_and_drawn() {
    let (mut n_solved, mut n_findings, mut n_unsolved) = (0, 0, 0);
    for seed in SEEDS {
        let document = generate::document(seed);
        let circuit = engine::laid::circuit(&document);
        let findings = run_all(&circuit, &document.situations, &document.interlocks);
        n_findings += findings.len();
        let network = &document.network;
        for finding in &findings {
            assert!(!finding.subject.title(network).is_empty(), "seed {seed}: {finding:?}");
            assert!(
                !finding.message.contains("NaN") && !finding.message.contains("inf "),
                "seed {seed}: {finding:?}"
            );
        }
        let prepared = Prepared::new(&document);
        let mut overlay = Overlay::of_findings(&findings);
        for situation in situations(&document) {
            let solution = solve(&circuit, &situation);
            n_solved += usize::from(solution.shown().is_some());
            n_unsolved += usize::from(solution.verdict == Verdict::Unsolved);
            add_up(&circuit, &solution, seed);
            let name = situation.name.clone();
            let request = Request { revision: 0, situation, load: None };
            overlay = overlay.with_readings(&name, network, &prepared.at_once(&request));
        }
        let picture = drawing::annotated_picture(&document, &overlay, engine::file::job_element(&document));
        assert_eq!(engine::file::read(picture.as_bytes()), Ok(document), "seed {seed}");
    }
    println!("{n_solved} situations solved, {n_unsolved} unsolved, {n_findings} findings");
    assert!(n_solved > 250, "{n_solved}");
    assert!(n_findings > 200, "{n_findings}");
    assert_eq!(n_unsolved, 0);
}

/// What is shown is finite and stands its own check, and its current paths begin and end at a source.
fn add_up(circuit: &Circuit, solution: &Solution, seed: u64) {
    let Some(rest) = solution.shown() else { return };
    assert!(rest.steady.balance.holds, "seed {seed}");
    for (branch, ends) in circuit.branches.iter().enumerate() {
        assert!(rest.steady.amps(branch).is_finite(), "seed {seed}");
        for net in [ends.from, ends.to] {
            assert!(rest.steady.volts(net).is_none_or(f64::is_finite), "seed {seed}");
        }
    }
    for (load, _) in circuit.loads() {
        for path in current_paths(circuit, rest, load) {
            assert!(path.steps.len() > 1, "seed {seed}: {path}");
        }
    }
}
