//! The files that the rules look at: all text of the source tree that people write.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::run;

/// One file.
pub struct Source {
    /// Its path below the root, with forward slashes.
    pub path: String,
    /// Its text.
    pub text: String,
}

impl Source {
    /// Whether the name ends in one of these extensions.
    pub fn is_a(&self, extensions: &[&str]) -> bool {
        self.path.rsplit_once('.').is_some_and(|(_, extension)| extensions.contains(&extension))
    }

    /// The lines of code with their numbers: no comments, and nothing from the unit tests on, which
    /// stand at the end of a file or in a `tests.rs` or a `tests/` of their own. They may reach across layers to set
    /// up what they test.
    pub fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let is_tests = self.path.ends_with("/tests.rs") || self.path.contains("/tests/");
        let text = if is_tests { "" } else { &self.text };
        text.lines()
            .zip(1..)
            .map(|(line, number)| (number, line))
            .take_while(|(_, line)| line.trim() != "#[cfg(test)]")
            .filter(|(_, line)| !line.trim_start().starts_with("//"))
    }
}

const FOLDERS: &[&str] = &["crates", "web", "tests", "fixtures", ".ci", ".cargo"];
const FILES: &[&str] =
    &["Cargo.toml", "README.md", "DEVELOPERS.md", ".clippy.toml", ".rustfmt.toml", ".gitignore"];
const NOT_OURS: &[&str] = &["node_modules", "target", "dist", "__pycache__"];

/// Reads them, in the order of their paths.
pub fn read() -> Result<Vec<Source>> {
    let root = run::root();
    let mut sources = Vec::new();
    for folder in FOLDERS {
        if root.join(folder).exists() {
            read_folder(&root, folder, &mut sources)?;
        }
    }
    for file in FILES {
        if let Ok(text) = fs::read_to_string(root.join(file)) {
            sources.push(Source { path: (*file).to_owned(), text });
        }
    }
    sources.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(sources)
}

fn read_folder(root: &Path, folder: &str, sources: &mut Vec<Source>) -> Result<()> {
    for entry in fs::read_dir(root.join(folder)).with_context(|| format!("cannot list `{folder}`"))? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{folder}/{name}");
        if entry.file_type()?.is_dir() {
            if !NOT_OURS.contains(&name.as_str()) {
                read_folder(root, &path, sources)?;
            }
        } else if name != "package-lock.json" {
            // What is not text is not written by people, and no rule speaks of it.
            if let Ok(text) = fs::read_to_string(entry.path()) {
                sources.push(Source { path, text });
            }
        }
    }
    Ok(())
}
