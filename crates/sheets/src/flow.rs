//! Lists on pages: one after another, text broken where it does not fit, heads on every page. Nothing is cut off.

use drawing::geometry::{Point, Rect};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::{Ink, Stroke, palette};
use drawing::text::HEIGHT;

use crate::broken::{Broken, Lines, heading};
use crate::columns::{PAD, least};
use crate::lists::{Row, Setting, Table};
use crate::on_paper::on_paper;
use crate::page::{Form, Page, inked};
use crate::set::Paper;

/// From one line of a row to the next.
const PITCH: i32 = 350;

/// What a row is higher than its lines; less where that saves a sheet, and on the overview, which is to be one sheet,
/// still less.
/// As much is free below the thick line under the heads of the columns, which the first row would else touch.
const BETWEEN: [i32; 4] = [100, 70, 50, 30];
const LISTS: usize = 3;

/// From the top of a row to its first baseline, besides half of what is between.
const BASELINE: i32 = 275;

/// Width of the line below a row: thinner than any other, because there are so many.
const THIN: i32 = 13;

/// Free space above the notes of a list.
const ABOVE: i32 = 120;

/// Height of the capitals of a heading.
const LARGE: i32 = 350;

/// Free space between the frame and what stands in it.
const FREE: i32 = 560;

/// A list, and under which name it stands on its sheets.
#[derive(Clone, Copy)]
pub struct Part<'a> {
    /// What its sheets are called.
    pub name: &'a str,
    /// The list.
    pub table: &'a Table,
}

/// Lists after one another on as few pages as they need: those that stand upright, then those that want the width.
pub fn pages(parts: &[Part<'_>], paper: Paper, full: Option<i32>, ink: Ink) -> Vec<Page> {
    /// How much less of a sheet a list must take lying to lie, from never to always; of equals the first is taken.
    const WORTH: [f64; 4] = [0.0, 0.7, 0.85, 1.0];
    let form = |landscape| Form { paper, landscape, full };
    let lists = lists(parts, form);
    let share = |list: &List<'_>, landscape: bool| {
        let height = height_of(&list.broken[usize::from(landscape)], BETWEEN[0]);
        f64::from(height) / f64::from(field(form(landscape)).height())
    };
    let mut best: Option<Vec<Page>> = None;
    for between in BETWEEN.into_iter().take(if full.is_some() { BETWEEN.len() } else { LISTS }) {
        for worth in WORTH {
            let mut flow = Flow::new(form(false), ink, between);
            for landscape in [false, true] {
                for list in &lists {
                    let lies = list.must_lie || share(list, true) < share(list, false) * worth;
                    if lies == landscape {
                        flow.put_list(list.name, &list.broken[usize::from(landscape)], form(landscape));
                    }
                }
            }
            if best.as_ref().is_none_or(|best| flow.pages.len() < best.len()) {
                best = Some(flow.pages);
            }
        }
    }
    best.unwrap_or_default()
}

/// Lists that are one thing, after one another and all the same way round: upright, unless one of them has to lie or all
/// take fewer pages so.
pub fn in_one_run(parts: &[Part<'_>], paper: Paper, ink: Ink) -> Vec<Page> {
    let form = |landscape| Form { paper, landscape, full: None };
    let lists = lists(parts, form);
    let must_lie = lists.iter().any(|list| list.must_lie);
    let mut best: Option<Vec<Page>> = None;
    for between in BETWEEN.into_iter().take(LISTS) {
        for landscape in [false, true].into_iter().filter(|lies| *lies || !must_lie) {
            let mut flow = Flow::new(form(landscape), ink, between);
            for list in &lists {
                flow.put_list(list.name, &list.broken[usize::from(landscape)], form(landscape));
            }
            if best.as_ref().is_none_or(|best| flow.pages.len() < best.len()) {
                best = Some(flow.pages);
            }
        }
    }
    best.unwrap_or_default()
}

/// Lists ready for both ways round of a form.
fn lists<'a>(parts: &[Part<'a>], form: impl Fn(bool) -> Form) -> Vec<List<'a>> {
    let (upright, lying) = (field(form(false)), field(form(true)));
    let list = |part: &Part<'a>| {
        let table = on_paper(part.table, upright.width());
        // Upright it would have to break names.
        let must_lie = least(&table).iter().sum::<i32>() > upright.width();
        let broken = [upright, lying].map(|field| Broken::of(&table, field.width()));
        List { name: part.name, must_lie, broken }
    };
    parts.iter().map(list).collect()
}

/// A list ready for both ways round.
struct List<'a> {
    name: &'a str,
    must_lie: bool,
    /// Upright, then lying.
    broken: [Broken; 2],
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

