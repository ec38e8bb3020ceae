//! The answer of `protect`, as text and as JSON.

use engine::circuit::Circuit;
use engine::document::Document;
use engine::protection::ledger::Ledger;
use engine::quantity::{Amps, Quantity, Unit};
use engine::subject::Subject;
use serde_json::{Map, Value, json};

use super::json::{assumed as assumptions, rules, text as reply};
use super::layout::{table, wrapped};
use super::{assumed, harmless, rules_in_force};

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, ledger: &Ledger) -> String {
    let network = &circuit.resolved.network;
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    let title = |subject: &Subject| harmless(&subject.title(network));
    let amps = |amps: Option<Amps>| amps.map_or_else(|| "-".to_owned(), |amps| amps.to_string());
    let seconds = |seconds: Option<f64>| {
        let time = seconds.and_then(|seconds| Quantity::new(seconds, Unit::Second));
        time.map_or_else(|| "-".to_owned(), |time| time.to_string())
    };
    out.push_str("Fuses\n");
    let head = ["", "rated", "least fault", "opens in", "most fault", "breaks", "verdict"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(ledger.fuses.iter().map(|row| {
        vec![
            title(&row.subject),
            amps(row.rated),
            amps(row.fault_lowest),
            seconds(row.opens_s),
            amps(row.fault_highest),
            amps(row.breaks),
            row.standing.word().to_owned(),
        ]
    }));
    table(&mut out, &rows);
    out.push_str("\nWires\n");
    let head = [
        "",
        "fuse",
        "may pass",
        "carries",
        "least fault",
        "most fault",
        "at",
        "opens in",
        "endures",
        "verdict",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(ledger.wires.iter().map(|row| {
        let fuses: Vec<String> = row.fuses.iter().map(title).collect();
        vec![
            title(&row.subject),
            if fuses.is_empty() { "-".to_owned() } else { fuses.join(" and ") },
            amps(row.may_pass),
            amps(row.stands),
            amps(row.fault_lowest),
            amps(row.fault_highest),
            amps(row.at),
            seconds(row.opens_s),
            seconds(row.endures_s),
            row.standing.word().to_owned(),
        ]
    }));
    table(&mut out, &rows);
    out.push('\n');
    wrapped(&mut out, "", FOOT);
    rules_in_force(&mut out, circuit);
    out.push_str("Calculated, not measured.\n");
    assumed::for_checks(&mut out, circuit);
    out
}

/// What the columns rest on.
const FOOT: &str = "The least fault is that of a battery of 12.0 V (24.0 V) behind at least 20 milliohm (40), \
    with wires as warm as their insulation stands and 5 milliohm a joint; the most that of 12.8 V (25.6 V) behind the \
    internal resistance given, else 6 milliohm (12), with cold wires and no joints; whether a fuse can break it is judged \
    with 10 (20) where nothing is given, unless a battery is lithium (common practice, no source). A fuse \
    opens in and a wire endures what stands there at the current in the column at, from twice the rating of the fuse on; \
    no entry means that nothing of the sort is known, or that the wire endures it for good.";

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, ledger: &Ledger) -> String {
    let amps = |amps: Option<Amps>| amps.map(Amps::get);
    let fuses: Map<String, Value> = ledger
        .fuses
        .iter()
        .map(|row| {
            let told = json!({
                "rating_a": amps(row.rated),
                "fault_lowest_a": amps(row.fault_lowest),
                "fault_highest_a": amps(row.fault_highest),
                "opens_s": row.opens_s,
                "breaking_a": amps(row.breaks),
                "verdict": row.standing.word(),
            });
            (row.subject.id(), told)
        })
        .collect();
    let wires: Map<String, Value> = ledger
        .wires
        .iter()
        .map(|row| {
            let told = json!({
                "fuses": row.fuses.iter().map(Subject::id).collect::<Vec<_>>(),
                "rating_a": amps(row.rated),
                "ampacity_a": amps(row.stands),
                "may_pass_a": amps(row.may_pass),
                "fault_lowest_a": amps(row.fault_lowest),
                "fault_highest_a": amps(row.fault_highest),
                "slowest_at_a": amps(row.at),
                "opens_s": row.opens_s,
                "endures_s": row.endures_s,
                "verdict": row.standing.word(),
            });
            (row.subject.id(), told)
        })
        .collect();
    reply(&json!({
        "job": document.card.title,
        "fuses": fuses,
        "wires": wires,
        "rules": rules(circuit),
        "assumed": assumptions(circuit),
    }))
}
