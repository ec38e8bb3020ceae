//! The rules of the source tree that neither the compiler nor clippy can hold.
//!
//! Each rule is one file and a function from the sources to complaints. Complaints name the file and
//! say what to do. The same rules run as a unit test of this crate.

mod arrows;
mod attributes;
mod languages;
mod layers;
mod length;
mod registered;
mod sources;
mod words;

use anyhow::{Result, bail};

use sources::Source;

/// What the rules found: failures stop a change, warnings do not.
#[derive(Default)]
pub struct Complaints {
    failures: Vec<String>,
    warnings: Vec<String>,
}

impl Complaints {
    fn fail(&mut self, text: String) {
        self.failures.push(text);
    }

    fn warn(&mut self, text: String) {
        self.warnings.push(text);
    }
}

/// Prints what the rules found and fails if any of it is more than a warning.
pub fn command() -> Result<()> {
    let sources = sources::read()?;
    let complaints = examine(&sources)?;
    for warning in &complaints.warnings {
        println!("warning: {warning}");
    }
    for failure in &complaints.failures {
        println!("error: {failure}");
    }
    println!("{} files examined", sources.len());
    if !complaints.failures.is_empty() {
        bail!("{} rules of the source tree are broken", complaints.failures.len());
    }
    Ok(())
}

fn examine(sources: &[Source]) -> Result<Complaints> {
    let mut complaints = Complaints::default();
    arrows::examine(&mut complaints)?;
    layers::examine(sources, &mut complaints);
    registered::examine(sources, &mut complaints);
    length::examine(sources, &mut complaints);
    attributes::examine(sources, &mut complaints);
    languages::examine(&mut complaints)?;
    words::examine(sources, &mut complaints);
    Ok(complaints)
}

/// The complaints of one rule about one made-up file.
#[cfg(test)]
fn complaints_about(path: &str, text: &str, rule: fn(&[Source], &mut Complaints)) -> Vec<String> {
    let mut complaints = Complaints::default();
    rule(&[Source { path: path.to_owned(), text: text.to_owned() }], &mut complaints);
    complaints.failures
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_source_tree_keeps_its_rules() {
        let complaints = examine(&sources::read().unwrap()).unwrap();
        assert!(complaints.failures.is_empty(), "{:#?}", complaints.failures);
    }
}
