//! The answer of `charge`, as text and as JSON.

use engine::charge::{Budget, Pace, Supply};
use engine::circuit::Circuit;
use engine::document::Document;
use engine::endurance::AT_REST_A;
use engine::quantity::{Amps, Quantity, Unit};
use serde_json::{Value, json};

use super::json::{assumed as assumptions, subject, text as reply, working};
use super::layout::{table, wrapped};
use super::{assumed, harmless};

/// What the columns rest on.
const FOOT: &str = "A minus says that a battery is charged. At idle an alternator gives what was said of it, else 40 % of \
    the most it gives (common practice, no source). Times are from full, by Peukert's law, of a battery without age; an \
    old or cold one lasts less.";

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, budgets: &[Budget]) -> String {
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    for budget in budgets {
        let pace = match budget.pace {
            Pace::Stopped => String::new(),
            pace => format!(", {}", pace.word()),
        };
        wrapped(&mut out, "", &format!("{}{pace}", budget.situation));
        let Some(from_batteries) = budget.from_batteries else {
            wrapped(&mut out, "  ", &format!("{}. {}", budget.verdict.word(), budget.verdict.meaning()));
            out.push('\n');
            continue;
        };
        let mut rows = vec![["", "gives", "at most", "empty after"].map(str::to_owned).to_vec()];
        rows.extend(budget.supplies.iter().map(|supply| row(document, supply)));
        if budget.supplies.iter().filter(|supply| supply.is_battery).count() > 1 {
            rows.push(vec!["batteries together".to_owned(), thousandths(from_batteries)]);
        }
        table(&mut out, &rows);
        out.push('\n');
    }
    wrapped(&mut out, "", FOOT);
    out.push_str("Calculated, not measured.\n");
    assumed::for_readings(&mut out, circuit);
    out
}

fn row(document: &Document, supply: &Supply) -> Vec<String> {
    let lasts = match &supply.lasts {
        Some(lasts) => lasts.result.to_string(),
        None if supply.is_battery && supply.gives.get() >= AT_REST_A => {
            "not known: no capacity is said".to_owned()
        }
        None => "-".to_owned(),
    };
    vec![
        harmless(&supply.subject.title(&document.network)),
        thousandths(supply.gives),
        supply.limit.map_or_else(|| "-".to_owned(), |limit| limit.to_string()),
        lasts,
    ]
}

fn thousandths(amps: Amps) -> String {
    Quantity::new(amps.get(), Unit::Ampere)
        .map_or_else(|| "-".to_owned(), |q| q.to_the_thousandth().to_string())
}

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, budgets: &[Budget]) -> String {
    let supply = |supply: &Supply| {
        json!({
            "subject": subject(&supply.subject),
            "gives_a": supply.gives.get(),
            "limit_a": supply.limit.map(Amps::get),
            "lasts_h": supply.lasts.as_ref().map(|lasts| lasts.result.value),
            "working": supply.lasts.as_ref().map(working),
        })
    };
    let budgets: Vec<Value> = budgets
        .iter()
        .map(|budget| {
            json!({
                "situation": budget.situation,
                "pace": budget.pace.word(),
                "verdict": budget.verdict.word(),
                "supplies": budget.supplies.iter().map(supply).collect::<Value>(),
                "from_batteries_a": budget.from_batteries.map(Amps::get),
            })
        })
        .collect();
    reply(&json!({ "job": document.card.title, "budgets": budgets, "assumed": assumptions(circuit) }))
}
