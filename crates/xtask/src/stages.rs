//! Everything that must hold before a change lands, as stages, each with its time.
//!
//! All stages run even when one fails, so one run shows everything there is to mend. What cannot
//! run on this machine is named and skipped, unless `LOOMWRIGHT_STRICT=1` turns that into a failure.

use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

use crate::serve::Serving;
use crate::{browser, build, generate, machine, python, run, tidy};

/// How a stage that did not fail ended.
pub enum Outcome {
    /// It ran; the text says how much it covered and may be empty.
    Done(String),
    /// It could not run on this machine; the text says what is missing.
    Skipped(String),
}

struct Stages {
    strict: bool,
    lines: Vec<(&'static str, Duration, String)>,
    n_failed: usize,
}

impl Stages {
    fn run(&mut self, name: &'static str, stage: impl FnOnce() -> Result<Outcome>) {
        println!("\n== {name} ==");
        let start = Instant::now();
        let (failed, text) = match stage() {
            Ok(Outcome::Done(text)) => (false, text),
            Ok(Outcome::Skipped(text)) => {
                println!("skipped: {text}");
                (self.strict, format!("SKIPPED: {text}"))
            }
            Err(error) => {
                println!("failed: {error:#}");
                (true, format!("FAILED: {error:#}"))
            }
        };
        self.n_failed += usize::from(failed);
        self.lines.push((name, start.elapsed(), text));
    }
}

/// Runs every stage and prints the seconds of each.
pub fn command() -> Result<()> {
    let strict = std::env::var_os("LOOMWRIGHT_STRICT").is_some_and(|value| value == "1");
    let mut stages = Stages { strict, lines: Vec::new(), n_failed: 0 };
    machine::need_components()?;
    machine::need_wasm_target()?;

    stages.run("format", || plain(&["fmt", "--all", "--check"]));
    stages.run("tidy", || tidy::command().map(|()| done()));
    stages.run("clippy", || plain(&["clippy", "--all-targets", "--", "--deny", "warnings"]));
    stages.run("clippy, web target", clippy_for_web);
    stages.run("native tests", native_tests);
    stages.run("documentation", documentation);
    stages.run("generated files", || generate::compare().map(|()| done()));
    let mut served = None;
    stages.run("web build", || {
        let built = build::build()?;
        build::weigh(&built)?;
        served = Some(Serving::start(built, 0)?);
        Ok(done())
    });
    let served = || served.as_ref().context("there is no web build to look at");
    stages.run("browser", || browser::all_journeys(served()?));
    stages.run("second browser", || browser::main_journeys(served()?));
    stages.run("reference computations", python::stage);

    report(&stages)
}

fn report(stages: &Stages) -> Result<()> {
    println!();
    let mut total = Duration::ZERO;
    for (name, time, text) in &stages.lines {
        println!("{:>8.1} s  {name:<24} {text}", time.as_secs_f64());
        total += *time;
    }
    println!("{:>8.1} s  total", total.as_secs_f64());
    if stages.n_failed > 0 {
        bail!("{} of {} stages failed", stages.n_failed, stages.lines.len());
    }
    Ok(())
}

fn done() -> Outcome {
    Outcome::Done(String::new())
}

fn plain(arguments: &[&str]) -> Result<Outcome> {
    run::run(&mut run::cargo(arguments))?;
    Ok(done())
}

/// Every test of the default members.
///
/// This crate is tested by itself: together with the others its dependencies would be compiled once
/// more, with the features that the others ask for, and they are the largest of all.
fn native_tests() -> Result<Outcome> {
    plain(&["test", "--workspace", "--exclude", "web", "--exclude", "xtask"])?;
    plain(&["test", "--package", "xtask"])
}

/// The pure crates and the app, as they are compiled for the browser.
///
/// The profile is that of the web build, so that both share the macros and build scripts.
fn clippy_for_web() -> Result<Outcome> {
    let mut arguments = vec!["clippy", "--profile", "wasm", "--target", machine::WASM];
    for package in ["engine", "drawing", "sheets", "editor", "web", "worker", "paper"] {
        arguments.extend(["--package", package]);
    }
    arguments.extend(["--", "--deny", "warnings"]);
    plain(&arguments)
}

fn documentation() -> Result<Outcome> {
    run::run(run::cargo(&["doc", "--no-deps"]).env("RUSTDOCFLAGS", "--deny warnings"))?;
    Ok(done())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcome_of(strict: bool, stage: impl FnOnce() -> Result<Outcome>) -> Result<()> {
        let mut stages = Stages { strict, lines: Vec::new(), n_failed: 0 };
        stages.run("stage", stage);
        report(&stages)
    }

    #[test]
    fn a_skipped_stage_fails_only_a_strict_run() {
        let skipped = || Ok(Outcome::Skipped("no browser".to_owned()));
        assert!(outcome_of(false, skipped).is_ok());
        assert!(outcome_of(true, skipped).is_err());
    }

    #[test]
    fn a_failed_stage_fails_every_run() {
        assert!(outcome_of(false, || bail!("broken")).is_err());
        assert!(outcome_of(false, || Ok(done())).is_ok());
    }
}
