//! A list as CSV (RFC 4180).

use super::{Row, Table};

/// The list with a head line; lines end as the RFC has it.
pub fn csv(table: &Table) -> String {
    let is_grouped = table.rows.iter().any(|row| matches!(row, Row::Heading(_)));
    let mut text = String::new();
    let mut line = |group: &str, cells: &[&str]| {
        let group = is_grouped.then(|| cell(group));
        let cells: Vec<String> = group.into_iter().chain(cells.iter().map(|text| cell(text))).collect();
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    };
    line("group", &table.columns.iter().map(|column| column.head).collect::<Vec<_>>());
    let mut group = "";
    for row in &table.rows {
        match row {
            Row::Heading(heading) => group = heading,
            Row::Entry(cells) => line(group, &cells.iter().map(String::as_str).collect::<Vec<_>>()),
        }
    }
    text
}

/// One cell: safe to open in a spreadsheet, and in quotes where it has to be.
fn cell(text: &str) -> String {
    // What looks empty before it is skipped by some, and wide signs are taken for plain ones.
    let is_skipped =
        |c: char| c.is_whitespace() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}');
    let begins = text.trim_start_matches(is_skipped);
    let starts_formula = text.starts_with(['\t', '\r', '\n'])
        || begins.starts_with(['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}']);
    let safe = if starts_formula { format!("'{text}") } else { text.to_owned() };
    match safe.contains([',', '"', '\r', '\n']) {
        true => format!("\"{}\"", safe.replace('"', "\"\"")),
        false => safe,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Setting;
    use super::*;

    #[test]
    fn cells_are_quoted_and_never_begin_like_a_formula() {
        assert_eq!(cell("plain"), "plain");
        assert_eq!(cell("a, b"), "\"a, b\"");
        assert_eq!(cell("5\" pipe"), "\"5\"\" pipe\"");
        for start in
            ["=1+1", "+1", "-F1", "@sum", "\tx", "\rx", " =1+1", "\u{a0}=1", "\u{200b}@x", "\u{ff1d}cmd()"]
        {
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
