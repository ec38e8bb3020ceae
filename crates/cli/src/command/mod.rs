//! One file a command, and what they share: reading the job, and finding what arguments name.

use std::io::Read;
use std::path::Path;

use anyhow::{Context, anyhow, bail};
use engine::document::{AT_REST, Document, Part, Situation};
use engine::file;

use crate::args::{Command, When};

mod changes;
mod charge;
mod check;
mod diagnose;
mod draw;
mod explain;
mod inspect;
mod mistakes;
mod paths;
mod protect;
mod prove;
mod route;
mod sheets;
mod sit;
mod size;
mod solve;
pub mod sweep;

/// What a command answers.
pub struct Answer {
    /// For standard output.
    pub text: String,
    /// For standard error: what was done; empty when there is nothing to say.
    pub done: String,
    /// Exit code.
    pub code: u8,
}

impl Answer {
    fn well(text: String) -> Answer {
        Answer { text, done: String::new(), code: 0 }
    }
}

/// Carries out a command; an error means that the input or the arguments cannot be used.
pub fn run(command: Command) -> anyhow::Result<Answer> {
    match command {
        Command::Check(args) => check::run(&args),
        Command::Inspect(args) => inspect::run(&args),
        Command::Mistakes(input) => mistakes::run(&input),
        Command::Solve(args) => solve::run(&args),
        Command::Protect(args) => protect::run(&args),
        Command::Size(args) => size::run(&args),
        Command::Sit(args) => sit::run(&args),
        Command::Charge(args) => charge::run(&args),
        Command::Route(args) => route::run(&args),
        Command::Paths(args) => paths::run(&args),
        Command::Sweep(args) => sweep::run(&args),
        Command::Prove(input) => prove::run(&input),
        Command::Diagnose(args) => diagnose::run(&args),
        Command::Changes(args) => changes::run(&args),
        Command::Draw(args) => draw::run(&args),
        Command::Sheets(args) => sheets::run(&args),
        Command::Explain(args) => explain::run(&args),
    }
}

/// Reads a job; `-` stands for standard input.
fn load(path: &Path) -> anyhow::Result<Document> {
    let bytes = bytes(path)?;
    file::read(&bytes).map_err(|error| anyhow!("cannot use `{}`:\n{error}", path.display()))
}

/// What a file holds; `-` stands for standard input.
fn bytes(path: &Path) -> anyhow::Result<Vec<u8>> {
    // One byte more than is accepted tells a file that is too large without reading all of it.
    let most = file::LARGEST_FILE as u64 + 1;
    let mut bytes = Vec::new();
    let shown = path.display();
    if path.as_os_str() == "-" {
        std::io::stdin().lock().take(most).read_to_end(&mut bytes).context("cannot read standard input")?;
    } else {
        let opened = std::fs::File::open(path).with_context(|| format!("cannot open `{shown}`"))?;
        opened.take(most).read_to_end(&mut bytes).with_context(|| format!("cannot read `{shown}`"))?;
    }
    Ok(bytes)
}

/// The text of a file; an error says at which byte it is none.
fn text(path: &Path) -> anyhow::Result<String> {
    String::from_utf8(bytes(path)?).map_err(|error| {
        let at = error.utf8_error().valid_up_to() + 1;
        anyhow!("cannot use `{}`:\nbyte {at}: the file is not UTF-8 text", path.display())
    })
}

/// The one part that an argument names.
fn part<'d>(document: &'d Document, name: &str) -> anyhow::Result<&'d Part> {
    match document.network.parts_called(name)[..] {
        [part] => Ok(part),
        [] => bail!("there is no part `{name}`"),
        ref several => {
            let candidates: Vec<String> =
                several.iter().map(|part| format!("{} ({})", part.id, part.kind.noun)).collect();
            bail!("`{name}` may mean {}; name it by its id", candidates.join(", "))
        }
    }
}

/// The situation that arguments describe.
fn situation(document: &Document, when: &When) -> anyhow::Result<Situation> {
    if let Some(name) = &when.situation {
        if name == AT_REST {
            return Ok(Situation::at_rest());
        }
        let found = document.situations.iter().find(|situation| situation.name == *name);
        return found.cloned().with_context(|| {
            let known: Vec<String> = std::iter::once(AT_REST)
                .chain(document.situations.iter().map(|situation| situation.name.as_str()))
                .map(|name| format!("`{name}`"))
                .collect();
            format!("there is no situation `{name}`; the job has {}", known.join(", "))
        });
    }
    let mut situation = Situation::at_rest();
    for said in &when.set {
        let (name, position) = said
            .rsplit_once('=')
            .with_context(|| format!("`{said}` sets nothing; write PART=POSITION, such as `S1=on`"))?;
        let part = part(document, name)?;
        let known = part.positions();
        if known.is_empty() {
            bail!("the {} `{name}` has no positions to set", part.kind.noun);
        }
        if !known.contains(&position) {
            let known: Vec<String> = known.iter().map(|position| format!("`{position}`")).collect();
            bail!("the {} `{name}` cannot be `{position}`; it can be {}", part.kind.noun, known.join(", "));
        }
        if situation.set.insert(part.id.clone(), position.to_owned()).is_some() {
            bail!("`{name}` is set twice");
        }
    }
    if !situation.set.is_empty() {
        situation.name = when.set.join(" ");
    }
    Ok(situation)
}

/// Refuses to write `what` over the job that is read.
fn keep_job(job: &Path, output: &Path, what: &str) -> anyhow::Result<()> {
    // What does not exist cannot be the job, and what has another name may be.
    if same_file::is_same_file(job, output).unwrap_or(false) {
        let shown = output.display();
        bail!("`{shown}` is the job itself and would be overwritten; name another file for {what}");
    }
    Ok(())
}

/// Refuses to have `command` write a job over the one it reads, or where it would be mistaken for another sort of file.
fn check_output(command: &str, job: &Path, output: &Path) -> anyhow::Result<()> {
    keep_job(job, output, "the job that is changed")?;
    let shown = output.display();
    if !output.extension().unwrap_or_default().eq_ignore_ascii_case("json") {
        bail!("`{shown}` does not end in .json; `{command}` writes jobs as JSON, nothing else");
    }
    Ok(())
}
