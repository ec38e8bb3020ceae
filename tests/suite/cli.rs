//! The built binary, run in a fresh directory: exit codes, replies, what goes where.
//!
//! The replies to one small job are on file in `fixtures/replies/`, as an example of each command.
//! `UPDATE_EXPECT=1` writes them anew.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use engine::file;
use serde_json::Value;

#[path = "cli/written.rs"]
mod written;

/// What a run left behind.
struct Run {
    code: i32,
    out: String,
    err: String,
}

/// Runs the binary in a directory made for the test `name`, with `input` on standard input.
fn run_with(name: &str, args: &[&str], input: &[u8]) -> Run {
    let directory = fresh(name);
    let mut child = Command::new(env!("CARGO_BIN_EXE_loomwright"))
        .args(args)
        .current_dir(&directory)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary was built for this test");
    // A run that refuses its arguments may end before it reads.
    let _ = child.stdin.take().expect("standard input is piped").write_all(input);
    let output = child.wait_with_output().expect("the run ends");
    Run {
        code: output.status.code().expect("the run ends by itself"),
        out: String::from_utf8(output.stdout).expect("answers are UTF-8"),
        err: String::from_utf8(output.stderr).expect("messages are UTF-8"),
    }
}

fn run(name: &str, args: &[&str]) -> Run {
    run_with(name, args, b"")
}

/// The directory of one test; made when it is first asked for.
fn fresh(name: &str) -> PathBuf {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cli-{name}"));
    std::fs::create_dir_all(&directory).expect("the build directory can be written");
    directory
}

fn fixture(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures").join(path);
    path.to_str().expect("the repository has a plain path").to_owned()
}

fn fixtures_in(folder: &str, endings: &[&str]) -> Vec<String> {
    let mut files: Vec<String> = std::fs::read_dir(fixture(folder))
        .expect("the folder of fixtures is there")
        .map(|entry| entry.expect("its entries can be read").path().to_string_lossy().into_owned())
        .filter(|path| endings.iter().any(|ending| path.ends_with(ending)))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "no fixtures in {folder}");
    files
}

/// Whether two replies agree: the same keys in the same order, and numbers equal but for the
/// rounding that another order of operations leaves.
fn agree(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one.iter().zip(other).all(|((key, a), (other, b))| key == other && agree(a, b))
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(a, b)| agree(a, b))
        }
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap_or(f64::NAN), other.as_f64().unwrap_or(f64::NAN));
            (one - other).abs() <= 1e-9 * (1.0 + one.abs())
        }
        _ => one == other,
    }
}

/// Compares an answer with the one on file.
fn on_file(file: &str, answer: &str) {
    let path = fixture(&format!("replies/{file}"));
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        std::fs::write(&path, answer).expect("the fixtures can be written");
    }
    let expected = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{path}: {error}; UPDATE_EXPECT=1 writes it"));
    let same = match file.ends_with(".json") {
        true => agree(&parse(&expected), &parse(answer)),
        false => without_left_over(&expected) == without_left_over(answer),
    };
    assert!(same, "{file} expected:\n{expected}\nfound:\n{answer}");
}

/// The text without the line that tells rounding errors, which are different on every machine.
fn without_left_over(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with("Left over")).map(|line| format!("{line}\n")).collect()
}

fn parse(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("not one JSON value: {error}\n{text}"))
}

#[test]
fn an_example_of_every_reply_is_on_file() {
    let job = fixture("replies/job.json");
    let planned = fixture("replies/job-with-plan.json");
    let (seen, found) = (fixture("replies/observations.json"), fixture("replies/observations-found.json"));
    for (file, args, code) in [
        ("check", vec!["check", &job], 1),
        ("inspect", vec!["inspect", &job], 1),
        ("mistakes", vec!["mistakes", &job], 0),
        ("prove", vec!["prove", &job], 0),
        ("solve", vec!["solve", &job, "--situation", "work"], 0),
        ("protect", vec!["protect", &job], 0),
        ("charge", vec!["charge", &job], 0),
        ("size", vec!["size", &job], 0),
        ("sit", vec!["sit", &planned, "K1"], 0),
        ("sit-several", vec!["sit", &planned, "K1", "S1"], 0),
        ("route", vec!["route", &fixture("files/v7/plan.json")], 0),
        ("changes", vec!["changes", &job, &fixture("replies/job-as-fitted.json")], 0),
        ("paths", vec!["paths", &job, "E1", "--set", "S1=on"], 0),
        ("sweep", vec!["sweep", &job], 0),
        ("sweep-reach", vec!["sweep", &job, "--reach", "E1 on"], 0),
        ("diagnose", vec!["diagnose", &fixture("jobs/dark-lamps.json"), "--observations", &seen], 0),
        ("diagnose-found", vec!["diagnose", &fixture("jobs/dark-lamps.json"), "--observations", &found], 0),
        ("explain", vec!["explain"], 0),
        ("explain-one", vec!["explain", "undersized-conductor"], 0),
        ("explain-of", vec!["explain", "W3", "--job", &job, "--situation", "work"], 0),
    ] {
        let text = run("replies", &args);
        assert_eq!((text.code, text.err.as_str()), (code, ""), "{file}");
        on_file(&format!("{file}.txt"), &text.out);
        let json = run("replies", &[args, vec!["--format", "json"]].concat());
        assert_eq!((json.code, json.err.as_str()), (code, ""), "{file}");
        assert!(parse(&json.out).is_object());
        on_file(&format!("{file}.json"), &json.out);
    }
}

