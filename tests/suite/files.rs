//! Files that must open and files that must be refused, one named test a file.
//!
//! A file of a version in `fixtures/files/vN/` must open and lose nothing: what is written again is the file itself, or
//! the `.written` file beside it when it is of an earlier version or written loosely. Files of the newest version agree
//! with the schema.
//! A file in `fixtures/files/bad/` must be refused with exactly the message beside it.
//! `UPDATE_EXPECT=1` writes the expectations anew.

use std::path::Path;
use std::process::ExitCode;

use engine::file;
use libtest_mimic::{Arguments, Failed, Trial};
use serde_json::Value;
use suite::{files_in, fixtures, name_of, updating};

fn main() -> ExitCode {
    let mut trials = Vec::new();
    for version in 1..=file::VERSION {
        for path in files_in(&fixtures(&format!("files/v{version}")), &[".json", ".svg"]) {
            let name = format!("opens::v{version}::{}", name_of(&path));
            trials.push(Trial::test(name, move || opens(&path, version)));
        }
    }
    for path in files_in(&fixtures("jobs"), &[".json"]) {
        trials.push(Trial::test(format!("job::{}", name_of(&path)), move || {
            let text = std::fs::read_to_string(&path)?;
            file::read_json(&text).map_err(|error| error.to_string())?;
            agrees_with_schema(&text)
        }));
    }
    for path in files_in(&fixtures("files/bad"), &[".json", ".svg"]) {
        trials.push(Trial::test(format!("refused::{}", name_of(&path)), move || refused(&path)));
    }
    trials.push(Trial::test("the_schema_refuses_what_it_can_see", schema_refuses));
    trials.push(Trial::test("the_front_page_quotes_the_first_job_as_it_is_on_file", first_job_quoted));
    trials.push(Trial::test("every_message_belongs_to_a_file", no_orphans));
    libtest_mimic::run(&Arguments::from_args(), trials).exit_code()
}

fn opens(path: &Path, version: u32) -> Result<(), Failed> {
    let bytes = std::fs::read(path)?;
    let document = file::read(&bytes).map_err(|error| error.to_string())?;
    let written = file::write_json(&document);
    if version == file::VERSION && path.extension().is_some_and(|ending| ending == "json") {
        agrees_with_schema(std::str::from_utf8(&bytes)?)?;
    }
    agrees_with_schema(&written)?;
    let beside = path.with_extension("written");
    if updating() && written.as_bytes() != bytes {
        std::fs::write(&beside, &written)?;
    }
    let expected = if beside.exists() { std::fs::read(&beside)? } else { bytes };
    same(&String::from_utf8(expected)?, &written)
}

fn refused(path: &Path) -> Result<(), Failed> {
    let message = match file::read(&std::fs::read(path)?) {
        Ok(_) => return Err("it opens".into()),
        Err(error) => format!("{error}\n"),
    };
    let beside =
        path.with_extension(format!("{}.txt", path.extension().unwrap_or_default().to_string_lossy()));
    if updating() {
        std::fs::write(&beside, &message)?;
    }
    let expected = std::fs::read_to_string(&beside)
        .map_err(|error| format!("{}: {error}; UPDATE_EXPECT=1 writes it", beside.display()))?;
    same(&expected, &message)
}

fn same(expected: &str, found: &str) -> Result<(), Failed> {
    if expected == found {
        return Ok(());
    }
    let differing = expected.lines().zip(found.lines()).enumerate().find(|(_, (one, other))| one != other);
    let shown = match differing {
        Some((i, (one, other))) => format!("line {}\nexpected: {one}\nfound:    {other}", i + 1),
        None => "one is longer than the other".to_owned(),
    };
    Err(shown.into())
}

/// Whether `job` agrees with the generated schema, as an independent validator sees it.
fn agrees_with_schema(job: &str) -> Result<(), Failed> {
    let (schemas, index) = compiled()?;
    let value: Value = serde_json::from_str(job)?;
    schemas.validate(&value, index).map_err(|error| format!("{error:#}").into())
}

fn compiled() -> Result<(boon::Schemas, boon::SchemaIndex), Failed> {
    let mut schemas = boon::Schemas::new();
    let mut compiler = boon::Compiler::new();
    // The location is only a name for the validator; nothing is fetched.
    let name = "urn:loomwright:schema";
    compiler.add_resource(name, file::schema()).map_err(|error| error.to_string())?;
    let index = compiler.compile(name, &mut schemas).map_err(|error| error.to_string())?;
    Ok((schemas, index))
}

/// Bad files the schema cannot see through: text that is no JSON, and what hangs together.
const BEYOND_THE_SCHEMA: &[&str] = &[
    "accepted-about-nothing",
    "accepted-twice",
    "donor-on-no-battery",
    "id-of-part-and-wire",
    "id-twice",
    "key-twice",
    "plan-one-route-with-both-ends-at-one-place",
    "plan-place-missing",
    "pose-other-view",
    "pose-without-view",
    "range-backwards",
    "record-answer-of-another-sort",
    "seat-beyond-the-box",
    "seat-in-no-box",
    "seat-nowhere",
    "seat-taken-twice",
    "situation-never-moves",
    "situation-no-part",
    "situation-no-position",
    "situation-twice",
    "wire-gauge-range-backwards",
    "wire-led-by-a-place-without-plan",
    "wire-to-itself",
    "wire-to-missing-terminal-of-variant",
    "wire-to-no-part",
    "wire-to-no-terminal",
];

fn schema_refuses() -> Result<(), Failed> {
    let (schemas, index) = compiled()?;
    let mut beyond = Vec::new();
    for path in files_in(&fixtures("files/bad"), &[".json"]) {
        let Ok(value) = serde_json::from_slice::<Value>(&std::fs::read(&path)?) else { continue };
        if schemas.validate(&value, index).is_ok() {
            beyond.push(path.file_stem().unwrap_or_default().to_string_lossy().into_owned());
        }
    }
    if beyond == BEYOND_THE_SCHEMA {
        return Ok(());
    }
    Err(format!("the schema accepts these bad files: {beyond:#?}").into())
}

fn no_orphans() -> Result<(), Failed> {
    for path in files_in(&fixtures("files/bad"), &[".txt"]) {
        if !path.with_extension("").exists() {
            return Err(format!("{} has no file it belongs to", path.display()).into());
        }
    }
    Ok(())
}

fn first_job_quoted() -> Result<(), Failed> {
    let job = std::fs::read_to_string(fixtures("files/v7/first-job.json"))?;
    let page = std::fs::read_to_string(fixtures("../README.md"))?;
    let quoted = page.split("```json\n").nth(1).and_then(|rest| rest.split("```").next());
    same(&job, quoted.unwrap_or_default())
}
