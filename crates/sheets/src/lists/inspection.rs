//! What an inspection tells: what is or may be dangerous, what to do before driving, and what to look at.

use engine::inspect::Inspection;
use engine::quantity::{by_hand, capital};

use super::{NOTHING, Setting, Table};
use crate::facts::Facts;

/// What is or may be wrong, the worst first.
pub fn found(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Words};
    let columns = [
        ("How sure", Name),
        ("About", Words),
        ("What may happen", Words),
        ("Why", Words),
        ("What to do now", Words),
    ];
    let mut table = Table::new("What was found", "inspection", &columns);
    let Some(inspection) = facts.inspection() else { return table };
    for indices in inspection.gathered() {
        let item = &inspection.items[indices[0]];
        table.entry(vec![
            format!("{} {}", item.severity.word(), item.verdict.word()),
            inspection.about(&indices),
            inspection.may_happen(&indices),
            by_hand(&why(inspection, &indices)),
            item.action().words().to_owned(),
        ]);
    }
    if table.rows.is_empty() {
        let nothing = || NOTHING.to_owned();
        table.entry(vec![
            nothing(),
            nothing(),
            inspection.conclusion().words().to_owned(),
            nothing(),
            nothing(),
        ]);
    }
    // The conclusion stands first, and what it does not reach right below it.
    table.notes.push(inspection.head());
    table.notes.extend(
        inspection.limits().iter().chain(&inspection.not_judged_in_words()).map(|words| by_hand(words)),
    );
    table.notes.push("Calculated, not measured.".to_owned());
    table
}

fn why(inspection: &Inspection, indices: &[usize]) -> String {
    let item = &inspection.items[indices[0]];
    let found = format!("{}.", capital(&item.finding.message));
    let told = [inspection.how_sure(item), found, inspection.worked_out_with(item)];
    let told: Vec<String> = told.into_iter().filter(|words| !words.is_empty()).collect();
    told.join(" ")
}

/// What to look at, what clears most doubts first, with room for what was read.
pub fn looks(facts: &Facts<'_>) -> Table {
    use Setting::{Blank, Number, Words};
    let columns =
        [("No.", Number), ("What to look at, and what it tells", Words), ("Read or measured", Blank)];
    let mut table = Table::new("What to look at", "look-at", &columns);
    for (number, look) in (1..).zip(facts.inspection().map(Inspection::looks).unwrap_or_default()) {
        table.entry(vec![number.to_string(), by_hand(&look.words), String::new()]);
    }
    table
}