#[test]
fn a_mended_job_is_written_beside_the_one_that_was_read() {
    let job = fixture("replies/job.json");
    let before = std::fs::read_to_string(&job).expect("the job is there");
    let mended = run("mended", &["check", &job, "--fix", "mended.json"]);
    assert_eq!(mended.code, 0, "{}{}", mended.out, mended.err);
    assert!(
        mended.err.contains("wrote `mended.json` with 2 changes\n  wire W3: 0.5 mm2 becomes 0.75 mm2"),
        "{}",
        mended.err
    );
    assert!(!mended.out.contains("fuse-larger-than-wire"), "{}", mended.out);
    assert_eq!(std::fs::read_to_string(&job).expect("the job is there"), before);
    let over = run("mended-over", &["check", &job, "--fix", &job]);
    assert_eq!(over.code, 2);
    assert!(over.err.contains("would be overwritten"), "{}", over.err);
}

#[test]
fn a_state_that_cannot_be_reached_or_named_is_told_by_the_exit_code() {
    let dark = fixture("jobs/dark-lamps.json");
    let reached = run("reach", &["sweep", &dark, "--reach", "E3 on and E1 off"]);
    assert_eq!(reached.code, 0, "{}", reached.err);
    assert!(reached.out.contains("after E2 on, then S1 on"), "{}", reached.out);
    let never = run("reach", &["sweep", &dark, "--reach", "E3 on and S1 off"]);
    assert_eq!(never.code, 1);
    assert!(never.out.contains("never reached"), "{}", never.out);
    let unknown = run("reach", &["sweep", &dark, "--reach", "E3 on with S1"]);
    assert_eq!(unknown.code, 2);
    assert!(unknown.err.contains("character 7: expected `and` or the end"), "{}", unknown.err);
}

#[test]
fn the_exit_code_tells_how_grave_the_worst_finding_is() {
    let bought = fixture("jobs/apiary-flatbed-as-bought.json");
    let sound = fixture("jobs/apiary-flatbed.json");
    assert_eq!(run("codes", &["check", &bought]).code, 1);
    assert_eq!(run("codes", &["check", &sound]).code, 0);
    // A job whose worst finding is a Look fails only when Look or less is asked to fail.
    let job = std::fs::read_to_string(fixture("replies/job.json")).expect("the job is there");
    let document = file::read_json(&job).expect("the job opens");
    let circuit = engine::laid::circuit(&document);
    let worst = engine::check::run_all(&circuit, &document.situations, &document.interlocks)[0].severity;
    assert_eq!(run("codes", &["inspect", &bought]).code, 1);
    assert_eq!(run("codes", &["inspect", &sound, "--fail-on", "note"]).code, 0);
    for (word, severity) in ["stop", "look", "note"].into_iter().zip(engine::finding::Severity::ALL) {
        let run = run("codes", &["check", &fixture("replies/job.json"), "--fail-on", word]);
        assert_eq!(run.code, i32::from(worst <= severity), "--fail-on {word}");
    }
}

