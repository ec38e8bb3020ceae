//! A list as CSV (RFC 4180).

use super::{Row, Setting, Table};

/// What may stand before a number.
const MARKS: [char; 3] = ['≈', '≥', ' '];

/// What stands before a number, and the number.
fn without_marks(text: &str) -> (&str, &str) {
    let number = text.trim_start_matches(MARKS);
    (text[..text.len() - number.len()].trim_end(), number)
}

/// The list with a head line; lines end as the RFC has it.
pub fn csv(table: &Table) -> String {
    let is_grouped = table.rows.iter().any(|row| matches!(row, Row::Heading(_)));
    // A column of numbers, some of which have a mark, has those in a column behind it.
    let cells = |column: usize| {
        table.rows.iter().filter_map(move |row| match row {
            Row::Entry(cells) => cells.get(column),
            Row::Heading(_) => None,
        })
    };
    let is_marked: Vec<bool> = (0..)
        .zip(&table.columns)
        .map(|(index, column)| {
            column.set == Setting::Number && cells(index).any(|cell| cell.starts_with(MARKS))
        })
        .collect();
    let mut text = String::new();
    let mut line = |group: &str, cells: &[&str]| {
        let group = is_grouped.then(|| cell(group));
        let cells: Vec<String> = group.into_iter().chain(cells.iter().map(|text| cell(text))).collect();
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    };
    let mut heads: Vec<String> = Vec::new();
    for (column, is_marked) in table.columns.iter().zip(&is_marked) {
        heads.push(column.head.to_owned());
        heads.extend(is_marked.then(|| format!("{}: ≈ or ≥", column.head)));
    }
    line("group", &heads.iter().map(String::as_str).collect::<Vec<_>>());
    let mut group = "";
    for row in &table.rows {
        match row {
            Row::Heading(heading) => group = heading,
            Row::Entry(cells) => {
                let mut all: Vec<&str> = Vec::new();
                for (cell, is_marked) in cells.iter().zip(&is_marked) {
                    let (mark, number) = if *is_marked { without_marks(cell) } else { ("", cell.as_str()) };
                    all.push(number);
                    all.extend(is_marked.then_some(mark));
                }
                line(group, &all);
            }
        }
    }
    text
}

/// What nobody sees: it says nothing in a cell, may turn its text around, and is skipped by some before a formula.
fn is_unseen(c: char) -> bool {
    let is_control = c.is_control() && !matches!(c, '\t' | '\r' | '\n');
    is_control
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// One cell: safe to open in a spreadsheet, and in quotes where it has to be.
fn cell(text: &str) -> String {
    let text = text.replace(is_unseen, "");
    // Blanks before it are skipped by some, and wide signs are taken for plain ones.
    let begins = text.trim_start();
    let starts_formula = text.starts_with(['\t', '\r', '\n'])
        || begins.starts_with(['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}']);
    let safe = if starts_formula { format!("'{text}") } else { text };
    // Some take a semicolon for the end of a cell.
    match safe.contains([',', ';', '"', '\r', '\n']) {
        true => format!("\"{}\"", safe.replace('"', "\"\"")),
        false => safe,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_alone_and_their_marks_behind_them() {
        let columns =
            [("Wire", Setting::Name), ("Length (m)", Setting::Number), ("Size (mm²)", Setting::Number)];
        let mut table = Table::new("Wires", "wires", &columns);
        for cells in [["W1", "≈ 2.50", "1"], ["W2", "≥ ≈ 0.3", "1"], ["≈ W3", "not known", "12 AWG"]]
        {
            table.entry(cells.map(str::to_owned).to_vec());
        }
        let lines = "Wire,Length (m),Length (m): ≈ or ≥,Size (mm²)\r\nW1,2.50,≈,1\r\nW2,0.3,≥ ≈,1\r\n\
                     ≈ W3,not known,,12 AWG\r\n";
        assert_eq!(csv(&table), lines);
    }

    #[test]
    fn cells_are_quoted_and_never_begin_like_a_formula() {
        assert_eq!(cell("plain"), "plain");
        assert_eq!(cell("a, b"), "\"a, b\"");
        assert_eq!(cell("x;=1+1"), "\"x;=1+1\"");
        assert_eq!(cell("left\u{202e}thgir\u{1b}[0m"), "leftthgir[0m");
        assert_eq!(cell("5\" pipe"), "\"5\"\" pipe\"");
        for start in [
            "=1+1",
            "+1",
            "-F1",
            "@sum",
            "\tx",
            "\rx",
            " =1+1",
            "\u{a0}=1",
            "\u{200b}@x",
            "\u{ff1d}cmd()",
            "\0=1",
            "\u{ad}\u{202d}=1",
        ] {
            assert!(cell(start).trim_start_matches('"').starts_with('\''), "{start:?}");
        }
    }

    #[test]
    fn headings_become_a_column() {
        let mut table = Table::new("Cut list", "cut-list", &[("wire", Setting::Name)]);
        table.rows = vec![Row::Heading("2.5 mm², RD".to_owned()), Row::Entry(vec!["W1".to_owned()])];
        assert_eq!(csv(&table), "group,wire\r\n\"2.5 mm², RD\",W1\r\n");
    }
}
