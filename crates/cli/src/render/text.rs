//! Answers for people: plain words in columns, without color, the same on every terminal.

use engine::check::Check;
use engine::circuit::Circuit;
use engine::document::{AT_REST, Document, Network, Part, Situation};
use engine::finding::{Finding, Severity};
use engine::path::{CurrentPath, in_words};
use engine::quantity::{Amps, Volts, Watts};
use engine::reading::{Flow, PartReading, Readings};
use engine::solve::{Solution, Verdict};

use super::harmless;

/// Longest line that is filled with words.
const WIDTH: usize = 96;

/// Adds `text` as lines of at most [`WIDTH`] characters, the first after `first`, the others
/// after as many blanks.
fn wrapped(out: &mut String, first: &str, text: &str) {
    let indent = first.chars().count();
    let text = harmless(text);
    let mut line = harmless(first);
    let mut length = indent;
    for word in text.split_whitespace() {
        let word_length = word.chars().count();
        if length > indent && length + 1 + word_length > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(indent);
            length = indent;
        }
        if length > indent {
            line.push(' ');
            length += 1;
        }
        line.push_str(word);
        length += word_length;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

/// A table whose columns are as wide as their widest entry, two blanks apart.
fn table(out: &mut String, rows: &[Vec<String>]) {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width_of = |text: &String| text.chars().count();
    let widths: Vec<usize> = (0..columns)
        .map(|column| rows.iter().filter_map(|row| row.get(column)).map(width_of).max().unwrap_or(0))
        .collect();
    for row in rows {
        let mut line = String::new();
        for (entry, width) in row.iter().zip(&widths) {
            let blanks = width - width_of(entry);
            line.push_str(&format!("  {entry}{}", " ".repeat(blanks)));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

/// Answer of `check`.
pub fn check(document: &Document, findings: &[Finding]) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    for one in findings {
        finding(&mut out, &document.network, one);
        out.push('\n');
    }
    let counts: Vec<String> = Severity::ALL
        .into_iter()
        .map(|severity| {
            let count = findings.iter().filter(|finding| finding.severity == severity).count();
            format!("{count} {}", severity.word())
        })
        .collect();
    out.push_str(&match findings.is_empty() {
        true => "Nothing found.\n".to_owned(),
        false => format!("{}\n", counts.join(", ")),
    });
    out
}

fn finding(out: &mut String, network: &Network, finding: &Finding) {
    wrapped(out, &format!("{:<6}", finding.severity.word()), &finding.message);
    wrapped(out, "      at        ", &finding.subject.title(network));
    if let Some(measured) = &finding.measured {
        let allowed = finding.allowed.as_ref().map(|allowed| format!(", allowed {allowed}"));
        wrapped(out, "      measured  ", &format!("{measured}{}", allowed.unwrap_or_default()));
    } else if let Some(allowed) = &finding.allowed {
        wrapped(out, "      allowed   ", &allowed.to_string());
    }
    for label in &finding.because {
        wrapped(out, "      because   ", &format!("{}: {}", label.subject.title(network), label.text));
    }
    for help in &finding.help {
        wrapped(out, "      do        ", &help.text);
    }
    wrapped(out, "      source    ", finding.source);
    wrapped(out, "      check     ", finding.check);
}

/// What a verdict means, in a sentence.
fn meaning(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Settled => "It settles in one state.",
        Verdict::Chatter => "It never settles: a relay pulls in and drops out again and again.",
        Verdict::Race => "How it ends depends on which device is quicker; no readings are shown.",
        Verdict::History => "How it ends depends on what was done before; shown is all at once from rest.",
        Verdict::Flashing => "It never settles: an electronic load turns on and off again and again.",
        Verdict::Collapse => "The supply cannot deliver the power asked for.",
        Verdict::Unsolved => "No solution was found that stands its own check; no readings are shown.",
    }
}

/// Answer of `solve`.
pub fn solve(circuit: &Circuit, situation: &Situation, solution: &Solution, readings: &Readings) -> String {
    let network = &circuit.resolved.network;
    let mut out = String::new();
    wrapped(&mut out, "Situation  ", &situation.name);
    wrapped(&mut out, "Verdict    ", &format!("{}. {}", solution.verdict.word(), meaning(solution.verdict)));
    for device in &solution.restless {
        let subject = circuit.subject(circuit.devices[*device].branch);
        wrapped(&mut out, "           ", &subject.title(network));
    }
    out.push_str("\nParts\n");
    let mut rows = Vec::new();
    for (id, reading) in &readings.parts {
        let Some(part) = network.part(id) else { continue };
        rows.push(part_row(harmless(part.title()), part.kind.noun, reading));
        for (name, load) in &reading.loads {
            rows.push(part_row(String::new(), name, load));
        }
    }
    table(&mut out, &rows);
    out.push_str("\nWires, amperes from the first end to the second\n");
    let rows: Vec<Vec<String>> = readings
        .wires
        .iter()
        .filter_map(|(id, reading)| {
            let wire = network.wire(id)?;
            let ends = [&wire.from, &wire.to].map(|end| harmless(&network.terminal_title(end)));
            let mut row = vec![harmless(wire.title()), ends.join(" to ")];
            row.extend(flow(reading));
            Some(row)
        })
        .collect();
    table(&mut out, &rows);
    out.push_str("\nTerminals, volts to the chassis\n");
    let rows: Vec<Vec<String>> = readings
        .terminals
        .iter()
        .map(|(terminal, volts)| {
            let volts = volts.map_or_else(|| "no defined voltage".to_owned(), |volts| volts.to_string());
            vec![harmless(&network.terminal_title(terminal)), volts]
        })
        .collect();
    table(&mut out, &rows);
    if !circuit.resolved.assumptions.is_empty() {
        out.push_str("\nAssumed\n");
        for assumption in &circuit.resolved.assumptions {
            let text = format!("{}: {}", assumption.subject.title(network), assumption.text);
            wrapped(&mut out, "  ", &text);
        }
    }
    if let Some(balance) = &readings.balance {
        out.push_str(&format!(
            "\nLeft over after adding everything up: {:.1e} A, {:.1e} W\n",
            balance.current_a, balance.power_w
        ));
    }
    out
}

fn part_row(title: String, noun: &str, reading: &PartReading) -> Vec<String> {
    let mut row = vec![title, noun.to_owned(), reading.state.unwrap_or("-").to_owned()];
    row.extend(flow(&reading.flow));
    row
}

fn flow(flow: &Flow) -> [String; 3] {
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    [
        or_dash(flow.amps.as_ref().map(Amps::to_string)),
        or_dash(flow.volts.as_ref().map(Volts::to_string)),
        or_dash(flow.watts.as_ref().map(Watts::to_string)),
    ]
}

/// Answer of `paths`.
pub fn paths(
    circuit: &Circuit,
    load: &Part,
    situation: &Situation,
    solution: &Solution,
    paths: &[CurrentPath],
) -> String {
    let mut out = String::new();
    let name = format!("{} {}", load.kind.noun, load.title());
    let when = match situation.name.as_str() {
        AT_REST => AT_REST.to_owned(),
        name => format!("in the situation {name}"),
    };
    if solution.shown().is_none() {
        wrapped(&mut out, "", &format!("{name}, {when}: {}", meaning(solution.verdict)));
        return out;
    }
    let count = match paths.len() {
        0 => "no current path".to_owned(),
        1 => "one current path".to_owned(),
        n => format!("{n} current paths"),
    };
    wrapped(&mut out, "", &format!("{name}, {when}: {count}."));
    for (number, path) in (1..).zip(paths) {
        out.push('\n');
        wrapped(&mut out, &format!("{number}. "), &in_words(circuit, path));
    }
    out
}

/// Answer of `explain` with a name.
pub fn manual(check: &Check) -> String {
    let mut out = format!("{}: {}\n", check.name, check.summary);
    // A manual has one sentence a line; an empty line ends a paragraph, and a heading is one.
    for paragraph in check.manual().split("\n\n") {
        out.push('\n');
        match paragraph.trim().strip_prefix('#') {
            Some(heading) => wrapped(&mut out, "", heading.trim_start_matches('#').trim_start()),
            None => wrapped(&mut out, "  ", paragraph),
        }
    }
    out
}

/// Answer of `explain` without a name.
pub fn manuals(checks: &[&Check]) -> String {
    let rows: Vec<Vec<String>> =
        checks.iter().map(|check| vec![check.name.to_owned(), check.summary.to_owned()]).collect();
    let mut out = String::new();
    table(&mut out, &rows);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_wrapped_under_its_beginning() {
        let mut out = String::new();
        wrapped(&mut out, "do  ", &"word ".repeat(30));
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("do  word") && lines[1].starts_with("    word"));
        assert!(lines.iter().all(|line| line.len() <= WIDTH));
    }

    #[test]
    fn columns_line_up_whatever_stands_in_them() {
        let mut out = String::new();
        table(&mut out, &[vec!["ü".to_owned(), "1".to_owned()], vec!["ab".to_owned(), "2".to_owned()]]);
        assert_eq!(out, "  ü   1\n  ab  2\n");
    }
}