#[test]
fn input_and_arguments_that_cannot_be_used_end_with_two() {
    let job = fixture("replies/job.json");
    let seen = fixture("replies/observations.json");
    let alike = format!("{}/alike.json", env!("CARGO_TARGET_TMPDIR"));
    let earths =
        r#"{ "id": "p6", "kind": "earth", "label": "X1" }, { "id": "p7", "kind": "earth", "label": "X1" }"#;
    std::fs::write(&alike, job_of(earths, "")).expect("the folder for tests is writable");
    for (args, message) in [
        (vec!["check", "nowhere.json"], "cannot open `nowhere.json`"),
        (vec!["check", "."], "cannot read `.`"),
        (vec!["inspect", "nowhere.json"], "cannot open `nowhere.json`"),
        (vec!["check"], "required arguments were not provided"),
        (vec!["check", &job, "--fail-on", "all"], "invalid value 'all'"),
        (vec!["chekc", &job], "unrecognized subcommand 'chekc'"),
        (
            vec!["solve", &job, "--situation", "play"],
            "there is no situation `play`; the job has `at rest`, `work`",
        ),
        (vec!["solve", &job, "--set", "S1"], "`S1` sets nothing"),
        (vec!["solve", &job, "--set", "S1=open"], "the switch `S1` cannot be `open`; it can be `off`, `on`"),
        (vec!["solve", &job, "--set", "E1=on"], "the lamp `E1` has no positions to set"),
        (vec!["solve", &job, "--set", "S1=on", "--set", "p3=off"], "`p3` is set twice"),
        (vec!["solve", &job, "--set", "S1=on,p3=off"], "`p3` is set twice"),
        (vec!["solve", &job, "--situation", "work", "--set", "S1=on"], "cannot be used with"),
        (vec!["paths", &job, "E9"], "there is no part `E9`"),
        (vec!["paths", &job, "F1"], "the fuse `F1` is no load of the circuit"),
        (vec!["paths", &alike, "X1"], "`X1` may mean p6 (earth point), p7 (earth point); name it by its id"),
        (vec!["draw", &job, "-o", "no/such/directory.svg"], "cannot write `no/such/directory.svg`"),
        (vec!["explain", "everything"], "there is no check `everything`"),
        (vec!["diagnose", &job, "--observations", "nowhere.json"], "cannot open `nowhere.json`"),
        (vec!["diagnose", &job, "--observations", &job], "card: unknown key; known here: `format`"),
        (vec!["diagnose", &job, "--observations", &seen], "should[0].situation: `p5` has no position `on`"),
        (vec!["diagnose", "-", "--observations", "-"], "cannot both come from standard input"),
    ] {
        let run = run("refused", &args);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{args:?}");
        assert!(run.err.contains(message), "{args:?}: {}", run.err);
    }
}

#[test]
fn every_bad_file_is_refused_with_its_message() {
    for path in fixtures_in("files/bad", &[".json", ".svg"]) {
        let run = run("bad", &["check", &path, "--format", "json"]);
        let message = std::fs::read_to_string(format!("{path}.txt")).expect("its message lies beside it");
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{path}");
        assert!(run.err.ends_with(&message), "{path}: {}", run.err);
    }
}

#[test]
fn every_file_that_opens_can_be_checked_solved_and_drawn() {
    let files = [fixtures_in("files/v2", &[".json"]), fixtures_in("jobs", &[".json"])].concat();
    for path in files {
        let check = run("all", &["check", &path, "--format", "json"]);
        assert!(matches!(check.code, 0 | 1), "{path}: {}", check.err);
        let solve = run("all", &["solve", &path, "--format", "json"]);
        assert_eq!((solve.code, solve.err.as_str()), (0, ""), "{path}");
        let draw = run("all", &["draw", &path, "-o", "out.svg"]);
        assert_eq!((draw.code, draw.out.as_str()), (0, ""), "{path}");
        assert!(draw.err.starts_with("wrote `out.svg`: ") && draw.err.lines().count() == 1, "{}", draw.err);
        // The picture opens again, to the same job and the same findings.
        let bytes = std::fs::read(fresh("all").join("out.svg")).expect("the picture was written");
        let job = std::fs::read(&path).expect("the fixture is there");
        assert_eq!(file::read(&bytes), file::read(&job), "{path}");
        let again = run("all", &["check", "out.svg", "--format", "json"]);
        assert_eq!((again.code, again.out), (check.code, check.out), "{path}");
        // And drawn again from itself it is the same picture.
        assert_eq!(run("all", &["draw", "out.svg", "-o", "again.svg"]).code, 0, "{path}");
        let twice = std::fs::read(fresh("all").join("again.svg")).expect("the picture was written");
        assert!(bytes == twice, "{path} is drawn differently from its own picture");
    }
}

