//! Measurements by name: programs below `tests/examples/`, run in the release profile, and the app in a
//! browser.
//!
//! They print numbers and pass no judgment; a limit on a time would fail on a busy machine. To add
//! one: a file there, whose first line of documentation says what it measures.

use std::collections::BTreeMap;
use std::fs;

use anyhow::{Context, Result, anyhow, bail};

use crate::browser::Driver;
use crate::serve::Serving;
use crate::{build, run};

/// The measurement of the built app, which is a script below `tests/browser/`.
const APP: (&str, &str) =
    ("app", "The app in a browser: what the first visit costs, and how long edits and drags take.");

/// Prints the names of all measurements.
pub fn list() -> Result<()> {
    for (name, summary) in all()? {
        println!("{name:<16} {summary}");
    }
    Ok(())
}

/// Runs one measurement, after naming the machine that the numbers belong to.
pub fn command(name: &str) -> Result<()> {
    let all = all()?;
    if !all.contains_key(name) {
        let names: Vec<&str> = all.keys().map(String::as_str).collect();
        bail!("no measurement `{name}`; there are: {}", names.join(", "));
    }
    println!("processor: {}", processor());
    if name == APP.0 {
        return app();
    }
    let compiler = run::output(run::rustc().arg("--version"))?;
    println!("compiler: {}", String::from_utf8_lossy(&compiler).trim());
    run::run(&mut run::cargo(&["run", "--quiet", "--release", "--package", "suite", "--example", name]))
}

/// Measures a fresh build of the app.
fn app() -> Result<()> {
    let driver = Driver::prepare()?.map_err(|missing| anyhow!(missing))?;
    let site = build::build()?;
    if let Err(error) = build::weigh(&site) {
        println!("{error}");
    }
    let server = Serving::start(site, 0)?;
    run::run(&mut driver.script("measure.mjs", &server.address()))
}

fn all() -> Result<BTreeMap<String, String>> {
    let mut all = BTreeMap::from([(APP.0.to_owned(), APP.1.to_owned())]);
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
        let mut command = std::process::Command::new("sysctl");
        let name = run::output(command.args(["-n", "machdep.cpu.brand_string"])).ok()?;
        Some(String::from_utf8_lossy(&name).trim().to_owned())
    };
    let name = from_linux().or_else(from_mac).unwrap_or_else(|| std::env::consts::ARCH.to_owned());
    let n_threads = std::thread::available_parallelism().map_or(1, usize::from);
    format!("{name}, {n_threads} threads")
}
