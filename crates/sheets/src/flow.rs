//! Lists on pages: columns as wide as they need to be, text broken where it does not fit, heads on every page. Nothing
//! is cut off.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::Ink;
use drawing::text::{HEIGHT, bold, clean, line_pitch, width};

use crate::lists::{Row, Setting, Table};
use crate::page::{Form, Page, inked};
use crate::set::Paper;

/// Free space inside a cell, left and right.
const PAD: i32 = 130;

/// Free space above the first and below the last line of a row.
const ABOVE: i32 = 120;

/// Height of the capitals of a heading.
const LARGE: i32 = 350;

/// Free space between the frame and what stands in it.
const FREE: i32 = 560;

/// Lists that stand together, flowing over as many pages as they need.
pub fn pages(name: &str, tables: &[Table], paper: Paper, full: bool, ink: Ink) -> Vec<Page> {
    let form = |landscape| Form { paper, landscape, full };
    // Upright when everything has room that way, as a list is read from top to bottom.
    let upright = form(false);
    let fits = |table: &Table| natural(table).iter().sum::<i32>() <= upright.field().width() - 2 * FREE;
    let form = if tables.iter().all(fits) { upright } else { form(true) };
    let mut flow = Flow { form, ink, name: name.to_owned(), pages: Vec::new(), y: 0 };
    flow.turn();
    for table in tables {
        flow.table(table);
    }
    flow.pages
}

struct Flow {
    form: Form,
    ink: Ink,
    name: String,
    pages: Vec<Page>,
    /// Where the next thing may begin on the last page.
    y: i32,
}

/// A row broken into lines.
struct Broken {
    cells: Vec<Vec<String>>,
    role: Role,
}

impl Broken {
    fn n_lines(&self) -> usize {
        self.cells.iter().map(Vec::len).max().unwrap_or(1).max(1)
    }
}

impl Flow {
    fn field(&self) -> Rect {
        let field = self.form.field();
        Rect {
            left: field.left + FREE,
            top: field.top + FREE,
            right: field.right - FREE,
            bottom: field.bottom - ABOVE,
        }
    }

    /// Begins a new page.
    fn turn(&mut self) {
        let name = match self.pages.len() {
            0 => self.name.clone(),
            n => format!("{} {}", self.name, n + 1),
        };
        self.pages.push(Page { name, form: self.form, marks: Vec::new() });
        self.y = self.field().top;
    }

    fn put(&mut self, shapes: Vec<Shape>) {
        if let Some(page) = self.pages.last_mut() {
            page.marks.extend(inked(shapes, self.ink));
        }
    }

    fn table(&mut self, table: &Table) {
        let widths = fitted(table, self.field().width());
        let head = broken(
            &table.columns.iter().map(|column| column.head.to_owned()).collect::<Vec<_>>(),
            &widths,
            Role::Designation,
        );
        let rows: Vec<Broken> =
            table.rows.iter().map(|row| broken_row(row, &widths, self.field().width())).collect();
        let first = rows.first().map_or(0, |row| height(row.n_lines().min(3)));
        let needed = heading_height() + height(head.n_lines()) + first;
        if self.y > self.field().top && self.y + LARGE + needed > self.field().bottom {
            self.turn();
        }
        if self.y > self.field().top {
            self.y += LARGE;
        }
        self.heading(table.name);
        self.head(table, &head, &widths);
        for (index, row) in rows.iter().enumerate() {
            // The heading of a group stands above something.
            let with_next = match &table.rows[index] {
                Row::Heading(_) => rows.get(index + 1).map_or(0, |next| height(next.n_lines().min(3))),
                _ => 0,
            };
            let mut from = 0;
            while from < row.n_lines() {
                let room = self.field().bottom - self.y - with_next - 2 * ABOVE;
                let fitting = usize::try_from(room / line_pitch(HEIGHT)).unwrap_or(0);
                let rest = row.n_lines() - from;
                // A row is broken over pages only where it is higher than a page.
                let is_fresh = self.y <= self.field().top + heading_height() + height(head.n_lines());
                if fitting >= rest || (is_fresh && fitting > 0) {
                    let to = from + rest.min(fitting);
                    self.row(table, &table.rows[index], row, from..to, &widths);
                    from = to;
                } else {
                    self.turn();
                    self.heading(&format!("{}, continued", table.name));
                    self.head(table, &head, &widths);
                }
            }
        }
        for note in &table.notes {
            self.note(note);
        }
    }

    fn heading(&mut self, says: &str) {
        let at = Point::new(self.field().left + PAD, self.y + LARGE);
        self.put(vec![word(says.to_owned(), at, Anchor::Start, LARGE, Role::Designation)]);
        self.y += heading_height();
    }

