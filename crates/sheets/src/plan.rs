//! The vehicle plan on its sheet.

use drawing::geometry::{Point, Rect};
use drawing::plan::{PlanOnPaper, legend, plan_shapes};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::{Ink, Look, Paint, Stroke, palette};
use drawing::text::{HEIGHT, line_pitch};
use engine::document::Document;
use engine::ids::PlaceId;

use crate::columns::lines_of;
use crate::page::{Form, Page, inked};
use crate::set::{Mark, Paper};

/// Free space between the frame and the plan.
const FREE: i32 = 700;

/// The key never takes more of the field than one part in so many: the plan itself has to stay.
const KEY_SHARE: i32 = 2;

/// How many lines of each entry the key has where they take too much room in full; the lists have all of them.
const SHORTENED: [usize; 2] = [3, 1];

/// The plan as a picture; none for a job without a place.
pub fn page(document: &Document, paper: Paper, ink: Ink) -> Option<Page> {
    let plan = &document.plan;
    if plan.places.is_empty() {
        return None;
    }
    let form = Form { paper, landscape: true, full: None };
    let field = form.field().grown(-FREE);
    let words = legend().into_iter().map(|(letters, words)| format!("{letters}: {words}"));
    let lines = lines_of(&words.collect::<Vec<_>>().join(", "), field.width(), Role::Lettering);
    let below = i32::try_from(lines.len()).unwrap_or(0) * line_pitch(HEIGHT);
    // The key of the numbers takes room from the plan, which may then need more of them; never fewer lines are kept, and
    // never more than its share, so this comes to an end.
    let mut of_key = 0;
    let shapes = loop {
        let picture = Rect { bottom: field.bottom - below - HEIGHT - of_key, ..field };
        let PlanOnPaper { shapes, numbered } = plan_shapes(plan, &document.network, picture);
        let foot = Rect { top: picture.bottom + HEIGHT, bottom: field.bottom - below, ..field };
        let (key, needed) = key(document, &numbered, foot, (field.height() - below) / KEY_SHARE);
        if needed <= of_key {
            break shapes.into_iter().chain(key);
        }
        of_key = needed;
    };
    let mut marks: Vec<Mark> = Vec::new();
    let (words, strokes): (Vec<Shape>, Vec<Shape>) =
        shapes.partition(|shape| matches!(shape, Shape::Text(_)));
    for mut mark in inked(strokes, ink) {
        // The vehicle stays behind what is fitted to it.
        if let (Shape::Area(Role::Field, _) | Shape::Line(Role::Field, _), Some(stroke)) =
            (&mark.shape, mark.look.stroke)
        {
            mark.look.stroke = Some(Stroke { paint: palette(ink).faded, ..stroke });
        }
        marks.push(mark);
    }
    marks.extend(words.iter().map(|shape| ground(shape.bounds())));
    marks.extend(inked(words, ink));
    let line = |(text, n): (String, i32)| {
        let at = Point::new(field.left, field.bottom - below + (n + 1) * line_pitch(HEIGHT));
        word(text, at, Role::Lettering)
    };
    marks.extend(inked(lines.into_iter().zip(0..).map(line), ink));
    let name = "Plan of the vehicle".to_owned();
    Some(Page { holds: vec![name.clone()], name, form, marks, state: String::new() })
}

/// What the numbers on the plan stand for, in columns below it, and how much room they take: no more than `room`, for which
/// long entries are cut and, if need be, the last left out.
fn key(document: &Document, numbered: &[PlaceId], foot: Rect, room: i32) -> (Vec<Shape>, i32) {
    /// Width of a column, and of the number in it.
    const COLUMN: i32 = 7500;
    const NUMBER: i32 = 700;
    let n_columns = (foot.width() / COLUMN).max(1);
    let column = foot.width() / n_columns;
    let entry = |id: &PlaceId| {
        let place = document.plan.place(id)?;
        let parts = document.network.parts.iter().filter(|part| part.place.as_ref() == Some(id));
        let parts: Vec<&str> = parts.map(|part| part.title()).collect();
        let said = [place.name.clone(), parts.join(" ")];
        let said: Vec<&str> = said.iter().map(String::as_str).filter(|words| !words.is_empty()).collect();
        Some(lines_of(&said.join(": "), column - NUMBER - HEIGHT, Role::Lettering))
    };
    let mut entries: Vec<Vec<String>> = numbered.iter().filter_map(entry).collect();
    let n_columns = usize::try_from(n_columns).unwrap_or(1);
    let most_lines = usize::try_from((room - HEIGHT) / line_pitch(HEIGHT)).unwrap_or(0);
    for n_lines in SHORTENED {
        if column_lines(&entries, n_columns) > most_lines {
            entries.iter_mut().for_each(|lines| cut(lines, n_lines));
        }
    }
    let mut n_told = n_columns * most_lines;
    if entries.len() > n_told {
        n_told = n_told.saturating_sub(1);
        let n_left_out = entries.len() - n_told;
        entries.truncate(n_told);
        entries.push(vec![format!("and {n_left_out} more, see the lists")]);
    }
    let most = column_lines(&entries, n_columns);
    let mut shapes = Vec::new();
    let (mut left, mut n) = (foot.left, 0);
    for (number, lines) in (1..).zip(&entries) {
        if n > 0 && n + lines.len() > most {
            (left, n) = (left + column, 0);
        }
        for (line, text) in lines.iter().enumerate() {
            let y = foot.top + i32::try_from(n + 1).unwrap_or(0) * line_pitch(HEIGHT);
            if line == 0 && number <= n_told {
                shapes.push(word(number.to_string(), Point::new(left, y), Role::Designation));
            }
            shapes.push(word(text.clone(), Point::new(left + NUMBER, y), Role::Lettering));
            n += 1;
        }
    }
    let high = if most == 0 { 0 } else { i32::try_from(most).unwrap_or(0) * line_pitch(HEIGHT) + HEIGHT };
    (shapes, high)
}

/// How many lines the longest column has: entries are not parted, so a little more than an even share.
fn column_lines(entries: &[Vec<String>], n_columns: usize) -> usize {
    let n_lines: usize = entries.iter().map(Vec::len).sum();
    let longest = entries.iter().map(Vec::len).max().unwrap_or(0);
    n_lines.div_ceil(n_columns) + longest.saturating_sub(1)
}

/// Keeps so many lines, and marks that there were more.
fn cut(lines: &mut Vec<String>, n_lines: usize) {
    if lines.len() > n_lines {
        lines.truncate(n_lines);
        if let Some(last) = lines.last_mut() {
            last.push_str(" …");
        }
    }
}

fn word(text: String, at: Point, role: Role) -> Shape {
    Shape::Text(Lettering { text, at, anchor: Anchor::Start, height: HEIGHT, upright: false, role })
}

/// White ground below a word, so that no line runs through it.
fn ground(Rect { left, top, right, bottom }: Rect) -> Mark {
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
    let points = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    let look = Look { fill: Some(Paint(0xff, 0xff, 0xff)), stroke: None };
    Mark { shape: Shape::Area(Role::Card, points), look }
}
