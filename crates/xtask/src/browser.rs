//! The browser journeys: the built app in a real browser, under its real policy.
//!
//! The journeys are JavaScript below `tests/browser/`; this module brings what they need together:
//! the programs, their pinned packages, the app on a loopback address, and the drawing of every
//! demonstration job as the native build makes it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};

use crate::serve::Serving;
use crate::site::Site;
use crate::stages::Outcome;
use crate::{machine, run};

/// What runs the scripts below `tests/browser/`.
pub struct Driver {
    node: PathBuf,
    chromium: PathBuf,
}

impl Driver {
    /// Finds or installs the programs and their pinned packages; otherwise tells what is missing.
    pub fn prepare() -> Result<Result<Driver, String>> {
        let programs = match machine::need_programs(&[machine::NODE, machine::NPM, machine::CHROMIUM]) {
            Ok(found) => found,
            Err(missing) => return Ok(Err(missing)),
        };
        let [node, npm, chromium] = programs.as_slice() else {
            anyhow::bail!("each program has one path");
        };
        install_packages(npm, &scripts())?;
        Ok(Ok(Driver { node: node.clone(), chromium: chromium.clone() }))
    }

    /// A script that drives the app at this address; more arguments may follow.
    pub fn script(&self, name: &str, address: &str) -> Command {
        let mut command = Command::new(&self.node);
        command.arg(scripts().join(name)).current_dir(scripts());
        command.arg(address).arg(&self.chromium);
        command
    }
}

fn scripts() -> PathBuf {
    run::root().join("tests/browser")
}

/// Runs the journeys on this build.
pub fn stage(site: Site) -> Result<Outcome> {
    let driver = match Driver::prepare()? {
        Ok(driver) => driver,
        Err(missing) => return Ok(Outcome::Skipped(missing)),
    };
    let drawings = run::target().join("browser");
    let n_jobs = draw_natively(&drawings)?;

    let server = Serving::start(site, 0)?;
    run::run(driver.script("run.mjs", &server.address()).arg(&drawings))?;
    Ok(Outcome::Done(format!("{n_jobs} drawings compared")))
}

/// Installs exactly what the lock file says, unless that is what is installed.
fn install_packages(npm: &Path, folder: &Path) -> Result<()> {
    let lock =
        fs::read(folder.join("package-lock.json")).context("cannot read the lock file of the journeys")?;
    let stamp = folder.join("node_modules/.installed-lock");
    if fs::read(&stamp).is_ok_and(|installed| installed == lock) {
        return Ok(());
    }
    let mut command = Command::new(npm);
    command
        .args(["ci", "--ignore-scripts", "--omit=optional", "--no-audit", "--no-fund"])
        .current_dir(folder);
    run::run(&mut command)?;
    fs::write(&stamp, lock).context("cannot mark the packages as installed")
}

/// Writes each demonstration job, its drawing and its sheets by the command line into a folder: `NAME.json`, `NAME.svg`
/// and the folder `NAME`.
fn draw_natively(folder: &Path) -> Result<usize> {
    if folder.exists() {
        fs::remove_dir_all(folder).with_context(|| format!("cannot empty `{}`", folder.display()))?;
    }
    fs::create_dir_all(folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    let jobs = jobs()?;
    for job in &jobs {
        let copy = folder.join(job.file_name().context("a job has a file name")?);
        fs::copy(job, &copy).with_context(|| format!("cannot copy `{}`", job.display()))?;
        let mut draw = run::cargo(&["run", "--quiet", "--package", "loomwright", "--", "draw"]);
        run::run(draw.arg(job).arg("--output").arg(copy.with_extension("svg")))?;
        let mut sheets = run::cargo(&["run", "--quiet", "--package", "loomwright", "--", "sheets"]);
        run::run(sheets.arg(job).arg("--svg").arg(copy.with_extension("")))?;
    }
    Ok(jobs.len())
}

/// The demonstration jobs, in the order of their names.
fn jobs() -> Result<Vec<PathBuf>> {
    let folder = run::root().join("fixtures/jobs");
    let mut jobs = Vec::new();
    if folder.exists() {
        for entry in fs::read_dir(&folder).context("cannot list `fixtures/jobs`")? {
            let path = entry?.path();
            if path.extension().is_some_and(|extension| extension == "json") {
                jobs.push(path);
            }
        }
    }
    jobs.sort();
    Ok(jobs)
}