    /// The heads of the columns, where they have any.
    fn head(&mut self, table: &Table, head: &Broken, widths: &[i32]) {
        if table.columns.iter().all(|column| column.head.is_empty()) {
            return;
        }
        self.cells(table, head, 0..head.n_lines(), widths);
        self.y += height(head.n_lines());
        let (left, right) = (self.field().left, self.field().right);
        self.put(vec![Shape::Line(Role::Outline, vec![Point::new(left, self.y), Point::new(right, self.y)])]);
    }

    fn row(&mut self, table: &Table, of: &Row, row: &Broken, lines: std::ops::Range<usize>, widths: &[i32]) {
        let n_lines = lines.len();
        match of {
            Row::Heading(_) => {
                let left = self.field().left + PAD;
                let texts: Vec<Shape> = row.cells[0][lines]
                    .iter()
                    .zip(0..)
                    .map(|(line, n)| {
                        let at = Point::new(left, self.y + ABOVE + HEIGHT + n * line_pitch(HEIGHT));
                        word(line.clone(), at, Anchor::Start, HEIGHT, row.role)
                    })
                    .collect();
                self.put(texts);
            }
            _ => self.cells(table, row, lines, widths),
        }
        self.y += height(n_lines);
        let (left, right) = (self.field().left, self.field().right);
        self.put(vec![Shape::Line(Role::Field, vec![Point::new(left, self.y), Point::new(right, self.y)])]);
    }

    fn cells(&mut self, table: &Table, row: &Broken, lines: std::ops::Range<usize>, widths: &[i32]) {
        let mut left = self.field().left;
        let mut shapes = Vec::new();
        for ((cell, column), width) in row.cells.iter().zip(&table.columns).zip(widths) {
            for (line, n) in cell.iter().take(lines.end).skip(lines.start).zip(0..) {
                let y = self.y + ABOVE + HEIGHT + n * line_pitch(HEIGHT);
                let (x, anchor) = match column.set {
                    Setting::Number => (left + width - PAD, Anchor::End),
                    _ => (left + PAD, Anchor::Start),
                };
                shapes.push(word(line.clone(), Point::new(x, y), anchor, HEIGHT, row.role));
            }
            left += width;
        }
        self.put(shapes);
    }

    /// A sentence below a list, over the whole width.
    fn note(&mut self, says: &str) {
        self.y += ABOVE;
        for line in lines_of(says, self.field().width() - 2 * PAD, Role::Lettering) {
            if self.y + line_pitch(HEIGHT) > self.field().bottom {
                self.turn();
            }
            let at = Point::new(self.field().left + PAD, self.y + HEIGHT);
            self.put(vec![word(line, at, Anchor::Start, HEIGHT, Role::Lettering)]);
            self.y += line_pitch(HEIGHT);
        }
    }
}

fn word(text: String, at: Point, anchor: Anchor, height: i32, role: Role) -> Shape {
    Shape::Text(Lettering { text, at, anchor, height, upright: false, role })
}

fn heading_height() -> i32 {
    LARGE + LARGE * 2 / 3
}

/// Height of a row of so many lines.
fn height(n_lines: usize) -> i32 {
    i32::try_from(n_lines).unwrap_or(i32::MAX / 1000) * line_pitch(HEIGHT) + 2 * ABOVE
        - (line_pitch(HEIGHT) - HEIGHT)
}

/// How wide a text is in this role.
fn wide(text: &str, role: Role) -> i32 {
    let plain = width(text, HEIGHT);
    if role == Role::Designation { bold(plain) } else { plain }
}

/// The texts of a column, each with the role it is written in.
fn texts<'t>(table: &'t Table, column: usize) -> impl Iterator<Item = (&'t str, Role)> {
    let rows = table.rows.iter().filter_map(move |row| match row {
        Row::Entry(cells) => Some((cells.get(column)?.as_str(), Role::Lettering)),
        Row::Heading(_) => None,
    });
    std::iter::once((table.columns[column].head, Role::Designation)).chain(rows)
}

/// The width every column would have if nothing had to be broken; of words no more than is comfortable to read.
fn natural(table: &Table) -> Vec<i32> {
    const COMFORTABLE: i32 = 6500;
    let of = |column: usize| {
        let widest = texts(table, column).map(|(text, role)| wide(text, role)).max().unwrap_or(0);
        let longest = longest_word(table, column);
        let most =
            if table.columns[column].set == Setting::Words { COMFORTABLE.max(longest) } else { i32::MAX };
        widest.min(most) + 2 * PAD
    };
    (0..table.columns.len()).map(of).collect()
}

fn longest_word(table: &Table, column: usize) -> i32 {
    let words = texts(table, column)
        .flat_map(|(text, role)| text.split_whitespace().map(move |word| wide(word, role)));
    words.max().unwrap_or(0)
}

