//! Runs the fixtures: one named test a case.
//!
//! * `fixtures/jobs/NAME.json` opens, and its findings are those its `NAME.md` lists in a table, or none.
//! * `fixtures/starts/NAME.json` opens, gives no finding, and says nothing that is the user's to say.
//! * `fixtures/checks/NAME.md`: each case gives exactly the findings of that check it expects.
//! * `fixtures/kinds/NAME.md` and `fixtures/solve/NAME.md`: each case gives the readings it expects.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::ExitCode;

use engine::document::Document;
use engine::finding::Finding;
use libtest_mimic::{Arguments, Failed, Trial};
use suite::literate::{Case, cases, table};
use suite::reading::compare;
use suite::{files_in, fixtures};

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let mut trials = Vec::new();
    for path in files_in(&fixtures("jobs"), &[".json"]) {
        trials.push(Trial::test(format!("jobs/{}", stem(&path)), move || job(&path)));
    }
    for path in files_in(&fixtures("starts"), &[".json"]) {
        trials.push(Trial::test(format!("starts/{}", stem(&path)), move || start(&path)));
    }
    for path in files_in(&fixtures("checks"), &[".md"]) {
        let check = stem(&path);
        let kept = path.clone();
        trials.push(Trial::test(format!("checks/{check} has all three sorts of case"), move || {
            three_sorts(&kept)
        }));
        literate(&mut trials, &path, "checks", move |case| check_case(&check, case));
    }
    for folder in ["kinds", "solve"] {
        for path in files_in(&fixtures(folder), &[".md"]) {
            literate(&mut trials, &path, folder, reading_case);
        }
    }
    trials.push(Trial::test("every check has a fixture", || {
        complete("checks", engine::check::ALL.iter().map(|check| check.name))
    }));
    trials.push(Trial::test("every kind has a fixture", || {
        complete("kinds", engine::kind::ALL.iter().map(|kind| kind.name))
    }));
    libtest_mimic::run(&arguments, trials).exit_code()
}

fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}

fn text(path: &Path) -> Result<String, Failed> {
    fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()).into())
}

fn literate(
    trials: &mut Vec<Trial>,
    path: &Path,
    area: &str,
    run: impl Fn(&Case) -> Result<(), Failed> + Clone + Send + 'static,
) {
    let name = format!("{area}/{}", stem(path));
    match text(path).and_then(|text| cases(&text).map_err(Failed::from)) {
        Ok(found) if !found.is_empty() => {
            for case in found {
                let run = run.clone();
                trials.push(Trial::test(format!("{name}: {}", case.title), move || run(&case)));
            }
        }
        Ok(_) => trials.push(Trial::test(name, || Err("it holds no case".into()))),
        Err(error) => trials.push(Trial::test(name, move || Err(error))),
    }
}

fn complete(area: &str, names: impl Iterator<Item = &'static str>) -> Result<(), Failed> {
    let have: BTreeSet<String> = files_in(&fixtures(area), &[".md"]).iter().map(|path| stem(path)).collect();
    let names: BTreeSet<String> = names.map(str::to_owned).collect();
    if have == names {
        return Ok(());
    }
    let missing: Vec<_> = names.difference(&have).collect();
    let orphans: Vec<_> = have.difference(&names).collect();
    Err(format!("missing: {missing:?}; of nothing: {orphans:?}").into())
}

/// A check is held by a case that fires, one that only just does not, and one that looks alike but is
/// no matter of this check.
fn three_sorts(path: &Path) -> Result<(), Failed> {
    let all = cases(&text(path)?).map_err(Failed::from)?;
    let quiet = |start: &str| all.iter().any(|case| case.title.starts_with(start) && case.expect.is_empty());
    let missing: Vec<&str> = [
        ("a case that fires", all.iter().any(|case| !case.expect.is_empty())),
        ("a near miss", quiet("Near miss: ")),
        ("a case that is none of its business", quiet("None of its business: ")),
    ]
    .into_iter()
    .filter_map(|(sort, there)| (!there).then_some(sort))
    .collect();
    if missing.is_empty() { Ok(()) } else { Err(format!("it lacks {}", missing.join(" and ")).into()) }
}

