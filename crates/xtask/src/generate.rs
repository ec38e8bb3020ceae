//! Files of the source tree that are made from the code, so that they cannot drift from it.
//!
//! To add one: an entry in [`ALL`] with its path and the function that makes its text, then
//! `cargo xtask generate`. The tests compare each file with what its function makes.

use anyhow::{Context, Result, bail};

use crate::{catalogue, run};

/// A generated file.
pub struct Generated {
    /// Its path below the root of the source tree.
    pub path: &'static str,
    /// Makes its whole text from its present text, which matters where only a part is generated.
    pub make: fn(&str) -> Result<String>,
    /// Whether people write in it too.
    pub shared: bool,
}

/// Every generated file.
pub static ALL: &[Generated] = &[
    Generated { path: "fixtures/job.schema.json", make: |_| Ok(engine::file::schema_text()), shared: false },
    Generated {
        path: "fixtures/README.md",
        make: |present| engine::file::with_tables(present).context("the marks of a table are gone"),
        shared: true,
    },
    Generated {
        path: "fixtures/drawings/symbols.svg",
        make: |_| Ok(drawing::overview::overview()),
        shared: false,
    },
    Generated {
        path: "README.md",
        make: |present| with_checks(present).context("the marks of the table of checks are gone"),
        shared: true,
    },
    Generated { path: catalogue::TEMPLATE, make: |_| catalogue::template(), shared: false },
];

/// `readme` with the present table of checks between its two marks; `None` when a mark is missing.
fn with_checks(readme: &str) -> Option<String> {
    const START: &str = "<!-- checks: written by `cargo xtask generate` -->\n";
    const END: &str = "<!-- checks end -->\n";
    let (before, rest) = readme.split_once(START)?;
    let (_, after) = rest.split_once(END)?;
    let mut table = "\n| check | finds that |\n|---|---|\n".to_owned();
    for check in engine::check::ALL {
        table.push_str(&format!("| `{}` | {} |\n", check.name, check.summary));
    }
    Some(format!("{before}{START}{table}\n{END}{after}"))
}

/// Writes the files that differ from what their functions make.
pub fn command() -> Result<()> {
    for file in ALL {
        let present = on_disk(file.path);
        let text = (file.make)(&present).with_context(|| format!("cannot make `{}`", file.path))?;
        if present != text {
            let path = run::root().join(file.path);
            std::fs::write(&path, text).with_context(|| format!("cannot write `{}`", file.path))?;
            println!("written: {}", file.path);
        }
    }
    Ok(())
}

/// Fails when a file differs from what its function makes. Nothing is written.
pub fn compare() -> Result<()> {
    let mut stale = Vec::new();
    for file in ALL {
        let present = on_disk(file.path);
        let text = (file.make)(&present).with_context(|| format!("cannot make `{}`", file.path))?;
        if present != text {
            stale.push(file.path);
        }
    }
    println!("{} generated files compared", ALL.len());
    if !stale.is_empty() {
        bail!("out of date, run `cargo xtask generate`: {}", stale.join(", "));
    }
    Ok(())
}

/// The present text; a file that is not there yet is as good as an empty one.
fn on_disk(path: &str) -> String {
    std::fs::read_to_string(run::root().join(path)).unwrap_or_default()
}
