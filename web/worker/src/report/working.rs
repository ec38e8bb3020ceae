//! How numbers came about: formula, inputs with where each is from, and source.

use engine::explain::workings;
use engine::quantity::{Quantity, Unit, by_hand};
use engine::solve::solve;
use engine::subject::Subject;
use engine::working::Working;

use super::Asked;
use super::markup::Markup;

/// The workings of what is read off a part or wire in the present positions, and of its limits.
pub fn of_subject(asked: &Asked<'_>, subject: &Subject) -> String {
    let circuit = asked.prepared.circuit();
    let solution = solve(circuit, asked.situation);
    let all = workings(circuit, &solution, subject);
    let mut page = Markup::new();
    if all.is_empty() {
        let title = subject.title(&asked.document.network);
        page.paragraph(&match solution.shown() {
            Some(_) => {
                format!("Nothing flows through {title} in these positions, so no number is worked out.")
            }
            None => format!(
                "These positions do not come to rest, so there are no readings. {}",
                solution.verdict.meaning()
            ),
        });
    }
    show(&mut page, &all);
    page.done()
}

/// The workings of a finding, counted from nought.
pub fn of_finding(asked: &Asked<'_>, number: usize) -> Option<String> {
    let finding = asked.prepared.findings().get(number)?;
    let mut page = Markup::new();
    show(&mut page, &finding.working);
    Some(page.done())
}

fn show(page: &mut Markup, all: &[Working]) {
    for working in all {
        one(page, working);
    }
}

fn one(page: &mut Markup, working: &Working) {
    let result = shown(working.result);
    page.element("section", &[("class", "working")], |page| {
        page.element("h4", &[("dir", "auto")], |heading| {
            heading.text(&format!("{}: ", by_hand(&working.what)));
            heading.element("b", &[], |bold| bold.text(&result));
        });
        // What only the whole network gives has no formula of a few symbols.
        let of_network = working.inputs.iter().any(|input| input.symbol == "x_network");
        if of_network {
            page.paragraph("Solved on the whole network: no formula of a few symbols gives it.");
        } else {
            page.element("p", &[("class", "formula")], |line| formula(line, working.formula));
            inputs(page, working);
        }
        page.line("p", "source", &format!("Source: {}", by_hand(working.source)));
    });
}

fn inputs(page: &mut Markup, working: &Working) {
    page.element("dl", &[], |list| {
        for input in &working.inputs {
            list.element("dt", &[], |term| {
                symbols(term, input.symbol);
                term.text(&format!(" = {}", entering(input.value)));
            });
            list.line("dd", "", &format!("{}, {}", by_hand(&input.what), input.basis.word()));
        }
    });
}

/// A number as the readings show it, so that both are the same to the last figure.
fn shown(quantity: Quantity) -> String {
    let shown = match quantity.unit {
        Unit::Ampere | Unit::Volt | Unit::Watt => quantity.to_the_thousandth(),
        _ => quantity,
    };
    by_hand(&shown.to_string())
}

/// A number that enters a formula. Voltages are mostly subtracted, so they keep the thousandths that a difference is made
/// of.
fn entering(quantity: Quantity) -> String {
    if quantity.unit != Unit::Volt {
        return shown(quantity);
    }
    let text = format!("{:.3}", quantity.value);
    let trimmed = text.trim_end_matches('0').trim_end_matches('.');
    format!("{} V", if trimmed == "-0" { "0" } else { trimmed })
}

/// A formula as people write it, with signs in place of what a keyboard has.
fn formula(line: &mut Markup, formula: &str) {
    let signs: String = formula
        .chars()
        .map(|character| match character {
            '*' => '×',
            '-' => '−',
            other => other,
        })
        .collect();
    symbols(line, &signs);
}

/// Text in which what stands behind an underscore is set lower.
fn symbols(line: &mut Markup, text: &str) {
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('_') {
        let ends = behind.find(|character: char| !character.is_alphanumeric()).unwrap_or(behind.len());
        line.text(before);
        line.element("sub", &[], |lower| lower.text(&behind[..ends]));
        rest = &behind[ends..];
    }
    line.text(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voltages_keep_what_a_difference_is_made_of() {
        let volts = |value| entering(Quantity { value, unit: Unit::Volt });
        assert_eq!([12.9882, 13.0, -0.0001, 0.0655].map(volts), ["12.988 V", "13 V", "0 V", "0.066 V"]);
        assert_eq!(entering(Quantity { value: 9.4563, unit: Unit::Ampere }), "9.46 A");
    }

    #[test]
    fn a_formula_is_written_as_people_write_it() {
        let mut line = Markup::new();
        formula(&mut line, "U = abs(U_1 - U_20) * 2");
        assert_eq!(line.done(), "U = abs(U<sub>1</sub> − U<sub>20</sub>) × 2");
    }
}
