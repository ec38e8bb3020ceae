//! Lists on pages: one after another, text broken where it does not fit, heads on every page. Nothing is cut off.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::{Ink, Stroke, palette};
use drawing::text::HEIGHT;

use crate::columns::{PAD, beside_itself, fitted, indent, least, lines_of, on_paper, widest_fraction};
use crate::lists::{Row, Setting, Table};
use crate::page::{Form, Page, inked};
use crate::set::Paper;

/// From one line of a row to the next.
const PITCH: i32 = 350;

/// From the top of a row to its first baseline, and what a row is higher than its lines.
const BASELINE: i32 = 325;
const BETWEEN: i32 = 100;

/// Lists of no more rows are kept on one page.
const FEW: usize = 6;

/// Width of the line below a row: thinner than any other, because there are so many.
const THIN: i32 = 13;

/// Free space above the notes of a list.
const ABOVE: i32 = 120;

/// Height of the capitals of a heading.
const LARGE: i32 = 350;

/// Free space between the frame and what stands in it.
const FREE: i32 = 560;

/// A list, and under which name it stands on its sheets.
pub struct Part<'a> {
    /// What its sheets are called.
    pub name: &'a str,
    /// The list.
    pub table: &'a Table,
}

/// Lists after one another on as few pages as they need: those that stand upright, then those that want the width.
pub fn pages(parts: &[Part<'_>], paper: Paper, full: bool, ink: Ink) -> Vec<Page> {
    let room = field(Form { paper, landscape: false, full }).width();
    let tables: Vec<Table> = parts.iter().map(|part| on_paper(part.table, room)).collect();
    let parts: Vec<Part<'_>> =
        parts.iter().zip(&tables).map(|(part, table)| Part { table, ..*part }).collect();
    in_order(&parts, paper, full, ink)
}

/// Lists as they stand, in the order that takes the fewest pages.
fn in_order(parts: &[Part<'_>], paper: Paper, full: bool, ink: Ink) -> Vec<Page> {
    /// How much less of a sheet a list must take lying to lie, from never to always; of equals the first is taken.
    const WORTH: [f64; 4] = [0.0, 0.7, 0.85, 1.0];
    let form = |landscape| Form { paper, landscape, full };
    let share = |table: &Table, form: Form| {
        let field = field(form);
        f64::from(height_of(table, field.width())) / f64::from(field.height())
    };
    let shares = |part: &Part<'_>| {
        // Upright it would have to break names.
        let must_lie = least(part.table).iter().sum::<i32>() > field(form(false)).width();
        (must_lie, share(part.table, form(false)), share(part.table, form(true)))
    };
    let shares: Vec<(bool, f64, f64)> = parts.iter().map(shares).collect();
    let mut best: Option<Vec<Page>> = None;
    for worth in WORTH {
        let mut flow = Flow { form: form(false), ink, pages: Vec::new(), y: i32::MAX };
        for landscape in [false, true] {
            for (part, (must_lie, upright, lying)) in parts.iter().zip(&shares) {
                if (*must_lie || *lying < upright * worth) == landscape {
                    flow.put_list(part, form(landscape));
                }
            }
        }
        if best.as_ref().is_none_or(|best| flow.pages.len() < best.len()) {
            best = Some(flow.pages);
        }
    }
    best.unwrap_or_default()
}

/// Where lists may stand on a page.
fn field(form: Form) -> Rect {
    let field = form.field();
    Rect {
        left: field.left + FREE,
        top: field.top + FREE,
        right: field.right - FREE,
        bottom: field.bottom - ABOVE,
    }
}

/// How high a list is in a field of this width.
fn height_of(table: &Table, room: i32) -> i32 {
    let widths = fitted(table, room);
    let rows: i32 = table.rows.iter().map(|row| height(broken_row(row, &widths, room).n_lines())).sum();
    rows + heading_height() + LARGE
}

struct Flow {
    form: Form,
    ink: Ink,
    pages: Vec<Page>,
    /// Where the next thing may begin on the last page.
    y: i32,
}

/// A row broken into lines.
struct Broken {
    cells: Vec<Vec<String>>,
    role: Role,
    /// How far from the right of its column each number ends.
    indents: Vec<i32>,
}

impl Broken {
    fn n_lines(&self) -> usize {
        self.cells.iter().map(Vec::len).max().unwrap_or(1).max(1)
    }
}

impl Flow {
    fn field(&self) -> Rect {
        field(self.form)
    }

    /// Begins a new page.
    fn turn(&mut self) {
        let (form, marks) = (self.form, Vec::new());
        self.pages.push(Page { name: String::new(), holds: Vec::new(), form, marks, state: String::new() });
        self.y = self.field().top;
    }

    /// Notes that a list stands on the last page.
    fn tell(&mut self, Part { name, table }: &Part<'_>) {
        let Some(page) = self.pages.last_mut() else { return };
        if !page.name.split(", ").any(|one| one == *name) {
            let between = if page.name.is_empty() { "" } else { ", " };
            page.name.push_str(between);
            page.name.push_str(name);
        }
        page.holds.push(table.name.to_owned());
    }

    fn put_list(&mut self, part: &Part<'_>, form: Form) {
        if self.pages.is_empty() || self.form != form {
            self.form = form;
            self.turn();
        }
        match beside_itself(part.table, self.field().width()) {
            Some(table) => self.table(&Part { table: &table, ..*part }, true),
            None => self.table(part, part.table.rows.len() <= FEW),
        }
    }

    fn put(&mut self, shapes: Vec<Shape>) {
        if let Some(page) = self.pages.last_mut() {
            page.marks.extend(inked(shapes, self.ink));
        }
    }

    /// Puts a list on pages; what is `together` stays on one page where it fits on one.
    fn table(&mut self, part: &Part<'_>, together: bool) {
        let table = part.table;
        let widths = fitted(table, self.field().width());
        let head = broken(
            &table.columns.iter().map(|column| column.head.to_owned()).collect::<Vec<_>>(),
            &widths,
            Role::Designation,
        );
        let mut rows: Vec<Broken> =
            table.rows.iter().map(|row| broken_row(row, &widths, self.field().width())).collect();
        let fractions: Vec<i32> =
            (0..table.columns.len()).map(|column| widest_fraction(table, column)).collect();
        for row in &mut rows {
            let of_cell = |(cell, fraction): (&Vec<String>, &i32)| match cell.as_slice() {
                [number] => indent(number, *fraction),
                _ => 0,
            };
            row.indents = row.cells.iter().zip(&fractions).map(of_cell).collect();
        }
        // The head of a list stands above something, and so does the heading of its first group.
        let n_first = if matches!(table.rows.first(), Some(Row::Heading(_))) { 2 } else { 1 };
        let first = rows.iter().take(n_first).map(|row| height(row.n_lines().min(3))).sum::<i32>();
        let across = self.field().width() - 2 * PAD;
        let notes = table.notes.iter().map(|note| lines_of(note, across, Role::Lettering).len());
        let of_notes = notes.map(|n_lines| ABOVE + height(n_lines)).sum::<i32>();
        let above = heading_height() + of_notes + height(head.n_lines());
        let whole = above + rows.iter().map(|row| height(row.n_lines())).sum::<i32>();
        let is_kept = together && whole <= self.field().height();
        let needed = if is_kept { whole } else { above + first };
        if self.y > self.field().top && self.y + LARGE + needed > self.field().bottom {
            self.turn();
        }
        if self.y > self.field().top {
            self.y += LARGE;
        }
        self.tell(part);
        self.heading(table.name);
        // Above the rows, because nobody reads what stands after the last page of a list.
        for note in &table.notes {
            self.note(part, note);
        }
        self.head(table, &head, &widths);
        // The heading of the group that the last row belongs to.
        let mut group: Option<&str> = None;
        for (index, row) in rows.iter().enumerate() {
            // The heading of a group stands above something.
            let with_next = match &table.rows[index] {
                Row::Heading(_) => rows.get(index + 1).map_or(0, |next| height(next.n_lines().min(3))),
                _ => 0,
            };
            let mut from = 0;
            let mut top = self.field().top + heading_height() + height(head.n_lines());
            while from < row.n_lines() {
                let room = self.field().bottom - self.y - with_next - BETWEEN;
                let fitting = usize::try_from(room / PITCH).unwrap_or(0);
                let rest = row.n_lines() - from;
                // A row is broken over pages only where it is higher than a page.
                let is_fresh = self.y <= top;
                if fitting >= rest || (is_fresh && fitting > 0) {
                    let to = from + rest.min(fitting);
                    self.row(table, &table.rows[index], row, from..to, &widths);
                    from = to;
                } else {
                    self.turn();
                    self.tell(part);
                    self.heading(&format!("{}, continued", table.name));
                    self.head(table, &head, &widths);
                    // Below which heading a row stands is told again on every page.
                    if let (Some(says), Row::Entry(_)) = (group, &table.rows[index]) {
                        let says = Row::Heading(format!("{says}, continued"));
                        let again = broken_row(&says, &widths, self.field().width());
                        self.row(table, &says, &again, 0..again.n_lines(), &widths);
                    }
                    top = self.y;
                }
            }
            if let Row::Heading(says) = &table.rows[index] {
                group = Some(says);
            }
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
                let at = |n: i32| Point::new(self.field().left + PAD, self.y + BASELINE + n * PITCH);
                let texts: Vec<Shape> = row.cells[0][lines]
                    .iter()
                    .zip(0..)
                    .map(|(line, n)| word(line.clone(), at(n), Anchor::Start, HEIGHT, row.role))
                    .collect();
                self.put(texts);
            }
            _ => self.cells(table, row, lines, widths),
        }
        self.y += height(n_lines);
        self.rule();
    }

    /// A faint line below a row.
    fn rule(&mut self) {
        let (left, right) = (self.field().left, self.field().right);
        let line = Shape::Line(Role::Field, vec![Point::new(left, self.y), Point::new(right, self.y)]);
        let faint = inked([line], self.ink).map(|mut mark| {
            mark.look.stroke =
                mark.look.stroke.map(|line| Stroke { paint: palette(self.ink).faded, width: THIN, ..line });
            mark
        });
        if let Some(page) = self.pages.last_mut() {
            page.marks.extend(faint);
        }
    }

    fn cells(&mut self, table: &Table, row: &Broken, lines: std::ops::Range<usize>, widths: &[i32]) {
        let mut left = self.field().left;
        let mut shapes = Vec::new();
        for (index, (cell, width)) in row.cells.iter().zip(widths).enumerate() {
            let column = &table.columns[index];
            let inwards = row.indents.get(index).copied().unwrap_or(0);
            for (line, n) in cell.iter().take(lines.end).skip(lines.start).zip(0..) {
                let y = self.y + BASELINE + n * PITCH;
                let (x, anchor) = match column.set {
                    Setting::Number => (left + width - PAD - inwards, Anchor::End),
                    _ => (left + PAD, Anchor::Start),
                };
                shapes.push(word(line.clone(), Point::new(x, y), anchor, HEIGHT, row.role));
            }
            left += width;
        }
        self.put(shapes);
    }

    /// A sentence of a list, over the whole width.
    fn note(&mut self, part: &Part<'_>, says: &str) {
        self.y += ABOVE;
        for line in lines_of(says, self.field().width() - 2 * PAD, Role::Lettering) {
            if self.y + PITCH > self.field().bottom {
                self.turn();
                self.tell(part);
            }
            let at = Point::new(self.field().left + PAD, self.y + HEIGHT);
            self.put(vec![word(line, at, Anchor::Start, HEIGHT, Role::Lettering)]);
            self.y += PITCH;
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
    i32::try_from(n_lines).unwrap_or(i32::MAX / 1000) * PITCH + BETWEEN
}

fn broken_row(row: &Row, widths: &[i32], room: i32) -> Broken {
    match row {
        Row::Entry(cells) => broken(cells, widths, Role::Lettering),
        Row::Heading(says) => broken(std::slice::from_ref(says), &[room], Role::Designation),
    }
}

fn broken(cells: &[String], widths: &[i32], role: Role) -> Broken {
    let cells = cells.iter().zip(widths).map(|(text, width)| lines_of(text, width - 2 * PAD, role)).collect();
    Broken { cells, role, indents: Vec::new() }
}