/// How high a list is.
fn height_of(list: &Broken, between: i32) -> i32 {
    let rows: i32 = list.rows.iter().map(|row| height(row.n_lines(), between)).sum();
    rows + heading_height() + LARGE + between
}

/// Height of a row of so many lines.
fn height(n_lines: usize, between: i32) -> i32 {
    i32::try_from(n_lines).unwrap_or(i32::MAX / 1000) * PITCH + between
}

fn heading_height() -> i32 {
    LARGE + LARGE * 2 / 3
}

struct Flow {
    form: Form,
    ink: Ink,
    between: i32,
    pages: Vec<Page>,
    /// Where the next thing may begin on the last page.
    y: i32,
}

impl Flow {
    fn new(form: Form, ink: Ink, between: i32) -> Flow {
        Flow { form, ink, between, pages: Vec::new(), y: i32::MAX }
    }

    fn field(&self) -> Rect {
        field(self.form)
    }

    fn height(&self, row: &Lines) -> i32 {
        height(row.n_lines(), self.between)
    }

    /// As much of a row as must stand below its heading.
    fn beginning(&self, row: &Lines) -> i32 {
        height(row.n_lines().min(3), self.between)
    }

    /// Begins a new page.
    fn turn(&mut self) {
        let (form, marks) = (self.form, Vec::new());
        self.pages.push(Page { name: String::new(), holds: Vec::new(), form, marks, state: String::new() });
        self.y = self.field().top;
    }

    /// Notes that a list stands on the last page.
    fn tell(&mut self, name: &str, table: &Table) {
        let Some(page) = self.pages.last_mut() else { return };
        if !page.name.split(", ").any(|one| one == name) {
            let between = if page.name.is_empty() { "" } else { ", " };
            page.name.push_str(between);
            page.name.push_str(name);
        }
        page.holds.push(table.name.to_owned());
    }

    fn put(&mut self, shapes: Vec<Shape>) {
        if let Some(page) = self.pages.last_mut() {
            page.marks.extend(inked(shapes, self.ink));
        }
    }

    fn put_list(&mut self, name: &str, list: &Broken, form: Form) {
        if self.pages.is_empty() || self.form != form {
            self.form = form;
            self.turn();
        }
        let table = &list.table;
        // The head of a list stands above something, and so does the heading of its first group.
        let n_first = if matches!(table.rows.first(), Some(Row::Heading(_))) { 2 } else { 1 };
        let first = list.rows.iter().take(n_first).map(|row| self.beginning(row)).sum::<i32>();
        let notes = list.notes.iter().map(|note| ABOVE + self.height(note)).sum::<i32>();
        let above = heading_height() + notes + self.height(&list.head) + self.between;
        let whole = above + list.rows.iter().map(|row| self.height(row)).sum::<i32>();
        let is_kept = list.is_kept && whole <= self.field().height();
        let needed = if is_kept { whole } else { above + first };
        if self.y > self.field().top && self.y + LARGE + needed > self.field().bottom {
            self.turn();
        }
        if self.y > self.field().top {
            self.y += LARGE;
        }
        self.tell(name, table);
        self.heading(table.name);
        // Above the rows, because nobody reads what stands after the last page of a list.
        for note in &list.notes {
            self.note(name, table, note);
        }
        self.head(list);
        self.rows(name, list);
    }

