//! Literate fixtures: prose in Markdown with fenced blocks that a runner reads.
//!
//! A case is a block ` ```job ` or ` ```circuit ` followed by a block ` ```expect `, under the nearest heading before
//! them. A circuit is written short, as [`engine::notation`] reads it, and stands for a 12 V job; ` ```circuit 24 ` is
//! for a 24 V one. A line `situation engine_on G2=running S1=on` in it names a situation. Everything else is prose for people: it holds the arithmetic behind the expectations.

use std::sync::Arc;

use engine::document::{Document, Settings, Situation};
use engine::ids::PartId;
use engine::notation;

/// One circuit and what is expected of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// The heading it stands under.
    pub title: String,
    /// The job, as JSON.
    pub job: String,
    /// The lines of the expectation, trimmed, empty ones left out.
    pub expect: Vec<String>,
}

/// The cases of a fixture, in order, or what is wrong with its form.
pub fn cases(markdown: &str) -> Result<Vec<Case>, String> {
    let mut cases: Vec<Case> = Vec::new();
    let mut title = String::new();
    let mut job: Option<String> = None;
    let mut lines = markdown.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        if let Some(heading) = line.strip_prefix('#') {
            title = heading.trim_start_matches('#').trim().to_owned();
        }
        let Some(language) = line.strip_prefix("```") else { continue };
        let mut body = String::new();
        loop {
            match lines.next() {
                Some((_, "```")) => break,
                Some((_, inner)) => {
                    body.push_str(inner);
                    body.push('\n');
                }
                None => return Err(format!("the block that starts on line {} does not end", number + 1)),
            }
        }
        let (language, job_text) = match language.trim().split_once("circuit") {
            Some(("", nominal)) => {
                ("job", job_of(&body, nominal.trim()).map_err(|why| format!("`{title}`: {why}"))?)
            }
            _ => (language, body.clone()),
        };
        match (language.trim(), job.take()) {
            ("job", None) => job = Some(job_text),
            ("expect", Some(job)) => {
                if cases.iter().any(|case| case.title == title) {
                    return Err(format!("two cases stand under the heading `{title}`"));
                }
                let expect = body.lines().map(str::trim).filter(|line| !line.is_empty());
                cases.push(Case { title: title.clone(), job, expect: expect.map(str::to_owned).collect() });
            }
            ("job", Some(_)) => return Err(format!("line {}: two jobs without an expectation", number + 1)),
            ("expect", None) => return Err(format!("line {}: an expectation without a job", number + 1)),
            (_, held) => job = held,
        }
    }
    match job {
        Some(_) => Err("the last job has no expectation".to_owned()),
        None => Ok(cases),
    }
}

/// The job of `nominal` volts that a circuit written short is the whole of.
fn job_of(circuit: &str, nominal: &str) -> Result<String, String> {
    let nominal_v = match nominal {
        "" | "12" => 12.0,
        "24" => 24.0,
        other => return Err(format!("`{other}` is no system voltage")),
    };
    let settings = Arc::new(Settings::of(nominal_v));
    let (named, circuit): (Vec<&str>, Vec<&str>) =
        circuit.lines().partition(|line| line.starts_with("situation "));
    let (network, plan) = notation::laid(&circuit.join("\n"))?;
    let situations = Arc::new(named.into_iter().map(situation).collect::<Result<_, _>>()?);
    Ok(engine::file::write_json(&Document { network, plan, settings, situations, ..Document::default() }))
}

/// A line such as `situation beam S1=on G2=running`.
fn situation(line: &str) -> Result<Situation, String> {
    let mut words = line.split_whitespace().skip(1);
    let name = words.next().ok_or("a situation without a name")?.replace('_', " ");
    let position = |word: &str| {
        let (part, position) = word.split_once('=').ok_or_else(|| format!("no position in `{word}`"))?;
        Ok::<_, String>((PartId::new(part).ok_or("bad id")?, position.replace('_', " ")))
    };
    Ok(Situation { name, set: words.map(position).collect::<Result<_, _>>()? })
}

/// The rows of the first Markdown table whose header is `header`, cells trimmed.
pub fn table(markdown: &str, header: &[&str]) -> Option<Vec<Vec<String>>> {
    let cells = |line: &str| -> Vec<String> {
        let inner = line.trim().trim_start_matches('|').trim_end_matches('|');
        inner.split('|').map(|cell| cell.trim().to_owned()).collect()
    };
    let mut lines = markdown.lines().skip_while(|line| !line.starts_with('|') || cells(line) != header);
    lines.next()?;
    lines.next()?;
    Some(lines.take_while(|line| line.starts_with('|')).map(cells).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_case_is_a_job_and_its_expectation_under_a_heading() {
        let text =
            "# All\n\n## One\nprose\n```job\n{}\n```\nmore\n```text\nx\n```\n```expect\n a \n\nb\n```\n";
        let found = cases(text).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].title, "One");
        assert_eq!(found[0].job, "{}\n");
        assert_eq!(found[0].expect, ["a", "b"]);
    }

    #[test]
    fn halves_of_cases_are_refused() {
        assert!(cases("```job\n{}\n```\n").is_err());
        assert!(cases("```expect\n```\n").is_err());
        assert!(cases("```job\n{}\n").is_err());
        assert!(cases("## A\n```job\n```\n```expect\n```\n```job\n```\n```expect\n```\n").is_err());
    }

    #[test]
    fn a_table_is_found_by_its_header() {
        let text = "| x |\n|---|\n| 1 |\n\n| a | b |\n|---|---|\n| 1 | two words |\n| 3 | 4 |\n\n| 5 | 6 |\n";
        let rows = table(text, &["a", "b"]).unwrap();
        assert_eq!(rows, [["1", "two words"], ["3", "4"]]);
        assert_eq!(table(text, &["a", "c"]), None);
    }
}
