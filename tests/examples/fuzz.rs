//! Harmful inputs to every reader of files, for `--minutes N` (1 unless said): how many are accepted, refused, or fail.

use std::path::Path;
use std::time::{Duration, Instant};

use suite::fuzz::{Outcome, Seeds, input, try_input};

/// The first input; those below it are tried by the test.
const FIRST: u64 = 1_000_000;

fn main() {
    let minutes = minutes();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/fuzz");
    std::fs::create_dir_all(&folder).expect("the build directory can be written");
    let seeds = Seeds::on_file();
    let end = Instant::now() + Duration::from_secs_f64(60.0 * minutes);
    let (mut n_accepted, mut n_refused, mut n_failed) = (0u64, 0u64, 0u64);
    for number in FIRST.. {
        if Instant::now() >= end {
            break;
        }
        let input = input(&seeds, number);
        match try_input(&seeds, &input) {
            Ok(Outcome::Accepted) => n_accepted += 1,
            Ok(Outcome::Refused) => n_refused += 1,
            Err(wrong) => {
                n_failed += 1;
                let path = folder.join(number.to_string());
                std::fs::write(&path, &input).expect("the build directory can be written");
                println!("input {number}, kept as target/fuzz/{number}: {wrong}");
            }
        }
    }
    let all = n_accepted + n_refused + n_failed;
    println!("{all} inputs: {n_accepted} accepted, {n_refused} refused, {n_failed} failed");
    assert_eq!(n_failed, 0, "inputs failed");
}

fn minutes() -> f64 {
    let mut arguments = std::env::args().skip(1);
    match (arguments.next().as_deref(), arguments.next()) {
        (None, _) => 1.0,
        (Some("--minutes"), Some(number)) => {
            number.parse().unwrap_or_else(|_| panic!("`--minutes` wants a number, not `{number}`"))
        }
        _ => panic!("there is only `--minutes N`"),
    }
}
