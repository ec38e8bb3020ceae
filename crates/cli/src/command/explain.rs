//! `explain`: the manual of a check, or how the numbers of a part or wire came about.

use std::path::Path;

use anyhow::{Context, bail};
use engine::document::Document;
use engine::subject::Subject;
use engine::{check, explain, laid, solve};

use super::{Answer, load, situation};
use crate::args::{Explain, Format};
use crate::render::{json, text};

/// Shows one manual, or the list of all checks, or the workings of one thing in a job.
pub fn run(args: &Explain) -> anyhow::Result<Answer> {
    if let (Some(job), Some(name)) = (&args.job, &args.name) {
        return of_subject(args, job, name);
    }
    if args.when.is_said() {
        bail!("a situation is one of a job; name the job with `--job`");
    }
    let answer = match &args.name {
        Some(name) => {
            let found = check::by_name(name)
                .with_context(|| format!("there is no check `{name}`; `explain` alone lists all"))?;
            match args.format {
                Format::Text => text::manual(found),
                Format::Json => json::manual(found),
            }
        }
        None => match args.format {
            Format::Text => text::manuals(check::ALL),
            Format::Json => json::manuals(check::ALL),
        },
    };
    Ok(Answer::well(answer))
}

fn of_subject(args: &Explain, job: &Path, name: &str) -> anyhow::Result<Answer> {
    let document = load(job)?;
    let situation = situation(&document, &args.when)?;
    let subject = subject(&document, name)?;
    let circuit = laid::circuit(&document);
    let solution = solve::solve(&circuit, &situation);
    let workings = explain::workings(&circuit, &solution, &subject);
    let findings: Vec<_> = check::run_all(&circuit, &document.situations, &document.interlocks)
        .into_iter()
        .filter(|finding| finding.subject == subject)
        .collect();
    Ok(Answer::well(match args.format {
        Format::Text => text::workings(&document.network, &situation, &subject, &workings, &findings),
        Format::Json => json::workings(&situation, &subject, &workings, &findings),
    }))
}

/// The one part or wire that an argument names.
fn subject(document: &Document, name: &str) -> anyhow::Result<Subject> {
    let network = &document.network;
    let by_id = network.wires.iter().filter(|wire| wire.id.as_str() == name);
    let wires: Vec<_> = match by_id.clone().count() {
        0 => network.wires.iter().filter(|wire| wire.label == name).collect(),
        _ => by_id.collect(),
    };
    let parts = network.parts_called(name);
    match (&parts[..], &wires[..]) {
        ([part], []) => Ok(Subject::Part(part.id.clone())),
        ([], [wire]) => Ok(Subject::Wire(wire.id.clone())),
        ([], []) => bail!("there is no part or wire `{name}`"),
        _ => {
            let parts = parts.iter().map(|part| format!("{} ({})", part.id, part.kind.noun));
            let wires = wires.iter().map(|wire| format!("{} (wire)", wire.id));
            let candidates: Vec<String> = parts.chain(wires).collect();
            bail!("`{name}` may mean {}; name it by its id", candidates.join(", "))
        }
    }
}
