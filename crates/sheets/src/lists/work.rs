//! The order of work, with room to tick off each thing.

use engine::fitting_order::fitting_order;
use engine::quantity::by_hand;

use super::{Row, Setting, Table};
use crate::facts::Facts;

/// What is done at the vehicle, step by step.
pub fn order_of_work(facts: &Facts<'_>) -> Table {
    use Setting::{Number, Tick, Words};
    let mut table = Table::new(
        "Order of work",
        "order-of-work",
        &[("No.", Number), ("What is done", Words), ("Done", Tick)],
    );
    let mut number = 0;
    for (place, step) in (1..).zip(fitting_order(facts.document(), facts.circuit())) {
        table.rows.push(Row::Heading(format!("{place}. {}", step.title)));
        for item in &step.items {
            number += 1;
            table.entry(vec![number.to_string(), by_hand(&item.text), String::new()]);
        }
    }
    if !table.rows.is_empty() {
        table.notes.push(
            "Only what is new or comes out. The order is common practice, no source; what the job does not say is told as not known."
                .to_owned(),
        );
    }
    table
}
