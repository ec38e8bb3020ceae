//! What the machine must have before a command can work, added where that is safe to do unasked.
//!
//! Rust targets and components are added through rustup. Programs of the operating system are
//! installed only where this runs as root on Debian or Ubuntu, which is a container or a build
//! machine; anywhere else they are named and left to the owner of the machine.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, bail};

use crate::run;

/// The target of the web build.
pub const WASM: &str = "wasm32-unknown-unknown";

/// Sees to it that the standard library for the web target is there.
pub fn need_wasm_target() -> Result<()> {
    let sysroot = run::output(run::rustc().args(["--print", "sysroot"]))?;
    let sysroot = PathBuf::from(String::from_utf8_lossy(&sysroot).trim());
    if sysroot.join("lib/rustlib").join(WASM).join("lib").is_dir() {
        return Ok(());
    }
    rustup(&["target", "add", WASM])
}

/// Sees to it that the formatter and the linter are there.
pub fn need_components() -> Result<()> {
    if !run::succeeds(&mut run::cargo(&["fmt", "--version"])) {
        rustup(&["component", "add", "rustfmt"])?;
    }
    if !run::succeeds(&mut run::cargo(&["clippy", "--version"])) {
        rustup(&["component", "add", "clippy"])?;
    }
    Ok(())
}

fn rustup(arguments: &[&str]) -> Result<()> {
    let Some(rustup) = run::find(&["rustup"]) else {
        bail!("rustup is not on the search path, and `rustup {}` is needed", arguments.join(" "));
    };
    let mut command = Command::new(rustup);
    command.args(arguments).current_dir(run::root());
    run::run(&mut command)
}

/// A program of the operating system: how it may be called, and the Debian package it comes in.
pub struct Program {
    /// The names it goes by, the preferred one first.
    pub names: &'static [&'static str],
    /// The package of Debian and Ubuntu.
    pub package: &'static str,
}

/// Runs the browser journeys.
pub const NODE: Program = Program { names: &["node", "nodejs"], package: "nodejs" };
/// Fetches the pinned packages of the browser journeys.
pub const NPM: Program = Program { names: &["npm"], package: "npm" };
/// The browser itself.
pub const CHROMIUM: Program =
    Program { names: &["chromium", "chromium-browser", "google-chrome"], package: "chromium" };
/// A second browser, of another maker.
pub const FIREFOX: Program = Program { names: &["firefox-esr", "firefox"], package: "firefox-esr" };
/// Runs the reference computations.
pub const PYTHON: Program = Program { names: &["python3"], package: "python3" };

/// Where the programs are, or the names of those that are missing and could not be installed.
pub fn need_programs(programs: &[Program]) -> Result<Vec<PathBuf>, String> {
    // One by one and each looked for again first: some builds of nodejs bring npm with them, and
    // installing the other npm on top of those fails.
    let mut updated = false;
    for program in programs {
        if run::find(program.names).is_none() && may_install() {
            if !updated {
                updated = run::run(apt().arg("update")).is_ok();
            }
            // A failed installation shows as the program still missing, below.
            let _ = run::run(apt().args(["install", "-y", "--no-install-recommends", program.package]));
        }
    }
    let found: Vec<Option<PathBuf>> = programs.iter().map(|program| run::find(program.names)).collect();
    let missing: Vec<&str> = programs
        .iter()
        .zip(&found)
        .filter(|(_, found)| found.is_none())
        .map(|(program, _)| program.names[0])
        .collect();
    if missing.is_empty() {
        Ok(found.into_iter().flatten().collect())
    } else {
        Err(format!("please install {}", missing.join(", ")))
    }
}

fn apt() -> Command {
    let mut command = Command::new("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive").arg("-q");
    command
}

/// Whether programs may be installed without asking.
pub fn may_install() -> bool {
    Path::new("/etc/debian_version").exists() && run::find(&["apt-get"]).is_some() && is_root()
}

fn is_root() -> bool {
    run::output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim_ascii() == b"0")
}
