//! The reference computations: Python programs below `tests/reference/` that work the same problems
//! with independent, general-purpose libraries and fail when they disagree with what is on file.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};

use crate::stages::Outcome;
use crate::{machine, run};

/// Runs every program of `tests/reference/` with `--check`.
pub fn stage() -> Result<Outcome> {
    let folder = run::root().join("tests/reference");
    let programs = programs(&folder)?;
    if programs.is_empty() {
        return Ok(Outcome::Done("no programs".to_owned()));
    }
    let python = match machine::need_programs(&[machine::PYTHON]) {
        Ok(found) => found.into_iter().next().context("a found program has a path")?,
        Err(missing) => return Ok(Outcome::Skipped(missing)),
    };
    let requirements = folder.join("requirements.txt");
    let python = if requirements.exists() {
        match environment(&python, &requirements)? {
            Some(python) => python,
            None => return Ok(Outcome::Skipped("please install python3-venv".to_owned())),
        }
    } else {
        python
    };
    print_sets()?;
    for program in &programs {
        run::run(Command::new(&python).arg(program).arg("--check").current_dir(run::root()))?;
    }
    Ok(Outcome::Done(format!("{} programs", programs.len())))
}

/// Writes the printed set of every demonstration job on every paper as PDF and as pictures, for `sheets.py` and
/// `same_sheets.py` to read.
fn print_sets() -> Result<()> {
    let folder = run::target().join("sheets");
    if folder.exists() {
        fs::remove_dir_all(&folder).with_context(|| format!("cannot empty `{}`", folder.display()))?;
    }
    fs::create_dir_all(&folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    for job in files_in(&run::root().join("fixtures/jobs"), "json")? {
        let name = job.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        for paper in ["a4", "a3", "letter", "tabloid"] {
            let mut command = run::cargo(&["run", "--quiet", "--package", "loomwright", "--", "sheets"]);
            let pictures = folder.join(format!("{name}-{paper}"));
            command
                .arg(&job)
                .args(["--paper", paper, "--output"])
                .arg(folder.join(format!("{name}-{paper}.pdf")));
            run::run(command.arg("--svg").arg(pictures))?;
        }
    }
    Ok(())
}

fn programs(folder: &Path) -> Result<Vec<PathBuf>> {
    files_in(folder, "py")
}

/// The files of a folder with this ending, in order; none when there is no such folder.
fn files_in(folder: &Path, ending: &str) -> Result<Vec<PathBuf>> {
    let mut programs = Vec::new();
    if folder.exists() {
        for entry in fs::read_dir(folder).with_context(|| format!("cannot list `{}`", folder.display()))? {
            let path = entry?.path();
            if path.extension().is_some_and(|extension| extension == ending) {
                programs.push(path);
            }
        }
    }
    programs.sort();
    Ok(programs)
}

/// The interpreter of an environment below the target folder that has exactly the pinned packages.
///
/// None if this Python cannot make environments, which is so on Debian without a second package.
fn environment(python: &Path, requirements: &Path) -> Result<Option<PathBuf>> {
    let folder = run::target().join("reference");
    let inside = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let wanted =
        fs::read(requirements).with_context(|| format!("cannot read `{}`", requirements.display()))?;
    let stamp = folder.join("installed.txt");
    if fs::read(&stamp).is_ok_and(|installed| installed == wanted) && inside.exists() {
        return Ok(Some(inside));
    }
    let make = || run::run(Command::new(python).args(["-m", "venv", "--clear"]).arg(&folder));
    if make().is_err() {
        let install = || {
            let mut command = Command::new("apt-get");
            run::run(command.args(["-q", "install", "-y", "--no-install-recommends", "python3-venv"]))
        };
        if !(machine::may_install() && install().is_ok() && make().is_ok()) {
            return Ok(None);
        }
    }
    let mut pip = Command::new(&inside);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
    run::run(pip.arg(requirements))?;
    fs::write(&stamp, wanted).with_context(|| format!("cannot write `{}`", stamp.display()))?;
    Ok(Some(inside))
}
