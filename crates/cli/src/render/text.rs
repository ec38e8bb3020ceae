//! Answers for people: plain words in columns, without color, the same on every terminal.

use engine::check::Check;
use engine::circuit::Circuit;
use engine::document::{AT_REST, Document, Network, Part, Situation};
use engine::finding::{Finding, Label, Severity, lapsed};
use engine::path::{CurrentPath, in_words};
use engine::quantity::Quantity;
use engine::reading::{Flow, PartReading, Readings};
use engine::solve::Solution;
use engine::subject::Subject;
use engine::working::Working;

use super::layout::{table, wrapped};
use super::{assumed, harmless, rules_in_force};
/// Answer of `check`.
pub fn check(document: &Document, circuit: &Circuit, findings: &[Finding]) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    // The marks on a drawing carry the same numbers.
    let width = format!("Stop {}  ", findings.len()).len();
    for (number, one) in (1..).zip(findings) {
        finding(&mut out, &document.network, number, width, one);
        if let Some(accepted) = one.accepted(&document.accepted) {
            wrapped(&mut out, &format!("{:width$}{:<12}", "", "accepted"), &accepted.in_words());
        }
        out.push('\n');
    }
    if circuit.resolved.parts.iter().all(Option::is_none) {
        out.push_str("The job has no parts, so there was nothing to check.\n");
        return out;
    }
    if circuit.loads().next().is_none() {
        out.push_str("The job has no load, nothing that uses current, so no load was checked.\n");
    }
    let counts: Vec<String> = Severity::ALL
        .into_iter()
        .map(|severity| {
            let count = findings.iter().filter(|finding| finding.severity == severity).count();
            format!("{count} {}", severity.word())
        })
        .collect();
    let counts = match findings.is_empty() {
        true if circuit.resolved.assumptions.iter().any(|assumption| assumption.unjudged.is_some()) => {
            "Nothing found in what could be checked".to_owned()
        }
        true => "Nothing found".to_owned(),
        false => counts.join(", "),
    };
    let n_accepted = findings.iter().filter(|one| one.accepted(&document.accepted).is_some()).count();
    let accepted = if n_accepted > 0 { format!(", {n_accepted} of them accepted") } else { String::new() };
    out.push_str(&format!("{counts}{accepted}. Calculated, not measured.\n"));
    for one in lapsed(&document.accepted, findings) {
        let words = format!("Accepted {}: {}", one.in_words(), one.finding_in_words(&document.network));
        wrapped(
            &mut out,
            "",
            &format!("{words}. That is not found, or graver now, so this counts for nothing."),
        );
    }
    rules_in_force(&mut out, circuit);
    assumed::for_checks(&mut out, circuit);
    out
}

fn finding(out: &mut String, network: &Network, number: usize, width: usize, finding: &Finding) {
    let head = format!("{} {number}", finding.severity.word());
    wrapped(out, &format!("{head:<width$}"), &finding.message);
    let mut row = |name: &str, text: &str| wrapped(out, &format!("{:width$}{name:<12}", ""), text);
    row("at", &finding.subject.title(network));
    if let Some(measured) = &finding.measured {
        let allowed = finding.allowed.as_ref().map(|allowed| format!(", limit {allowed}"));
        row(finding.basis.word(), &format!("{measured}{}", allowed.unwrap_or_default()));
    } else if let Some(allowed) = &finding.allowed {
        row("limit", &allowed.to_string());
    }
    for label in &finding.because {
        row("because", &reason(network, label));
    }
    for help in &finding.help {
        row("do", &help.text);
    }
    row("source", &finding.source);
    row("check", finding.check);
}

/// What contributed, with its name in front unless the text begins with it.
fn reason(network: &Network, label: &Label) -> String {
    let title = label.subject.title(network);
    match label.text.strip_prefix(&title) {
        // `lamp E1` is not the beginning of `lamp E12`.
        Some(rest) if !rest.starts_with(char::is_alphanumeric) => label.text.clone(),
        _ => format!("{title}: {}", label.text),
    }
}

/// Answer of `explain` about a part or wire.
pub fn workings(
    network: &Network,
    situation: &Situation,
    subject: &Subject,
    workings: &[Working],
    findings: &[Finding],
) -> String {
    let mut out = String::new();
    wrapped(&mut out, "About      ", &subject.title(network));
    wrapped(&mut out, "Situation  ", &situation.name);
    out.push('\n');
    for one in workings {
        working(&mut out, "", one);
    }
    if workings.is_empty() {
        out.push_str("Nothing is calculated of it in this situation.\n\n");
    }
    for (number, one) in (1..).zip(findings) {
        finding(&mut out, network, number, "Stop 1  ".len(), one);
        out.push('\n');
        for line in &one.working {
            working(&mut out, "        ", line);
        }
    }
    out.push_str("Calculated, not measured; shown to three figures, computed with all.\n");
    out
}

