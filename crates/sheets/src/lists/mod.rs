//! The lists of a job as plain tables, before they are put on sheets or written as CSV.

mod csv;
mod cutting;
mod expected;
mod inspection;
mod parts;
mod plan;
mod proof;
mod records;
mod state;
mod wires;
mod work;

pub use state::assumptions;
pub use wires::labels;

use drawing::sheet::CAUTIONS;
use engine::document::Status;

use crate::facts::{Facts, in_pieces};

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
    /// What came of it, which stands first and in bold; empty where nothing did.
    pub result: String,
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
    /// Words, from the left; broken between words where room is short.
    Words,
    /// Short names, from the left; broken only where nothing else helps.
    Name,
    /// Numbers without their unit, which stands in the head, to the right with their points below each other.
    Number,
    /// Nothing yet: room to write in by hand.
    Blank,
    /// Nothing yet: room to tick.
    Tick,
}

/// A row of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// One entry, a text for each column.
    Entry(Vec<String>),
    /// The heading of the entries that follow, with their sum.
    Heading(String),
}

/// What the sheets with an inspection are called.
pub const INSPECTION: &str = "Inspection";

/// What the sheets with findings are called.
pub const FINDINGS: &str = "Findings";

/// What the sheets to prove the work with are called.
pub const PROVING: &str = "Proving sheet";

/// The file of a list that is for paper only: something to write on.
const ON_PAPER: &str = "";

/// What is said where something is not known.
pub const NOT_KNOWN: &str = "not known";

/// What is said where there is nothing to say.
pub const NOTHING: &str = "–";

/// What stands before a number that may be more.
pub const AT_LEAST: &str = "≥";

/// Things in the order in which one looks for their designations: `F2` before `F10`.
trait InOrder<T> {
    fn in_order(self, title: impl Fn(&T) -> &str) -> Vec<T>;
}

impl<T, I: Iterator<Item = T>> InOrder<T> for I {
    fn in_order(self, title: impl Fn(&T) -> &str) -> Vec<T> {
        let mut all: Vec<T> = self.collect();
        engine::arrange::sort_by_key(&mut all, |one| in_pieces(title(one)));
        all
    }
}

impl Table {
    /// A list without rows.
    pub fn new(name: &'static str, file: &'static str, columns: &[(&'static str, Setting)]) -> Table {
        let columns = columns.iter().map(|(head, set)| Column { head, set: *set }).collect();
        Table { name, file, columns, rows: Vec::new(), result: String::new(), notes: Vec::new() }
    }

    /// What came of it, where anything did, then its notes.
    fn said(&self) -> impl Iterator<Item = &String> {
        Some(&self.result).filter(|result| !result.is_empty()).into_iter().chain(&self.notes)
    }

    fn entry(&mut self, cells: Vec<String>) {
        self.rows.push(Row::Entry(cells));
    }
}

/// What is new, what is already there and what comes out, each with its heading.
const STANDING: [(Status, &str); 3] =
    [(Status::New, "New"), (Status::Existing, "Already there"), (Status::Remove, "Comes out")];

fn or_not_known(text: Option<String>) -> String {
    text.unwrap_or_else(|| NOT_KNOWN.to_owned())
}

/// Lists that stand together on their sheets, under one name.
pub struct Group {
    /// What their sheets are called.
    pub name: &'static str,
    /// The lists.
    pub tables: Vec<Table>,
}

/// Every list of a job, in the order of the set; those that have nothing to say are left out.
pub fn groups(facts: &Facts<'_>) -> Vec<Group> {
    let group = |name, tables: Vec<Table>| Group { name, tables };
    let mut all = vec![
        group(INSPECTION, vec![inspection::found(facts), inspection::looks(facts)]),
        group(FINDINGS, vec![state::findings(facts), state::accepted(facts), state::interlocks(facts)]),
        group("Parts and fuses", vec![parts::fuses(facts), parts::parts(facts)]),
        group("Wire list", vec![wires::wire_list(facts)]),
        group("Cut list", vec![cutting::cut_list(facts), cutting::ends(facts)]),
        group("Order of work", vec![work::order_of_work(facts)]),
        group(
            PROVING,
            vec![
                proof::sheet(facts),
                proof::interlocks(facts),
                proof::not_shown(facts),
                proof::signed(facts),
            ],
        ),
        group("Record of readings", records::records(facts)),
        group("Along the vehicle", vec![plan::routes(facts), plan::order(facts), plan::places(facts)]),
        group("Assumptions", vec![assumptions(facts), state::settings(facts)]),
    ];
    for group in &mut all {
        group.tables.retain(|table| !table.rows.is_empty());
    }
    all.retain(|group| !group.tables.is_empty());
    all
}

/// The lists of a job as CSV (RFC 4180): the name of each file, and what it holds.
///
/// A cell that a spreadsheet could take for a formula, because it begins with `=`, `+`, `-`, `@`, a tab or a line end,
/// has an apostrophe before it. What has to be known to read them, and the cautions, are a list of their own, `notes.csv`.
/// Headings of a group stand in a first column of their own. Numbers stand without units, which the head line has, and
/// without `≈` and `≥`, which stand in a column behind theirs.
pub fn tables(facts: &Facts<'_>) -> Vec<(String, String)> {
    let tables = groups(facts).into_iter().flat_map(|group| group.tables);
    let tables: Vec<Table> = tables.filter(|table| table.file != ON_PAPER).collect();
    let mut notes = Table::new("Notes", "notes", &[("List", Setting::Name), ("Note", Setting::Words)]);
    for caution in CAUTIONS {
        notes.entry(vec!["all".to_owned(), (*caution).to_owned()]);
    }
    for table in &tables {
        for note in table.said() {
            notes.entry(vec![table.name.to_owned(), note.clone()]);
        }
    }
    let mut files: Vec<(String, String)> = Vec::new();
    for (index, table) in tables.iter().chain([&notes]).enumerate() {
        // Records of one sort are several.
        let before = tables.iter().take(index).filter(|other| other.file == table.file).count();
        let number = if before == 0 { String::new() } else { format!("-{}", before + 1) };
        files.push((format!("{}{number}.csv", table.file), csv::csv(table)));
    }
    files
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designations_stand_in_the_order_of_their_numbers() {
        let titles = ["F10", "F2", "E1", "F2a", "7", "F"];
        assert_eq!(titles.into_iter().in_order(|title| *title), ["7", "E1", "F", "F2", "F2a", "F10"]);
    }
}