fn open(json: &str) -> Result<Document, Failed> {
    engine::file::read(json.as_bytes()).map_err(|error| format!("{error}").into())
}

fn findings(document: &Document) -> Vec<Finding> {
    let circuit = engine::laid::circuit(document);
    engine::check::run_all(&circuit, &document.situations, &document.interlocks)
}

/// A finding as fixtures write it.
fn told(finding: &Finding) -> String {
    format!("{} {} {}", finding.severity.word().to_lowercase(), finding.check, finding.subject.id())
}

fn same(mut expected: Vec<String>, found: &[&Finding]) -> Result<(), Failed> {
    let mut told: Vec<String> = found.iter().map(|finding| told(finding)).collect();
    told.sort();
    expected.sort();
    if told == expected {
        return Ok(());
    }
    let missing = expected.iter().filter(|line| !told.contains(line));
    let mut report: Vec<String> = missing.map(|line| format!("missing: {line}")).collect();
    report.extend(
        found
            .iter()
            .filter(|finding| !expected.contains(&self::told(finding)))
            .map(|finding| format!("not expected: {} ({})", self::told(finding), finding.message)),
    );
    Err(report.join("\n").into())
}

fn job(path: &Path) -> Result<(), Failed> {
    let document = open(&text(path)?)?;
    let beside = text(&path.with_extension("md"))?;
    let rows = table(&beside, &["mistake", "check", "subject", "severity"]).unwrap_or_default();
    let expected = rows.iter().map(|row| format!("{} {} {}", row[3], row[1], row[2])).collect();
    same(expected, &findings(&document).iter().collect::<Vec<_>>())
}

/// What somebody begins with must be sound, must not sign for them, and must leave the drawing to be laid out.
fn start(path: &Path) -> Result<(), Failed> {
    let document = open(&text(path)?)?;
    same(Vec::new(), &findings(&document).iter().collect::<Vec<_>>())?;
    let card = engine::document::Card { title: document.card.title.clone(), ..Default::default() };
    let labelled = document.network.parts.iter().all(|part| !part.label.is_empty())
        && document.network.wires.iter().all(|wire| !wire.label.is_empty());
    let told = document.network.wires.iter().all(|wire| wire.size.is_said() && wire.length.is_said());
    for (holds, what) in [
        (*document.card == card && !card.title.is_empty(), "its card says its title and nothing else"),
        (document.placement.poses.is_empty(), "no symbol has a place"),
        (labelled, "everything has a label"),
        (told, "every wire has a size and a length"),
        (!document.situations.is_empty(), "a situation has a name"),
    ] {
        if !holds {
            return Err(format!("it does not hold that {what}").into());
        }
    }
    Ok(())
}

fn check_case(check: &str, case: &Case) -> Result<(), Failed> {
    let all = findings(&open(&case.job)?);
    same(case.expect.clone(), &all.iter().filter(|finding| finding.check == check).collect::<Vec<_>>())
}

/// The words with which the line of a finding begins.
const SEVERITIES: [&str; 3] = ["stop", "look", "note"];

/// The line of a case that holds readings and must give no finding.
const NOTHING_FOUND: &str = "no finding";

fn first_word(line: &str) -> &str {
    line.split(' ').next().unwrap_or_default()
}

/// Readings, and where a line speaks of findings, the whole list of them.
fn reading_case(case: &Case) -> Result<(), Failed> {
    if case.expect.is_empty() {
        return Err("it expects nothing".into());
    }
    let document = open(&case.job)?;
    let is_finding =
        |line: &&String| line.as_str() == NOTHING_FOUND || SEVERITIES.contains(&first_word(line));
    let (expected, readings): (Vec<_>, Vec<_>) = case.expect.iter().partition(is_finding);
    let failures = compare(&document, readings);
    if !failures.is_empty() {
        return Err(failures.join("\n").into());
    }
    if expected.is_empty() {
        return Ok(());
    }
    let expected = expected.into_iter().filter(|line| line.as_str() != NOTHING_FOUND).cloned().collect();
    same(expected, &findings(&document).iter().collect::<Vec<_>>())
}