fn working(out: &mut String, indent: &str, working: &Working) {
    wrapped(out, indent, &format!("{}: {}", working.what, working.result));
    wrapped(out, &format!("{indent}    "), working.formula);
    let rows = working.inputs.iter().map(|input| {
        vec![
            input.symbol.to_owned(),
            input.value.to_string(),
            input.basis.word().to_owned(),
            input.what.clone(),
        ]
    });
    let mut inputs = String::new();
    table(&mut inputs, &rows.collect::<Vec<_>>());
    for line in inputs.lines() {
        out.push_str(&format!("{indent}    {line}\n"));
    }
    wrapped(out, &format!("{indent}    source: "), working.source);
    out.push('\n');
}

/// Answer of `solve`.
pub fn solve(circuit: &Circuit, situation: &Situation, solution: &Solution, readings: &Readings) -> String {
    let network = &circuit.resolved.network;
    let mut out = String::new();
    wrapped(&mut out, "Situation  ", &situation.name);
    wrapped(&mut out, "Verdict    ", &format!("{}. {}", solution.verdict.word(), solution.verdict.meaning()));
    for device in &solution.restless {
        let subject = circuit.subject(circuit.devices[*device].branch);
        wrapped(&mut out, "           ", &subject.title(network));
    }
    for one in &readings.opening {
        wrapped(&mut out, "           ", &one.in_words(network));
    }
    out.push_str("\nParts; a minus says that a source gives\n");
    let mut rows = Vec::new();
    for (id, reading) in &readings.parts {
        let Some(part) = network.part(id) else { continue };
        rows.push(part_row(harmless(part.title()), part.kind.noun, reading));
        if let Some(contact) = &reading.contact {
            let closed = PartReading { state: Some("closed"), flow: *contact, ..PartReading::default() };
            rows.push(part_row(String::new(), "its contact", &closed));
        }
        for (name, load) in &reading.loads {
            rows.push(part_row(String::new(), name, load));
        }
    }
    table(&mut out, &rows);
    out.push_str("\nWires; a minus says that the current flows from the second end to the first\n");
    let rows: Vec<Vec<String>> = readings
        .wires
        .iter()
        .filter_map(|(id, reading)| {
            let wire = network.wire(id)?;
            let ends = [&wire.from, &wire.to].map(|end| harmless(&network.terminal_in_full(end)));
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
            let volts = volts.map(|volts| thousandths(volts.into()));
            let volts = volts.unwrap_or_else(|| "no defined voltage".to_owned());
            vec![harmless(&network.terminal_in_full(terminal)), volts]
        })
        .collect();
    table(&mut out, &rows);
    assumed::for_readings(&mut out, circuit);
    out.push_str("\nCalculated, not measured; shown to the thousandth.\n");
    if let Some(balance) = &readings.balance {
        out.push_str(&format!(
            "Left over after adding everything up: {:.1e} A, {:.1e} W\n",
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
    let or_dash = |quantity: Option<Quantity>| quantity.map_or_else(|| "-".to_owned(), thousandths);
    [
        or_dash(flow.amps.map(Into::into)),
        or_dash(flow.volts.map(Into::into)),
        or_dash(flow.watts.map(Into::into)),
    ]
}

fn thousandths(quantity: Quantity) -> String {
    quantity.to_the_thousandth().to_string()
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
        wrapped(&mut out, "", &format!("{name}, {when}: {}", solution.verdict.meaning()));
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
    use engine::ids::PartId;
    use engine::notation;

    use super::*;

    #[test]
    fn a_reason_names_its_subject_once() {
        let network = notation::network("lamp E1 watts=5").expect("the network is written rightly");
        let said = |text: &str| {
            let subject = Subject::Part(PartId::new("E1").expect("an id"));
            reason(&network, &Label { subject, text: text.to_owned() })
        };
        assert_eq!(said("lamp E1 gets 11 V"), "lamp E1 gets 11 V");
        assert_eq!(said("lamp E1"), "lamp E1");
        assert_eq!(said("lamp E12 gets 11 V"), "lamp E1: lamp E12 gets 11 V");
        assert_eq!(said("lets the current pass"), "lamp E1: lets the current pass");
    }
}
