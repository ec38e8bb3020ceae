//! A list broken into lines, for a field of one width.

use drawing::scene::Role;

use crate::columns::{PAD, beside_itself, fitted, indent, lines_of, widest_fraction};
use crate::lists::{Row, Setting, Table};

/// Lists of no more rows are kept on one page.
const FEW: usize = 6;

/// How high room to write in is, in lines: a hand takes twice the room of print (common practice, no source).
const BY_HAND: usize = 2;

/// A list that is ready to be set.
pub struct Broken {
    /// The list, with its rows side by side where it is narrow.
    pub table: Table,
    /// How wide its columns are.
    pub widths: Vec<i32>,
    /// The heads of its columns.
    pub head: Lines,
    /// Its rows.
    pub rows: Vec<Lines>,
    /// What came of it, and its notes.
    pub notes: Vec<Lines>,
    /// Whether it is kept on one page, where it fits on one.
    pub is_kept: bool,
}

/// A row in lines.
pub struct Lines {
    /// The lines of each cell.
    pub cells: Vec<Vec<String>>,
    /// What they are written in.
    pub role: Role,
    /// How far from the right of its column each number ends.
    pub indents: Vec<i32>,
    /// So many lines it has at least.
    pub room: usize,
}

impl Lines {
    /// How high the row is, in lines.
    pub fn n_lines(&self) -> usize {
        self.cells.iter().map(Vec::len).max().unwrap_or(1).max(self.room)
    }
}

impl Broken {
    /// A list for a field `room` wide.
    pub fn of(table: &Table, room: i32) -> Broken {
        let beside = beside_itself(table, room);
        // What stands side by side is read down, which nobody does over pages.
        let is_kept = beside.is_some() || table.rows.len() <= FEW;
        let table = beside.unwrap_or_else(|| table.clone());
        let widths = fitted(&table, room);
        let heads: Vec<String> = table.columns.iter().map(|column| column.head.to_owned()).collect();
        let head = lines(&heads, &widths, Role::Designation);
        let fractions: Vec<i32> =
            (0..table.columns.len()).map(|column| widest_fraction(&table, column)).collect();
        let of_row = |row: &Row| match row {
            Row::Heading(says) => heading(says, room),
            Row::Entry(cells) => {
                let mut row = lines(cells, &widths, Role::Lettering);
                let of_cell = |(cell, fraction): (&Vec<String>, &i32)| match cell.as_slice() {
                    [number] => indent(number, *fraction),
                    _ => 0,
                };
                row.indents = row.cells.iter().zip(&fractions).map(of_cell).collect();
                let is_blank = |(column, cell): (usize, &Vec<String>)| {
                    table.columns[column].set == Setting::Blank && cell.iter().all(String::is_empty)
                };
                if row.cells.iter().enumerate().any(is_blank) {
                    row.room = BY_HAND;
                }
                row
            }
        };
        let rows = table.rows.iter().map(of_row).collect();
        let note = |note: &String| lines(std::slice::from_ref(note), &[room], Role::Lettering);
        let result = Some(&table.result).filter(|result| !result.is_empty());
        let result = result.map(|result| heading(result, room));
        let notes = result.into_iter().chain(table.notes.iter().map(note)).collect();
        Broken { widths, head, rows, notes, is_kept, table }
    }
}

/// The heading of a group over the whole width.
pub fn heading(says: &str, room: i32) -> Lines {
    lines(&[says.to_owned()], &[room], Role::Designation)
}

fn lines(cells: &[String], widths: &[i32], role: Role) -> Lines {
    let cells = cells.iter().zip(widths).map(|(text, width)| lines_of(text, width - 2 * PAD, role)).collect();
    Lines { cells, role, indents: Vec::new(), room: 1 }
}
