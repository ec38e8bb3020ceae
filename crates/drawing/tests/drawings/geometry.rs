//! What must hold of every drawing, whatever the circuit.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use crate::faults;
use crate::support::{CORPUS, corpus, senseless, sensible};
use drawing::draw::draw;
use drawing::scene::Scene;
use engine::document::{Network, Placement};

/// The demonstration jobs.
const JOBS: [(&str, &str); 5] = [
    ("apiary-flatbed", include_str!("../../../../fixtures/jobs/apiary-flatbed.json")),
    ("apiary-flatbed-as-bought", include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json")),
    ("switched-earth-donor", include_str!("../../../../fixtures/jobs/switched-earth-donor.json")),
    ("honey-stall-trailer", include_str!("../../../../fixtures/jobs/honey-stall-trailer.json")),
    ("dark-lamps", include_str!("../../../../fixtures/jobs/dark-lamps.json")),
];

/// Draws the demonstration jobs and circuits of all sizes, and hands each to `check` with words to
/// tell it by.
pub fn each_circuit(check: impl Fn(&Network, &Scene, &str)) {
    static DRAWN: OnceLock<Vec<(String, Network, Scene)>> = OnceLock::new();
    let drawn = DRAWN.get_or_init(|| {
        let drawn = |(name, network): (String, Network)| {
            let scene = draw(&network, &Placement::default());
            (name, network, scene)
        };
        circuits().map(drawn).collect()
    });
    for (name, network, scene) in drawn {
        check(network, scene, name);
    }
}

/// The demonstration jobs and circuits of all sizes, with words to tell them by.
pub fn circuits() -> impl Iterator<Item = (String, Network)> {
    let jobs = JOBS.iter().map(|(name, text)| {
        let job = engine::file::read_json(text).unwrap();
        ((*name).to_owned(), (*job.network).clone())
    });
    let made = (0..24).flat_map(|seed| {
        let n_parts = 5 + (seed as usize * 7) % 56;
        [("sensible", sensible(seed, n_parts)), ("senseless", senseless(seed, n_parts))]
            .map(|(word, network)| (format!("{word} {seed}, {} parts", network.parts.len()), network))
    });
    jobs.chain(made)
}

fn none_anywhere(faults: impl Fn(&Network, &Scene) -> Vec<String>) {
    each_circuit(|network, scene, circuit| {
        let found = faults(network, scene);
        assert!(found.is_empty(), "{circuit}: {found:?}");
    });
}

#[test]
fn symbols_do_not_overlap() {
    none_anywhere(|_, scene| faults::symbols_that_overlap(scene));
}

#[test]
fn every_wire_finds_a_clear_path() {
    none_anywhere(faults::forced);
}

#[test]
fn wires_are_orthogonal_and_meet_their_terminals() {
    none_anywhere(faults::wires_that_miss_terminals);
}

#[test]
fn no_wire_runs_through_a_symbol() {
    none_anywhere(|_, scene| faults::wires_through_symbols(scene));
}

#[test]
fn wires_meet_only_in_right_angled_crossings_or_at_a_shared_terminal() {
    none_anywhere(|_, scene| faults::wires_that_touch(scene));
}

#[test]
fn three_lines_meet_at_a_dot_and_never_four() {
    none_anywhere(|_, scene| faults::dots_of_four(scene));
}

#[test]
fn lettering_covers_no_other_lettering() {
    none_anywhere(|_, scene| faults::lettering_on_lettering(scene));
}

#[test]
fn lettering_stands_on_no_wire_and_no_symbol() {
    none_anywhere(|_, scene| faults::lettering_on_strokes(scene));
}

#[test]
fn earth_points_stand_below_everything_else() {
    none_anywhere(faults::earths_that_are_not_lowest);
}

/// A tenth of the corpus, sensible and senseless ones of all sizes; `cargo xtask measure tidy` draws all.
#[test]
fn a_tenth_of_the_corpus_has_no_faults() {
    let numbers = (0..CORPUS).step_by(20).flat_map(|number| [number, number + 1]);
    let found: Vec<String> = numbers
        .filter_map(|number| {
            let (circuit, network) = corpus(number);
            let scene = draw(&network, &Placement::default());
            let found = faults::faults_as_laid_out(&network, &scene);
            (!found.is_empty()).then(|| format!("{number}, {circuit}: {found:?}"))
        })
        .collect();
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_element_has_a_name_of_its_own() {
    each_circuit(names_are_unique);
}

/// Every element has a name of its own.
pub fn names_are_unique(_: &Network, scene: &Scene, circuit: &str) {
    let names: BTreeSet<_> = scene.elements().iter().map(|element| element.id.name()).collect();
    assert_eq!(names.len(), scene.elements().len(), "{circuit}");
}
