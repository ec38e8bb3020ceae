//! The order of work: the steps of fitting the job, as they stand in the printed set too.

use engine::fitting_order::fitting_order;
use engine::quantity::by_hand;

use super::Asked;
use super::markup::Markup;

/// Every step with what is done in it.
pub fn page(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    let steps = fitting_order(asked.document, asked.prepared.circuit());
    if steps.is_empty() {
        page.line("p", "hint", "Nothing in this job is new or comes out, so there is nothing to fit.");
        return page.done();
    }
    page.line("p", "hint", "Only what is new or comes out. The order is common practice; the printed set has it with room to tick off.");
    for (number, step) in (1..).zip(&steps) {
        page.heading(&format!("{number}. {}", step.title));
        page.element("ul", &[], |list| {
            for item in &step.items {
                list.line("li", "", &by_hand(&item.text));
            }
        });
    }
    page.done()
}
