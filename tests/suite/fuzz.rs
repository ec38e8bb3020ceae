//! A fixed number of harmful inputs; `cargo xtask measure fuzz` tries as many as there is time for.

use engine::document::Document;
use engine::file::changes::{Change, changes};
use suite::fuzz::{Outcome, Seeds, input, neighbours, try_input};

/// Inputs tried.
const INPUTS: std::ops::Range<u64> = 0..20_000;

#[test]
fn whatever_the_input_it_is_read_or_refused_in_few_words() {
    let seeds = Seeds::on_file();
    let (mut n_accepted, mut n_refused, mut failed) = (0, 0, Vec::new());
    for number in INPUTS {
        match try_input(&seeds, &input(&seeds, number)) {
            Ok(Outcome::Accepted) => n_accepted += 1,
            Ok(Outcome::Refused) => n_refused += 1,
            Err(wrong) => failed.push(format!("input {number}: {wrong}")),
        }
    }
    println!("{} inputs: {n_accepted} accepted, {n_refused} refused", INPUTS.end);
    assert!(failed.is_empty(), "{} failed:\n{}", failed.len(), failed.join("\n"));
    assert!(n_accepted > 1500 && n_refused > 10_000, "{n_accepted} accepted, {n_refused} refused");
}

/// Pairs of jobs tried.
const PAIRS: std::ops::Range<u64> = 0..6000;

#[test]
fn whatever_differs_between_two_states_of_a_job_is_told() {
    let seeds = Seeds::on_file();
    let (mut n_same, mut n_changed) = (0, 0);
    for number in PAIRS {
        let Some((before, after)) = neighbours(&seeds, number) else { continue };
        let told = changes(&before, &after);
        assert_eq!(told.is_empty(), saying(&before) == saying(&after), "pair {number}: {told:#?}");
        assert!(told.iter().all(is_worded), "pair {number}: {told:#?}");
        assert_eq!(turned(changes(&after, &before)), sorted(told.clone()), "pair {number}");
        n_same += usize::from(told.is_empty());
        n_changed += usize::from(!told.is_empty());
    }
    println!("{n_same} pairs the same, {n_changed} changed");
    assert!(n_same > 50 && n_changed > 500, "{n_same} the same, {n_changed} changed");
}

/// What a job says, whatever its next id.
fn saying(document: &Document) -> Document {
    let mut document = document.clone();
    std::sync::Arc::make_mut(&mut document.network).next_id = 0;
    document
}

fn is_worded(change: &Change) -> bool {
    let words = change.in_words();
    !change.title.is_empty() && !words.contains("{\"") && !words.trim().is_empty()
}

/// Where something was said, and what, before and after.
type Stated = (&'static str, String, String, Option<String>, Option<String>);

fn sorted(changes: Vec<Change>) -> Vec<Stated> {
    let json = |told: Option<engine::file::changes::Told>| told.map(|told| told.json);
    let mut stated: Vec<Stated> = changes
        .into_iter()
        .map(|one| (one.list, one.id, one.key, json(one.before), json(one.after)))
        .collect();
    stated.sort();
    stated
}

/// The same with before and after exchanged.
fn turned(changes: Vec<Change>) -> Vec<Stated> {
    let turn = |one: Change| Change { before: one.after, after: one.before, ..one };
    sorted(changes.into_iter().map(turn).collect())
}