#[test]
fn hostile_labels_reach_no_terminal_and_no_markup() {
    let path = fixture("files/v7/evil-labels.json");
    for command in [vec!["check", &path], vec!["solve", &path], vec!["solve", &path, "--format", "json"]] {
        let run = run("evil", &command);
        let harmless = |c: char| c == '\n' || !(c.is_control() || matches!(c, '\u{202a}'..='\u{202e}'));
        assert!(run.out.chars().all(harmless), "{command:?}");
    }
    let svg = run("evil", &["draw", &path, "-o", "-"]).out;
    assert!(!svg.contains("<script") && svg.matches("</svg>").count() == 1);
}

#[test]
fn a_dash_reads_standard_input_and_writes_standard_output() {
    let path = fixture("replies/job.json");
    let job = std::fs::read(&path).expect("the job is there");
    let piped = run_with("dash", &["check", "-", "--format", "json"], &job);
    assert_eq!(piped.out, run("dash", &["check", &path, "--format", "json"]).out);
    let picture = run_with("dash", &["draw", "-", "-o", "-"], &job);
    assert_eq!(file::read(picture.out.as_bytes()), file::read(&job));
    let large = run_with("dash", &["check", "-"], &vec![b' '; file::LARGEST_FILE + 10]);
    assert_eq!(large.code, 2);
    assert!(large.err.contains("at most 8388608 are read"), "{}", large.err);
}