    /// The rows of a list, over as many pages as they take.
    fn rows(&mut self, name: &str, list: &Broken) {
        let table = &list.table;
        // The heading of the group that the last row belongs to.
        let mut group: Option<&str> = None;
        for (index, (row, of)) in list.rows.iter().zip(&table.rows).enumerate() {
            // The heading of a group stands above something, and the last row is not alone on a page.
            let is_with_next = matches!(of, Row::Heading(_)) || index + 2 == list.rows.len();
            let next = list.rows.get(index + 1).filter(|_| is_with_next);
            let with_next = next.map_or(0, |next| self.beginning(next));
            let mut from = 0;
            let mut top = self.field().top + heading_height() + self.height(&list.head) + self.between;
            while from < row.n_lines() {
                let room = self.field().bottom - self.y - with_next - self.between;
                let fitting = usize::try_from(room / PITCH).unwrap_or(0);
                let rest = row.n_lines() - from;
                // A row is broken over pages only where it is higher than a page.
                if fitting >= rest || (self.y <= top && fitting > 0) {
                    let to = from + rest.min(fitting);
                    self.row(table, row, from..to, &list.widths);
                    from = to;
                    continue;
                }
                self.turn();
                self.tell(name, table);
                self.heading(&format!("{}, continued", table.name));
                self.head(list);
                // Below which heading a row stands is told again on every page.
                if let (Some(says), Row::Entry(_)) = (group, of) {
                    let again = heading(&format!("{says}, continued"), self.field().width());
                    self.row(table, &again, 0..again.n_lines(), &list.widths);
                }
                top = self.y;
            }
            if let Row::Heading(says) = of {
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
    fn head(&mut self, list: &Broken) {
        if list.table.columns.iter().all(|column| column.head.is_empty()) {
            return;
        }
        self.cells(&list.table, &list.head, 0..list.head.n_lines(), &list.widths);
        self.y += self.height(&list.head);
        let (left, right) = (self.field().left, self.field().right);
        self.put(vec![Shape::Line(Role::Outline, vec![Point::new(left, self.y), Point::new(right, self.y)])]);
        self.y += self.between;
    }

    fn row(&mut self, table: &Table, row: &Lines, lines: std::ops::Range<usize>, widths: &[i32]) {
        let n_lines = lines.len();
        self.cells(table, row, lines, widths);
        self.y += height(n_lines, self.between);
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

    fn cells(&mut self, table: &Table, row: &Lines, lines: std::ops::Range<usize>, widths: &[i32]) {
        let mut left = self.field().left;
        let mut shapes = Vec::new();
        for (index, (cell, width)) in row.cells.iter().zip(widths).enumerate() {
            // The heading of a group is one cell without a column.
            let is_number = row.cells.len() > 1 && table.columns[index].set == Setting::Number;
            let inwards = row.indents.get(index).copied().unwrap_or(0);
            for (line, n) in cell.iter().take(lines.end).skip(lines.start).zip(0..) {
                let y = self.y + BASELINE + self.between / 2 + n * PITCH;
                let (x, anchor) = match is_number {
                    true => (left + width - PAD - inwards, Anchor::End),
                    false => (left + PAD, Anchor::Start),
                };
                shapes.push(word(line.clone(), Point::new(x, y), anchor, HEIGHT, row.role));
            }
            left += width;
        }
        self.put(shapes);
    }

    /// A sentence of a list, over the whole width.
    fn note(&mut self, name: &str, table: &Table, note: &Lines) {
        self.y += ABOVE;
        for line in note.cells.iter().flatten() {
            if self.y + PITCH > self.field().bottom {
                self.turn();
                self.tell(name, table);
            }
            let at = Point::new(self.field().left + PAD, self.y + HEIGHT);
            self.put(vec![word(line.clone(), at, Anchor::Start, HEIGHT, note.role)]);
            self.y += PITCH;
        }
    }
}

fn word(text: String, at: Point, anchor: Anchor, height: i32, role: Role) -> Shape {
    Shape::Text(Lettering { text, at, anchor, height, upright: false, role })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(name: &'static str, width: usize, n_rows: usize) -> Table {
        let mut table = Table::new(name, name, &[("Head", Setting::Name)]);
        table.rows = vec![Row::Entry(vec!["N".repeat(width)]); n_rows];
        table
    }

    #[test]
    fn the_first_row_stands_off_the_line_under_the_heads() {
        const LEAST: i32 = 100;
        let table = table("list", 3, 4);
        let pages = pages(&[Part { name: "List", table: &table }], Paper::A4, None, Ink::Black);
        let shapes = || pages[0].marks.iter().map(|mark| &mark.shape);
        let line = shapes().find_map(|shape| match shape {
            Shape::Line(Role::Outline, points) => Some(points[0].y),
            _ => None,
        });
        let line = line.expect("the line under the heads");
        let tops = shapes().filter_map(|shape| match shape {
            Shape::Text(text) => Some(text.at.y - text.height).filter(|top| *top > line),
            _ => None,
        });
        let first = tops.min().expect("the first row");
        assert!(first - line >= LEAST, "{line} {first}");
    }

    #[test]
    fn lists_of_one_run_lie_together_where_one_has_to() {
        let (short, long) = (table("short", 3, 40), table("long", 100, 2));
        let parts = [&short, &long, &short].map(|table| Part { name: "List", table });
        let forms = |pages: Vec<Page>| pages.iter().map(|page| page.form.landscape).collect::<Vec<_>>();
        let run = in_one_run(&parts, Paper::A4, Ink::Black);
        let held: Vec<&str> = run.iter().flat_map(|page| &page.holds).map(String::as_str).collect();
        assert!(
            held.starts_with(&["short"]) && held.ends_with(&["short"]) && held.contains(&"long"),
            "{held:?}"
        );
        assert!(forms(run).iter().all(|lies| *lies));
        assert!(forms(in_one_run(&parts[..1], Paper::A4, Ink::Black)).iter().all(|lies| !lies));
    }
}
