//! Measurements by name: programs below `tests/examples/`, run in the release profile, and the app in a
//! browser.
//!
//! They print numbers and pass no judgment; a limit on a time would fail on a busy machine. To add
//! one: a file there, whose first line of documentation says what it measures.

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use anyhow::{Context, Result, anyhow, bail};

use crate::browser::{self, Driver};
use crate::serve::Serving;
use crate::{build, machine, run};

/// A measurement that is no program below `tests/examples/`.
struct Own {
    name: &'static str,
    summary: &'static str,
    run: fn() -> Result<()>,
}

/// Scripts below `tests/browser/`, with the built app or a module of it.
const OWN: [Own; 4] = [
    Own {
        name: "app",
        summary: "The app in a browser: what the first visit costs, and how long edits and drags take.",
        run: app,
    },
    Own {
        name: "worker",
        summary: "The whole check in WebAssembly: the worker's module under node, asked about the jobs of `check`.",
        run: worker,
    },
    Own {
        name: "killed",
        summary: "A hundred tabs, each killed 300 ms after an edit: how many edits are lost.",
        run: killed,
    },
    Own {
        name: "firefox",
        summary: "Every journey that Firefox can be led through; the tests make the main ones.",
        run: firefox,
    },
];

/// Prints the names of all measurements.
pub fn list() -> Result<()> {
    for (name, summary) in all()? {
        println!("{name:<16} {summary}");
    }
    Ok(())
}

/// Runs one measurement, after naming the machine that the numbers belong to; `more` is handed on to it.
pub fn command(name: &str, more: &[&str]) -> Result<()> {
    let all = all()?;
    if !all.contains_key(name) {
        let names: Vec<&str> = all.keys().map(String::as_str).collect();
        bail!("no measurement `{name}`; there are: {}", names.join(", "));
    }
    println!("processor: {}", processor());
    if let Some(own) = OWN.iter().find(|own| own.name == name) {
        if !more.is_empty() {
            bail!("`{name}` takes nothing more");
        }
        return (own.run)();
    }
    let compiler = run::output(run::rustc().arg("--version"))?;
    println!("compiler: {}", String::from_utf8_lossy(&compiler).trim());
    run::run(example(name).arg("--").args(more))
}

/// A program below `tests/examples/`, in the release profile.
fn example(name: &str) -> Command {
    run::cargo(&["run", "--quiet", "--release", "--package", "suite", "--example", name])
}

/// Measures a fresh build of the app.
fn app() -> Result<()> {
    let driver = Driver::prepare(machine::CHROMIUM)?.map_err(|missing| anyhow!(missing))?;
    let site = build::build()?;
    if let Err(error) = build::weigh(&site) {
        println!("{error}");
    }
    let server = Serving::start(site, 0)?;
    run::run(&mut driver.script("measure.mjs", &server.address()))
}

/// Kills tabs of a fresh build of the app: a journey with more of them than the tests, which needs no drawings.
fn killed() -> Result<()> {
    let driver = Driver::prepare(machine::CHROMIUM)?.map_err(|missing| anyhow!(missing))?;
    let server = Serving::start(build::build()?, 0)?;
    let mut journey = driver.script("run.mjs", &server.address());
    run::run(journey.arg(run::target()).arg("killed").env("LOOMWRIGHT_KILLS", "100"))
}

/// Makes all journeys in Firefox, on a fresh build of the app.
fn firefox() -> Result<()> {
    let driver = Driver::prepare(machine::FIREFOX)?.map_err(|missing| anyhow!(missing))?;
    let server = Serving::start(build::build()?, 0)?;
    let drawings = browser::drawings();
    browser::draw_natively(&drawings)?;
    run::run(driver.script("run.mjs", &server.address()).arg(drawings))
}

/// Measures the worker's module as the app has it.
fn worker() -> Result<()> {
    let programs = machine::need_programs(&[machine::NODE]).map_err(|missing| anyhow!(missing))?;
    let folder = run::target().join("worker");
    fs::create_dir_all(&folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    let (glue, wasm) = build::worker()?;
    let place = |name: &str, content: &[u8]| {
        let path = folder.join(name);
        fs::write(&path, content).with_context(|| format!("cannot write `{}`", path.display()))
    };
    place("glue.mjs", glue.as_bytes())?;
    place("worker.wasm", &wasm)?;
    let questions = folder.join("questions");
    fs::create_dir_all(&questions).with_context(|| format!("cannot make `{}`", questions.display()))?;
    run::run(example("check").args(["--", "--questions"]).arg(&questions))?;
    let script = run::root().join("tests/browser/worker.mjs");
    run::run(Command::new(&programs[0]).arg(script).arg(&folder))
}

fn all() -> Result<BTreeMap<String, String>> {
    let mut all = BTreeMap::from(OWN.map(|own| (own.name.to_owned(), own.summary.to_owned())));
    let folder = run::root().join("tests/examples");
    if !folder.exists() {
        return Ok(all);
    }
    for entry in fs::read_dir(&folder).context("cannot list `tests/examples`")? {
        let path = entry?.path();
        let Some(name) = path.file_stem().and_then(|stem| stem.to_str()) else { continue };
        if path.extension().is_some_and(|extension| extension == "rs") {
            let text =
                fs::read_to_string(&path).with_context(|| format!("cannot read `{}`", path.display()))?;
            let summary = text.lines().next().and_then(|line| line.strip_prefix("//!")).unwrap_or_default();
            all.insert(name.to_owned(), summary.trim().to_owned());
        }
    }
    Ok(all)
}

/// The name of the processor, as far as the operating system tells.
fn processor() -> String {
    let from_linux = || {
        let text = fs::read_to_string("/proc/cpuinfo").ok()?;
        let line = text.lines().find(|line| line.starts_with("model name"))?;
        Some(line.split_once(':')?.1.trim().to_owned())
    };
    let from_mac = || {
        let mut command = Command::new("sysctl");
        let name = run::output(command.args(["-n", "machdep.cpu.brand_string"])).ok()?;
        Some(String::from_utf8_lossy(&name).trim().to_owned())
    };
    let name = from_linux().or_else(from_mac).unwrap_or_else(|| std::env::consts::ARCH.to_owned());
    let n_threads = std::thread::available_parallelism().map_or(1, usize::from);
    format!("{name}, {n_threads} threads")
}
