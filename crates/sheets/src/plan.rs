//! The vehicle plan on its sheet.

use drawing::geometry::{Point, Rect};
use drawing::plan::{legend, plan_shapes};
use drawing::scene::{Anchor, Lettering, Role, Shape};
use drawing::style::{Ink, Look, Paint, Stroke, palette};
use drawing::text::{HEIGHT, line_pitch};
use engine::document::Document;

use crate::columns::lines_of;
use crate::page::{Form, Page, inked};
use crate::set::{Mark, Paper};

/// Free space between the frame and the plan.
const FREE: i32 = 700;

/// The plan as a picture; none for a job without a place.
pub fn page(document: &Document, paper: Paper, ink: Ink) -> Option<Page> {
    let plan = &document.plan;
    if plan.places.is_empty() {
        return None;
    }
    let form = Form { paper, landscape: true, full: false };
    let field = form.field().grown(-FREE);
    let words = legend().into_iter().map(|(letters, words)| format!("{letters}: {words}"));
    let lines = lines_of(&words.collect::<Vec<_>>().join(", "), field.width(), Role::Lettering);
    let below = i32::try_from(lines.len()).unwrap_or(0) * line_pitch(HEIGHT);
    let picture = Rect { bottom: field.bottom - below - HEIGHT, ..field };
    let shapes = plan_shapes(plan, &document.network, picture);
    let mut marks: Vec<Mark> = Vec::new();
    let (words, strokes): (Vec<Shape>, Vec<Shape>) =
        shapes.into_iter().partition(|shape| matches!(shape, Shape::Text(_)));
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
        let anchor = Anchor::Start;
        Shape::Text(Lettering { text, at, anchor, height: HEIGHT, upright: false, role: Role::Lettering })
    };
    marks.extend(inked(lines.into_iter().zip(0..).map(line), ink));
    let name = "Plan of the vehicle".to_owned();
    Some(Page { holds: vec![name.clone()], name, form, marks, state: String::new() })
}

/// White ground below a word, so that no line runs through it.
fn ground(Rect { left, top, right, bottom }: Rect) -> Mark {
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
    let points = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    let look = Look { fill: Some(Paint(0xff, 0xff, 0xff)), stroke: None };
    Mark { shape: Shape::Area(Role::Card, points), look }
}
