//! `sheets`: the printed set of a job.

use std::path::Path;

use anyhow::{Context, bail};
use drawing::style::Ink;
use engine::answer::Prepared;
use engine::file::workshop::{self, Workshop};
use sheets::{Facts, Paper, Set, Wanted, pdf, set, svg, tables};

use super::{Answer, keep_job, load, situation, text};
use crate::args::{InkName, PaperName, Sheets};

/// Makes the set and writes it in every form that was asked for.
pub fn run(args: &Sheets) -> anyhow::Result<Answer> {
    if let Some(output) = &args.output {
        check_output(&args.file, output)?;
    }
    for (option, folder) in [("--svg", &args.svg), ("--csv", &args.csv)] {
        if folder.as_deref() == Some(Path::new("-")) {
            bail!("{option} writes many files, which standard output cannot take; name a directory");
        }
    }
    let document = load(&args.file)?;
    let readings = args.when.is_said().then(|| situation(&document, &args.when)).transpose()?;
    let paper = match args.paper {
        PaperName::A4 => Paper::A4,
        PaperName::A3 => Paper::A3,
        PaperName::Letter => Paper::Letter,
        PaperName::Tabloid => Paper::Tabloid,
    };
    let ink = match args.ink {
        InkName::Colored => Ink::Colored,
        InkName::Black => Ink::Black,
    };
    let workshop = args.workshop.as_deref().map(read_workshop).transpose()?;
    let prepared = Prepared::new(&document);
    let facts = Facts::of(&prepared);
    let facts = if args.inspection { facts.inspected() } else { facts };
    let facts = if args.proof { facts.proving() } else { facts };
    let facts = if args.feet { facts.in_feet() } else { facts };
    let facts = match &workshop {
        Some(workshop) => facts.for_workshop(workshop, args.prices),
        None => facts,
    };
    let made = set(&facts, &Wanted { paper, ink, readings, marks: true });
    let pictures = (0..made.sheets.len()).map(|index| (svg_name(&made, index), svg(&made, index)));
    let pictures = args.svg.as_deref().map(|folder| (folder, pictures.collect::<Vec<_>>()));
    let lists = args.csv.as_deref().map(|folder| (folder, tables(&facts)));
    // Nothing is written as long as anything of it may be refused.
    for (folder, files) in pictures.iter().chain(&lists) {
        check_folder(&args.file, folder, files)?;
    }
    let mut done = Vec::new();
    if let Some(output) = &args.output {
        let shown = output.display();
        std::fs::write(output, pdf(&made)).with_context(|| format!("cannot write `{shown}`"))?;
        done.push(format!("wrote `{shown}`: {} on {}", sheets_in_words(&made), paper.name()));
    }
    if let Some((folder, files)) = pictures {
        write_all(folder, &files)?;
        done.push(format!("wrote {} to `{}`", sheets_in_words(&made), folder.display()));
    }
    if let Some((folder, files)) = lists {
        write_all(folder, &files)?;
        done.push(format!("wrote {} lists to `{}`", files.len(), folder.display()));
    }
    done.extend(made.lost);
    Ok(Answer { done: done.join("\n"), ..Answer::well(String::new()) })
}

/// The card and the parts of a workshop.
fn read_workshop(path: &Path) -> anyhow::Result<Workshop> {
    let shown = path.display();
    workshop::read(&text(path)?).with_context(|| format!("`{shown}` is no card and parts of a workshop"))
}

fn sheets_in_words(made: &Set) -> String {
    match made.sheets.len() {
        1 => "1 sheet".to_owned(),
        n => format!("{n} sheets"),
    }
}

/// The name of the picture of a sheet: its number, so that they sort, and what it is called.
fn svg_name(made: &Set, index: usize) -> String {
    let name = made.sheets[index].name.to_lowercase().replace(',', "").replace(' ', "-");
    format!("{:02}-{name}.svg", index + 1)
}

/// Makes the folder for such files, and refuses it where one of them would be the job, or where others stand in it.
fn check_folder(job: &Path, folder: &Path, files: &[(String, String)]) -> anyhow::Result<()> {
    let shown = folder.display();
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make the directory `{shown}`"))?;
    for (name, _) in files {
        keep_job(job, &folder.join(name), "the set")?;
    }
    let ending = files.first().and_then(|(name, _)| Path::new(name).extension());
    for entry in std::fs::read_dir(folder).with_context(|| format!("cannot list `{shown}`"))? {
        let found = entry.with_context(|| format!("cannot list `{shown}`"))?.path();
        let is_ours = files.iter().any(|(name, _)| folder.join(name) == found);
        if found.extension() == ending && !is_ours {
            bail!(
                "`{}` is of another set and would stand among this one; name an empty directory",
                found.display()
            );
        }
    }
    Ok(())
}

fn write_all(folder: &Path, files: &[(String, String)]) -> anyhow::Result<()> {
    for (name, text) in files {
        let path = folder.join(name);
        std::fs::write(&path, text).with_context(|| format!("cannot write `{}`", path.display()))?;
    }
    Ok(())
}

fn check_output(job: &Path, output: &Path) -> anyhow::Result<()> {
    keep_job(job, output, "the set")?;
    if !output.extension().unwrap_or_default().eq_ignore_ascii_case("pdf") {
        bail!(
            "`{}` does not end in .pdf; a set is written as PDF there, and with --svg and --csv into directories",
            output.display()
        );
    }
    Ok(())
}
