//! A fixed number of harmful inputs; `cargo xtask measure fuzz` tries as many as there is time for.

use suite::fuzz::{Outcome, Seeds, input, try_input};

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