/// Widths of the columns that make up `room`.
fn fitted(table: &Table, room: i32) -> Vec<i32> {
    let mut widths = natural(table);
    let total: i32 = widths.iter().sum();
    if widths.is_empty() {
        return widths;
    }
    if total > room {
        // Words give way first, down to their longest; then everything does, and long names are broken.
        let least: Vec<i32> = (0..widths.len())
            .map(|column| match table.columns[column].set {
                Setting::Words => (longest_word(table, column) + 2 * PAD).min(widths[column]),
                _ => widths[column],
            })
            .collect();
        shrink(&mut widths, &least, room);
        let total: i32 = widths.iter().sum();
        if total > room {
            let least = vec![room / widths.len() as i32; widths.len()];
            let least: Vec<i32> = least.iter().zip(&widths).map(|(least, width)| *least.min(width)).collect();
            shrink(&mut widths, &least, room);
        }
        return widths;
    }
    // What is left goes to words that take several lines; where there are none, all columns share it.
    let takes_more = |column: usize| {
        let widest = texts(table, column).map(|(text, role)| wide(text, role)).max().unwrap_or(0);
        widest + 2 * PAD > widths[column]
    };
    let is_short: Vec<bool> = (0..widths.len()).map(takes_more).collect();
    let share: i32 = widths.iter().zip(&is_short).filter(|(_, short)| **short).map(|(width, _)| width).sum();
    let (spare, total) = (room - total, if share > 0 { share } else { total });
    for (width, short) in widths.iter_mut().zip(&is_short) {
        if *short || share == 0 {
            *width +=
                i32::try_from(i64::from(spare) * i64::from(*width) / i64::from(total.max(1))).unwrap_or(0);
        }
    }
    widths
}

/// Makes columns narrower until they fit, each by its share of what it can give, but none narrower than its least.
fn shrink(widths: &mut [i32], least: &[i32], room: i32) {
    let excess = widths.iter().sum::<i32>() - room;
    let can_give: i32 = widths.iter().zip(least).map(|(width, least)| width - least).sum();
    if excess <= 0 || can_give <= 0 {
        return;
    }
    let give = excess.min(can_give);
    for (width, least) in widths.iter_mut().zip(least) {
        let own = i64::from(*width - least);
        // Rounded up, so that the sum is no more than the room.
        let share = (own * i64::from(give) + i64::from(can_give) - 1) / i64::from(can_give);
        *width -= i32::try_from(share.min(own)).unwrap_or(0);
    }
}

fn broken_row(row: &Row, widths: &[i32], room: i32) -> Broken {
    match row {
        Row::Entry(cells) => broken(cells, widths, Role::Lettering),
        Row::Heading(says) => broken(std::slice::from_ref(says), &[room], Role::Designation),
    }
}

fn broken(cells: &[String], widths: &[i32], role: Role) -> Broken {
    let cells = cells.iter().zip(widths).map(|(text, width)| lines_of(text, width - 2 * PAD, role)).collect();
    Broken { cells, role }
}

/// A text in lines no wider than `most`: between words, and inside a word only where it is wider than a line by itself.
pub fn lines_of(text: &str, most: i32, role: Role) -> Vec<String> {
    let text = clean(text);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        if let Some(line) = lines.last_mut() {
            let joined = format!("{line} {word}");
            if wide(&joined, role) <= most {
                *line = joined;
                continue;
            }
        }
        lines.push(String::new());
        for c in word.chars() {
            let line = lines.last().map_or("", String::as_str);
            let longer = format!("{line}{c}");
            match lines.last_mut() {
                Some(line) if wide(&longer, role) <= most || line.is_empty() => *line = longer,
                _ => lines.push(c.to_string()),
            }
        }
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_text_is_lost_in_lines() {
        let text = "a-very-long-designation-without-any-space and more words after it";
        for most in [300, 900, 2000, 9000] {
            let lines = lines_of(text, most, Role::Lettering);
            let joined: String = lines.concat().split_whitespace().collect();
            assert_eq!(joined, text.split_whitespace().collect::<String>(), "{most}");
            assert!(lines.iter().all(|line| wide(line, Role::Lettering) <= most), "{most}: {lines:?}");
        }
    }

    #[test]
    fn columns_fit_the_room_whatever_stands_in_them() {
        let mut table = Table::new(
            "List",
            "list",
            &[("name", Setting::Name), ("words", Setting::Words), ("n", Setting::Number)],
        );
        for n in [1, 5, 40] {
            table.rows = vec![Row::Entry(vec!["N".repeat(n), "some words ".repeat(n), "1".repeat(n)])];
            for room in [6_000, 12_000, 24_000] {
                let widths = fitted(&table, room);
                assert!(
                    widths.iter().sum::<i32>() <= room && widths.iter().all(|width| *width > 2 * PAD),
                    "{n} {room} {widths:?}"
                );
            }
        }
    }
}
