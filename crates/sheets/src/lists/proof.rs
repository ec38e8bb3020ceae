//! The proving sheet with room to write in, and what it cannot show.

use engine::diagnose::{HowTested, NOT_WHOLE, caution};
use engine::document::sentence::print;
use engine::quantity::{by_hand, capital};

use super::{NOTHING, ON_PAPER, Row, Setting, Table};
use crate::facts::Facts;

/// Every step, situation by situation.
pub fn sheet(facts: &Facts<'_>) -> Table {
    use Setting::{Blank, Number, Tick, Words};
    let columns =
        [("No.", Number), ("What to do", Words), ("What passes", Words), ("Found", Blank), ("Right", Tick)];
    let mut table = Table::new("Proving sheet", "proving-sheet", &columns);
    let Some((case, proof)) = facts.proof() else { return table };
    let mut moment = None;
    for (number, step) in (1..).zip(&proof.steps) {
        let when = capital(&case.moments[step.moment].when);
        if moment != Some(step.moment) {
            moment = Some(step.moment);
            table.rows.push(Row::Heading(when.clone()));
        }
        // The situation stands above.
        let does = step.instruction(case);
        let does =
            does.strip_prefix(&when).map_or(does.as_str(), |rest| rest.trim_start_matches([':', ',', ' ']));
        let blank = String::new;
        table.entry(vec![
            number.to_string(),
            capital(does),
            by_hand(&capital(&step.passes(case))),
            blank(),
            blank(),
        ]);
    }
    if table.rows.is_empty() {
        return table;
    }
    table.notes.extend(caution(facts.open_stops()));
    let least = match proof.is_whole {
        true => format!("; no sheet has fewer than {}", proof.at_least),
        false => String::new(),
    };
    table.notes.push(format!(
        "{} steps{least}. They take some {:.0} minutes. What passes is calculated from tolerances of parts that are common practice, no source.",
        proof.steps.len(),
        proof.minutes
    ));
    if !proof.is_whole {
        table.notes.push(NOT_WHOLE.to_owned());
    }
    table
}

/// Who proved it, to be written in by hand.
pub fn signed(facts: &Facts<'_>) -> Table {
    let mut table = who("Proved by", &["", "", ""]);
    if facts.proof().is_none_or(|(_, proof)| proof.steps.is_empty()) {
        table.rows.clear();
    }
    table
}

/// Name, date and meter as far as they are known, and a line for the signature.
pub fn who(name: &'static str, known: &[&str; 3]) -> Table {
    use Setting::{Blank, Name};
    let mut table = Table::new(name, ON_PAPER, &[("", Name), ("", Blank)]);
    for (what, known) in ["Name", "Date", "Meter"].into_iter().zip(known) {
        table.entry(vec![what.to_owned(), (*known).to_owned()]);
    }
    table.entry(vec!["Signature".to_owned(), String::new()]);
    table.entry(vec![String::new(), String::new()]);
    table
}

/// The interlocks, and which steps show each to hold.
pub fn interlocks(facts: &Facts<'_>) -> Table {
    use Setting::Words;
    let columns = [("Interlock", Words), ("Shown by", Words)];
    let mut table = Table::new("Interlocks on the proving sheet", "proving-interlocks", &columns);
    let Some((case, proof)) = facts.proof() else { return table };
    for (index, one) in proof.rules.iter().enumerate() {
        let steps = (1..).zip(&proof.steps).filter(|(_, step)| step.rules.contains(&index));
        let steps: Vec<String> = steps.map(|(number, _)| number.to_string()).collect();
        let how = match one.how {
            HowTested::OnTheSheet => format!("Step {}", steps.join(", ")),
            HowTested::BrokenAsDrawn => "Nothing: the drawing breaks it".to_owned(),
            HowTested::NotOnTheSheet => "Nothing on this sheet".to_owned(),
        };
        table.entry(vec![print(&one.interlock, &case.circuit.resolved.network), how]);
    }
    table
}

/// What no step shows.
pub fn not_shown(facts: &Facts<'_>) -> Table {
    use Setting::Words;
    let columns = [("What no reading shows", Words), ("Of", Words), ("Why", Words)];
    let mut table = Table::new("Not on the proving sheet", "not-proved", &columns);
    let Some((case, proof)) = facts.proof() else { return table };
    let or_nothing = |words: String| if words.is_empty() { NOTHING.to_owned() } else { words };
    for one in proof.unshown(case) {
        table.entry(vec![capital(&one.what), or_nothing(facts.about_all(&one.of)), one.why.to_owned()]);
    }
    if proof.n_old > 0 {
        let all = ["Anything", "what was there before", "Only what is new is proved."];
        table.entry(all.map(str::to_owned).to_vec());
    }
    if table.rows.is_empty() && !proof.steps.is_empty() {
        let none = [NOTHING, NOTHING, "Every fault that was tried is shown."];
        table.entry(none.map(str::to_owned).to_vec());
    }
    table
}
