//! The built binary making the printed set: what is written where, and what is refused.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Exit code, standard output and standard error.
fn run(directory: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_loomwright"))
        .args(args)
        .current_dir(directory)
        .output()
        .expect("the binary was built for this test");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("answers are UTF-8");
    (output.status.code().expect("the run ends by itself"), text(output.stdout), text(output.stderr))
}

/// An empty directory with the example job in it.
fn fresh(name: &str) -> PathBuf {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cli-sheets-{name}"));
    let _ = std::fs::remove_dir_all(&directory);
    std::fs::create_dir_all(&directory).expect("the build directory can be written");
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/replies/job.json");
    std::fs::copy(job, directory.join("job.json")).expect("the job can be copied");
    directory
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder was made");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_set_is_written_as_pdf_pictures_and_lists() {
    let at = fresh("all");
    let (code, out, err) =
        run(&at, &["sheets", "job.json", "-o", "set.pdf", "--svg", "pages", "--csv", "lists"]);
    assert_eq!((code, out.as_str()), (0, ""), "{err}");
    let pages = names(&at.join("pages"));
    assert!(pages[0] == "01-overview.svg" && pages[1] == "02-circuit-diagram.svg", "{pages:?}");
    assert!(err.starts_with(&format!("wrote `set.pdf`: {} sheets on A4\n", pages.len())), "{err}");
    let lists = names(&at.join("lists"));
    for file in ["wires.csv", "parts.csv", "fuses.csv", "findings.csv", "assumptions.csv"] {
        assert!(lists.iter().any(|name| name == file), "{lists:?}");
    }
    assert!(std::fs::read(at.join("set.pdf")).expect("the set").starts_with(b"%PDF-"));
    let wires = std::fs::read_to_string(at.join("lists/wires.csv")).expect("the wire list");
    assert!(wires.starts_with("group,Wire,From,To,") && wires.contains("\r\n"), "{wires}");
    assert!(wires.contains(",Size (mm²),Length (m),") && !wires.contains(" mm²,"), "{wires}");
}

#[test]
fn paper_ink_and_readings_are_what_was_asked_for() {
    let at = fresh("wanted");
    let args =
        ["sheets", "job.json", "--svg", "a3", "--paper", "a3", "--ink", "black", "--situation", "work"];
    let (code, _, err) = run(&at, &args);
    assert_eq!(code, 0, "{err}");
    let circuit = std::fs::read_to_string(at.join("a3/02-circuit-diagram.svg")).expect("the circuit");
    assert!(circuit.contains("\"420mm\""), "on A3: {}", &circuit[..200]);
    assert!([" A\n</text>", " A</text>"].iter().any(|reading| circuit.contains(reading)), "{circuit}");
    assert!(!circuit.contains("#d23b34"), "no paint in black");
    let overview = std::fs::read_to_string(at.join("a3/01-overview.svg")).expect("the overview");
    assert!(overview.contains("switches: work"));
}

#[test]
fn the_job_is_never_written_over_and_endings_are_held() {
    let at = fresh("over");
    let job = std::fs::read(at.join("job.json")).expect("the job");
    std::fs::copy(at.join("job.json"), at.join("job.pdf")).expect("the job can be copied");
    std::fs::create_dir(at.join("lists")).expect("the directory can be written");
    std::fs::copy(at.join("job.json"), at.join("lists/wires.csv")).expect("the job can be copied");
    for (args, says) in [
        (["sheets", "job.pdf", "-o", "job.pdf"], "is the job itself"),
        (["sheets", "lists/wires.csv", "--csv", "lists"], "is the job itself"),
        (["sheets", "job.json", "-o", "set.svg"], "does not end in .pdf"),
        (["sheets", "job.json", "--paper", "a4"], "required"),
        (["sheets", "job.json", "--svg", "-"], "--svg writes many files"),
        (["sheets", "job.json", "--csv", "-"], "--csv writes many files"),
    ] {
        let (code, out, err) = run(&at, &args);
        assert!(code == 2 && out.is_empty() && err.contains(says), "{args:?}: {err}");
    }
    for name in ["job.json", "job.pdf", "lists/wires.csv"] {
        assert_eq!(std::fs::read(at.join(name)).ok().as_ref(), Some(&job), "{name}");
    }
    assert_eq!(names(&at.join("lists")), ["wires.csv"]);
    assert!(!at.join("-").exists());
    // What is refused for one of several is refused for all.
    std::fs::create_dir(at.join("others")).expect("the directory can be written");
    std::fs::write(at.join("others/prices.csv"), "mine").expect("the list can be written");
    let args = ["sheets", "job.json", "-o", "set.pdf", "--svg", "pages", "--csv", "others"];
    let (code, out, err) = run(&at, &args);
    assert!(code == 2 && out.is_empty() && err.contains("is of another set"), "{err}");
    assert!(!at.join("set.pdf").exists() && names(&at.join("pages")).is_empty());
    assert_eq!(names(&at.join("others")), ["prices.csv"]);
}

#[test]
fn a_proving_sheet_is_added_where_it_is_wanted() {
    let at = fresh("proof");
    let (code, _, err) = run(&at, &["sheets", "job.json", "--proof", "--csv", "lists", "--svg", "pages"]);
    assert_eq!(code, 0, "{err}");
    let sheet = std::fs::read_to_string(at.join("lists/proving-sheet.csv")).expect("the proving sheet");
    assert!(sheet.starts_with("group,No.,What to do,What passes,Found,Right\r\n"), "{sheet}");
    let (_, text, _) = run(&at, &["prove", "job.json"]);
    let n_steps: usize = text.lines().filter(|line| line.contains("Passes: ")).count();
    assert!(n_steps > 2 && sheet.lines().count() == 1 + n_steps, "{n_steps} steps, {sheet}");
    let open = std::fs::read_to_string(at.join("lists/not-proved.csv")).expect("what is not shown");
    assert!(open.contains("nother rating than drawn"), "{open}");
    let pages: String = names(&at.join("pages"))
        .iter()
        .map(|page| std::fs::read_to_string(at.join("pages").join(page)).expect("a page"))
        .collect();
    assert!(pages.contains(">Signature<"), "there is a line to sign on");

    let at = fresh("no-proof");
    run(&at, &["sheets", "job.json", "--csv", "lists"]);
    assert!(!at.join("lists/proving-sheet.csv").exists());
}