#[test]
fn labels_and_ids_name_the_same_part() {
    let path = fixture("replies/job.json");
    let by_label = run("names", &["paths", &path, "E1", "--set", "S1=on", "--format", "json"]);
    let by_id = run("names", &["paths", &path, "p5", "--set", "p3=on", "--format", "json"]);
    assert_eq!(parse(&by_label.out)["paths"], parse(&by_id.out)["paths"]);
    assert_eq!(parse(&by_label.out)["load"], "p5");
    assert_eq!(parse(&by_label.out)["paths"].as_array().map(Vec::len), Some(1));
    // The coil of a relay is a load of its own circuit.
    let coil = run("names", &["paths", &path, "K1", "--set", "S1=on", "--format", "json"]);
    assert_eq!(parse(&coil.out)["paths"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_situation_that_is_at_rest_shows_no_current() {
    let path = fixture("replies/job.json");
    let rest = parse(&run("rest", &["solve", &path, "--format", "json"]).out);
    assert_eq!(rest["situation"], "at rest");
    assert_eq!(rest["parts"]["p5"]["state"], "off");
    let work = parse(&run("rest", &["solve", &path, "--situation", "work", "--format", "json"]).out);
    assert_eq!(work["parts"]["p5"]["state"], "on");
    assert!(work["parts"].get("p8").is_none(), "a part to be removed has no readings");
}

/// A job of these parts and wires, as JSON text.
fn job_of(parts: &str, wires: &str) -> String {
    format!(
        r#"{{ "format": "loomwright-job", "version": 7, "settings": {{ "nominal_v": 12 }},
        "parts": [{parts}], "wires": [{wires}] }}"#
    )
}

#[test]
fn a_check_lists_what_it_assumed_and_says_once_that_it_calculates() {
    let path = fixture("replies/job.json");
    let text = run("assumed", &["check", &path]).out;
    assert_eq!(text.to_lowercase().matches("calculated, not measured").count(), 1, "{text}");
    assert!(text.contains("battery G1: voltage without load: not given, 12.6 V assumed"), "{text}");
    assert_eq!(text.matches("resistance of the joint").count(), 1, "the same assumption is one line: {text}");
    // Both commands rest on the same assumptions, and programs get every one of them.
    let of =
        |command: &str| parse(&run("assumed", &[command, &path, "--format", "json"]).out)["assumed"].clone();
    assert_eq!(of("check"), of("solve"));
    assert!(of("check").as_array().is_some_and(|all| all.len() > 10));
}

#[test]
fn a_job_with_nothing_to_check_says_so() {
    let check = |job: &str| run_with("nothing", &["check", "-"], job.as_bytes()).out;
    let empty = check(&job_of("", ""));
    assert!(empty.contains("no parts") && !empty.contains("Nothing found"), "{empty}");
    let removed = check(&job_of(r#"{ "id": "e", "kind": "lamp", "status": "remove" }"#, ""));
    assert!(removed.contains("no parts"), "{removed}");
    let idle = check(&job_of(r#"{ "id": "g", "kind": "battery" }"#, ""));
    assert!(idle.contains("The job has no load"), "{idle}");
    let sound = run("nothing", &["check", &fixture("jobs/apiary-flatbed.json")]).out;
    assert!(!sound.contains("no load") && !sound.contains("no parts"), "{sound}");
}

#[test]
fn findings_carry_the_numbers_of_the_marks_on_the_drawing() {
    let path = fixture("jobs/apiary-flatbed-as-bought.json");
    let text = run("numbers", &["check", &path]).out;
    let picture = run("numbers", &["draw", &path, "-o", "-"]).out;
    let heads: Vec<String> = text
        .lines()
        .filter(|line| ["Stop ", "Look ", "Note "].iter().any(|word| line.starts_with(word)))
        .map(|line| line.split_whitespace().take(2).collect::<Vec<_>>().join(" "))
        .collect();
    assert!(heads.len() > 1, "{text}");
    for (number, head) in (1..).zip(&heads) {
        assert!(head.ends_with(&format!(" {number}")), "{heads:?}");
        assert!(picture.contains(&format!("<title>{head}:")), "no mark {head} on the drawing");
    }
    assert!(!text.contains("      measured  "), "{text}");
}

#[test]
fn a_fuse_that_would_not_hold_is_named_by_solve() {
    let parts = r#"{ "id": "g", "kind": "battery" }, { "id": "f", "kind": "fuse", "label": "F1", "values": { "rating_a": 3 } },
        { "id": "b", "kind": "breaker", "label": "F2", "values": { "rating_a": 4 } },
        { "id": "r", "kind": "resistor", "label": "R1", "values": { "ohm": 1.5 } }, { "id": "x", "kind": "earth" }"#;
    let wires = r#"{ "id": "w1", "from": "g.+", "to": "f.1" }, { "id": "w2", "from": "f.2", "to": "b.1" },
        { "id": "w3", "from": "b.2", "to": "r.1" }, { "id": "w4", "from": "r.2", "to": "x.1" }"#;
    let job = job_of(parts, wires);
    let text = run_with("blown", &["solve", "-"], job.as_bytes()).out;
    assert!(text.contains("fuse F1 (3 A) would blow: 7."), "{text}");
    assert!(text.contains("breaker F2 (4 A) would trip: 7."), "{text}");
    assert!(text.contains("Verdict    settled"), "{text}");
    let json = parse(&run_with("blown", &["solve", "-", "--format", "json"], job.as_bytes()).out);
    assert_eq!(json["opening"][0]["subject"]["part"], "f");
    assert_eq!(json["opening"][0]["rating_a"], 3.0);
    assert!(json["opening"][0]["amps"].as_f64().is_some_and(|amps| (7.0..8.0).contains(&amps)), "{json}");
    let sound = run_with("blown", &["solve", "-"], job.replace("1.5", "5").as_bytes()).out;
    assert!(!sound.contains("would"), "{sound}");
}

#[test]
fn solve_shows_no_noise_and_the_contact_of_a_relay() {
    let text = run("noise", &["solve", &fixture("replies/job.json"), "--situation", "work"]).out;
    assert!(!text.contains("0.0000"), "{text}");
    let contact = text.lines().find(|line| line.trim_start().starts_with("its contact"));
    assert!(contact.is_some_and(|line| line.contains("closed  4.55 A")), "{text}");
    let (readings, limits) = text.split_once("Assumed for the limits").expect("limits have their own list");
    assert!(!readings.contains("insulation") && limits.contains("insulation"), "{text}");
}

#[test]
fn a_position_takes_one_argument_and_may_be_said_again() {
    let path = fixture("replies/job.json");
    let after = run("set", &["paths", &path, "--set", "S1=on", "E1"]);
    let before = run("set", &["paths", &path, "E1", "--set", "S1=on"]);
    assert_eq!((after.code, &after.out), (0, &before.out), "{}", after.err);
    let parts = r#"{ "id": "a", "kind": "switch" }, { "id": "b", "kind": "switch" }"#;
    let job = job_of(parts, "");
    for set in [vec!["--set", "a=on", "--set", "b=on"], vec!["--set", "a=on,b=on"]] {
        let run = run_with("set", &[vec!["solve", "-", "--format", "json"], set].concat(), job.as_bytes());
        let parts = &parse(&run.out)["parts"];
        assert_eq!((&parts["a"]["state"], &parts["b"]["state"]), (&"on".into(), &"on".into()));
    }
}

#[test]
fn the_first_job_lights_its_lamp_and_nothing_is_found() {
    let path = fixture("files/v7/first-job.json");
    let check = run("first", &["check", &path, "--format", "json"]);
    assert_eq!((check.code, &parse(&check.out)["findings"]), (0, &Value::Array(Vec::new())));
    let solve = run("first", &["solve", &path, "--situation", "lamp on", "--format", "json"]);
    assert_eq!(parse(&solve.out)["parts"]["lamp"]["state"], "on");
}
