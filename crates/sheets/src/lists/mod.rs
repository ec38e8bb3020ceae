//! The lists of a job as plain tables, before they are put on sheets or written as CSV.

mod csv;
mod wires;

use crate::facts::Facts;

/// A list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// What it is called on its sheet.
    pub name: &'static str,
    /// The name of its file, without an ending.
    pub file: &'static str,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// What has to be known to read it, in sentences.
    pub notes: Vec<String>,
}

/// A column of a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// What stands above it.
    pub head: &'static str,
    /// How it is set.
    pub set: Setting,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Words, from the left; as narrow as its longest word if need be.
    Words,
    /// Short names, from the left; never broken.
    Name,
    /// Numbers, to the right; never broken.
    Number,
}

/// A row of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// One entry, a text for each column.
    Entry(Vec<String>),
    /// The heading of the entries that follow.
    Heading(String),
    /// The sum of the entries above, a text for each column.
    Sum(Vec<String>),
}

/// What is said where something is not known.
pub const NOT_KNOWN: &str = "not known";

impl Table {
    fn new(name: &'static str, file: &'static str, columns: &[(&'static str, Setting)]) -> Table {
        let columns = columns.iter().map(|(head, set)| Column { head, set: *set }).collect();
        Table { name, file, columns, rows: Vec::new(), notes: Vec::new() }
    }
}

/// Every list of a job, in the order of the set; those that have nothing to say are left out.
pub fn all(facts: &Facts<'_>) -> Vec<Table> {
    let all = [wires::wire_list(facts)];
    all.into_iter().filter(|table| !table.rows.is_empty()).collect()
}

/// The lists of a job as CSV (RFC 4180): the name of each file, and what it holds.
///
/// A cell that a spreadsheet could take for a formula, because it begins with `=`, `+`, `-`, `@`, a tab or a line end,
/// has an apostrophe before it. Headings of a group stand in a first column of their own; sums are left out, because
/// whoever opens the file can add up.
pub fn tables(facts: &Facts<'_>) -> Vec<(String, String)> {
    all(facts).iter().map(|table| (format!("{}.csv", table.file), csv::csv(table))).collect()
}
