//! What commands write into files, and what they write over.

use super::*;

/// The job is written with the sizes found, passes, and needs no other sizes when it is sized again.
#[test]
fn a_sized_job_is_written_and_sized_well() {
    let job = fixture("starts/pump.json");
    let written = run("size", &["size", &job, "-o", "sized.json"]);
    assert_eq!(written.code, 0, "{}", written.err);
    assert!(written.err.contains("wrote `sized.json`"), "{}", written.err);
    assert_eq!(run("size", &["check", "sized.json", "--fail-on", "look"]).code, 0);
    let again = run("size", &["size", "sized.json", "--format", "json"]);
    for (_, wire) in parse(&again.out)["wires"].as_object().expect("wires by id") {
        assert_eq!(wire["before"], wire["after"]);
    }
    let one = run("size", &["size", &job, "--wire", "W1", "--format", "json"]);
    assert_eq!(parse(&one.out)["wires"].as_object().map(serde_json::Map::len), Some(1));
}

#[test]
fn sizes_that_cannot_be_found_or_written_are_told_by_the_exit_code() {
    let job = fixture("starts/pump.json");
    let none = run("size-refused", &["size", &fixture("replies/explain.json")]);
    assert_eq!(none.code, 2);
    let donor = run("size-refused", &["size", &fixture("starts/pump.json"), "--wire", "W99"]);
    assert_eq!((donor.code, donor.out.as_str()), (2, ""), "{}", donor.err);
    let elsewhere = run("size-refused", &["size", &job, "-o", "sized.svg"]);
    assert_eq!(elsewhere.code, 2);
    let far = std::fs::read_to_string(&job)
        .expect("the job can be read")
        .replace("\"length_m\": 2.2", "\"length_m\": 990");
    let refused = run_with("size-refused", &["size", "-"], far.as_bytes());
    assert_eq!(refused.code, 1, "{}", refused.err);
    assert!(refused.out.contains("M1"), "{}", refused.out);
}

/// The job is written with the part at its best place, and there it stays when it is asked about again.
#[test]
fn a_job_is_written_with_its_parts_where_they_sit_best() {
    let job = fixture("replies/job-with-plan.json");
    let written = run("sit", &["sit", &job, "K1", "-o", "sat.json", "--format", "json"]);
    assert_eq!(written.code, 0, "{}", written.err);
    assert!(
        written.err.contains("wrote `sat.json`: the job with the parts at the best places"),
        "{}",
        written.err
    );
    let place = parse(&written.out)["best"]["places"]["p3"].clone();
    assert_eq!(place, "l6");
    let again = parse(&run("sit", &["sit", "sat.json", "p3", "--format", "json"]).out);
    assert_eq!((&again["now"]["places"]["p3"], &again["best"]["places"]["p3"]), (&place, &place));
    assert_eq!(again["best"]["copper_g"], again["now"]["copper_g"]);
}

#[test]
fn places_that_cannot_be_found_or_written_are_told_by_the_exit_code() {
    let job = fixture("replies/job-with-plan.json");
    let no_plan = run("sit-refused", &["sit", &fixture("replies/job.json"), "K1"]);
    assert_eq!((no_plan.code, no_plan.err.as_str()), (1, ""));
    assert!(no_plan.out.contains("No place was found: the job has no vehicle plan"), "{}", no_plan.out);
    for (args, message) in [
        (vec!["sit", &job], "required arguments were not provided"),
        (vec!["sit", &job, "K9"], "there is no part `K9`"),
        (vec!["sit", &job, "K1", "-o", &job], "is the job itself"),
        (vec!["sit", &job, "K1", "-o", "sat.svg"], "`sit` writes jobs as JSON"),
    ] {
        let run = run("sit-refused", &args);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{args:?}");
        assert!(run.err.contains(message), "{args:?}: {}", run.err);
    }
}

#[test]
fn a_drawing_is_never_written_over_the_job() {
    let directory = fresh("over");
    let job = std::fs::read(fixture("replies/job.json")).expect("the job is there");
    for name in ["in.json", "in.svg"] {
        std::fs::write(directory.join(name), &job).expect("the directory can be written");
        let mut ways = vec![name.to_owned(), format!("./{name}"), format!("{}/{name}", directory.display())];
        #[cfg(unix)]
        {
            let link = format!("link-to-{name}.svg");
            let _ = std::fs::remove_file(directory.join(&link));
            std::os::unix::fs::symlink(name, directory.join(&link)).expect("links can be made");
            ways.push(link);
        }
        for way in ways {
            let run = run("over", &["draw", name, "-o", &way]);
            assert_eq!((run.code, run.out.as_str()), (2, ""), "{way}");
            assert!(run.err.contains("is the job itself"), "{way}: {}", run.err);
            assert_eq!(std::fs::read(directory.join(name)).ok(), Some(job.clone()), "{way}");
        }
    }
}

#[test]
fn a_drawing_goes_into_an_svg_file_only() {
    let job = fixture("replies/job.json");
    for name in ["x.png", "x.pdf", "x"] {
        let run = run("ending", &["draw", &job, "-o", name]);
        assert_eq!(run.code, 2, "{name}");
        assert!(run.err.contains("does not end in .svg"), "{}", run.err);
        assert!(!fresh("ending").join(name).exists(), "{name}");
    }
    let drawn = run("ending", &["draw", &job, "-o", "X.SVG"]);
    assert_eq!((drawn.code, drawn.out.as_str()), (0, ""));
    assert_eq!(drawn.err, "wrote `X.SVG`: the drawing with the marks of 2 findings, and the job inside\n");
}
