//! Lists as they are put on paper: which of their columns are set, and what is short in them.

use crate::columns::least;
use crate::lists::{NOT_KNOWN, NOTHING, Row, Setting, Table};

/// What stands for a number that is not known: the words would make every row two lines high.
const UNKNOWN: &str = "?";

/// A list as it is put on paper: short where numbers are not known, without the columns in which nothing stands, and
/// without room to write in where it would make the list wider than `room`. Notes tell. Negative poles have a minus sign.
pub fn on_paper(table: &Table, room: i32) -> Table {
    let (table, of_short) = with_short(&with_minuses(table));
    let (mut table, of_empty) = without_nothing(&table);
    let says: Vec<String> = of_short.into_iter().chain(of_empty).collect();
    if !says.is_empty() {
        table.notes.push(says.join(" "));
    }
    let blank = table.columns.iter().position(|column| matches!(column.set, Setting::Blank | Setting::Tick));
    if let Some(blank) = blank.filter(|_| least(&table).iter().sum::<i32>() > room) {
        table.columns.remove(blank);
        for row in &mut table.rows {
            if let Row::Entry(cells) = row {
                cells.remove(blank);
            }
        }
    }
    table
}

/// A list whose terminals are written with a minus sign.
fn with_minuses(table: &Table) -> Table {
    let mut table = table.clone();
    let cells = table.rows.iter_mut().flat_map(|row| match row {
        Row::Entry(cells) => cells.as_mut_slice(),
        Row::Heading(says) => std::slice::from_mut(says),
    });
    for text in cells.chain(&mut table.notes).chain([&mut table.result]) {
        *text = with_minus(text);
    }
    table
}

/// A text whose terminals such as `G1:-` and `G2:B-` have a minus sign as on the circuit, and numbers below nought too: a
/// hyphen is hardly seen.
pub fn with_minus(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for (at, c) in text.char_indices() {
        let is_terminal = || written.trim_end_matches(char::is_alphanumeric).ends_with(':');
        let next = text[at + c.len_utf8()..].chars().next();
        let is_number =
            || next.is_some_and(|c| c.is_ascii_digit()) && !written.ends_with(|c: char| !c.is_whitespace());
        let goes_on = next.is_some_and(char::is_alphanumeric);
        let is_minus = c == '-' && (if goes_on { is_number() } else { is_terminal() });
        written.push(if is_minus { '−' } else { c });
    }
    written
}

/// A list whose numbers that are not known are short, and the note that tells.
fn with_short(table: &Table) -> (Table, Option<String>) {
    let mut table = table.clone();
    let mut is_said = false;
    for row in &mut table.rows {
        let Row::Entry(cells) = row else { continue };
        for (cell, column) in cells.iter_mut().zip(&table.columns) {
            if column.set == Setting::Number && cell == NOT_KNOWN {
                UNKNOWN.clone_into(cell);
                is_said = true;
            }
        }
    }
    (table, is_said.then(|| format!("{UNKNOWN}: {NOT_KNOWN}.")))
}

/// A list without the columns in which nothing stands, and the note that tells which they are.
fn without_nothing(table: &Table) -> (Table, Option<String>) {
    let cells = |column: usize| {
        table.rows.iter().filter_map(move |row| match row {
            Row::Entry(cells) => cells.get(column),
            Row::Heading(_) => None,
        })
    };
    let is_kept: Vec<bool> =
        (0..table.columns.len()).map(|column| cells(column).any(|cell| cell != NOTHING)).collect();
    if is_kept.iter().all(|kept| *kept) || !is_kept.contains(&true) {
        return (table.clone(), None);
    }
    let kept = |column: usize| is_kept.get(column).copied().unwrap_or(true);
    let mut left = Table { columns: Vec::new(), rows: Vec::new(), ..table.clone() };
    let mut heads = Vec::new();
    for (index, column) in table.columns.iter().enumerate() {
        if kept(index) { left.columns.push(*column) } else { heads.push(column.head) }
    }
    for row in &table.rows {
        left.rows.push(match row {
            Row::Entry(cells) => {
                let cells = (0..).zip(cells).filter(|(column, _)| kept(*column));
                Row::Entry(cells.map(|(_, cell)| cell.clone()).collect())
            }
            Row::Heading(says) => Row::Heading(says.clone()),
        });
    }
    let heads: Vec<String> = heads.iter().map(|head| format!("“{head}”")).collect();
    let heads = heads.join(", ");
    (left, Some(format!("Columns in which nothing would stand are left out: {heads}.")))
}

#[cfg(test)]
mod tests {
    use super::with_minus;

    #[test]
    fn poles_and_numbers_have_a_minus_sign_and_nothing_else_has() {
        for (text, written) in [
            ("black lead on battery G1:-.", "black lead on battery G1:−."),
            ("G2:B- to X1", "G2:B− to X1"),
            ("G1:-, X2:-", "G1:−, X2:−"),
            ("-0.2 V at G1:+", "−0.2 V at G1:+"),
            ("from -0.2 to 0.1 V on 2026-11-23", "from −0.2 to 0.1 V on 2026-11-23"),
            ("WH-RD, 12-24 V: a-b, G1:x-y", "WH-RD, 12-24 V: a-b, G1:x-y"),
        ] {
            assert_eq!(with_minus(text), written);
        }
    }
}
