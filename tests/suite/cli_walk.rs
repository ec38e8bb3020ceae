//! The built binary finding a fault: from a file of observations, and from the walk that a job keeps.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use engine::document::{Purpose, Record};
use engine::file;

fn run(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_loomwright"))
        .args(args)
        .output()
        .expect("the binary was built for this test");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("answers are UTF-8");
    (output.status.code().expect("the run ends by itself"), text(output.stdout), text(output.stderr))
}

fn fixture(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures").join(path)
}

#[test]
fn the_walk_that_a_job_keeps_is_told_like_the_same_observations() {
    let job = fixture("jobs/dark-lamps.json");
    let observations = fixture("replies/observations-found.json");
    let read = |path: &Path| std::fs::read_to_string(path).expect("the fixture is there");
    let mut document = file::read_json(&read(&job)).unwrap();
    let seen = file::read_observations(&read(&observations), &document).unwrap();
    let shown = |path: &Path| path.to_str().expect("the repository has a plain path").to_owned();
    let (code, refused, why) = run(&["diagnose", &shown(&job)]);
    assert_eq!((code, refused.as_str()), (2, ""));
    assert!(why.contains("the job keeps no fault walk"), "{why}");

    let walk = |answer: &str, readings| Record {
        purpose: Purpose::Fault,
        about: String::new(),
        date: String::new(),
        by: String::new(),
        meter: String::new(),
        complaints: seen.complaints.clone(),
        minutes: seen.minutes.clone(),
        readings,
        answer: answer.to_owned(),
    };
    // The one that goes on counts, wherever it stands.
    document.records = Arc::new(vec![walk("", seen.readings.clone()), walk("Something else.", Vec::new())]);
    let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join("kept-walk.json");
    std::fs::write(&kept, file::write_json(&document)).expect("the build directory can be written");
    let from_job = run(&["diagnose", &shown(&kept)]);
    let from_file = run(&["diagnose", &shown(&job), "--observations", &shown(&observations)]);
    assert_eq!(from_job, from_file);
    assert_eq!(from_job.0, 0);
}
